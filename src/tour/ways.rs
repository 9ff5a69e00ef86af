//! Every end of every door and step, as one station sees it, and what the plan tells about it.

use super::doorway::Doorway;
use super::plan::{self, bearing_deg, distance};
use super::{Floor, Plan, SeenFrom, Station, StationKey, Tour, Towards};
use crate::problem::Place;
use crate::sphere::Heading;
use std::collections::BTreeMap;

/// Which door or step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// Index into [`Tour::doors`].
    Door(usize),
    /// Index of the room in the order written, and of the step in it.
    Step(usize, usize),
}

/// A door or step as seen from one station.
#[derive(Clone, Debug)]
pub struct End<'t> {
    /// Which one.
    pub way: Way,
    /// Who sees it.
    pub from: &'t Station,
    /// Where it leads.
    pub to: &'t Station,
    /// What the description says about it.
    pub said: Option<Towards>,
    /// The doorway's middle on the plan, if known.
    pub doorway: Option<[f64; 2]>,
    /// False where a one-way door ends: it is no hotspot there, but its sighting still tells a heading.
    pub open: bool,
    /// Where the description says how it is seen; where it does not, the place of the door or step.
    pub place: &'t Place,
}

/// What a plan tells about an end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanSight {
    /// From the station towards the doorway or the other station.
    pub heading: Heading,
    /// Of the mark: in the doorway for a door, at the other station's foot for a step.
    pub elevation_deg: f64,
}

/// Why a plan tells nothing about an end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Untold<'t> {
    /// The two stations lie on different floors.
    OtherFloor,
    /// The floor has no plan.
    NoPlan,
    /// This station's place on the plan is not known.
    NoPlace(&'t StationKey),
    /// Both lie at the same place.
    SamePlace,
}

/// The stations of a tour with their floors, and the ends that they see.
pub struct Ways<'t> {
    floors: BTreeMap<&'t StationKey, (&'t Station, &'t Floor)>,
    /// In the order of hotspots: doors, then steps, as written.
    pub ends: Vec<End<'t>>,
    /// Indices into `ends`.
    by_station: BTreeMap<&'t StationKey, Vec<usize>>,
}

impl<'t> Ways<'t> {
    /// Goes through the whole tour.
    pub fn of(tour: &'t Tour) -> Self {
        let stations = tour.rooms().flat_map(|(floor, room)| room.stations.iter().map(move |s| (&s.key, (s, floor))));
        let mut ways = Ways { floors: stations.collect(), ends: Vec::new(), by_station: BTreeMap::new() };
        for (index, door) in tour.doors.iter().enumerate() {
            let further = door.seen_from.iter().map(|seen| &seen.station).filter(|key| !door.between.contains(key));
            for from in door.between.iter().chain(further) {
                let to = if from.room == door.between[0].room { &door.between[1] } else { &door.between[0] };
                let open = door.leads_to(from).is_some();
                let end = ways.end(Way::Door(index), from, to, &door.seen_from, &door.place);
                ways.ends.extend(end.map(|end| End { doorway: door.at, open, ..end }));
            }
        }
        for (room_index, (_, room)) in tour.rooms().enumerate() {
            for (index, step) in room.steps.iter().enumerate() {
                let [a, b] = &step.between;
                for (from, to) in [(a, b), (b, a)] {
                    let way = Way::Step(room_index, index);
                    let end = ways.end(way, from, to, &step.seen_from, &step.place);
                    ways.ends.extend(end);
                }
            }
        }
        for (index, end) in ways.ends.iter().enumerate() {
            ways.by_station.entry(&end.from.key).or_default().push(index);
        }
        ways
    }

    /// Indices of the ends that a station sees, in their order.
    pub fn seen_from(&self, station: &StationKey) -> &[usize] {
        self.by_station.get(station).map_or(&[], Vec::as_slice)
    }

    fn end(
        &self,
        way: Way,
        from: &StationKey,
        to: &StationKey,
        seen_from: &'t [SeenFrom],
        place: &'t Place,
    ) -> Option<End<'t>> {
        let seen = seen_from.iter().find(|seen| &seen.station == from);
        let (said, place) = (seen.map(|seen| seen.towards), seen.map_or(place, |seen| &seen.place));
        let (from, to) = (self.floors.get(from)?.0, self.floors.get(to)?.0);
        Some(End { way, from, to, said, doorway: None, open: true, place })
    }

    /// The floor of a station.
    pub fn floor(&self, station: &StationKey) -> Option<&'t Floor> {
        self.floors.get(station).map(|(_, floor)| *floor)
    }

    /// Whether both ends lie on the same floor.
    pub fn on_one_floor(&self, end: &End<'t>) -> bool {
        let floor = |key| self.floor(key).map(|floor| &floor.id);
        floor(&end.from.key) == floor(&end.to.key)
    }

    /// The plan that both ends lie on, this station's place on it, and that of the doorway or the other station.
    fn on_plan(&self, end: &End<'t>) -> Result<(&'t Plan, [f64; 2], [f64; 2]), Untold<'t>> {
        if !self.on_one_floor(end) {
            return Err(Untold::OtherFloor);
        }
        let plan = self.floor(&end.from.key).and_then(|floor| floor.plan.as_ref()).ok_or(Untold::NoPlan)?;
        let from = end.from.stands_at.ok_or(Untold::NoPlace(&end.from.key))?;
        let target = end.doorway.or(end.to.stands_at).ok_or(Untold::NoPlace(&end.to.key))?;
        Ok((plan, from, target))
    }

    /// How large the doorway of an end looks, as far as the plan knows how far away it is.
    pub fn doorway(&self, end: &End<'t>) -> Doorway {
        let known = self.on_plan(end).ok();
        let distance_m = known
            .and_then(|(plan, from, target)| Some(to_doorway(end, distance(from, target)) * plan.metres_per_unit?));
        Doorway::seen_from(end.from.camera_height_m, distance_m)
    }

    /// Which way an end lies by the plan, and how high its mark.
    ///
    /// # Errors
    /// What is missing.
    pub fn by_plan(&self, end: &End<'t>) -> Result<PlanSight, Untold<'t>> {
        let (plan, from, target) = self.on_plan(end)?;
        let bearing = bearing_deg(from, target).ok_or(Untold::SamePlace)?;
        Ok(PlanSight {
            heading: plan::heading(bearing, plan.north_deg.unwrap_or(0.0)),
            elevation_deg: mark_elevation(plan, end, distance(from, target)),
        })
    }
}

/// The way to the doorway, where `units` lie between the places that are known. Where only the other station is, the
/// doorway is taken to lie halfway.
fn to_doorway(end: &End<'_>, units: f64) -> f64 {
    if end.doorway.is_some() { units } else { units / 2.0 }
}

/// How high an end's mark stands, `units` away on the plan.
fn mark_elevation(plan: &Plan, end: &End<'_>, units: f64) -> f64 {
    let camera_height = end.from.camera_height_m;
    let elevation = match (end.way, plan.metres_per_unit) {
        (Way::Door(_), None) => plan::DOOR_ELEVATION_WITHOUT_SCALE_DEG,
        (Way::Step(..), None) => plan::STEP_ELEVATION_WITHOUT_SCALE_DEG,
        (Way::Door(_), Some(scale)) => {
            plan::elevation_deg(plan::DOOR_MARK_HEIGHT_M, camera_height, to_doorway(end, units) * scale)
        }
        (Way::Step(..), Some(scale)) => plan::elevation_deg(0.0, camera_height, units * scale),
    };
    elevation.max(plan::LOWEST_MARK_DEG)
}
