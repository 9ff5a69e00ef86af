//! A small house for the tests of this module: two floors, four rooms, one of them with two stations.

use super::viewer::Viewer;
use super::{Bundle, StationFiles};
use crate::problem::Place;
use crate::sphere::{Heading, Rotation};
use crate::tiles::Layout;
use crate::tour::doorway::Doorway;
use crate::tour::sight::{Hotspot, HotspotKind, Sights, View};
use crate::tour::{Floor, Id, Note, NotePicture, Plan, Room, Shot, Station, StationKey, Tilt, Tone, Tour, Towards};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A bundle in memory.
#[derive(Debug)]
pub(super) struct Files(pub BTreeMap<String, Vec<u8>>);

impl Bundle for Files {
    fn entries(&self) -> Box<dyn Iterator<Item = (&str, u64)> + '_> {
        Box::new(self.0.iter().map(|(name, bytes)| (name.as_str(), bytes.len() as u64)))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        self.0.get(name).cloned().ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

/// A tour with all that belongs to it, in a folder of its own.
pub(super) struct House {
    pub tour: Tour,
    pub sights: BTreeMap<StationKey, Sights>,
    pub stations: BTreeMap<StationKey, StationFiles>,
    _folder: tempfile::TempDir,
}

/// The files that a page asks for.
pub(super) fn viewer() -> Viewer {
    let files =
        [("enfilade-walk.js", "import \"./view.js\";\n"), ("view.js", "export {};\n"), ("enfilade.css", "a {}\n")];
    Viewer::of(files.into_iter().map(|(name, text)| (name, text.as_bytes())))
}

fn id(text: &str) -> Id {
    Id(text.to_string())
}

pub(super) fn key(room: &str, station: &str) -> StationKey {
    StationKey { room: id(room), station: id(station) }
}

/// A picture whose bytes differ with `seed`.
pub(super) fn jpeg(width: u32, height: u32, seed: u8) -> Vec<u8> {
    let pixels = image::RgbImage::from_fn(width, height, |x, y| image::Rgb([seed, x as u8, y as u8]));
    let mut jpeg = Vec::new();
    image::codecs::jpeg::JpegEncoder::new(&mut jpeg).encode_image(&pixels).unwrap();
    jpeg
}

impl House {
    pub(super) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let tour = tour(folder.path());
        let mut house = House { tour, sights: BTreeMap::new(), stations: BTreeMap::new(), _folder: folder };
        let keys: Vec<_> = house.tour.stations().map(|station| station.key.clone()).collect();
        for (index, key) in keys.iter().enumerate() {
            house.stations.insert(key.clone(), house.files(index as u8));
            house.sights.insert(key.clone(), sights(key));
        }
        house
    }

    pub(super) fn layout(&self) -> Layout {
        Layout::for_width(2048)
    }

    /// A station's files; another `seed`, other files.
    pub(super) fn files(&self, seed: u8) -> StationFiles {
        let layout = self.layout();
        let tiles = layout.tiles().map(|tile| (layout.file_name(tile), vec![seed; 40 + tile.column as usize]));
        let mut files: BTreeMap<_, _> = tiles.collect();
        files.insert("first-light.jpg".to_string(), vec![seed; 20]);
        let hash = format!("{seed:016x}");
        StationFiles {
            hash,
            layout,
            pack: Arc::new(Files(files)),
            still: jpeg(12, 8, seed).into(),
            unaltered_stills: Vec::new(),
        }
    }
}

fn tour(folder: &Path) -> Tour {
    let place = Place { file: Arc::from(Path::new("tour.yaml")), line: 3, column: 5, length: 4 };
    let drawing = folder.join("ground.svg");
    std::fs::write(
        &drawing,
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 600"><path d="M0 0h9"/></svg>"#,
    )
    .unwrap();
    let hoist = folder.join("hoist.jpg");
    std::fs::write(&hoist, jpeg(10, 6, 99)).unwrap();
    let station = |room: &str, station: &str, notes: Vec<Note>| Station {
        key: key(room, station),
        shots: vec![Shot { path: PathBuf::from("shot.jpg"), place: place.clone() }],
        heading: None,
        stands_at: (room == "hall").then_some([418.0, 260.0]),
        camera_height_m: 1.6,
        tilt: Tilt::None,
        tone: Tone::default(),
        like: None,
        retouch: Vec::new(),
        notes,
        opening: None,
        quality: 85,
        full_chroma: false,
        place: place.clone(),
    };
    let room = |name: &str, title: &str, stations: Vec<Station>| Room {
        id: id(name),
        title: title.into(),
        stations,
        steps: Vec::new(),
        place: place.clone(),
    };
    let towards = Towards::Heading(Heading::wrapping(3.0), 20.0);
    let notes = vec![
        Note {
            towards,
            title: None,
            text: "The hoist dates from 1871.".into(),
            picture: Some(NotePicture { path: hoist, alternative: "The hoist".into(), place: place.clone() }),
            link: None,
            place: place.clone(),
        },
        Note {
            towards,
            title: Some("Stones".into()),
            text: "Two pairs.".into(),
            picture: None,
            link: None,
            place: place.clone(),
        },
    ];
    let plan = Plan {
        drawing,
        place: place.clone(),
        origin: [0.0, 0.0],
        size: [800.0, 600.0],
        north_deg: Some(14.0),
        metres_per_unit: Some(0.02),
    };
    let ground = vec![
        room("hall", "Entrance hall", vec![station("hall", "hall", notes)]),
        room("kitchen", "Kitchen", vec![station("kitchen", "kitchen", Vec::new())]),
        room(
            "barn",
            "Great barn",
            vec![station("barn", "door-end", Vec::new()), station("barn", "hearth", Vec::new())],
        ),
    ];
    let upper = vec![room("loft", "Loft", vec![station("loft", "loft", Vec::new())])];
    Tour {
        folder: folder.to_path_buf(),
        file: folder.join("tour.yaml"),
        title: "Larkmere Mill".into(),
        summary: "A mill by the water.".into(),
        language: "en".to_string(),
        opens_in: key("hall", "hall"),
        unaltered: Default::default(),
        floors: vec![
            Floor { id: id("ground"), title: "Ground floor".into(), plan: Some(plan), rooms: ground },
            Floor { id: id("upper"), title: "Upper floor".into(), plan: None, rooms: upper },
        ],
        doors: Vec::new(),
    }
}

fn sights(key: &StationKey) -> Sights {
    let hotspot = |heading_deg, elevation_deg, kind| Hotspot { heading_deg, elevation_deg, kind };
    let door = |room: &str, station: &str, arrive| HotspotKind::Door {
        to: self::key(room, station),
        arrive_heading_deg: arrive,
        door: 0,
        doorway: Doorway::seen_from(1.5, Some(1.5)),
    };
    let step = |station: &str| HotspotKind::Step { to: self::key("barn", station), arrive_heading_deg: None };
    let (heading, hotspots) = match key.to_string().as_str() {
        "hall" => (
            Some(Heading::wrapping(92.0)),
            vec![
                hotspot(12.0, -3.100_04, door("kitchen", "kitchen", Some(359.999_99))),
                hotspot(200.0, 0.0, door("barn", "hearth", None)),
                hotspot(3.0, 20.0, HotspotKind::Note(0)),
                hotspot(33.333_333, -1e-9, HotspotKind::Note(1)),
            ],
        ),
        "barn/door-end" => (None, vec![hotspot(1.0, -20.0, step("hearth"))]),
        "barn/hearth" => (None, vec![hotspot(181.0, -20.0, step("door-end"))]),
        "kitchen" => (None, vec![hotspot(192.0, -3.0, door("hall", "hall", Some(192.0)))]),
        _ => (None, Vec::new()),
    };
    let field_of_view_deg = (key.room.as_str() == "hall").then_some(90.0);
    let opening = View { heading_deg: heading.map_or(0.0, Heading::degrees), elevation_deg: 0.0, field_of_view_deg };
    Sights { heading, level: Rotation::IDENTITY, opening, hotspots }
}
