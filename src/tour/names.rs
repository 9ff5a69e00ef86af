//! Rooms and stations by the names that a description refers to them with.

use super::{Floor, Id, Room, StationKey};
use crate::description::Placed;
use crate::problem::{Problem, Problems};
use std::collections::BTreeMap;

/// A room, with one of its stations or without.
#[derive(Clone, Debug)]
pub struct Named<'t> {
    /// The floor it lies on.
    pub floor: &'t Floor,
    /// The room.
    pub room: &'t Room,
    /// The station, if one was named or there is only one.
    pub station: Option<StationKey>,
}

/// Finds `room` or `room/station`; reports what leads nowhere with the nearest name that would. An empty name, and
/// one in a room whose stations could not be read, was reported before and is passed over.
pub fn find<'t>(floors: &'t [Floor], written: &Placed<String>, problems: &mut Problems) -> Option<Named<'t>> {
    if written.value.is_empty() {
        return None;
    }
    let (room_name, station_name) = match written.value.split_once('/') {
        Some((room, station)) => (room, Some(station)),
        None => (written.value.as_str(), None),
    };
    let rooms = || floors.iter().flat_map(|floor| floor.rooms.iter().map(move |room| (floor, room)));
    let Some((floor, room)) = rooms().find(|(_, room)| room.id.as_str() == room_name) else {
        let names: Vec<&str> = rooms().map(|(_, room)| room.id.as_str()).collect();
        problems.push(unknown("room", room_name, &names).at(&written.place));
        return None;
    };
    let station = match (station_name, &room.stations[..]) {
        (Some(name), stations) => match station_in(stations.iter().map(|s| &s.key), name) {
            Some(key) => Some(key),
            None => {
                let names: Vec<&str> = stations.iter().map(|s| s.key.station.as_str()).collect();
                let what = format!("station of `{room_name}`");
                problems.push(unknown(&what, name, &names).at(&written.place));
                return None;
            }
        },
        (None, [only]) => Some(only.key.clone()),
        (None, _) => None,
    };
    Some(Named { floor, room, station })
}

/// Finds a station of one room, by its id alone or as `room/station`.
pub fn find_station(room: &Room, written: &Placed<String>, problems: &mut Problems) -> Option<StationKey> {
    if written.value.is_empty() {
        return None;
    }
    let name = match written.value.split_once('/') {
        Some((before, after)) if before == room.id.as_str() => after,
        _ => written.value.as_str(),
    };
    let found = station_in(room.stations.iter().map(|station| &station.key), name);
    if found.is_none() {
        let names: Vec<&str> = room.stations.iter().map(|station| station.key.station.as_str()).collect();
        problems.push(unknown(&format!("station of `{}`", room.id), name, &names).at(&written.place));
    }
    found
}

fn station_in<'k>(mut keys: impl Iterator<Item = &'k StationKey>, name: &str) -> Option<StationKey> {
    keys.find(|key| key.station.as_str() == name).cloned()
}

fn unknown(kind: &str, name: &str, known: &[&str]) -> Problem {
    let near = known
        .iter()
        .filter(|known| !known.is_empty() && name.len() <= 64)
        .map(|known| (strsim::normalized_damerau_levenshtein(known, &name.to_lowercase()), *known));
    let instead = match near.filter(|(score, _)| *score > 0.5).max_by(|a, b| a.0.total_cmp(&b.0)) {
        Some((_, near)) => format!("write `{near}`"),
        None if known.len() <= 12 => {
            let all: Vec<String> = known.iter().filter(|id| !id.is_empty()).map(|id| format!("`{id}`")).collect();
            format!("write one of {}", all.join(", "))
        }
        None => "write the id of one that the description holds".to_owned(),
    };
    Problem::error(format!("there is no {kind} named `{name}`"), instead)
}

/// Reports ids that are the same when case is ignored, as folders are on many systems.
pub fn refuse_twins<'i>(kind: &str, ids: impl Iterator<Item = &'i Placed<String>>, problems: &mut Problems) {
    let mut taken = BTreeMap::new();
    for id in ids.filter(|id| !id.value.is_empty()) {
        if let Some(line) = taken.insert(id.value.to_lowercase(), id.place.line) {
            let what = format!("the id `{}` is taken already by the {kind} on line {line}", id.value);
            problems.push(Problem::error(what, "choose another one").at(&id.place));
        }
    }
}

/// An id that was written.
pub fn id(written: &Placed<String>) -> Id {
    Id(written.value.clone())
}
