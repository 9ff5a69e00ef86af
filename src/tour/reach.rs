//! Who can be reached from where somebody stands, and how soon.

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
    by_nearness(tour, &tour.opens_in).into_iter().collect()
}

/// Every station: first `from`, then those that a door or a step leads to from there, and so on; last, in the tour's order, those that no way
/// leads to.
pub fn nearest_first(tour: &Tour, from: &StationKey) -> Vec<StationKey> {
    let mut order = by_nearness(tour, from);
    let near: BTreeSet<StationKey> = order.iter().cloned().collect();
    order.extend(tour.stations().map(|station| station.key.clone()).filter(|key| !near.contains(key)));
    order
}

/// What can be reached, by the number of doors and steps on the way.
fn by_nearness(tour: &Tour, from: &StationKey) -> Vec<StationKey> {
    let steps = tour.rooms().flat_map(|(_, room)| &room.steps).map(|step| (&step.between, false));
    let doors = tour.doors.iter().map(|door| (&door.between, door.one_way));
    let mut ways: BTreeMap<StationKey, Vec<StationKey>> = BTreeMap::new();
    for (from, to) in steps.chain(doors).flat_map(both_ways).chain(extra_ways(tour)) {
        ways.entry(from).or_default().push(to);
    }
    let (mut reached, mut order) = (BTreeSet::from([from.clone()]), vec![from.clone()]);
    let mut next = 0;
    while let Some(from) = order.get(next).cloned() {
        next += 1;
        for to in ways.get(&from).into_iter().flatten() {
            if reached.insert(to.clone()) {
                order.push(to.clone());
            }
        }
    }
    order
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
