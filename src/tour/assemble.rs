//! From what was written to what is known: files found, drawings measured, names resolved.
//!
//! Everything is checked whatever was wrong before, so that one run shows every problem. A tour that was assembled
//! beside errors may hold gaps and must not be used; the caller drops it.

use super::files::Files;
use super::names::{self, id};
use super::{
    Floor, Note, NotePicture, OpeningView, Plan, Repair, Room, Shot, Station, StationKey, Text, Tilt, Tour, Towards,
    doors, drawing, reach, retouch, tone,
};
use crate::description::types::{self, Defaults, Description, NamedTilt};
use crate::description::{Placed, Source, language};
use crate::problem::{Place, Problem, Problems};
use crate::sphere::{Heading, Spot};
use std::collections::BTreeMap;

/// Makes a tour, and adds what is wrong with it. Nothing comes back where there is no room at all.
pub fn tour(source: &Source, written: &Description, problems: &mut Problems) -> Option<Tour> {
    let language = language::usual(&written.language.value);
    let mut assembler = Assembler {
        files: Files::new(&source.folder()),
        language: language.clone(),
        defaults: &written.defaults,
        retouch: Vec::new(),
        likes: BTreeMap::new(),
        problems,
    };
    assembler.retouch = assembler.repairs(&written.defaults.retouch).0;
    let (title, summary) = (assembler.text(&written.title.value), assembler.text(&written.summary.value));
    let mut floors: Vec<Floor> = written.floors.iter().map(|floor| assembler.floor(floor)).collect();
    let Assembler { likes, problems, .. } = assembler;
    refuse_twin_ids(written, problems);
    refuse_twin_folders(&floors, problems);
    warn_of_shared_shots(&floors, problems);
    let opens_in = opening_station(&floors, written.opens_in.as_ref(), problems)?;
    let doors = doors::resolve(&floors, &written.doors, problems);
    let mut likes = tone::likenesses(&floors, &doors, &likes, problems);
    for station in floors.iter_mut().flat_map(|floor| &mut floor.rooms).flat_map(|room| &mut room.stations) {
        station.like = likes.remove(&station.key);
    }
    let tour = Tour {
        folder: source.folder(),
        file: source.file.to_path_buf(),
        title,
        summary,
        language,
        opens_in,
        unaltered: written.unaltered.clone(),
        floors,
        doors,
    };
    // With a door that leads nowhere, what cannot be reached is no news.
    if !problems.has_errors() {
        problems.extend(reach::warnings(&tour));
    }
    Some(tour)
}

struct Assembler<'a> {
    files: Files,
    language: String,
    defaults: &'a Defaults,
    /// Repairs of every picture.
    retouch: Vec<Repair>,
    /// Whose look a station takes over, as written.
    likes: BTreeMap<StationKey, Placed<String>>,
    problems: &'a mut Problems,
}

impl Assembler<'_> {
    fn floor(&mut self, written: &Placed<types::Floor>) -> Floor {
        let floor = &written.value;
        let title = self.text(&floor.title.value);
        let plan = floor.plan.as_ref().and_then(|plan| self.plan(plan));
        // A plan that could not be read is still a plan: what refers to it is not wrong for that.
        let has_plan = floor.plan.is_some();
        let rooms = floor.rooms.iter().map(|room| self.room(room, plan.as_ref(), has_plan)).collect();
        Floor { id: id(&floor.id), title, plan, rooms }
    }

    fn plan(&mut self, written: &Placed<types::Plan>) -> Option<Plan> {
        let types::Plan { drawing, north, scale } = &written.value;
        let path = self.files.find(drawing, self.problems);
        if drawing.value.is_empty() || !path.is_file() {
            return None;
        }
        let extent = match drawing::extent(&path) {
            Ok(extent) => extent,
            Err(problem) => {
                self.problems.push(problem.at(&drawing.place).about(path));
                return None;
            }
        };
        for warning in extent.warnings {
            self.problems.push(warning.at(&drawing.place).about(path.clone()));
        }
        Some(Plan {
            drawing: path,
            place: drawing.place.clone(),
            origin: extent.origin,
            size: extent.size,
            north_deg: *north,
            metres_per_unit: scale
                .as_ref()
                .map(|scale| scale.value.metres / super::plan::distance(scale.value.from, scale.value.to)),
        })
    }

    fn room(&mut self, written: &Placed<types::Room>, plan: Option<&Plan>, has_plan: bool) -> Room {
        let room = &written.value;
        let own = [Placed::new(own_station(room), &written.place)];
        let stations: Vec<Station> = room
            .stations
            .as_deref()
            .unwrap_or(&own)
            .iter()
            .map(|station| self.station_and_its_problems(room, station, plan, has_plan))
            .collect();
        let mut assembled = Room {
            id: id(&room.id),
            title: self.text(&room.title.value),
            stations,
            steps: Vec::new(),
            place: written.place.clone(),
        };
        assembled.steps = doors::steps(&assembled, room.steps.as_deref(), self.problems);
        assembled
    }

    /// A station; what is wrong with it is laid to it by name, so that the preview can show it there.
    fn station_and_its_problems(
        &mut self,
        room: &types::Room,
        written: &Placed<types::Station>,
        plan: Option<&Plan>,
        has_plan: bool,
    ) -> Station {
        let before = std::mem::take(self.problems);
        let station = self.station(room, written, plan, has_plan);
        let own = std::mem::replace(self.problems, before);
        for problem in &own {
            self.problems.push(problem.clone().station(station.key.to_string()));
        }
        station
    }

    fn station(
        &mut self,
        room: &types::Room,
        written: &Placed<types::Station>,
        plan: Option<&Plan>,
        has_plan: bool,
    ) -> Station {
        let station = &written.value;
        let key = StationKey { room: id(&room.id), station: id(&station.id) };
        let shots = self.shots(station.shots.value.files(), &written.place);
        if let Some(like) = station.tone.like.as_ref().or(room.tone.like.as_ref()) {
            self.likes.insert(key.clone(), like.clone());
        }
        if let Some(stands_at) = &station.stands_at {
            self.on_plan("stands-at", stands_at, plan, has_plan);
        }
        let (repairs, deals_with_the_tripod) = self.repairs(&station.retouch);
        Station {
            key,
            shots,
            retouch: retouch::settle(&self.retouch, repairs, deals_with_the_tripod),
            heading: station.heading.map(Heading::wrapping),
            stands_at: station.stands_at.as_ref().map(|pair| pair.value),
            camera_height_m: station.camera_height.unwrap_or(self.defaults.camera_height),
            tilt: tilt(station.tilt.unwrap_or(self.defaults.tilt)),
            tone: tone::settle([&self.defaults.tone, &room.tone, &station.tone]),
            like: None,
            notes: station.notes.iter().map(|note| self.note(note)).collect(),
            opening: station.opening_view.as_ref().and_then(opening),
            quality: station.quality.unwrap_or(self.defaults.quality),
            full_chroma: station.full_colour.unwrap_or(self.defaults.full_colour),
            place: written.place.clone(),
        }
    }

    /// The files of a station; where none could be read, which was reported, the tour's folder stands in for one.
    fn shots(&mut self, files: &[Placed<String>], place: &Place) -> Vec<Shot> {
        let mut shots: Vec<Shot> = Vec::new();
        for file in files {
            let shot = Shot { path: self.files.find(file, self.problems), place: file.place.clone() };
            if shots.iter().any(|other| other.path == shot.path) {
                let what = format!("`{}` stands twice in this list", file.value);
                self.problems.push(Problem::error(what, "delete one of the two").at(&file.place));
            }
            shots.push(shot);
        }
        if shots.is_empty() {
            shots.push(Shot { path: self.files.find(&Placed::default(), self.problems), place: place.clone() });
        }
        shots
    }

    fn on_plan(&mut self, key: &str, at: &Placed<types::Pair>, plan: Option<&Plan>, has_plan: bool) {
        if !has_plan {
            let what = format!("`{key}` is a place on a plan, and this floor has none");
            self.problems.push(Problem::error(what, "give the floor a `plan`, or delete this line").at(&at.place));
        }
        if let Some(warning) = plan.and_then(|plan| outside(key, at, plan)) {
            self.problems.push(warning);
        }
    }

    fn text(&mut self, written: &types::Text) -> Text {
        text(&self.language, written, self.problems)
    }

    fn repairs(&mut self, written: &[Placed<types::Repair>]) -> (Vec<Repair>, bool) {
        let language = &self.language;
        let text = |written: &types::Text, problems: &mut Problems| text(language, written, problems);
        retouch::Assembling { files: &mut self.files, problems: self.problems, text: &text }.repairs(written)
    }

    fn note(&mut self, written: &Placed<types::Note>) -> Note {
        let note = &written.value;
        let picture = note.picture.as_ref().map(|picture| NotePicture {
            path: self.files.find(&picture.file, self.problems),
            alternative: self.text(&picture.alternative),
            place: picture.file.place.clone(),
        });
        let sighting = types::Sighting { spot: note.spot, heading: note.heading, elevation: note.elevation };
        Note {
            // A direction that could not be read was reported; "ahead" stands in for it.
            towards: towards(&sighting, 0.0).unwrap_or(Towards::Heading(Heading::wrapping(0.0), 0.0)),
            title: note.title.as_ref().map(|title| self.text(title)),
            text: self.text(&note.text),
            picture,
            link: note.link.as_ref().map(|link| link.value.clone()),
            place: written.place.clone(),
        }
    }
}

/// A text; one that leaves out the tour's own language is reported.
fn text(language: &str, written: &types::Text, problems: &mut Problems) -> Text {
    let several = match written {
        types::Text::One(text) => return text.clone().into(),
        types::Text::Several(several) => several,
    };
    let by_language = several.iter().map(|(tag, text)| (tag.value.clone(), text.clone())).collect();
    Text::spoken(language, by_language).unwrap_or_else(|| {
        let places = several.keys().map(|tag| &tag.place);
        if let Some(place) = places.min_by_key(|place| (place.line, place.column)) {
            let what = format!("this text is not given in `{language}`, the tour's own language");
            problems.push(Problem::error(what, format!("add `{language}: …`")).at(place));
        }
        Text::default()
    })
}

/// A warning if and only if a place lies outside the drawing.
pub fn outside(key: &str, at: &Placed<types::Pair>, plan: &Plan) -> Option<Problem> {
    let [x, y] = at.value;
    let ([left, top], [width, height]) = (plan.origin, plan.size);
    let inside = (left..=left + width).contains(&x) && (top..=top + height).contains(&y);
    let what = format!("`{key}` [{x}, {y}] lies outside the plan's drawing");
    let instead = format!("write a place between [{left}, {top}] and [{}, {}]", left + width, top + height);
    (!inside).then(|| Problem::warning(what, instead).at(&at.place))
}

/// The one station that a room's own keys describe. It has the room's id.
fn own_station(room: &types::Room) -> types::Station {
    types::Station {
        id: room.id.clone(),
        shots: room.shots.clone().unwrap_or_default(),
        heading: room.heading,
        stands_at: room.stands_at.clone(),
        camera_height: room.camera_height,
        tilt: room.tilt,
        tone: types::Tone::default(),
        quality: room.quality,
        full_colour: room.full_colour,
        opening_view: room.opening_view,
        notes: room.notes.clone(),
        retouch: room.retouch.clone(),
    }
}

fn tilt(written: types::Tilt) -> Tilt {
    match written {
        types::Tilt::Named(NamedTilt::None) => Tilt::None,
        types::Tilt::Named(NamedTilt::FromFile) => Tilt::FromFile,
        types::Tilt::Named(NamedTilt::Auto) => Tilt::Auto,
        types::Tilt::Angles(angles) => Tilt::Given { pitch_deg: angles.pitch, roll_deg: angles.roll },
    }
}

fn opening(written: &types::OpeningView) -> Option<OpeningView> {
    let types::OpeningView { spot, heading, elevation, field_of_view } = *written;
    let towards = towards(&types::Sighting { spot, heading, elevation }, 0.0)?;
    Some(OpeningView { towards, field_of_view_deg: field_of_view })
}

/// A direction as it was written, with the elevation that serves where a heading stands alone.
pub fn towards(written: &types::Sighting, usual_elevation_deg: f64) -> Option<Towards> {
    match (written.spot, written.heading) {
        (Some([longitude, latitude]), _) => Spot::new(longitude, latitude).ok().map(Towards::Spot),
        (None, Some(heading)) => {
            let elevation = written.elevation.unwrap_or(usual_elevation_deg);
            Some(Towards::Heading(Heading::wrapping(heading), elevation))
        }
        (None, None) => None,
    }
}

fn opening_station(floors: &[Floor], written: Option<&Placed<String>>, problems: &mut Problems) -> Option<StationKey> {
    let first = floors.iter().flat_map(|floor| &floor.rooms).flat_map(|room| &room.stations).next()?;
    let named = written.and_then(|name| names::Rooms::of(floors).find(name, problems));
    let of_room = named.and_then(|named| named.station.or_else(|| named.room.stations.first().map(|s| s.key.clone())));
    Some(of_room.unwrap_or_else(|| first.key.clone()))
}

fn refuse_twin_ids(written: &Description, problems: &mut Problems) {
    let rooms = || written.floors.iter().flat_map(|floor| &floor.value.rooms).map(|room| &room.value);
    names::refuse_twins("floor", written.floors.iter().map(|floor| &floor.value.id), problems);
    names::refuse_twins("room", rooms().map(|room| &room.id), problems);
    for room in rooms() {
        let stations = room.stations.as_deref().unwrap_or_default();
        names::refuse_twins("station", stations.iter().map(|station| &station.value.id), problems);
        // `barn` has to mean the room, not one of its stations.
        let namesake = stations.iter().find(|station| stations.len() > 1 && station.value.id == room.id);
        if let Some(station) = namesake.filter(|_| !room.id.value.is_empty()) {
            let what = format!("the station `{}` has the name of its room", room.id.value);
            let id = &station.value.id;
            problems.push(Problem::error(what, "name it for its place in the room, such as `window`").at(&id.place));
        }
    }
}

/// `barn-hearth` may be a room, and the folder of the station `hearth` in the room `barn`.
fn refuse_twin_folders(floors: &[Floor], problems: &mut Problems) {
    let mut taken: BTreeMap<String, &Station> = BTreeMap::new();
    for station in floors.iter().flat_map(|floor| &floor.rooms).flat_map(|room| &room.stations) {
        let twin = taken.insert(station.key.slug(), station).filter(|twin| twin.key != station.key);
        if let Some(twin) = twin {
            let what = format!("`{}` would lie in the same folder as `{}`", station.key, twin.key);
            problems.push(Problem::error(what, "choose another id for one of them").at(&station.place));
        }
    }
}

fn warn_of_shared_shots(floors: &[Floor], problems: &mut Problems) {
    let mut shown: BTreeMap<&std::path::Path, &StationKey> = BTreeMap::new();
    for station in floors.iter().flat_map(|floor| &floor.rooms).flat_map(|room| &room.stations) {
        for shot in station.shots.iter().filter(|shot| shot.path.is_file()) {
            let Some(other) = shown.insert(&shot.path, &station.key).filter(|other| **other != station.key) else {
                continue;
            };
            let what = format!("`{}` shows the same shot as `{other}`", station.key);
            let warning = Problem::warning(what, "name the shot that was taken here").at(&shot.place);
            problems.push(warning.station(station.key.to_string()));
        }
    }
}
