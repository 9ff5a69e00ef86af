//! `enfilade export`: finished pictures as files for other programs.

use super::Outcome;
use super::json;
use super::terminal::Terminal;
use super::words::count;
use crate::export::{self, Depth, ExportError, Facts, FileKind, Format, Made, Shape};
use crate::problem::{Problem, Problems};
use crate::tour::{self, StationKey, Tour};
use crate::workshop::{FinishedSphere, Options, Plan, SphereOfLight};
use clap::ValueEnum;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Write the finished pictures as files: for headsets, social sites, video, print
///
/// Each file is the finished picture of one station, level, in sRGB. A whole sphere carries GPano metadata, so that other
/// programs know what it is and where it faces. Of the camera's own metadata only make, model, lens, time, exposure and whose
/// picture it is go along: no position, no serial number.
///
/// `--format radiance` writes the light itself instead, for programs that light scenes with it: linear numbers with sRGB's
/// primaries, before any tone. 1 is white in the shot of middle exposure; what a bracket's darker shots tell apart lies above.
/// A station with one shot gives the light of that shot.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Export {
    /// A folder with a tour.yaml, or that file
    #[arg(default_value = ".")]
    tour: PathBuf,
    /// The folder to write to; it is made if it is not there
    #[arg(long, value_name = "DIR")]
    to: PathBuf,
    /// Only this room, or room/station; may be given more than once
    #[arg(long, value_name = "ROOM")]
    room: Vec<String>,
    /// What kind of file
    #[arg(long, value_enum, default_value_t = Kind::Jpeg)]
    format: Kind,
    /// Bits of each channel of PNG and TIFF, 8 or 16
    #[arg(long, value_name = "BITS", default_value = "8", value_parser = ["8", "16"])]
    depth: String,
    /// Quality of JPEG, 1 to 100
    #[arg(long, value_name = "N", default_value_t = 92, value_parser = clap::value_parser!(u8).range(1..=100))]
    quality: u8,
    /// Columns of a sphere, a cube's side or a view [default: as fine as the picture is]
    #[arg(long, value_name = "PIXELS", value_parser = clap::value_parser!(u32).range(2..=32768))]
    width: Option<u32>,
    /// Six pictures a station, the sides of a cube, instead of a sphere
    #[arg(long, conflicts_with = "looking")]
    faces: bool,
    /// One flat picture a station in this direction, degrees in the level picture, instead of a sphere
    #[arg(long, value_name = "LONGITUDE,LATITUDE", value_parser = direction, allow_hyphen_values = true)]
    looking: Option<(f64, f64)>,
    /// How wide that flat picture looks, in degrees
    #[arg(long, value_name = "DEGREES", default_value_t = 90.0, value_parser = field_of_view, requires = "looking")]
    field_of_view: f64,
    /// Print nothing but problems
    #[arg(long, short)]
    quiet: bool,
    /// Print the result and all problems as JSON
    #[arg(long)]
    json: bool,
}

const EXAMPLES: &str = "\
Examples:
  enfilade export --to finished                        Every station of this folder's tour, as JPEG
  enfilade export --to out --room hall --width 4096    One room, smaller
  enfilade export --to out --format tiff --depth 16    For an editor that should lose nothing
  enfilade export --to out --format radiance           The light of each bracket
  enfilade export --to out --faces                     Six sides of a cube each
  enfilade export --to out --room hall --looking 20,-5 --field-of-view 100
                                                       One flat picture, as for a brochure

A file that is already there is replaced only if it was exported before.";

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Kind {
    Jpeg,
    Png,
    Tiff,
    Radiance,
}

/// A view's height for its width: that of a photograph.
const VIEW_PROPORTION: (u32, u32) = (3, 2);

impl Export {
    pub(super) fn run(&self) -> std::io::Result<Outcome> {
        let terminal = Terminal::new(self.quiet || self.json);
        let mut problems = Problems::new();
        let written = self.export(&terminal, &mut problems).map_err(|errors| problems.extend(errors)).ok();
        let problems = problems.sorted();
        if self.json {
            terminal.result(&json::export(written.as_deref(), &problems))?;
        } else {
            terminal.show(&problems);
            if let (Some(written), false) = (&written, self.quiet) {
                terminal.result(&format!("Wrote {} to {}.\n", count(written.len(), "picture"), self.to.display()))?;
            }
        }
        Ok(if written.is_some() { Outcome::Done } else { Outcome::Failed })
    }

    fn export(&self, terminal: &Terminal, warnings: &mut Problems) -> Result<Vec<PathBuf>, Problems> {
        self.check_depth()?;
        let (tour, found) = tour::read_tour(&self.tour)?;
        warnings.extend(found);
        let wanted = self.wanted(&tour)?;
        let plan = Plan::new(&tour, Options::default())?;
        warnings.extend(plan.warnings().clone());
        std::fs::create_dir_all(&self.to).map_err(|error| cannot_write(&self.to, &error))?;
        let mut written = Vec::new();
        for (index, key) in wanted.iter().enumerate() {
            terminal.say(&format!("{}/{} {key}", index + 1, wanted.len()));
            if matches!(self.format, Kind::Radiance) {
                let Some(light) = plan.light(key) else { continue };
                self.export_light(key, light?, &mut written)?;
            } else {
                let Some(finished) = plan.finished(key) else { continue };
                let heading_deg = plan.sights()[key].heading.map(|heading| heading.degrees());
                self.export_one(key, &finished?, heading_deg, &mut written)?;
            }
        }
        Ok(written)
    }

    fn check_depth(&self) -> Result<(), Problems> {
        let what = match self.format {
            Kind::Jpeg => "JPEG has 8 bits a channel, not 16",
            Kind::Radiance => "a Radiance file has its own kind of floating point, not 16 bits",
            Kind::Png | Kind::Tiff => return Ok(()),
        };
        if self.depth == "8" {
            return Ok(());
        }
        Err(Problem::error(what, "leave `--depth` out, or add `--format tiff` or `--format png`").into())
    }

    fn export_light(&self, key: &StationKey, light: SphereOfLight, written: &mut Vec<PathBuf>) -> Result<(), Problems> {
        let shape = self.shape(light.picture.width as u32);
        let outcome = export::export_light(&light.picture, light.level, shape, |made| {
            self.write(file_name(key, &made, export::LIGHT_ENDING), &made, written)
        });
        outcome.map_err(|error| told(key, error))
    }

    fn export_one(
        &self,
        key: &StationKey,
        finished: &FinishedSphere,
        heading_deg: Option<f64>,
        written: &mut Vec<PathBuf>,
    ) -> Result<(), Problems> {
        let sphere_width = finished.picture.width as u32;
        let shape = self.shape(sphere_width);
        let width = if let Shape::Sphere { width } = shape { width } else { sphere_width };
        let facts = Facts::of_sphere(&finished.main_shot, width, heading_deg);
        let format = self.format(finished);
        let outcome = export::export(&finished.picture, finished.level, shape, format, &facts, |made| {
            self.write(file_name(key, &made, format.kind.ending()), &made, written)
        });
        outcome.map_err(|error| told(key, error))
    }

    fn write(&self, name: String, made: &Made, written: &mut Vec<PathBuf>) -> Result<(), Problems> {
        let path = self.to.join(name);
        write_beside(&path, &made.bytes)?;
        written.push(path);
        Ok(())
    }

    fn shape(&self, sphere_width: u32) -> Shape {
        match self.looking {
            _ if self.faces => Shape::Faces { side: self.width.unwrap_or(export::face_side(sphere_width)) },
            Some((longitude_deg, elevation_deg)) => {
                let half = libm::tan((self.field_of_view / 2.0).to_radians());
                // As fine in the middle as the sphere is.
                let own = (2.0 * half * f64::from(sphere_width) / std::f64::consts::TAU).round() as u32;
                let width = self.width.unwrap_or(own).clamp(2, 32768).next_multiple_of(2);
                let height = (width * VIEW_PROPORTION.1 / VIEW_PROPORTION.0).max(2).next_multiple_of(2);
                Shape::View { longitude_deg, elevation_deg, field_of_view_deg: self.field_of_view, width, height }
            }
            None => Shape::Sphere { width: self.width.unwrap_or(sphere_width).next_multiple_of(2) },
        }
    }

    fn format(&self, finished: &FinishedSphere) -> Format {
        Format {
            kind: match self.format {
                // Light goes another way.
                Kind::Jpeg | Kind::Radiance => FileKind::Jpeg,
                Kind::Png => FileKind::Png,
                Kind::Tiff => FileKind::Tiff,
            },
            depth: if self.depth == "16" { Depth::Sixteen } else { Depth::Eight },
            quality: self.quality,
            chroma: finished.chroma,
        }
    }

    /// The stations asked for, each once, in the tour's order; all where none is named.
    fn wanted(&self, tour: &Tour) -> Result<Vec<StationKey>, Problems> {
        let mut problems = Problems::new();
        for name in &self.room {
            if !tour.stations().any(|station| is_named(&station.key, name)) {
                let rooms: Vec<&str> = tour.rooms().map(|(_, room)| room.id.as_str()).collect();
                let what = format!("`--room {name}`: there is no such room or station");
                problems.push(Problem::error(what, format!("name one of {}", rooms.join(", "))));
            }
        }
        if problems.has_errors() {
            return Err(problems);
        }
        let keys = tour.stations().map(|station| station.key.clone());
        Ok(keys.filter(|key| self.room.is_empty() || self.room.iter().any(|name| is_named(key, name))).collect())
    }
}

/// Whether a name means this station: its room, or the station itself.
fn is_named(key: &StationKey, name: &str) -> bool {
    key.to_string() == name || key.room.as_str() == name
}

fn told(key: &StationKey, error: ExportError<Problems>) -> Problems {
    match error {
        ExportError::Handing(problems) => problems,
        ExportError::Encoding(what) => {
            Problem::error(format!("`{key}` cannot be written: {what}"), "choose a smaller `--width`")
                .station(key.to_string())
                .into()
        }
    }
}

fn file_name(key: &StationKey, made: &Made, ending: &str) -> String {
    let part = made.part.map(|part| format!("-{part}")).unwrap_or_default();
    format!("{}{part}.{ending}", key.slug())
}

/// Writes a file whole or not at all. One that was not exported before is left alone.
fn write_beside(path: &Path, bytes: &[u8]) -> Result<(), Problems> {
    if std::fs::read(path).is_ok_and(|old| !export::bears_our_mark(&old)) {
        let what = format!("{} is already there, and was not exported by Enfilade", path.display());
        return Err(Problem::error(what, "choose another folder with `--to`, or move the file away").into());
    }
    let folder = path.parent().unwrap_or(Path::new("."));
    let write = || {
        let mut beside = tempfile::NamedTempFile::new_in(folder)?;
        beside.write_all(bytes)?;
        beside.as_file().sync_all()?;
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            beside.as_file().set_permissions(std::fs::Permissions::from_mode(0o644))?;
        }
        beside.persist(path).map_err(|error| error.error)
    };
    write().map(drop).map_err(|error| cannot_write(path, &error))
}

pub(super) fn cannot_write(path: &Path, error: &std::io::Error) -> Problems {
    let what = format!("{} cannot be written: {error}", path.display());
    Problem::error(what, "make sure that there is room on the disk and that you may write there").into()
}

/// Longitude and latitude, as `--looking` takes them.
pub(super) fn direction(text: &str) -> Result<(f64, f64), String> {
    let parsed = text.split_once(',').and_then(|(longitude, latitude)| {
        Some((longitude.trim().parse::<f64>().ok()?, latitude.trim().parse::<f64>().ok()?))
    });
    match parsed {
        Some((longitude, latitude)) if longitude.abs() <= 180.0 && latitude.abs() <= 90.0 => Ok((longitude, latitude)),
        Some(_) => Err("longitude lies in -180 to 180 and latitude in -90 to 90".to_owned()),
        None => Err("write longitude and latitude in degrees, such as 20,-5".to_owned()),
    }
}

fn field_of_view(text: &str) -> Result<f64, String> {
    let degrees = text.parse::<f64>().ok().filter(|degrees| (1.0..=160.0).contains(degrees));
    degrees.ok_or_else(|| "write degrees from 1 to 160".to_owned())
}
