//! `enfilade patch`: a flat view to paint on, its untouched twin, and the line that lays back what was painted.

use super::Outcome;
use super::export::{cannot_write, direction};
use super::json::{self, Patched};
use super::terminal::Terminal;
use crate::picture;
use crate::problem::{Problem, Problems};
use crate::sphere::Spot;
use crate::tour::retouch::twin_name;
use crate::tour::{self, Station, Tour};
use crate::workshop;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Write a flat view of a room to paint on, and the line that lays it back
///
/// The flat view is a square PNG of 16 bits that loses nothing of the picture. Paint on it with any program, save it under its own
/// name, and put the printed line into the room's `retouch:`. Only what you changed is laid back, with a soft edge; where
/// the saved picture is transparent anywhere, its transparency decides instead. It shows the picture before its tone, so
/// it looks plainer than the walkthrough. The description is not changed.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Patch {
    /// A folder with a tour.yaml, or that file
    #[arg(default_value = ".")]
    tour: PathBuf,
    /// Whose picture: a room, or room/station
    #[arg(long, value_name = "ROOM")]
    room: String,
    /// The middle of the view, degrees in the room's own picture
    #[arg(long, value_name = "LONGITUDE,LATITUDE", value_parser = direction, allow_hyphen_values = true)]
    looking: (f64, f64),
    /// How wide it looks, in degrees, 1 to 120
    #[arg(long, value_name = "DEGREES", default_value_t = 40.0, value_parser = field_of_view)]
    field_of_view: f64,
    /// The file to write, below the tour's folder [default: a free name in its folder "retouch"]
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
    /// Print what was written, and all problems, as JSON
    #[arg(long)]
    json: bool,
}

const EXAMPLES: &str = "\
Examples:
  enfilade patch --room hall --looking -151,-22        The socket beside the stairs
  enfilade patch --room hall --looking 0,-90 --field-of-view 60
                                                       The floor below the camera
  enfilade patch --room barn/hearth --looking 20,5 --to retouch/beam.png

No file is ever replaced. The twin, \"….twin.png\", is what the painted picture is compared with: leave it as it is.";

/// What was written.
struct Written {
    painted: PathBuf,
    twin: PathBuf,
    side_px: usize,
    line: String,
}

impl Patch {
    pub(super) fn run(&self) -> std::io::Result<Outcome> {
        let terminal = Terminal::new(self.json);
        let mut problems = Problems::new();
        let written = self.patch(&mut problems).map_err(|errors| problems.extend(errors)).ok();
        let problems = problems.sorted();
        if self.json {
            let patched = written.as_ref().map(|Written { painted, twin, side_px, line }| Patched {
                painted,
                twin,
                side_px: *side_px,
                line,
            });
            terminal.result(&json::patch(patched.as_ref(), &problems))?;
        } else {
            terminal.show(&problems);
            if let Some(Written { painted, side_px, line, .. }) = &written {
                terminal.say(&format!(
                    "Wrote {} ({side_px}×{side_px} pixels). Paint on it, and put this into the room's `retouch:`, with its own `why`:",
                    painted.display()
                ));
                terminal.result(&format!("{line}\n"))?;
            }
        }
        Ok(if written.is_some() { Outcome::Done } else { Outcome::Failed })
    }

    fn patch(&self, warnings: &mut Problems) -> Result<Written, Problems> {
        let (tour, found) = tour::read_tour(&self.tour)?;
        warnings.extend(found);
        let station = self.station(&tour)?;
        let asked_for = self.to.as_deref().map(|to| below(&tour, to)).transpose()?;
        // The parser has let nothing else through.
        let (longitude, latitude) = self.looking;
        let middle = Spot::new(longitude, latitude).map_err(|error| Problem::error(error.to_string(), ""))?;
        let view = workshop::flat_view(&tour, station, middle, self.field_of_view)?;
        let file = picture::flat_png(view.width, &view.pixels).map_err(|error| {
            Problem::error(format!("the flat view cannot be written: {error}"), "look at a smaller `--field-of-view`")
        })?;
        let name = match asked_for {
            Some(name) => {
                write_both(&tour.folder, &name, &file).map_err(|(path, error)| already_there(&path, &error))?;
                name
            }
            None => write_under_a_free_name(&tour, station, &file)?,
        };
        let line = format!(
            "- {{ patch: {}, spot: [{longitude}, {latitude}], field-of-view: {}, why: other }}",
            quoted(&name),
            self.field_of_view
        );
        let (painted, twin) = (tour.folder.join(&name), tour.folder.join(twin_name(&name)));
        Ok(Written { painted, twin, side_px: view.width, line })
    }

    fn station<'t>(&self, tour: &'t Tour) -> Result<&'t Station, Problems> {
        let is_meant = |station: &&Station| station.key.to_string() == self.room;
        let in_room = || tour.stations().filter(|station| station.key.room.as_str() == self.room);
        if let Some(station) = tour.stations().find(is_meant) {
            return Ok(station);
        }
        let keys = |stations: &mut dyn Iterator<Item = &Station>| {
            stations.map(|station| station.key.to_string()).collect::<Vec<_>>().join(", ")
        };
        let (what, known) = match in_room().count() {
            0 => ("there is no such room or station", keys(&mut tour.stations())),
            1 => return in_room().next().ok_or_else(Problems::new),
            _ => ("this room has several stations", keys(&mut in_room())),
        };
        Err(Problem::error(format!("`--room {}`: {what}", self.room), format!("name one of {known}")).into())
    }
}

/// A file's name from the tour's folder, as the description will say it.
fn below(tour: &Tour, to: &Path) -> Result<String, Problems> {
    let refuse = |what: &str, instead: &str| -> Problems {
        Problem::error(format!("`--to {}`: {what}", to.display()), instead).into()
    };
    if to.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("png")) {
        return Err(refuse("the flat view is a PNG", "let the name end in .png"));
    }
    let outside =
        || refuse("this is not below the tour's folder", "choose a place below it, such as retouch/socket.png");
    let here = std::env::current_dir().map_err(|error| cannot_write(to, &error))?;
    let folder = tour.folder.canonicalize().map_err(|error| cannot_write(&tour.folder, &error))?;
    let file = here.join(to);
    // The nearest folder above it that is there already; what is below it has no links to follow.
    let known = file.ancestors().skip(1).find(|above| above.exists()).unwrap_or(&here);
    let rest = file.strip_prefix(known).map_err(|_| outside())?;
    let whole = known.canonicalize().map_err(|error| cannot_write(known, &error))?.join(rest);
    let name = whole.strip_prefix(&folder).ok().and_then(Path::to_str).map(|name| name.replace('\\', "/"));
    name.filter(|name| !name.split('/').any(|part| part == "..")).ok_or_else(outside)
}

/// The first of `retouch/hall-patch.png`, `retouch/hall-patch-2.png` … that is not taken.
fn write_under_a_free_name(tour: &Tour, station: &Station, file: &[u8]) -> Result<String, Problems> {
    let slug = station.key.slug();
    let names = std::iter::once(format!("retouch/{slug}-patch.png"))
        .chain((2..).map(|number| format!("retouch/{slug}-patch-{number}.png")));
    for name in names {
        match write_both(&tour.folder, &name, file) {
            Ok(()) => return Ok(name),
            Err((_, error)) if error.kind() == ErrorKind::AlreadyExists => {}
            Err((path, error)) => return Err(cannot_write(&path, &error)),
        }
    }
    unreachable!("numbers do not end")
}

/// The twin first: a picture to paint on is never there without it.
fn write_both(folder: &Path, name: &str, file: &[u8]) -> Result<(), (PathBuf, std::io::Error)> {
    let (painted, twin) = (folder.join(name), folder.join(twin_name(name)));
    if painted.symlink_metadata().is_ok() {
        return Err((painted, ErrorKind::AlreadyExists.into()));
    }
    write_new(&twin, file, true).map_err(|error| (twin.clone(), error))?;
    write_new(&painted, file, false).map_err(|error| {
        // It was written a moment ago and is of no use alone.
        let _ = std::fs::remove_file(&twin);
        (painted, error)
    })
}

/// Writes a file whole or not at all, and never over another.
fn write_new(path: &Path, bytes: &[u8], is_final: bool) -> std::io::Result<()> {
    let folder = path.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    let mut beside = tempfile::NamedTempFile::new_in(folder)?;
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = if is_final { 0o444 } else { 0o644 };
        beside.as_file().set_permissions(std::fs::Permissions::from_mode(mode))?;
    }
    #[cfg(not(unix))]
    let _ = is_final;
    beside.persist_noclobber(path).map(drop).map_err(|error| error.error)
}

fn already_there(path: &Path, error: &std::io::Error) -> Problems {
    if error.kind() != ErrorKind::AlreadyExists {
        return cannot_write(path, error);
    }
    let what = format!("{} is already there, and somebody may have painted on it", path.display());
    Problem::error(what, "choose another name with `--to`, or leave `--to` out").into()
}

/// As YAML has it: plain where that is safe, else in double quotes.
fn quoted(name: &str) -> String {
    let is_plain = |letter: char| letter.is_ascii_alphanumeric() || "-_./".contains(letter);
    if name.starts_with(|first: char| first.is_ascii_alphabetic()) && name.chars().all(is_plain) {
        return name.to_owned();
    }
    serde_json::Value::from(name).to_string()
}

fn field_of_view(text: &str) -> Result<f64, String> {
    let degrees = text.parse::<f64>().ok().filter(|degrees| (1.0..=120.0).contains(degrees));
    degrees.ok_or_else(|| "write degrees from 1 to 120".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_quoted_where_yaml_needs_it() {
        assert_eq!(quoted("retouch/hall-patch.png"), "retouch/hall-patch.png");
        assert_eq!(quoted("retouch/my, \"hall\".png"), "\"retouch/my, \\\"hall\\\".png\"");
    }
}
