//! How a station's picture is to look, from what the tour, the room and the station say of it.

use super::names::Rooms;
use super::{Door, Floor, StationKey, Tour};
use crate::description::Placed;
use crate::description::types::{self, MeasuredWhiteBalance, NamedWhiteBalance};
use crate::problem::{Place, Problem, Problems};
use crate::sphere::Spot;
use std::collections::BTreeMap;

/// How light, dark, warm, strong and crisp a picture is. All zero: as it came.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tone {
    /// Stops: one more doubles the light. −5..=5.
    pub exposure_ev: f64,
    /// What counts as neutral.
    pub white_balance: WhiteBalance,
    /// Bright parts darker (below 0, down to −1) or brighter (up to 1), what surrounds a pixel deciding.
    pub highlights: f64,
    /// Dark parts darker (down to −1) or brighter (up to 1), what surrounds a pixel deciding.
    pub shadows: f64,
    /// Light and dark further apart (up to 1) or closer (down to −1) about middle grey.
    pub contrast: f64,
    /// The same for a pixel against its surroundings: −1..=1.
    pub local_contrast: f64,
    /// Stronger (up to 1) or weaker colours; −1 is grey.
    pub saturation: f64,
    /// Finest detail stronger, 0..=1.
    pub sharpening: f64,
}

/// What counts as neutral.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum WhiteBalance {
    /// As the camera saw it.
    #[default]
    AsShot,
    /// Worked out from the picture.
    Auto,
    /// The light's own colour: what it lit becomes neutral. 6504 K and no tint change nothing in a picture whose white is D65.
    Light {
        /// Correlated colour temperature, 2000..=25000.
        temperature_k: f64,
        /// Distance from the locus of daylight or glow in 1/1000 of CIE 1960 v and u, green side above 0: −50..=50.
        tint: f64,
    },
    /// A place in the picture that is grey in truth.
    Neutral(Spot),
}

/// A station whose look another one takes over.
#[derive(Clone, Debug, PartialEq)]
pub struct Likeness {
    /// Whose look it is, through the doorway that joins the two rooms.
    pub to: StationKey,
    /// Where the description names it.
    pub place: Place,
}

/// Puts together what the tour, the room and the station say, the nearest saying each key. Where a look is taken over, it
/// comes with the exposure and the white balance that the tour has for all: they are not done a second time.
pub fn settle([defaults, room, station]: [&types::Tone; 3]) -> Tone {
    let mut defaults = defaults.clone();
    if room.like.is_some() || station.like.is_some() {
        (defaults.exposure, defaults.white_balance) = (None, None);
    }
    let written = [&defaults, room, station];
    let said = |key: fn(&types::Tone) -> Option<f64>| written.iter().rev().find_map(|tone| key(tone)).unwrap_or(0.0);
    Tone {
        exposure_ev: said(|tone| tone.exposure),
        white_balance: written.iter().rev().find_map(|tone| tone.white_balance).map_or_else(Default::default, balance),
        highlights: said(|tone| tone.highlights),
        shadows: said(|tone| tone.shadows),
        contrast: said(|tone| tone.contrast),
        local_contrast: said(|tone| tone.local_contrast),
        saturation: said(|tone| tone.saturation),
        sharpening: said(|tone| tone.sharpening),
    }
}

fn balance(written: types::WhiteBalance) -> WhiteBalance {
    match written {
        types::WhiteBalance::Named(NamedWhiteBalance::AsShot) => WhiteBalance::AsShot,
        types::WhiteBalance::Named(NamedWhiteBalance::Auto) => WhiteBalance::Auto,
        types::WhiteBalance::Measured(MeasuredWhiteBalance { temperature, tint, neutral }) => {
            let spot = neutral.and_then(|[longitude, latitude]| Spot::new(longitude, latitude).ok());
            let light =
                temperature.map(|temperature_k| WhiteBalance::Light { temperature_k, tint: tint.unwrap_or_default() });
            spot.map(WhiteBalance::Neutral).or(light).unwrap_or_default()
        }
    }
}

/// Finds whose look each station takes over. One that is not joined by a door, and looks that go round in a circle, are reported.
pub fn likenesses(
    floors: &[Floor],
    doors: &[Door],
    written: &BTreeMap<StationKey, Placed<String>>,
    problems: &mut Problems,
) -> BTreeMap<StationKey, Likeness> {
    let rooms = Rooms::of(floors);
    let mut found = BTreeMap::new();
    for (own, name) in written {
        let Some(named) = rooms.find(name, problems) else { continue };
        let mut refuse = |what: String, instead: &str| {
            problems.push(Problem::error(what, instead).at(&name.place).station(own.to_string()));
        };
        if named.room.id == own.room {
            refuse(format!("`{own}` cannot be matched to its own room"), "name a neighbouring room");
            continue;
        }
        match joined(own, &named.room.id, named.station, doors) {
            Some(to) => _ = found.insert(own.clone(), Likeness { to, place: name.place.clone() }),
            None => refuse(
                format!("no door joins `{own}` and `{}`", name.value),
                "name a room that is seen through a doorway, or add the door",
            ),
        }
    }
    refuse_circles(&mut found, problems);
    found
}

/// The station at the other end of a door between a station's room and another.
fn joined(own: &StationKey, room: &super::Id, station: Option<StationKey>, doors: &[Door]) -> Option<StationKey> {
    let ends = doors.iter().flat_map(|door| {
        let [a, b] = &door.between;
        [(a, b), (b, a)]
    });
    let end =
        ends.filter(|(here, there)| here.room == own.room && there.room == *room).map(|(_, there)| there).next()?;
    Some(station.unwrap_or_else(|| end.clone()))
}

fn refuse_circles(found: &mut BTreeMap<StationKey, Likeness>, problems: &mut Problems) {
    let starts: Vec<StationKey> = found.keys().cloned().collect();
    for start in starts {
        let mut at = &start;
        for _ in 0..found.len() {
            let Some(next) = found.get(at) else { break };
            at = &next.to;
            if *at == start {
                break;
            }
        }
        if *at == start && found.contains_key(&start) {
            let Some(likeness) = found.remove(&start) else { continue };
            let what = format!("the look of `{start}` depends on itself");
            let instead = "delete one `match` of the circle";
            problems.push(Problem::error(what, instead).at(&likeness.place).station(start.to_string()));
        }
    }
}

impl Tour {
    /// Every station in an order in which each comes after the one whose look it takes over.
    pub fn in_order_of_looks(&self) -> Vec<&super::Station> {
        let mut order: Vec<&super::Station> = self.stations().collect();
        let depth = |station: &super::Station| {
            let mut next = station.like.as_ref();
            let mut depth = 0;
            while let Some(like) = next {
                depth += 1;
                next = self.station(&like.to).and_then(|station| station.like.as_ref());
            }
            depth
        };
        order.sort_by_key(|station| depth(station));
        order
    }
}
