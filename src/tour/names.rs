//! Rooms and stations by the names that a description refers to them with.

use super::{Floor, Id, Room, StationKey};
use crate::description::Placed;
use crate::description::quote;
use crate::problem::{Place, Problem, Problems};
use std::collections::BTreeMap;

/// With more names than this, the nearest one to a misspelt name is not looked for: it would take long.
const MAX_COMPARED: usize = 500;

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

/// All rooms by name.
pub struct Rooms<'t> {
    by_name: BTreeMap<String, (&'t Floor, &'t Room)>,
    ids: Vec<&'t str>,
}

impl<'t> Rooms<'t> {
    /// Goes through the floors once.
    pub fn of(floors: &'t [Floor]) -> Self {
        let rooms = || floors.iter().flat_map(|floor| floor.rooms.iter().map(move |room| (floor, room)));
        let named = rooms().map(|(floor, room)| (&room.id, (floor, room)));
        Rooms { by_name: by_name(named), ids: rooms().map(|(_, room)| room.id.as_str()).collect() }
    }

    /// Finds `room` or `room/station`; reports what leads nowhere with the nearest name that would. An empty name was
    /// reported before and is passed over.
    pub fn find(&self, written: &Placed<String>, problems: &mut Problems) -> Option<Named<'t>> {
        if written.value.is_empty() {
            return None;
        }
        let (room_name, station_name) = match written.value.split_once('/') {
            Some((room, station)) => (room, Some(station)),
            None => (written.value.as_str(), None),
        };
        let Some(&(floor, room)) = self.by_name.get(room_name) else {
            problems.push(unknown("room", room_name, &self.ids).at(&written.place));
            return None;
        };
        let station = match (station_name, &room.stations[..]) {
            (Some(name), _) => Some(station_in(room, name, &written.place, problems)?),
            (None, [only]) => Some(only.key.clone()),
            (None, _) => None,
        };
        Some(Named { floor, room, station })
    }
}

/// Finds a station of one room, by its id alone or as `room/station`.
pub fn find_station(room: &Room, written: &Placed<String>, problems: &mut Problems) -> Option<StationKey> {
    if written.value.is_empty() {
        return None;
    }
    let name = match written.value.split_once('/') {
        Some((before, after)) if answers_to(&room.id, before) => after,
        _ => written.value.as_str(),
    };
    station_in(room, name, &written.place, problems)
}

fn station_in(room: &Room, name: &str, place: &Place, problems: &mut Problems) -> Option<StationKey> {
    let mut keys = room.stations.iter().map(|station| &station.key);
    let found = keys.clone().find(|key| key.station.as_str() == name);
    if let Some(key) = found.or_else(|| keys.find(|key| answers_to(&key.station, name))) {
        return Some(key.clone());
    }
    let names: Vec<&str> = room.stations.iter().map(|station| station.key.station.as_str()).collect();
    problems.push(unknown(&format!("station of `{}`", room.id), name, &names).at(place));
    None
}

/// By id; where an id breaks the rules, which was reported, by its corrected form too: who wrote that is not wrong.
/// Of twins the first counts.
fn by_name<'t, T: Copy>(named: impl Iterator<Item = (&'t Id, T)>) -> BTreeMap<String, T> {
    let mut by_name = BTreeMap::new();
    for (id, value) in named {
        by_name.entry(crate::description::id::nearest(id.as_str())).or_insert(value);
        by_name.entry(id.to_string()).or_insert(value);
    }
    by_name
}

fn answers_to(id: &Id, name: &str) -> bool {
    id.as_str() == name || crate::description::id::nearest(id.as_str()) == name
}

fn unknown(kind: &str, name: &str, known: &[&str]) -> Problem {
    let compared = if name.len() <= 64 && known.len() <= MAX_COMPARED { known } else { &[] };
    let scored = compared
        .iter()
        .filter(|known| !known.is_empty())
        .map(|known| (strsim::normalized_damerau_levenshtein(known, &name.to_lowercase()), *known));
    let instead = match scored.filter(|(score, _)| *score > 0.5).max_by(|a, b| a.0.total_cmp(&b.0)) {
        Some((_, near)) => format!("write `{near}`"),
        None if known.len() <= 12 => {
            let all: Vec<String> = known.iter().filter(|id| !id.is_empty()).map(|id| format!("`{id}`")).collect();
            format!("write one of {}", all.join(", "))
        }
        None => "write the id of one that the description holds".to_owned(),
    };
    Problem::error(format!("there is no {kind} named {}", quote(name)), instead)
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
