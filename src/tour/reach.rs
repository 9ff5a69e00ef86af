//! Who can be reached from where the visitor begins.

use super::{StationKey, Tour};
use crate::problem::{Problem, Problems};
use std::collections::{BTreeMap, BTreeSet};

/// A warning for every station that no doors and steps lead to.
pub fn warnings(tour: &Tour) -> Problems {
    let reached = reached(tour);
    let mut warnings = Problems::new();
    for (_, room) in tour.rooms() {
        let lost: Vec<_> = room.stations.iter().filter(|station| !reached.contains(&station.key)).collect();
        let begins = &tour.opens_in;
        if lost.len() == room.stations.len() {
            let what = format!("no way leads from `{begins}` to the room `{}`", room.id);
            let instead = format!("write a door, such as `{{ between: [{}, {}] }}`", begins.room, room.id);
            warnings.push(Problem::warning(what, instead).at(&room.place));
            continue;
        }
        for station in lost {
            let what = format!("no way leads from `{begins}` to the station `{}`", station.key);
            let instead = format!("write a step to it in the room `{}`", room.id);
            warnings.push(Problem::warning(what, instead).at(&station.place).station(station.key.to_string()));
        }
    }
    warnings
}

fn reached(tour: &Tour) -> BTreeSet<StationKey> {
    let steps = tour.rooms().flat_map(|(_, room)| &room.steps).map(|step| (&step.between, false));
    let doors = tour.doors.iter().map(|door| (&door.between, door.one_way));
    let mut ways: BTreeMap<StationKey, Vec<StationKey>> = BTreeMap::new();
    for (from, to) in steps.chain(doors).flat_map(both_ways).chain(extra_ways(tour)) {
        ways.entry(from).or_default().push(to);
    }
    let mut reached = BTreeSet::from([tour.opens_in.clone()]);
    let mut fresh = vec![tour.opens_in.clone()];
    while let Some(from) = fresh.pop() {
        for to in ways.get(&from).into_iter().flatten() {
            if reached.insert(to.clone()) {
                fresh.push(to.clone());
            }
        }
    }
    reached
}

fn both_ways((between, one_way): (&[StationKey; 2], bool)) -> impl Iterator<Item = (StationKey, StationKey)> {
    let [a, b] = between.clone();
    let back = (!one_way).then(|| (b.clone(), a.clone()));
    std::iter::once((a, b)).chain(back)
}

/// Doors that further stations of the two rooms see.
fn extra_ways(tour: &Tour) -> impl Iterator<Item = (StationKey, StationKey)> {
    tour.doors.iter().flat_map(|door| {
        door.seen_from.iter().filter_map(|seen| Some((seen.station.clone(), door.leads_to(&seen.station)?.clone())))
    })
}
