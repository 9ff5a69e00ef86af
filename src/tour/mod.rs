//! What is known: a checked tour. Knows no pixels.
//!
//! A [`Tour`] guarantees:
//! - every shot, plan drawing and note picture exists, is a file, and lies where the description says;
//! - every id is unique (ignoring case) in its kind, and safe as a folder name on Linux, macOS and Windows and
//!   in an address: lower-case letters, digits and single hyphens, no reserved device name;
//! - every door and step leads from one known station to another;
//! - every text that is given in several languages is given in the tour's own;
//! - every angle, length and quality is in its range; every place on a plan belongs to a floor with a plan;
//! - there is at least one room, every room has at least one station, every station at least one shot, none of
//!   them twice, and the opening room is one of them;
//! - whose look a station takes over is joined to it by a door, and no looks go round in a circle.
//!
//! What needs the pictures' own metadata (a pose heading) is settled one step later, in [`sight`].

mod assemble;
mod doors;
pub mod doorway;
mod drawing;
mod files;
mod headings;
mod names;
pub mod plan;
mod reach;
pub mod retouch;
pub mod sight;
mod text;
mod tone;
mod ways;

pub use reach::nearest_first;
pub use retouch::{DiscLook, Repair, RepairKind, Unaltered, Why};
pub use text::Text;
pub use tone::{Likeness, Tone, WhiteBalance};

use crate::description::{self, Placed, Source};
use crate::problem::{Place, Problems};
use crate::sphere::{Heading, Spot};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Reads and checks a description. `path` is a folder with a `tour.yaml`, or that file. The second value holds
/// warnings.
///
/// # Errors
/// All problems at once, warnings among them, sorted by place.
pub fn read_tour(path: &Path) -> Result<(Tour, Problems), Problems> {
    let source = Source::open(path)?;
    let (written, mut problems) = description::read(&source);
    let tour = written.and_then(|written| assemble::tour(&source, &written, &mut problems));
    match tour {
        Some(tour) if !problems.has_errors() => Ok((tour, problems.sorted())),
        _ => Err(problems.sorted()),
    }
}

/// A name that is safe as a folder and in an address.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(pub(crate) String);

impl Id {
    /// As written.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for Id {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// Which station: its room and its own id. A one-station room's station has the room's id.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StationKey {
    /// The room.
    pub room: Id,
    /// The station in it.
    pub station: Id,
}

impl StationKey {
    /// For a folder name: `hall`, or `barn-hearth` for a room with several stations.
    pub fn slug(&self) -> String {
        if self.room == self.station { self.room.to_string() } else { format!("{}-{}", self.room, self.station) }
    }
}

/// As `--room` takes it: `hall`, or `barn/hearth`.
impl std::fmt::Display for StationKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.room == self.station { self.room.fmt(f) } else { write!(f, "{}/{}", self.room, self.station) }
    }
}

/// A checked tour.
#[derive(Clone, Debug, PartialEq)]
pub struct Tour {
    /// The folder that holds `tour.yaml`; every path below is joined to it.
    pub folder: PathBuf,
    /// The description itself.
    pub file: PathBuf,
    /// Shown as the page's title.
    pub title: Text,
    /// One or two sentences for search engines and share cards; may be empty.
    pub summary: Text,
    /// BCP 47 tag in its usual spelling, `en` by default.
    pub language: String,
    /// Where the visitor begins.
    pub opens_in: StationKey,
    /// How visitors see altered pictures as they were.
    pub unaltered: Placed<Unaltered>,
    /// In the order written.
    pub floors: Vec<Floor>,
    /// In the order written.
    pub doors: Vec<Door>,
}

/// Rooms on one storey.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Floor {
    pub id: Id,
    pub title: Text,
    pub plan: Option<Plan>,
    /// In the order written.
    pub rooms: Vec<Room>,
}

/// A drawing of a floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// SVG, PNG or JPEG.
    pub drawing: PathBuf,
    /// Where the description names it.
    pub place: Place,
    /// Left and top of the drawing in its own units: viewBox for SVG, 0 and 0 for pictures.
    pub origin: [f64; 2],
    /// Width and height in the drawing's own units: viewBox for SVG, pixels after EXIF orientation for pictures.
    pub size: [f64; 2],
    /// North arrow, degrees clockwise from plan-up. `None`: plan-up serves as north and nothing calls it north.
    pub north_deg: Option<f64>,
    /// Metres per unit of the drawing, where a known length was given.
    pub metres_per_unit: Option<f64>,
}

/// A titled place with one station or several.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Room {
    pub id: Id,
    pub title: Text,
    /// In the order written; at least one.
    pub stations: Vec<Station>,
    /// Ways between the stations of this room.
    pub steps: Vec<Step>,
    pub place: Place,
}

/// One place where the tripod stood.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Room and station id.
    pub key: StationKey,
    /// Its shots, in the order written: one, or the exposures of a bracket.
    pub shots: Vec<Shot>,
    /// Where the picture's centre column faces, if the description says so.
    pub heading: Option<Heading>,
    /// Where the tripod stood, in the plan's units.
    pub stands_at: Option<[f64; 2]>,
    /// Lens above the floor.
    pub camera_height_m: f64,
    /// How the camera leaned.
    pub tilt: Tilt,
    /// How light, warm, strong and crisp its picture is to be.
    pub tone: Tone,
    /// Whose look its picture takes over, before `tone`.
    pub like: Option<Likeness>,
    /// What is altered in its picture, in this order.
    pub retouch: Vec<Repair>,
    /// Marks that open a text or a picture.
    pub notes: Vec<Note>,
    /// First view, if the description says so.
    pub opening: Option<OpeningView>,
    /// JPEG quality of its tiles, 1..=100.
    pub quality: u8,
    /// Whether its tiles keep colour at full resolution.
    pub full_chroma: bool,
    /// Where the station begins in the description.
    pub place: Place,
}

impl Station {
    /// The shot that says what the picture is: its size, its pose. Of a bracket, the one in the middle of the list.
    pub fn main_shot(&self) -> &Shot {
        &self.shots[self.shots.len() / 2]
    }

    /// Files that its repairs need, in their order.
    pub fn materials(&self) -> impl Iterator<Item = &Shot> {
        self.retouch.iter().flat_map(Repair::files)
    }

    /// Every file that its picture is made of: its shots, then the materials of its repairs.
    pub fn files(&self) -> impl Iterator<Item = &Shot> {
        self.shots.iter().chain(self.materials())
    }
}

/// One file from the camera, or a picture that a repair needs.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Shot {
    /// Joined to the tour's folder.
    pub path: PathBuf,
    /// Where the description names it.
    pub place: Place,
}

/// How the camera leaned, in degrees, signs as GPano's pose fields: right side low is roll +.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tilt {
    /// Not corrected.
    None,
    /// As written.
    Given {
        /// −90..=90.
        pitch_deg: f64,
        /// −180..=180.
        roll_deg: f64,
    },
    /// As the file's own GPano pose fields say.
    FromFile,
    /// As the picture's own vertical lines say; where they say nothing, not corrected.
    Auto,
}

/// The view that a station opens with, in the level frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpeningView {
    /// Which way.
    pub towards: Towards,
    /// Horizontal field of view in degrees, if said.
    pub field_of_view_deg: Option<f64>,
}

/// A direction as the photographer knew it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Towards {
    /// In the picture's own frame.
    Spot(Spot),
    /// From the plan or a compass: heading, and elevation in degrees.
    Heading(Heading, f64),
}

/// A mark that opens a text or a picture.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Note {
    pub towards: Towards,
    /// A short name for the mark; the text's beginning serves where it is not given.
    pub title: Option<Text>,
    pub text: Text,
    pub picture: Option<NotePicture>,
    /// An address with `https:`, `http:` or `mailto:`.
    pub link: Option<String>,
    pub place: Place,
}

/// A note's picture.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct NotePicture {
    pub path: PathBuf,
    /// Said instead of the picture to who cannot see it.
    pub alternative: Text,
    pub place: Place,
}

/// Where a door or step is seen, as the description says it.
#[derive(Clone, Debug, PartialEq)]
pub struct SeenFrom {
    /// Who sees it.
    pub station: StationKey,
    /// In which direction.
    pub towards: Towards,
    /// Where the station is named in the description.
    pub place: Place,
}

/// A way between two rooms.
#[derive(Clone, Debug, PartialEq)]
pub struct Door {
    /// The two ends. A room named without a station stands for the station nearest to the doorway on the plan,
    /// else its first.
    pub between: [StationKey; 2],
    /// Only from the first to the second.
    pub one_way: bool,
    /// The doorway's middle on the plan, if known: the floor's plan that both rooms stand on.
    pub at: Option<[f64; 2]>,
    /// Where it is seen, as said in the description. May name further stations of the two rooms.
    pub seen_from: Vec<SeenFrom>,
    /// Where the door begins in the description.
    pub place: Place,
}

impl Door {
    /// Where the door leads when it is seen from a station of either room; nothing against a one-way door's direction,
    /// and from any other room.
    pub fn leads_to(&self, from: &StationKey) -> Option<&StationKey> {
        let [first, second] = &self.between;
        if from.room == first.room {
            Some(second)
        } else if from.room == second.room && !self.one_way {
            Some(first)
        } else {
            None
        }
    }
}

/// A way between two stations of one room.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Step {
    pub between: [StationKey; 2],
    pub seen_from: Vec<SeenFrom>,
    /// Where the step (or, if it was not written, the room) begins in the description.
    pub place: Place,
}

impl Tour {
    /// Every station, in the order written.
    pub fn stations(&self) -> impl Iterator<Item = &Station> {
        self.rooms().flat_map(|(_, room)| &room.stations)
    }

    /// Every room with its floor, in the order written.
    pub fn rooms(&self) -> impl Iterator<Item = (&Floor, &Room)> {
        self.floors.iter().flat_map(|floor| floor.rooms.iter().map(move |room| (floor, room)))
    }

    /// The languages that texts are given in: the tour's own, then the others, sorted.
    pub fn languages(&self) -> Vec<&str> {
        let others = self.texts().flat_map(|text| text.by_language().keys()).map(String::as_str);
        let others: BTreeSet<_> = others.filter(|language| *language != self.language).collect();
        std::iter::once(self.language.as_str()).chain(others).collect()
    }

    fn texts(&self) -> impl Iterator<Item = &Text> {
        let notes = self.stations().flat_map(|station| &station.notes);
        let of_notes = notes.flat_map(|note| {
            let picture = note.picture.as_ref().map(|picture| &picture.alternative);
            note.title.iter().chain([&note.text]).chain(picture)
        });
        let of_repairs = self.stations().flat_map(|station| &station.retouch).filter_map(|repair| repair.name.as_ref());
        let titles = self.floors.iter().map(|floor| &floor.title).chain(self.rooms().map(|(_, room)| &room.title));
        [&self.title, &self.summary].into_iter().chain(titles).chain(of_notes).chain(of_repairs)
    }

    /// A station by its key.
    pub fn station(&self, key: &StationKey) -> Option<&Station> {
        self.stations().find(|station| &station.key == key)
    }
}
