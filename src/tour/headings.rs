//! Where each picture's centre column faces, as far as anything tells.
//!
//! In this order: what the description says; what the picture says of itself; what follows from doors and steps that
//! are sighted in the picture and whose bearing the plan knows. Else it is unknown.

use super::sight::Pose;
use super::ways::Ways;
use super::{StationKey, Tour, Towards};
use crate::problem::{Problem, Problems};
use crate::sphere::{Heading, Rotation, wrap_degrees};
use std::collections::BTreeMap;

/// Two directions that should be one may differ by this much before somebody should look.
pub const TOLERANCE_DEG: f64 = 10.0;
/// Beyond this elevation a longitude says little.
const HIGHEST_SIGHTING_DEG: f64 = 80.0;

/// Who told a heading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Teller {
    /// The description.
    Description,
    /// The picture's own pose field.
    Picture,
    /// Doors and steps sighted in the picture.
    Sightings,
}

/// Headings of the stations that have one.
pub type Headings = BTreeMap<StationKey, (Heading, Teller)>;

/// Finds every heading that something tells. `levels` takes out each picture's tilt.
pub fn settle(
    tour: &Tour,
    ways: &Ways<'_>,
    poses: &BTreeMap<StationKey, Pose>,
    levels: &BTreeMap<StationKey, Rotation>,
    warnings: &mut Problems,
) -> Headings {
    let believed = poses_are_believed(tour, poses);
    let mut headings = Headings::new();
    for station in tour.stations() {
        let pose = poses.get(&station.key).and_then(|pose| pose.heading).filter(|_| believed);
        let told = station
            .heading
            .map(|heading| (heading, Teller::Description))
            .or(pose.map(|heading| (heading, Teller::Picture)))
            .or_else(|| sighted(&station.key, ways, levels, warnings).map(|heading| (heading, Teller::Sightings)));
        headings.extend(told.map(|told| (station.key.clone(), told)));
    }
    warn_of_compass_without_north(tour, &headings, warnings);
    headings
}

/// The same heading in every file is a camera that has no compass, and so is zero everywhere.
fn poses_are_believed(tour: &Tour, poses: &BTreeMap<StationKey, Pose>) -> bool {
    let said: Vec<f64> =
        tour.stations().filter_map(|station| poses.get(&station.key)?.heading).map(Heading::degrees).collect();
    let all_the_same = said.len() > 1 && said.iter().all(|heading| wrap_degrees(heading - said[0]).abs() < 1e-6);
    !all_the_same && said.iter().any(|&heading| heading != 0.0)
}

/// The circular mean of what the station's sightings tell. Those that differ from it are reported.
fn sighted(
    station: &StationKey,
    ways: &Ways<'_>,
    levels: &BTreeMap<StationKey, Rotation>,
    warnings: &mut Problems,
) -> Option<Heading> {
    let level = levels.get(station).copied().unwrap_or(Rotation::IDENTITY);
    let told = ways.seen_from(station).iter().filter_map(|&index| {
        let end = &ways.ends[index];
        let Some(Towards::Spot(spot)) = end.said else { return None };
        let seen = level.apply(spot.direction());
        let by_plan = ways.by_plan(end).ok().filter(|_| seen.latitude().abs() <= HIGHEST_SIGHTING_DEG)?;
        Some((end, Heading::wrapping(by_plan.heading.degrees() - seen.longitude())))
    });
    let told: Vec<_> = told.collect();
    let mean = circular_mean(told.iter().map(|(_, heading)| heading.degrees()))?;
    for (end, heading) in &told {
        let off = wrap_degrees(heading.degrees() - mean.degrees()).abs();
        if off > TOLERANCE_DEG {
            let what = format!(
                "where `{}` is seen from `{station}` differs by {off:.0}° from what its other sightings and the plan tell",
                end.to.key
            );
            let warning = Problem::warning(what, "correct the spot, or the places on the plan");
            warnings.push(warning.at(end.place).station(station.to_string()));
        }
    }
    Some(mean)
}

/// The direction of the sum of unit vectors; nothing where they cancel out.
fn circular_mean(headings_deg: impl Iterator<Item = f64>) -> Option<Heading> {
    let (east, north) = headings_deg.fold((0.0, 0.0), |(east, north), heading| {
        (east + libm::sin(heading.to_radians()), north + libm::cos(heading.to_radians()))
    });
    (libm::hypot(east, north) > 1e-6).then(|| Heading::wrapping(libm::atan2(east, north).to_degrees()))
}

/// A compass in the pictures and a plan that does not know north do not go together.
fn warn_of_compass_without_north(tour: &Tour, headings: &Headings, warnings: &mut Problems) {
    for floor in &tour.floors {
        let Some(plan) = floor.plan.as_ref().filter(|plan| plan.north_deg.is_none()) else { continue };
        let by_compass = |key| matches!(headings.get(key), Some((_, Teller::Picture)));
        let mut placed =
            floor.rooms.iter().flat_map(|room| &room.stations).filter(|station| station.stands_at.is_some());
        if placed.any(|station| by_compass(&station.key)) {
            let what = "the pictures' own headings count from north, and this plan does not say where north is";
            let instead = "write the plan's `north`, or doors may be marked in the wrong direction";
            warnings.push(Problem::warning(what, instead).at(&plan.place));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_of_headings_goes_the_short_way_round() {
        let mean = |headings: &[f64]| circular_mean(headings.iter().copied()).map(Heading::degrees);
        assert!((mean(&[350.0, 20.0]).unwrap() - 5.0).abs() < 1e-9);
        assert!((mean(&[90.0]).unwrap() - 90.0).abs() < 1e-9);
        assert_eq!(mean(&[0.0, 180.0]), None);
        assert_eq!(mean(&[]), None);
    }
}
