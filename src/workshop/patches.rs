//! Flat views to paint on, and whether what was painted on is still there.

use super::shots::{file_problem, read_unchanged, unreadable};
use super::stages::{ShotFault, shot_fault};
use crate::darkroom::retouch::{self, FlatLight};
use crate::darkroom::{self, Files, Recipe};
use crate::problem::{Problem, Problems};
use crate::sphere::Spot;
use crate::store::Stamp;
use crate::tour::{RepairKind, Station, Tour};

/// Mean difference on sRGB's curve, of 0 to 1, from which on it is worth a look: as much as a third of a stop of exposure makes in the
/// middle of the curve.
const CHANGED_A_LOT: f64 = 10.0 / 255.0;

/// What somebody paints on: a view of a station's picture before its tone and with all of its repairs, as many degrees across. It has as
/// many pixels as lose nothing of the picture.
///
/// # Errors
/// A shot, or a file that a repair needs, that cannot be used.
pub fn flat_view(tour: &Tour, station: &Station, middle: Spot, field_deg: f64) -> Result<FlatLight, Problems> {
    let seen = read(station).and_then(|files| {
        let (shots, materials) = files.split_at(station.shots.len());
        let files = Files { shots, materials };
        darkroom::flat_view(files, &repairs_of(station), middle.direction(), field_deg).map_err(shot_fault)
    });
    seen.map_err(|fault| file_problem(tour, station, fault).into())
}

/// Warns of every patch whose station looks otherwise there than when it was painted. Reads the shots of stations that have a patch, and of no other.
///
/// # Errors
/// A shot, or a file that a repair of such a station needs, that cannot be used.
pub fn check_patches(tour: &Tour) -> Result<Problems, Problems> {
    let (mut warnings, mut errors) = (Problems::new(), Problems::new());
    let has_patch = |station: &&Station| station.retouch.iter().any(|repair| is_patch(&repair.kind));
    for station in tour.stations().filter(has_patch) {
        match check(station) {
            Ok(found) => found.into_iter().for_each(|warning| warnings.push(warning)),
            Err(fault) => errors.push(file_problem(tour, station, fault)),
        }
    }
    if errors.is_empty() { Ok(warnings) } else { Err(errors) }
}

fn is_patch(kind: &RepairKind) -> bool {
    matches!(kind, RepairKind::Patch { .. })
}

fn check(station: &Station) -> Result<Vec<Problem>, ShotFault> {
    let files = read(station)?;
    let (shots, materials) = files.split_at(station.shots.len());
    let files = Files { shots, materials };
    let differences = darkroom::differences_from_twins(files, &repairs_of(station)).map_err(shot_fault)?;
    let warning = |(index, difference): (usize, f64)| {
        let RepairKind::Patch { painted, .. } = &station.retouch[index].kind else { return None };
        let steps = (255.0 * difference).round();
        let what = format!(
            "what this patch was painted on has changed: it differs by {steps} steps of 255 in the mean from the untouched twin"
        );
        let instead = "look at the result; if it does not fit any more, write the flat view anew with `enfilade patch`";
        let warning = Problem::warning(what, instead).at(&station.retouch[index].place).about(&painted.path);
        (difference > CHANGED_A_LOT).then(|| warning.station(station.key.to_string()))
    };
    Ok(differences.into_iter().filter_map(warning).collect())
}

fn repairs_of(station: &Station) -> Recipe {
    Recipe { retouch: retouch::repairs(&station.retouch), ..Recipe::default() }
}

/// Every file that a station's picture is made of.
fn read(station: &Station) -> Result<Vec<Vec<u8>>, ShotFault> {
    let read = |(index, file): (usize, &crate::tour::Shot)| {
        let stamp = std::fs::metadata(&file.path).map(|metadata| Stamp::of(&metadata)).map_err(unreadable);
        stamp.and_then(|stamp| read_unchanged(&file.path, &stamp)).map_err(|fault| (index, fault))
    };
    station.files().enumerate().map(read).collect()
}
