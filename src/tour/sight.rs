//! Which way everything lies: headings where they can be known, and every door, step and note as a direction.

use super::doorway::Doorway;
use super::headings::{self, Headings, TOLERANCE_DEG, Teller};
use super::ways::{End, Untold, Way, Ways};
use super::{Station, StationKey, Tilt, Tour, Towards};
use crate::problem::{Problem, Problems};
use crate::sphere::{Heading, Rotation, wrap_degrees};
use std::collections::BTreeMap;

/// What a station's picture says of itself (GPano pose fields), where it says anything.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pose {
    /// Where the centre column faces.
    pub heading: Option<Heading>,
    /// Elevation of the picture's centre, degrees.
    pub pitch_deg: f64,
    /// Right side low is +, degrees.
    pub roll_deg: f64,
}

/// One station, with everything in it as a direction.
#[derive(Clone, Debug, PartialEq)]
pub struct Sights {
    /// Where the level picture's centre column faces. `None`: unknown; headings below then count from the centre column.
    pub heading: Option<Heading>,
    /// From the camera's frame to the level frame: tilt taken out.
    pub level: Rotation,
    /// First view: heading, elevation, field of view if said.
    pub opening: View,
    /// In reading order: doors, steps, then notes, as written.
    pub hotspots: Vec<Hotspot>,
}

/// A view in the tour's headings.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct View {
    pub heading_deg: f64,
    pub elevation_deg: f64,
    pub field_of_view_deg: Option<f64>,
}

/// A direction that can be clicked.
#[derive(Clone, Debug, PartialEq)]
pub struct Hotspot {
    /// 0 ≤ heading < 360; counts from the centre column where the station's heading is unknown.
    pub heading_deg: f64,
    /// −90..=90.
    pub elevation_deg: f64,
    /// What it opens.
    pub kind: HotspotKind,
}

/// What a hotspot opens.
#[derive(Clone, Debug, PartialEq)]
pub enum HotspotKind {
    /// The way into another room.
    Door {
        /// Where it leads.
        to: StationKey,
        /// Which way the visitor looks on arriving there; `None`: the other station's own opening view.
        arrive_heading_deg: Option<f64>,
        /// Index into [`Tour::doors`].
        door: usize,
        /// How large its opening looks from here.
        doorway: Doorway,
    },
    /// The way to another station of this room.
    Step {
        /// Where it leads.
        to: StationKey,
        /// As for a door.
        arrive_heading_deg: Option<f64>,
    },
    /// Index into the station's notes.
    Note(usize),
}

/// Settles every heading and direction. `poses` holds what the pictures say, where they say something.
///
/// - A door lies towards its doorway's middle where that is known, else towards the other station; its mark stands
///   1.0 m above the floor in the doorway. A step's mark lies on the floor at the other station. What is said wins.
/// - Arriving, the visitor keeps looking where they were going: where both headings are known, in the direction of
///   travel; else away from the way back.
/// - A station that says no opening view opens towards its first door or step, level; else at its centre column.
///
/// # Errors
/// Every door or step whose direction nothing tells, with its place; warnings may come with success.
pub fn settle(
    tour: &Tour,
    poses: &BTreeMap<StationKey, Pose>,
) -> Result<(BTreeMap<StationKey, Sights>, Problems), Problems> {
    let ways = Ways::of(tour);
    let levels: BTreeMap<StationKey, Rotation> =
        tour.stations().map(|station| (station.key.clone(), level(station.tilt, poses.get(&station.key)))).collect();
    let mut problems = Problems::new();
    let headings = headings::settle(tour, &ways, poses, &levels, &mut problems);
    let mut survey = Survey { ways, levels, headings, problems };
    let seen = survey.all_ends();
    let sights: BTreeMap<StationKey, Sights> =
        tour.stations().map(|station| (station.key.clone(), survey.station(station, &seen))).collect();
    let problems = survey.problems.sorted();
    if problems.has_errors() { Err(problems) } else { Ok((sights, problems)) }
}

/// What takes a picture's tilt out.
fn level(tilt: Tilt, pose: Option<&Pose>) -> Rotation {
    match (tilt, pose) {
        (Tilt::Given { pitch_deg, roll_deg }, _) => Rotation::from_tilt(pitch_deg, roll_deg),
        (Tilt::FromFile | Tilt::Auto, Some(pose)) => Rotation::from_tilt(pose.pitch_deg, pose.roll_deg),
        (Tilt::FromFile | Tilt::Auto, None) | (Tilt::None, _) => Rotation::IDENTITY,
    }
}

/// A direction in the tour's headings.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Seen {
    heading_deg: f64,
    elevation_deg: f64,
}

struct Survey<'t> {
    ways: Ways<'t>,
    levels: BTreeMap<StationKey, Rotation>,
    headings: Headings,
    problems: Problems,
}

impl<'t> Survey<'t> {
    fn heading(&self, station: &StationKey) -> Option<Heading> {
        self.headings.get(station).map(|(heading, _)| *heading)
    }

    fn level(&self, station: &StationKey) -> Rotation {
        self.levels.get(station).copied().unwrap_or(Rotation::IDENTITY)
    }

    /// A direction that the description says; nothing if it is a heading, and the station's own is unknown.
    fn said(&self, station: &StationKey, towards: Towards) -> Option<Seen> {
        let own = self.heading(station);
        match towards {
            Towards::Spot(spot) => {
                let direction = self.level(station).apply(spot.direction());
                let heading = direction.heading(own.unwrap_or(Heading::wrapping(0.0)));
                Some(Seen { heading_deg: heading.degrees(), elevation_deg: direction.latitude() })
            }
            Towards::Heading(heading, elevation_deg) => {
                own.map(|_| Seen { heading_deg: heading.degrees(), elevation_deg })
            }
        }
    }

    /// Where each end is seen, in the order of [`Ways::ends`]. Open ends that nothing tells are reported.
    fn all_ends(&mut self) -> Vec<Option<Seen>> {
        let ends = self.ways.ends.clone();
        ends.into_iter()
            .map(|end| {
                let seen = self.end(&end).map_err(|problem| {
                    if end.open {
                        self.problems.push(problem.at(end.place).station(end.from.key.to_string()));
                    }
                });
                seen.ok()
            })
            .collect()
    }

    fn end(&mut self, end: &End<'t>) -> Result<Seen, Problem> {
        let station = &end.from.key;
        let by_plan = self.ways.by_plan(end);
        if let Some(towards) = end.said {
            let seen = self.said(station, towards).ok_or_else(|| said_without_heading(&end_name(end), station))?;
            if let Ok(plan) = by_plan {
                self.compare(end, seen, plan.heading);
            }
            return Ok(seen);
        }
        let plan = by_plan.map_err(|untold| nothing_tells(end, untold))?;
        match self.heading(station) {
            Some(_) => Ok(Seen { heading_deg: plan.heading.degrees(), elevation_deg: plan.elevation_deg }),
            None => Err(Problem::error(
                format!("nothing tells where {} is seen: the heading of `{station}` is not known", end_name(end)),
                format!("give `{station}` a `heading`, or {}", say_seen_from(station)),
            )),
        }
    }

    /// What is said wins, but somebody should know where the plan has it otherwise. A heading that was worked out from
    /// sightings was compared with them there.
    fn compare(&mut self, end: &End<'t>, seen: Seen, plan: Heading) {
        let station = &end.from.key;
        let independent = matches!(self.headings.get(station), Some((_, Teller::Description | Teller::Picture)));
        let off = wrap_degrees(seen.heading_deg - plan.degrees()).abs();
        // Close to a pole a heading says little.
        if independent && off > TOLERANCE_DEG && seen.elevation_deg.abs() < 80.0 {
            let what = format!("`seen-from` and the plan differ by {off:.0}° about where {} is seen", end_name(end));
            let instead = format!(
                "correct the sighting, the heading of `{station}`, or the places on the plan; by the plan the heading is {:.0}",
                plan.degrees()
            );
            self.problems.push(Problem::warning(what, instead).at(end.place).station(station.to_string()));
        }
    }

    fn station(&mut self, station: &'t Station, seen: &[Option<Seen>]) -> Sights {
        let ends = self.ways.seen_from(&station.key).iter().map(|&index| (&self.ways.ends[index], seen[index]));
        let mut hotspots: Vec<Hotspot> =
            ends.filter(|(end, _)| end.open).filter_map(|(end, at)| Some(self.way_hotspot(end, at?, seen))).collect();
        let opening = self.opening(station, hotspots.first());
        for (index, note) in station.notes.iter().enumerate() {
            match self.said(&station.key, note.towards) {
                Some(at) => hotspots.push(Hotspot::new(at, HotspotKind::Note(index))),
                None => {
                    let problem = said_without_heading("this note", &station.key);
                    self.problems.push(problem.at(&note.place).station(station.key.to_string()));
                }
            }
        }
        Sights { heading: self.heading(&station.key), level: self.level(&station.key), opening, hotspots }
    }

    fn way_hotspot(&self, end: &End<'t>, at: Seen, seen: &[Option<Seen>]) -> Hotspot {
        let to = end.to.key.clone();
        let arrive_heading_deg = self.arrival(end, at, seen);
        let kind = match end.way {
            Way::Door(door) => HotspotKind::Door { to, arrive_heading_deg, door, doorway: self.ways.doorway(end) },
            Way::Step(..) => HotspotKind::Step { to, arrive_heading_deg },
        };
        Hotspot::new(at, kind)
    }

    /// Which way the visitor looks on arriving: where they were going. On stairs that is the way back behind them: a flight
    /// may turn.
    fn arrival(&self, end: &End<'t>, at: Seen, seen: &[Option<Seen>]) -> Option<f64> {
        let headings_known = self.heading(&end.from.key).is_some() && self.heading(&end.to.key).is_some();
        if headings_known && self.ways.on_one_floor(end) {
            return Some(at.heading_deg);
        }
        let mut from_there = self.ways.seen_from(&end.to.key).iter();
        let back = from_there.find(|&&index| self.ways.ends[index].way == end.way);
        back.and_then(|&index| seen[index]).map(|back| Heading::wrapping(back.heading_deg + 180.0).degrees())
    }

    fn opening(&mut self, station: &Station, first: Option<&Hotspot>) -> View {
        let said = station.opening.map(|opening| (opening, self.said(&station.key, opening.towards)));
        if let Some((_, None)) = said {
            let problem = said_without_heading("the opening view", &station.key);
            self.problems.push(problem.at(&station.place).station(station.key.to_string()));
        }
        let centre = self.heading(&station.key).map_or(0.0, Heading::degrees);
        let level = Seen { heading_deg: first.map_or(centre, |first| first.heading_deg), elevation_deg: 0.0 };
        let at = said.and_then(|(_, seen)| seen).unwrap_or(level);
        let field_of_view_deg = said.and_then(|(opening, _)| opening.field_of_view_deg);
        View { heading_deg: at.heading_deg, elevation_deg: at.elevation_deg, field_of_view_deg }
    }
}

impl Hotspot {
    fn new(at: Seen, kind: HotspotKind) -> Self {
        Hotspot { heading_deg: at.heading_deg, elevation_deg: at.elevation_deg, kind }
    }
}

/// "the door to `kitchen`", "the step to `barn/hearth`".
fn end_name(end: &End<'_>) -> String {
    match end.way {
        Way::Door(_) => format!("the door to `{}` in `{}`", end.to.key, end.from.key),
        Way::Step(..) => format!("the step to `{}` in `{}`", end.to.key, end.from.key),
    }
}

fn say_seen_from(station: &StationKey) -> String {
    format!("write `seen-from: {{ {station}: {{ spot: [longitude, latitude] }} }}`")
}

fn said_without_heading(what: &str, station: &StationKey) -> Problem {
    Problem::error(
        format!("{what} is said by its heading, and the heading of `{station}` is not known"),
        format!("write `spot: [longitude, latitude]` as seen in the picture, or give `{station}` a `heading`"),
    )
}

fn nothing_tells(end: &End<'_>, untold: Untold<'_>) -> Problem {
    let (name, station) = (end_name(end), &end.from.key);
    let say = say_seen_from(station);
    let (why, instead) = match untold {
        Untold::OtherFloor => (format!("`{station}` and `{}` lie on different floors", end.to.key), say),
        Untold::NoPlan => ("the floor has no plan".to_owned(), say),
        Untold::NoPlace(key) => {
            (format!("`{key}` has no place on the plan"), format!("give `{key}` a `stands-at`, or {say}"))
        }
        Untold::SamePlace => {
            ("both ends lie at the same place on the plan".to_owned(), format!("correct the places, or {say}"))
        }
    };
    Problem::error(format!("nothing tells where {name} is seen: {why}"), instead)
}
