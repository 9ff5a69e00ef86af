//! Tilt that the pictures' own vertical lines tell: found once for each shot, and remembered.

use super::shots::{Seen, read_unchanged, shot_problem};
use super::stages::{Fault, FoundTilt, Stages};
use crate::problem::{Problem, Problems};
use crate::store::{ContentHash, RecordedUpright};
use crate::tour::{Shot, Station, Tilt, Tour};
use rayon::prelude::*;

/// Raise it whenever the same picture would tell another tilt than before.
const METHOD: u32 = 2;

/// Pictures that are decoded at once; each may be large.
const AT_ONCE: usize = 4;

/// Finds the tilt of every station that is to stand upright by itself, as far as it is not known. What a picture says goes
/// to its facts.
///
/// # Errors
/// Every shot that cannot be read or decoded.
pub(super) fn find_all(tour: &Tour, all_seen: &mut [Vec<Seen>], stages: &dyn Stages) -> Result<(), Problems> {
    let stations = tour.stations().zip(all_seen.iter_mut()).filter(|(station, _)| station.tilt == Tilt::Auto);
    let mut to_find: Vec<(&Station, &mut Seen)> = stations
        .map(|(station, seen)| {
            let main = seen.len() / 2;
            (station, &mut seen[main])
        })
        .filter(|(_, seen)| seen.facts.upright.as_ref().is_none_or(|known| known.method != METHOD))
        .collect();
    let mut problems = Problems::new();
    for some in to_find.chunks_mut(AT_ONCE) {
        let found: Vec<Result<(), Fault>> =
            some.par_iter_mut().map(|(station, seen)| find(station.main_shot(), seen, stages)).collect();
        for ((station, _), outcome) in some.iter().zip(found) {
            if let Err(fault) = outcome {
                problems.push(shot_problem(tour, station, station.main_shot(), fault));
            }
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(problems.sorted()) }
}

fn find(shot: &Shot, seen: &mut Seen, stages: &dyn Stages) -> Result<(), Fault> {
    let bytes = read_unchanged(&shot.path, &seen.stamp)?;
    seen.hash = Some(ContentHash::of(&bytes));
    seen.is_news = true;
    seen.facts.upright = Some(match stages.upright(&bytes)? {
        Ok(FoundTilt { tilt, error_deg }) => {
            let error_hundredths_deg = (error_deg * 100.0).ceil() as u32;
            RecordedUpright { method: METHOD, tilt: Some(tilt), error_hundredths_deg, doubt: String::new() }
        }
        Err(doubt) => RecordedUpright { method: METHOD, tilt: None, error_hundredths_deg: 0, doubt },
    });
    Ok(())
}

/// A sentence for each station whose picture could tell: how it leaned, and how sure that is.
pub(super) fn told<'a>(tour: &'a Tour, all_seen: &'a [Vec<Seen>]) -> impl Iterator<Item = String> + 'a {
    tour.stations().zip(all_seen).filter(|(station, _)| station.tilt == Tilt::Auto).filter_map(|(station, seen)| {
        let found = seen[seen.len() / 2].facts.upright.as_ref()?;
        let error_deg = f64::from(found.error_hundredths_deg) / 100.0;
        Some(match found.tilt? {
            (0.0, 0.0) => format!("{}: stands upright, sure to about {error_deg:.2}°", station.key),
            (pitch_deg, roll_deg) => {
                format!("{}: pitch {pitch_deg:.1}°, roll {roll_deg:.1}°, sure to about {error_deg:.2}°", station.key)
            }
        })
    })
}

/// A warning for each station whose picture could not tell: it stays as it is.
pub(super) fn warnings<'a>(tour: &'a Tour, all_seen: &'a [Vec<Seen>]) -> impl Iterator<Item = Problem> + 'a {
    tour.stations().zip(all_seen).filter(|(station, _)| station.tilt == Tilt::Auto).filter_map(|(station, seen)| {
        let found = seen[seen.len() / 2].facts.upright.as_ref().filter(|found| found.tilt.is_none())?;
        let what = format!("nothing tells how the camera of `{}` leaned: {}", station.key, found.doubt);
        let instead = "write `tilt: { pitch: 0.4, roll: -1.2 }` with what you see, or `tilt: none`";
        Some(Problem::warning(what, instead).at(&station.main_shot().place).station(station.key.to_string()))
    })
}
