//! Looking at shots and reading them: read-only, once, and never a mixture of two versions of a file.

use super::stages::{Fault, ShotFault, Stages};
use crate::problem::{Problem, Problems};
use crate::sphere::Heading;
use crate::store::{ContentHash, Records, Role, ShotFacts, Stamp};
use crate::tour::sight::Pose;
use crate::tour::{Shot, Station, Tilt, Tour};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// The largest file that TIFF, the roomiest of the formats, can be. Bounds what one shot can make us hold.
const LARGEST_SHOT_BYTES: u64 = 1 << 32;

/// A shot as it stood when the run began.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Seen {
    pub stamp: Stamp,
    pub facts: ShotFacts,
    /// Known without reading, if the file is the very one that a record was made of.
    pub hash: Option<ContentHash>,
    /// Something of it was found out that no record has.
    pub is_news: bool,
}

impl Seen {
    /// For settling headings; `None` where the picture says nothing. Where it is to stand upright by itself, its own vertical
    /// lines count for pitch and roll, not what the camera wrote down.
    pub fn pose(&self, tilt: Tilt) -> Option<Pose> {
        let (heading, mut pitch_deg, mut roll_deg) = self.facts.pose;
        if tilt == Tilt::Auto {
            (pitch_deg, roll_deg) = self.facts.upright.as_ref().and_then(|upright| upright.tilt).unwrap_or_default();
        }
        let says_something = heading.is_some() || pitch_deg != 0.0 || roll_deg != 0.0;
        says_something.then(|| Pose { heading: heading.map(Heading::wrapping), pitch_deg, roll_deg })
    }
}

/// Looks at every shot of a tour, in the order of its stations. Opens only those without a trusted record.
///
/// # Errors
/// Every shot that cannot be used, as far as its headers tell.
pub(super) fn look_at_all(tour: &Tour, records: &Records, stages: &dyn Stages) -> Result<Vec<Vec<Seen>>, Problems> {
    let mut problems = Problems::new();
    let mut all_seen = Vec::new();
    for station in tour.stations() {
        let mut seen = Vec::new();
        for shot in &station.shots {
            match look_at(&shot.path, remembered_as(tour, shot), records, stages) {
                Ok(one) => seen.push(one),
                Err(fault) => problems.push(shot_problem(tour, station, shot, fault)),
            }
        }
        all_seen.push(seen);
    }
    if problems.is_empty() { Ok(all_seen) } else { Err(problems.sorted()) }
}

fn look_at(path: &Path, remembered_as: &Path, records: &Records, stages: &dyn Stages) -> Result<Seen, Fault> {
    let stamp = Stamp::of(&std::fs::metadata(path).map_err(unreadable)?);
    if let Some(record) = records.trusted(Role::Shot, remembered_as, &stamp) {
        return Ok(Seen { stamp, facts: record.facts.clone(), hash: Some(record.hash), is_news: false });
    }
    Ok(Seen { stamp, facts: stages.read_facts(path)?, hash: None, is_news: true })
}

/// Looks at every file that the repairs of a tour need, in the order of its stations, without opening one.
///
/// # Errors
/// Every file that is not there.
pub(super) fn look_at_materials(tour: &Tour, records: &Records) -> Result<Vec<Vec<Seen>>, Problems> {
    let mut problems = Problems::new();
    let mut look_at = |station: &Station| -> Vec<Seen> {
        let mut seen = Vec::new();
        for file in station.materials() {
            match std::fs::metadata(&file.path).map_err(unreadable) {
                Ok(metadata) => seen.push(material(tour, file, Stamp::of(&metadata), records)),
                Err(fault) => problems.push(shot_problem(tour, station, file, fault)),
            }
        }
        seen
    };
    let all_seen = tour.stations().map(&mut look_at).collect();
    if problems.is_empty() { Ok(all_seen) } else { Err(problems.sorted()) }
}

fn material(tour: &Tour, file: &Shot, stamp: Stamp, records: &Records) -> Seen {
    let known = records.trusted(Role::Material, remembered_as(tour, file), &stamp);
    Seen { stamp, facts: ShotFacts::default(), hash: known.map(|record| record.hash), is_news: known.is_none() }
}

/// A shot's name in the records: below the tour's folder, so that it does not matter from where a command is run.
pub(super) fn remembered_as<'a>(tour: &Tour, shot: &'a Shot) -> &'a Path {
    shot.path.strip_prefix(&tour.folder).unwrap_or(&shot.path)
}

/// The whole file, which must still be the one that was looked at, and stay it while it is read.
///
/// # Errors
/// It changed, is too large, or cannot be read.
pub(super) fn read_unchanged(path: &Path, seen: &Stamp) -> Result<Vec<u8>, Fault> {
    let mut file = File::open(path).map_err(unreadable)?;
    let is_unchanged = |file: &File| file.metadata().map(|now| Stamp::of(&now) == *seen).map_err(unreadable);
    if seen.size > LARGEST_SHOT_BYTES {
        return Err(Fault {
            what: format!("is too large: {} bytes", seen.size),
            instead: "give a picture of at most 4 GiB".to_owned(),
        });
    }
    let mut bytes = Vec::new();
    if is_unchanged(&file)? {
        bytes.reserve_exact(seen.size as usize);
        file.by_ref().take(seen.size).read_to_end(&mut bytes).map_err(unreadable)?;
        if bytes.len() as u64 == seen.size && is_unchanged(&file)? {
            return Ok(bytes);
        }
    }
    Err(Fault {
        what: "changed while it was being read".to_owned(),
        instead: "wait until it is copied or saved completely, then run again".to_owned(),
    })
}

pub(super) fn unreadable(error: std::io::Error) -> Fault {
    Fault {
        what: format!("cannot be read: {error}"),
        instead: "make sure that the file is there and that you may read it".to_owned(),
    }
}

/// A fault of one of a station's files as a problem.
pub(super) fn file_problem(tour: &Tour, station: &Station, (index, fault): ShotFault) -> Problem {
    let file = station.files().nth(index).unwrap_or_else(|| station.main_shot());
    shot_problem(tour, station, file, fault)
}

/// A fault as a problem.
pub(super) fn shot_problem(tour: &Tour, station: &Station, shot: &Shot, fault: Fault) -> Problem {
    place(tour, station, shot, Problem::error(fault.what, fault.instead))
}

/// What the headers of a station's usable shots warn of.
pub(super) fn shot_warnings<'a>(
    tour: &'a Tour,
    station: &'a Station,
    seen: &'a [Seen],
) -> impl Iterator<Item = Problem> + 'a {
    station.shots.iter().zip(seen).flat_map(move |(shot, seen)| {
        seen.facts.warnings.iter().map(move |what| place(tour, station, shot, Problem::warning(what.as_str(), "")))
    })
}

/// Gives a sentence about a shot its beginning, its place in the description, and its station.
fn place(tour: &Tour, station: &Station, shot: &Shot, mut problem: Problem) -> Problem {
    let kind = if station.shots.contains(shot) { "shot" } else { "file" };
    problem.what = format!("the {kind} `{}` {}", remembered_as(tour, shot).display(), problem.what);
    problem.at(&shot.place).about(&shot.path).station(station.key.to_string())
}
