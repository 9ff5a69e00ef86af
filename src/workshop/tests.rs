//! The workshop's own rules, with stages that know no pixels: a "shot" is a line of text.
//!
//! `WIDTH HEADING CONTENT`, with `-` for no heading; `not-a-picture` fails in its headers, `CONTENT` of `truncated` while
//! it is decoded.

use super::looks::Side;
use super::stages::{Fault, FoundTilt, ShotFault, Spheres, Stages};
use super::*;
use crate::darkroom::Recipe;
use crate::darkroom::doorway::{Match, MatchError};
use crate::darkroom::retouch::Doubt;
use crate::picture::{Chroma, YccPicture};
use crate::problem::{Place, Problem, Severity};
use crate::sphere::{Heading, Rotation};
use crate::store::ShotFacts;
use crate::tiles::{Encoding, Layout, Source, StillView, Tile};
use crate::tour::doorway::Doorway;
use crate::tour::sight::{Hotspot, HotspotKind};
use crate::tour::sight::{Pose, View};
use crate::tour::{DiscLook, Floor, Id, Likeness, Repair, RepairKind, Room, Shot, Station, Tilt, Tone, Why};
use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicI64, AtomicUsize, Ordering::SeqCst};
use std::sync::{Condvar, Mutex};
use std::time::Duration;

#[derive(Default)]
struct Fakes {
    headers: AtomicUsize,
    decoded: AtomicUsize,
    cut: AtomicUsize,
    stills: AtomicUsize,
    uprights: AtomicUsize,
    matched: AtomicUsize,
    held: AtomicUsize,
    most_held: AtomicUsize,
    /// How far the clock runs ahead of the real one.
    ahead_ns: AtomicI64,
    /// Cutting waits until so many pictures were given to the decoder.
    cut_waits_for: usize,
    begun: Mutex<usize>,
    has_begun: Condvar,
}

impl Fakes {
    /// An hour after the shots were written.
    fn an_hour_later() -> Self {
        Fakes { ahead_ns: AtomicI64::new(3_600_000_000_000), ..Fakes::default() }
    }

    /// Headers read, pictures decoded, pyramids cut, stills drawn since the last call.
    fn counts(&self) -> [usize; 4] {
        [&self.headers, &self.decoded, &self.cut, &self.stills].map(|count| count.swap(0, SeqCst))
    }
}

fn fault(what: &str) -> Fault {
    Fault { what: what.to_owned(), instead: "copy it from the camera again".to_owned() }
}

impl Stages for Fakes {
    fn now_ns(&self) -> i64 {
        crate::store::now_ns() + self.ahead_ns.load(SeqCst)
    }

    fn read_facts(&self, path: &Path) -> Result<ShotFacts, Fault> {
        self.headers.fetch_add(1, SeqCst);
        let text = fs::read_to_string(path).unwrap();
        let mut words = text.split(' ');
        let sphere_width = words.next().unwrap().parse().map_err(|_| fault("is not a picture"))?;
        let heading = words.next().unwrap().parse().ok();
        let warnings = text.contains("odd").then(|| "has an odd profile".to_owned());
        Ok(ShotFacts {
            sphere_width,
            pose: (heading, 0.0, 0.0),
            warnings: warnings.into_iter().collect(),
            upright: None,
        })
    }

    fn settle(
        &self,
        tour: &Tour,
        poses: &BTreeMap<StationKey, Pose>,
    ) -> Result<(BTreeMap<StationKey, Sights>, Problems), Problems> {
        let sights = |station: &Station| Sights {
            heading: station.heading.or(poses.get(&station.key).and_then(|pose| pose.heading)),
            level: match station.tilt {
                Tilt::Given { pitch_deg, roll_deg } => Rotation::from_tilt(pitch_deg, roll_deg),
                Tilt::Auto => poses
                    .get(&station.key)
                    .map_or(Rotation::IDENTITY, |pose| Rotation::from_tilt(pose.pitch_deg, pose.roll_deg)),
                _ => Rotation::IDENTITY,
            },
            opening: View { heading_deg: 350.0, elevation_deg: 0.0, field_of_view_deg: None },
            hotspots: tour
                .stations()
                .map(|other| Hotspot {
                    heading_deg: 10.0,
                    elevation_deg: 0.0,
                    kind: HotspotKind::Door {
                        to: other.key.clone(),
                        arrive_heading_deg: None,
                        door: 0,
                        doorway: Doorway::seen_from(1.6, None),
                    },
                })
                .collect(),
        };
        Ok((tour.stations().map(|station| (station.key.clone(), sights(station))).collect(), Problems::new()))
    }

    fn matching(
        &self,
        (own, other): (Side<'_>, Side<'_>),
        light: &Recipe,
    ) -> Result<Result<Match, MatchError>, (bool, ShotFault)> {
        self.matched.fetch_add(1, SeqCst);
        if own.shots[0].ends_with(b"truncated") {
            return Err((true, (0, fault("is cut short"))));
        }
        if other.shots[0].ends_with(b"dark") {
            return Ok(Err(MatchError::TooLittle));
        }
        let sum = |side: &Side| {
            side.shots.iter().flatten().map(|&byte| f64::from(byte)).sum::<f64>() + side.door.spot.longitude()
        };
        let exposure_ev =
            sum(&own) - sum(&other) + light.tone.exposure_ev + light.matched.map_or(0.0, |matched| matched.exposure_ev);
        Ok(Ok(Match { exposure_ev, gains: [1.0; 3] }))
    }

    fn upright(&self, bytes: &[u8]) -> Result<Result<FoundTilt, String>, Fault> {
        self.uprights.fetch_add(1, SeqCst);
        match bytes.ends_with(b"truncated") {
            true => Err(fault("is cut short")),
            false if bytes.ends_with(b"leaning") => Ok(Ok(FoundTilt { tilt: (0.5, 1.0 / 3.0), error_deg: 0.041 })),
            false if bytes.ends_with(b"upright") => Ok(Ok(FoundTilt { tilt: (0.0, 0.0), error_deg: 0.05 })),
            false => Ok(Err("it shows fog".to_owned())),
        }
    }

    /// A picture without alterations lacks the recipe, and so differs.
    fn develop(&self, files: Vec<Vec<u8>>, shots: usize, recipe: &Recipe, _: Chroma) -> Result<Spheres, ShotFault> {
        self.decoded.fetch_add(1, SeqCst);
        let mut bytes = files.concat();
        let unaltered = recipe.retouch.iter().any(|repair| !repair.is_private).then(|| files[..shots].concat());
        if !recipe.is_plain() {
            bytes.extend(format!("{recipe:?}").bytes());
        }
        let is_whole = !bytes.ends_with(b"truncated");
        if is_whole {
            self.most_held.fetch_max(self.held.fetch_add(1, SeqCst) + 1, SeqCst);
        }
        *self.begun.lock().unwrap() += 1;
        self.has_begun.notify_all();
        if !is_whole {
            return Err((0, fault("is cut short")));
        }
        let sphere = |y: Vec<u8>| {
            Source::new(YccPicture { width: y.len(), height: 1, chroma: Chroma::Full, cb: y.clone(), cr: y.clone(), y })
        };
        let doubts =
            recipe.retouch.iter().enumerate().map(|(repair, _)| Doubt { repair, what: "it is dark".to_owned() });
        Ok(Spheres { picture: sphere(bytes), unaltered: unaltered.map(sphere), doubts: doubts.collect() })
    }

    fn cut(&self, source: &Source, level: Rotation, layout: &Layout, encoding: Encoding) -> Vec<Tile> {
        let begun = self.begun.lock().unwrap();
        let (_begun, waited) = self
            .has_begun
            .wait_timeout_while(begun, Duration::from_secs(60), |begun| *begun < self.cut_waits_for)
            .unwrap();
        assert!(!waited.timed_out(), "the next picture is not decoded while this one is cut");
        self.cut.fetch_add(1, SeqCst);
        let jpeg = format!("{source:?} {level:?} {encoding:?}").into_bytes();
        layout.tiles().map(|id| Tile { id, jpeg: jpeg.clone() }).collect()
    }

    fn first_light(&self, source: &Source, _: Rotation) -> Vec<u8> {
        format!("{source:?}").into_bytes()
    }

    fn still(&self, source: &Source, _: Rotation, view: StillView) -> Vec<u8> {
        self.stills.fetch_add(1, SeqCst);
        // Stills of alterations are square; the picture itself is done with at its opening view.
        if view.width != view.height {
            self.held.fetch_sub(1, SeqCst);
        }
        format!("{source:?} {view:?}").into_bytes()
    }
}

/// A tour of one-station rooms in a folder of its own.
struct House {
    folder: tempfile::TempDir,
    tour: Tour,
    fakes: Fakes,
    told: Mutex<Vec<Progress>>,
}

fn key(room: &str) -> StationKey {
    StationKey { room: Id(room.to_owned()), station: Id(room.to_owned()) }
}

fn place(line: u32) -> Place {
    Place { file: Path::new("tour.yaml").into(), line, column: 12, length: 14 }
}

fn room(folder: &Path, name: &str, line: u32) -> Room {
    let station = Station {
        key: key(name),
        shots: vec![Shot { path: folder.join(format!("shots/{name}.jpg")), place: place(line) }],
        heading: None,
        stands_at: None,
        camera_height_m: 1.6,
        tilt: Tilt::None,
        tone: Tone::default(),
        like: None,
        retouch: Vec::new(),
        notes: Vec::new(),
        opening: None,
        quality: 85,
        full_chroma: false,
        place: place(line),
    };
    let id = Id(name.to_owned());
    Room { id, title: name.into(), stations: vec![station], steps: Vec::new(), place: place(line) }
}

impl House {
    fn new(rooms: &[&str]) -> House {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("shots")).unwrap();
        for name in rooms {
            fs::write(folder.path().join(format!("shots/{name}.jpg")), format!("64 30 {name}")).unwrap();
        }
        let numbered = rooms.iter().zip(1..).map(|(name, line)| room(folder.path(), name, line));
        let floor = Floor { id: Id("ground".to_owned()), title: "".into(), plan: None, rooms: numbered.collect() };
        let tour = Tour {
            folder: folder.path().to_owned(),
            file: folder.path().join("tour.yaml"),
            title: "Larkmere Mill".into(),
            summary: "".into(),
            language: "en".to_owned(),
            opens_in: key(rooms[0]),
            unaltered: Default::default(),
            floors: vec![floor],
            doors: Vec::new(),
        };
        House { folder, tour, fakes: Fakes::an_hour_later(), told: Mutex::default() }
    }

    fn station(&mut self, index: usize) -> &mut Station {
        &mut self.tour.floors[0].rooms[index].stations[0]
    }

    fn write_shot(&self, room: &str, text: &str) {
        fs::write(self.folder.path().join(format!("shots/{room}.jpg")), text).unwrap();
    }

    fn make_with(&self, options: Options) -> Result<Made, Problems> {
        super::make_with(&self.fakes, &self.tour, options, &|progress| self.told.lock().unwrap().push(progress))
    }

    fn make(&self) -> Made {
        self.make_with(Options::default()).unwrap()
    }

    /// What was told since the last call.
    fn told(&self) -> Vec<Progress> {
        std::mem::take(&mut self.told.lock().unwrap())
    }

    fn pack_files(&self) -> Vec<std::path::PathBuf> {
        let packs = fs::read_dir(self.folder.path().join(".enfilade/packs")).unwrap();
        packs.map(|entry| entry.unwrap().path()).collect()
    }
}

/// Everything that the site can see of finished stations.
fn content(stations: &BTreeMap<StationKey, StationFiles>) -> Vec<(String, String, Vec<u8>)> {
    let mut all = Vec::new();
    for (key, files) in stations {
        all.push((key.to_string(), files.hash.clone(), files.still.to_vec()));
        for (name, _) in files.pack.entries() {
            all.push((key.to_string(), name.to_owned(), files.pack.read(name).unwrap()));
        }
    }
    all
}

#[test]
fn a_second_run_opens_no_shot_and_gives_the_same() {
    let house = House::new(&["hall", "kitchen", "loft"]);
    let first = house.make();
    assert_eq!(house.fakes.counts(), [3, 3, 3, 3]);
    assert_eq!(first.cut, 3);
    let cut = |name| Progress::Cut(key(name));
    assert_eq!(house.told(), [Progress::Planned { to_cut: 3, stations: 3 }, cut("hall"), cut("kitchen"), cut("loft")]);
    let names: Vec<_> = first.stations[&key("hall")].pack.entries().map(|(name, _)| name.to_owned()).collect();
    assert!(names.contains(&"first-light.jpg".to_owned()), "{names:?}");
    assert!(names.contains(&"16/px-r0-c0.jpg".to_owned()), "{names:?}");

    let second = house.make();
    assert_eq!(house.fakes.counts(), [0, 0, 0, 0]);
    assert_eq!(second.cut, 0);
    assert_eq!(house.told(), [Progress::Planned { to_cut: 0, stations: 3 }]);
    assert_eq!(content(&first.stations), content(&second.stations));
    assert_eq!(first.sights, second.sights);
    assert!(second.warnings.is_empty());
}

#[test]
fn a_new_title_cuts_nothing_and_one_changed_shot_cuts_one_station() {
    let mut house = House::new(&["hall", "kitchen", "loft"]);
    let first = house.make();
    house.fakes.counts();
    house.tour.title = "Larkmere Mill, restored".into();
    house.make();
    assert_eq!(house.fakes.counts(), [0, 0, 0, 0]);

    house.told();
    house.write_shot("kitchen", "64 30 repainted");
    let second = house.make();
    assert_eq!(house.fakes.counts(), [1, 1, 1, 1]);
    assert_eq!(house.told(), [Progress::Planned { to_cut: 1, stations: 3 }, Progress::Cut(key("kitchen"))]);
    for room in ["hall", "loft"] {
        assert_eq!(first.stations[&key(room)].hash, second.stations[&key(room)].hash);
    }
    assert_ne!(first.stations[&key("kitchen")].hash, second.stations[&key("kitchen")].hash);
}

#[test]
fn a_touched_shot_is_read_again_but_not_cut() {
    let house = House::new(&["hall", "kitchen"]);
    house.make();
    house.fakes.counts();
    house.told();
    house.write_shot("hall", "64 30 hall");
    house.make();
    assert_eq!(house.fakes.counts(), [1, 0, 0, 0]);
    assert_eq!(house.told(), [Progress::Planned { to_cut: 1, stations: 2 }, Progress::Kept(key("hall"))]);
    house.make();
    assert_eq!(house.fakes.counts(), [0, 0, 0, 0]);
}

/// A shot changed within two seconds of a run may keep its times; only reading tells.
#[test]
fn shots_written_just_before_a_run_are_read_by_the_next() {
    let house = House::new(&["hall"]);
    house.fakes.ahead_ns.store(0, SeqCst);
    house.make();
    house.make();
    assert_eq!(house.fakes.counts(), [2, 1, 1, 1]);
}

#[test]
fn what_changes_the_pixels_cuts_and_what_does_not_cuts_nothing() {
    let mut house = House::new(&["hall"]);
    house.make();
    house.fakes.counts();
    // A heading turns the opening view, hence the still, but no tile.
    house.station(0).heading = Some(Heading::wrapping(100.0));
    house.told();
    assert_eq!(house.make().cut, 0);
    assert_eq!(house.fakes.counts(), [0, 1, 0, 1]);
    assert_eq!(house.told()[1..], [Progress::StillDrawn(key("hall"))]);

    house.station(0).tilt = Tilt::Given { pitch_deg: 0.5, roll_deg: 0.0 };
    house.make();
    assert_eq!(house.fakes.counts(), [0, 1, 1, 1]);
    house.station(0).full_chroma = true;
    house.make();
    assert_eq!(house.fakes.counts(), [0, 1, 1, 1]);
    // A still is encoded in its own way.
    house.station(0).quality = 95;
    house.make();
    house.make_with(Options { small: true, verify: false }).unwrap();
    assert_eq!(house.fakes.counts()[1..], [2, 2, 0]);

    // All of it is still in the store.
    house.make();
    house.station(0).tilt = Tilt::None;
    house.station(0).full_chroma = false;
    house.station(0).quality = 85;
    house.station(0).heading = None;
    house.make();
    assert_eq!(house.fakes.counts(), [0, 0, 0, 0]);
}

#[test]
fn a_damaged_pack_is_cut_again() {
    let house = House::new(&["hall", "kitchen"]);
    let first = house.make();
    house.fakes.counts();
    for path in house.pack_files() {
        let whole = fs::read(&path).unwrap();
        fs::write(&path, &whole[..whole.len() - 1]).unwrap();
    }
    let second = house.make();
    assert_eq!(house.fakes.counts(), [0, 2, 2, 2]);
    assert_eq!(content(&first.stations), content(&second.stations));
}

#[test]
fn verify_finds_a_damaged_file_and_a_changed_shot() {
    let house = House::new(&["hall", "kitchen"]);
    let first = content(&house.make().stations);
    for path in house.pack_files() {
        let mut bytes = fs::read(&path).unwrap();
        bytes[8] ^= 1;
        fs::write(&path, &bytes).unwrap();
    }
    house.fakes.counts();
    let verify = Options { small: false, verify: true };
    let second = house.make_with(verify).unwrap();
    assert_eq!(house.fakes.counts(), [2, 2, 2, 2]);
    assert_eq!(first, content(&second.stations));
    assert_eq!(house.make_with(verify).unwrap().cut, 0);
    assert_eq!(house.fakes.counts(), [2, 0, 0, 0]);
    house.make();
    assert_eq!(house.fakes.counts(), [0, 0, 0, 0], "what a verifying run read is remembered");
}

#[test]
fn all_unusable_shots_are_told_with_their_places() {
    let house = House::new(&["hall", "kitchen", "loft", "barn"]);
    house.write_shot("hall", "not-a-picture");
    fs::remove_file(house.folder.path().join("shots/loft.jpg")).unwrap();
    let problems = house.make_with(Options::default()).unwrap_err();
    assert_eq!(house.fakes.counts()[1..], [0, 0, 0], "nothing is cut in vain");
    let told: Vec<_> = problems.iter().map(|problem| problem.what.as_str()).collect();
    assert_eq!(told[0], "the shot `shots/hall.jpg` is not a picture");
    assert!(told[1].starts_with("the shot `shots/loft.jpg` cannot be read: "), "{told:?}");
    assert_eq!(told.len(), 2);
    let first = problems.iter().next().unwrap();
    assert_eq!(first.severity, Severity::Error);
    assert_eq!(first.instead, "copy it from the camera again");
    assert_eq!(first.place, Some(place(1)));
    assert_eq!(first.station.as_deref(), Some("hall"));
    assert_eq!(first.about.as_deref(), Some(house.folder.path().join("shots/hall.jpg").as_path()));
}

#[test]
fn damaged_pixels_are_told_together_and_the_rest_is_finished() {
    let house = House::new(&["hall", "kitchen", "loft", "barn"]);
    house.write_shot("hall", "64 30 truncated");
    house.write_shot("loft", "64 30 truncated");
    let problems = house.make_with(Options::default()).unwrap_err();
    let stations: Vec<_> = problems.iter().map(|problem| problem.station.as_deref().unwrap()).collect();
    assert_eq!(stations, ["hall", "loft"]);
    assert_eq!(problems.iter().next().unwrap().what, "the shot `shots/hall.jpg` is cut short");
    house.write_shot("hall", "64 30 hall");
    house.write_shot("loft", "64 30 loft");
    house.fakes.counts();
    assert_eq!(house.make().cut, 2);
    assert_eq!(house.fakes.counts(), [2, 2, 2, 2]);
}

#[test]
fn a_shot_that_changes_after_it_was_looked_at_is_not_used() {
    let house = House::new(&["hall", "kitchen"]);
    let mut plan = Plan::with_stages(&house.fakes, &house.tour, Options::default()).unwrap();
    house.write_shot("hall", "64 30 half of a new ver");
    let problems = plan.run(&[key("hall"), key("kitchen")], &|_| {}).unwrap_err();
    let told: Vec<_> = problems.iter().map(|problem| problem.what.as_str()).collect();
    assert_eq!(told, ["the shot `shots/hall.jpg` changed while it was being read"]);
    assert_eq!(house.make().cut, 1);
}

#[test]
fn any_stations_in_any_order_give_the_same() {
    let rooms = ["hall", "kitchen", "loft"];
    let house = House::new(&rooms);
    let whole = content(&house.make().stations);
    let other = House::new(&rooms);
    let mut plan = Plan::with_stages(&other.fakes, &other.tour, Options::default()).unwrap();
    let mut stations = plan.run(&[key("loft"), key("hall")], &|_| {}).unwrap().stations;
    assert_eq!(stations.len(), 2);
    stations.extend(plan.run(&[key("kitchen"), key("hall")], &|_| {}).unwrap().stations);
    assert_eq!(content(&stations), whole);
    assert_eq!(other.fakes.counts(), [3, 3, 3, 3]);
    other.make();
    assert_eq!(other.fakes.counts(), [0, 0, 0, 0], "both runs are remembered");
}

#[test]
fn the_next_picture_is_decoded_under_the_cutting_and_no_third_is_held() {
    let mut house = House::new(&["a", "b", "c", "d", "e", "f"]);
    house.fakes.cut_waits_for = 2;
    house.make();
    assert_eq!(house.fakes.most_held.load(SeqCst), 2);
    assert_eq!(house.fakes.held.load(SeqCst), 0);
}

#[test]
fn a_tour_that_moved_is_not_read_again() {
    let mut house = House::new(&["hall"]);
    house.make();
    house.fakes.counts();
    let roundabout = house.folder.path().join("shots/..");
    house.tour.floors[0].rooms = vec![room(&roundabout, "hall", 1)];
    house.tour.folder = roundabout;
    house.make();
    assert_eq!(house.fakes.counts(), [0, 0, 0, 0]);
}

#[test]
fn a_store_that_cannot_be_used_stops_the_run_with_a_remedy() {
    let house = House::new(&["hall"]);
    fs::write(house.folder.path().join(".enfilade"), "").unwrap();
    let problems = house.make_with(Options::default()).unwrap_err();
    let problem = problems.iter().next().unwrap();
    assert!(problem.what.starts_with("the store "), "{}", problem.what);
    assert!(problem.instead.contains("can be deleted at any time"), "{}", problem.instead);
}

#[test]
fn a_store_that_fills_up_ends_the_run_without_a_hang() {
    let house = House::new(&["a", "b", "c", "d"]);
    let mut plan = Plan::with_stages(&house.fakes, &house.tour, Options::default()).unwrap();
    let packs = house.folder.path().join(".enfilade/packs");
    fs::remove_dir(&packs).unwrap();
    fs::write(packs, "no folder").unwrap();
    let all = ["a", "b", "c", "d"].map(key);
    let problems = plan.run(&all, &|_| {}).unwrap_err();
    assert_eq!(problems.iter().count(), 1, "told once, not for every station");
}

#[test]
fn a_store_deleted_under_a_run_is_made_again() {
    let house = House::new(&["hall"]);
    let mut plan = Plan::with_stages(&house.fakes, &house.tour, Options::default()).unwrap();
    fs::remove_dir_all(house.folder.path().join(".enfilade")).unwrap();
    assert_eq!(plan.run(&[key("hall")], &|_| {}).unwrap().cut, 1);
    house.make();
    house.make();
    assert_eq!(house.fakes.counts()[1..], [1, 1, 1]);
}

/// A run that opens no picture warns of the same as the one that did, and knows the same headings.
#[test]
fn what_headers_say_is_remembered() {
    let house = House::new(&["hall", "kitchen"]);
    house.write_shot("kitchen", "64 271.3 odd");
    let first = house.make();
    house.fakes.counts();
    let second = house.make();
    assert_eq!(house.fakes.counts(), [0, 0, 0, 0]);
    assert_eq!(second.sights[&key("kitchen")].heading, Some(Heading::wrapping(271.3)));
    assert_eq!(second.sights, first.sights);
    let expected = Problem::warning("the shot `shots/kitchen.jpg` has an odd profile", "")
        .at(&place(2))
        .about(house.folder.path().join("shots/kitchen.jpg"))
        .station("kitchen");
    assert_eq!(first.warnings, expected.clone().into());
    assert_eq!(second.warnings, expected.into());
}

/// A tilt that the picture tells is found once, and counts like one that was written.
#[test]
fn a_tilt_is_found_once_and_remembered() {
    let mut house = House::new(&["hall", "kitchen", "loft"]);
    house.write_shot("hall", "64 30 leaning");
    house.station(0).tilt = Tilt::Auto;
    house.station(1).tilt = Tilt::Auto;
    let first = house.make();
    assert_eq!(house.fakes.uprights.swap(0, SeqCst), 2);
    assert_eq!(first.sights[&key("hall")].level, Rotation::from_tilt(0.5, 1.0 / 3.0));
    let warnings: Vec<_> = first.warnings.iter().map(|warning| &*warning.what).collect();
    assert_eq!(warnings, ["nothing tells how the camera of `kitchen` leaned: it shows fog"]);

    let second = house.make();
    assert_eq!(house.fakes.uprights.swap(0, SeqCst), 0);
    assert_eq!(second.cut, 0);
    assert_eq!(first.sights, second.sights);
    house.station(0).tilt = Tilt::Given { pitch_deg: 0.5, roll_deg: 1.0 / 3.0 };
    assert_eq!(house.make().cut, 0, "the same tilt by another way");
    house.write_shot("hall", "64 30 upright");
    house.station(0).tilt = Tilt::Auto;
    assert_eq!(house.make().sights[&key("hall")].level, Rotation::IDENTITY);
    assert_eq!(house.fakes.uprights.swap(0, SeqCst), 1);
}

#[test]
fn a_shot_whose_tilt_cannot_be_looked_for_is_named() {
    let mut house = House::new(&["hall", "kitchen"]);
    house.write_shot("kitchen", "64 30 truncated");
    house.station(1).tilt = Tilt::Auto;
    let problems = house.make_with(Options::default()).unwrap_err();
    let said: Vec<_> = problems.iter().map(|problem| &*problem.what).collect();
    assert_eq!(said, ["the shot `shots/kitchen.jpg` is cut short"]);
}

/// A bracket is one picture: any of its shots changes it, and each is remembered.
#[test]
fn a_bracket_is_read_whole_and_remembered_shot_by_shot() {
    let mut house = House::new(&["hall", "kitchen"]);
    for name in ["dark", "bright"] {
        house.write_shot(name, &format!("64 30 {name}"));
        let path = house.folder.path().join(format!("shots/{name}.jpg"));
        house.station(0).shots.push(Shot { path, place: place(9) });
    }
    let first = house.make();
    assert_eq!(house.fakes.counts(), [4, 2, 2, 2]);
    assert_eq!(house.make().cut, 0);
    assert_eq!(house.fakes.counts(), [0, 0, 0, 0]);
    house.write_shot("bright", "64 30 brighter");
    let second = house.make();
    assert_eq!(house.fakes.counts(), [1, 1, 1, 1]);
    assert_ne!(first.stations[&key("hall")].hash, second.stations[&key("hall")].hash);
    house.station(0).shots.swap(0, 1);
    assert_eq!(house.make().cut, 1, "the order counts: the middle one says what the picture is");

    house.write_shot("bright", "not-a-picture");
    let problems = house.make_with(Options::default()).unwrap_err();
    let said: Vec<_> = problems.iter().map(|problem| &*problem.what).collect();
    assert_eq!(said, ["the shot `shots/bright.jpg` is not a picture"]);
}

#[test]
fn another_tone_makes_another_picture() {
    let mut house = House::new(&["hall"]);
    let plain = house.make();
    house.station(0).tone.exposure_ev = 0.5;
    let brighter = house.make();
    assert_eq!(brighter.cut, 1);
    assert_ne!(plain.stations[&key("hall")].hash, brighter.stations[&key("hall")].hash);
    house.station(0).tone.exposure_ev = 0.0;
    assert_eq!(house.make().cut, 0);
}

/// Three rooms in a row: the loft takes the kitchen's look over, and the kitchen the hall's.
fn row_of_looks() -> House {
    let mut house = House::new(&["hall", "kitchen", "loft"]);
    for (index, to) in [(1, "hall"), (2, "kitchen")] {
        house.station(index).like = Some(Likeness { to: key(to), place: place(20 + index as u32) });
    }
    house
}

#[test]
fn a_look_is_taken_over_once_and_follows_the_picture_it_is_taken_from() {
    let mut house = row_of_looks();
    let first = house.make();
    assert_eq!(house.fakes.matched.swap(0, SeqCst), 2);
    assert_eq!(house.make().cut, 0);
    assert_eq!(house.fakes.matched.swap(0, SeqCst), 0, "both are in the store");
    // A brighter hall makes the kitchen brighter, and that the loft.
    house.station(0).tone.exposure_ev = 0.5;
    let second = house.make();
    assert_eq!((second.cut, house.fakes.matched.swap(0, SeqCst)), (3, 2));
    // What is no matter of light stays with its own room.
    house.station(0).tone.saturation = 0.5;
    assert_eq!((house.make().cut, house.fakes.matched.swap(0, SeqCst)), (1, 0));
    for room in ["hall", "kitchen", "loft"] {
        assert_ne!(first.stations[&key(room)].hash, second.stations[&key(room)].hash, "{room}");
    }
}

#[test]
fn a_look_that_cannot_be_taken_over_is_a_warning() {
    let house = row_of_looks();
    house.write_shot("hall", "64 30 dark");
    let made = house.make();
    let warnings: Vec<_> =
        made.warnings.iter().map(|warning| (&*warning.what, warning.place.as_ref().unwrap().line)).collect();
    assert_eq!(
        warnings,
        [(
            "`kitchen` cannot be matched to `hall`: too little can be seen through the door between the two rooms, from \
             either side",
            21
        )]
    );
    house.write_shot("kitchen", "64 30 truncated");
    house.write_shot("hall", "64 30 hall");
    let problems = house.make_with(Options::default()).unwrap_err();
    assert_eq!(problems.iter().next().unwrap().what, "the shot `shots/kitchen.jpg` is cut short");
}

/// A disc on the floor with a picture of its own, beside the shots.
fn disc(house: &House, line: u32) -> Repair {
    let path = house.folder.path().join("shots/logo.png");
    fs::write(&path, "a logo").unwrap();
    let look = DiscLook::Picture(Shot { path, place: place(line) });
    Repair { kind: RepairKind::Disc { radius_deg: 12.0, look }, why: Why::Equipment, name: None, place: place(line) }
}

#[test]
fn of_an_unaltered_picture_only_what_differs_is_kept() {
    let mut house = House::new(&["hall", "kitchen"]);
    let disc = disc(&house, 30);
    house.station(0).retouch = vec![disc];
    let made = house.make();
    assert_eq!(house.fakes.counts(), [2, 2, 3, 3], "the hall's two spheres and the kitchen's one");
    let names = |room: &str| -> Vec<String> {
        made.stations[&key(room)].pack.entries().map(|(name, _)| name.to_owned()).collect()
    };
    let unaltered: Vec<String> = names("hall").into_iter().filter(|name| name.starts_with("unaltered/")).collect();
    assert!(unaltered.contains(&"unaltered/first-light.jpg".to_owned()), "{unaltered:?}");
    assert!(names("kitchen").iter().all(|name| !name.starts_with("unaltered/")));
    assert_eq!(made.stations[&key("hall")].unaltered_stills.len(), 1);
    let again = house.make();
    assert_eq!(house.fakes.counts(), [0; 4]);
    assert_eq!(content(&made.stations), content(&again.stations));
    assert_eq!(again.stations[&key("hall")].unaltered_stills, made.stations[&key("hall")].unaltered_stills);

    // Privacy alone owes nobody anything.
    house.station(0).retouch[0].why = Why::Privacy;
    let private = house.make();
    assert!(private.stations[&key("hall")].pack.entries().all(|(name, _)| !name.starts_with("unaltered/")));
    assert!(private.stations[&key("hall")].unaltered_stills.is_empty());
}

#[test]
fn a_repairs_own_file_counts_like_a_shot() {
    let mut house = House::new(&["hall", "kitchen"]);
    let disc = disc(&house, 30);
    let logo = house.folder.path().join("shots/logo.png");
    house.station(0).retouch = vec![disc];
    let first = house.make();
    house.fakes.counts();
    fs::write(&logo, "another logo").unwrap();
    let second = house.make();
    assert_eq!((second.cut, house.fakes.counts()[0]), (1, 0), "it is no shot, so nobody asks for its headers");
    assert_ne!(first.stations[&key("hall")].hash, second.stations[&key("hall")].hash);
    assert_eq!(house.make().cut, 0);
    assert_eq!(house.fakes.counts()[1], 0, "it is remembered like a shot");

    fs::remove_file(&logo).unwrap();
    let problems = house.make_with(Options::default()).unwrap_err();
    let problem = problems.iter().next().unwrap();
    assert!(problem.what.starts_with("the file `shots/logo.png` cannot be read"), "{}", problem.what);
    assert_eq!(problem.place.as_ref().unwrap().line, 30);
}

#[test]
fn what_the_darkroom_doubts_is_said_every_time() {
    let mut house = House::new(&["hall"]);
    let disc = disc(&house, 30);
    house.station(0).retouch = vec![disc];
    let first = house.make();
    let said: Vec<_> =
        first.warnings.iter().map(|warning| (&*warning.what, warning.place.as_ref().unwrap().line)).collect();
    assert_eq!(said, [("in `hall`, it is dark", 30)]);
    let again = house.make();
    assert_eq!(again.cut, 0);
    assert_eq!(again.warnings, first.warnings);
}
