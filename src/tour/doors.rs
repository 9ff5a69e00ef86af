//! Doors and steps: whom they join, and where the description says that they are seen.

use super::assemble::{outside, towards};
use super::names::{Named, Rooms, find_station};
use super::plan::{self, distance};
use super::{Door, Floor, Room, SeenFrom, StationKey, Step};
use crate::description::Placed;
use crate::description::types::{self, Pair, Sighting};
use crate::problem::{Problem, Problems};
use std::collections::BTreeMap;

/// Resolves the doors of a tour; those that lead nowhere are reported and left out.
pub fn resolve(floors: &[Floor], written: &[Placed<types::Door>], problems: &mut Problems) -> Vec<Door> {
    let rooms = Rooms::of(floors);
    let doors: Vec<Door> = written.iter().filter_map(|door| resolve_one(&rooms, door, problems)).collect();
    let mut first = BTreeMap::new();
    for door in &doors {
        let line = *first.entry(sameness(door)).or_insert(door.place.line);
        if line != door.place.line {
            let what = format!("this door stands on line {line} already");
            let instead = "delete one of the two, or give each its `at`";
            problems.push(Problem::warning(what, instead).at(&door.place));
        }
    }
    doors
}

/// The same text for doors that nothing tells apart.
fn sameness(door: &Door) -> String {
    let mut rooms = door.between.clone().map(|end| end.room);
    if !door.one_way {
        rooms.sort();
    }
    let seen: Vec<_> = door.seen_from.iter().map(|seen| (&seen.station, seen.towards)).collect();
    format!("{rooms:?} {} {:?} {seen:?}", door.one_way, door.at)
}

fn resolve_one(rooms: &Rooms<'_>, written: &Placed<types::Door>, problems: &mut Problems) -> Option<Door> {
    let types::Door { between: [first, second], at, one_way, seen_from } = &written.value;
    let ends = (rooms.find(first, problems), rooms.find(second, problems));
    let seen = seen_from.iter().filter_map(|(name, seen)| {
        let named = rooms.find(name, problems)?;
        Some((name, named, seen))
    });
    let seen: Vec<_> = seen.collect();
    let (first_end, second_end) = (ends.0?, ends.1?);
    if first_end.room.id == second_end.room.id {
        let what = format!("both ends of this door are the room `{}`", first_end.room.id);
        let instead = "join two rooms; stations of one room are joined by its `steps`";
        problems.push(Problem::error(what, instead).at(&second.place));
        return None;
    }
    if let Some(at) = at {
        check_doorway(at, &first_end, &second_end, problems);
    }
    let at = at.as_ref().map(|at| at.value);
    let ends = [station_of(&first_end, at, &second_end)?, station_of(&second_end, at, &first_end)?];
    let mut sightings = BTreeMap::new();
    for (name, named, seen) in seen {
        if let Some(seen) = sighting(&ends, name, &named, seen, problems)
            && sightings.insert(seen.station.clone(), seen).is_some()
        {
            let what = format!("`{}` says a second time where this door is seen", name.value);
            problems.push(Problem::error(what, "keep one of the two").at(&name.place));
        }
    }
    let seen_from = sightings.into_values().collect();
    Some(Door { between: ends, one_way: *one_way, at, seen_from, place: written.place.clone() })
}

/// A doorway's place belongs to the one plan that both rooms lie on.
fn check_doorway(at: &Placed<Pair>, first: &Named<'_>, second: &Named<'_>, problems: &mut Problems) {
    let same = first.floor.id == second.floor.id;
    let problem = match &first.floor.plan {
        _ if !same => Problem::error(
            format!("`at` needs both rooms on one floor, and `{}` and `{}` are not", first.room.id, second.room.id),
            "delete it, and write `seen-from` for both rooms",
        ),
        None => Problem::error(
            "`at` is a place on a plan, and this floor has none",
            "give the floor a `plan`, or delete this line",
        ),
        Some(plan) => match outside("at", at, plan) {
            Some(warning) => warning,
            None => return,
        },
    };
    problems.push(problem.at(&at.place));
}

/// The station that a room's end of a door stands for: the one named, else the nearest to the doorway (or to where
/// the other room's first station stands), else the first.
fn station_of(end: &Named<'_>, at: Option<Pair>, other: &Named<'_>) -> Option<StationKey> {
    if let Some(station) = &end.station {
        return Some(station.clone());
    }
    let same_floor = end.floor.id == other.floor.id;
    let other_place = || {
        let key = other.station.as_ref();
        let station = other.room.stations.iter().find(|station| key.is_none_or(|key| key == &station.key));
        station.and_then(|station| station.stands_at).filter(|_| same_floor)
    };
    let target = at.or_else(other_place);
    let placed = end.room.stations.iter().filter_map(|station| Some((distance(station.stands_at?, target?), station)));
    let nearest = placed.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, station)| station);
    nearest.or(end.room.stations.first()).map(|station| station.key.clone())
}

/// Who sees the door where, if it is a station of one of its two rooms.
fn sighting(
    ends: &[StationKey; 2],
    name: &Placed<String>,
    named: &Named<'_>,
    seen: &Sighting,
    problems: &mut Problems,
) -> Option<SeenFrom> {
    let Some(end) = ends.iter().find(|end| end.room == named.room.id) else {
        let what = format!("`{}` is neither end of this door", name.value);
        let instead = format!("write `{}` or `{}`", ends[0].room, ends[1].room);
        problems.push(Problem::error(what, instead).at(&name.place));
        return None;
    };
    let station = named.station.clone().unwrap_or_else(|| end.clone());
    let towards = towards(seen, plan::DOOR_ELEVATION_WITHOUT_SCALE_DEG)?;
    Some(SeenFrom { station, towards, place: name.place.clone() })
}

/// The steps of a room: as written, or from each station to the next.
pub fn steps(room: &Room, written: Option<&[Placed<types::Step>]>, problems: &mut Problems) -> Vec<Step> {
    match written {
        Some(steps) => steps.iter().filter_map(|step| step_of(room, step, problems)).collect(),
        None => room
            .stations
            .windows(2)
            .map(|pair| Step {
                between: [pair[0].key.clone(), pair[1].key.clone()],
                seen_from: Vec::new(),
                place: room.place.clone(),
            })
            .collect(),
    }
}

fn step_of(room: &Room, written: &Placed<types::Step>, problems: &mut Problems) -> Option<Step> {
    let types::Step { between: [first, second], seen_from } = &written.value;
    let ends = (find_station(room, first, problems), find_station(room, second, problems));
    let mut seen = Vec::new();
    for (name, sighting) in seen_from {
        let Some(station) = find_station(room, name, problems) else { continue };
        if ends.0.as_ref() != Some(&station) && ends.1.as_ref() != Some(&station) {
            let what = format!("`{}` is neither end of this step", name.value);
            let instead = format!("write `{}` or `{}`", first.value, second.value);
            problems.push(Problem::error(what, instead).at(&name.place));
            continue;
        }
        let towards = towards(sighting, plan::STEP_ELEVATION_WITHOUT_SCALE_DEG);
        seen.extend(towards.map(|towards| SeenFrom { station, towards, place: name.place.clone() }));
    }
    let between = [ends.0?, ends.1?];
    if between[0] == between[1] {
        let what = format!("both ends of this step are the station `{}`", between[0].station);
        problems.push(Problem::error(what, "join two stations").at(&second.place));
        return None;
    }
    Some(Step { between, seen_from: seen, place: written.place.clone() })
}
