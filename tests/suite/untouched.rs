//! No command writes to a source, whatever it is given: every source is hashed and stamped before and after.

use crate::command::TourFolder;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead, BufReader};
use std::process::{Child, Stdio};
use std::time::{Duration, SystemTime};

/// A floor with a plan, a bracket, a deep PNG and a float TIFF, a note with a picture, tone and tilt of every kind.
const YAML: &str = "\
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    plan: { drawing: plans/ground.svg, north: 14 }
    rooms:
      - id: hall
        title: Hall
        shots: [shots/hall-1.jpg, shots/hall-2.jpg]
        stands-at: [20, 20]
        heading: 92
        notes: [{ spot: [-47, 20], text: The hoist dates from 1871., picture: { file: notes/hoist.png, alternative: A hoist } }]
      - { id: barn, title: Barn, shots: shots/barn.png, heading: 180, tilt: auto, tone: { exposure: 0.3 }, stands-at: [60, 20] }
      - { id: loft, title: Loft, shots: shots/loft.tif, tilt: { pitch: 2, roll: -1 } }
doors:
  - { between: [hall, barn], at: [40, 20] }
  - between: [barn, loft]
    seen-from: { barn: { spot: [1, 2] }, loft: { spot: [3, 4] } }
";

const SOURCES: [&str; 8] = [
    "tour.yaml",
    "shots/hall-1.jpg",
    "shots/hall-2.jpg",
    "shots/barn.png",
    "shots/loft.tif",
    "shots/unused.jpg",
    "plans/ground.svg",
    "notes/hoist.png",
];

fn encoded(picture: image::DynamicImage, format: image::ImageFormat) -> Vec<u8> {
    let mut file = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut file, format).unwrap();
    file.into_inner()
}

/// Blocks of many lightnesses, so that shots can be laid on each other.
fn exposure(gain: f32) -> Vec<u8> {
    let picture = image::RgbImage::from_fn(256, 128, |x, y| {
        let block = (x / 11 * 31 + y / 9 * 17 + x / 11 * (y / 9) * 7) % 16;
        image::Rgb([40.0, 36.0, 30.0].map(|value| ((value + 11.0 * block as f32) * gain) as u8))
    });
    encoded(picture.into(), image::ImageFormat::Jpeg)
}

fn mill() -> TourFolder {
    let deep = image::ImageBuffer::from_fn(256, 128, |x, y| image::Rgb([x as u16 * 200, y as u16 * 400, 20_000]));
    let light = image::Rgb32FImage::from_fn(256, 128, |x, y| image::Rgb([x as f32 / 128.0, y as f32 / 128.0, 0.5]));
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 80 40'><rect width='80' height='40'/></svg>";
    TourFolder::new()
        .file("tour.yaml", YAML)
        .file("shots/hall-1.jpg", exposure(0.5))
        .file("shots/hall-2.jpg", exposure(1.0))
        .file("shots/unused.jpg", exposure(0.9))
        .file("shots/barn.png", encoded(image::DynamicImage::ImageRgb16(deep), image::ImageFormat::Png))
        .file("shots/loft.tif", encoded(image::DynamicImage::ImageRgb32F(light), image::ImageFormat::Tiff))
        .file("plans/ground.svg", svg)
        .file("notes/hoist.png", encoded(image::RgbImage::new(30, 20).into(), image::ImageFormat::Png))
}

/// What a source must keep.
#[derive(Debug, PartialEq)]
struct State {
    hash: blake3::Hash,
    size: u64,
    modified: SystemTime,
    permissions: std::fs::Permissions,
}

fn states(mill: &TourFolder) -> BTreeMap<&'static str, State> {
    let state = |name| {
        let facts = std::fs::metadata(mill.path(name)).unwrap();
        State {
            hash: blake3::hash(&std::fs::read(mill.path(name)).unwrap()),
            size: facts.len(),
            modified: facts.modified().unwrap(),
            permissions: facts.permissions(),
        }
    };
    SOURCES.into_iter().map(|name| (name, state(name))).collect()
}

/// Every way of running every command; the preview is run apart, since it does not end.
const RUNS: [&[&str]; 20] = [
    &["--help"],
    &["help", "export"],
    &["check"],
    &["check", "--json"],
    &["build"],
    &["build", "--small", "--verify"],
    &["build", "--to", "shots"],
    &["export", "--to", "out"],
    &["export", "--to", "out", "--format", "png"],
    &["export", "--to", "out", "--format", "png", "--depth", "16"],
    &["export", "--to", "out", "--format", "tiff"],
    &["export", "--to", "out", "--format", "tiff", "--depth", "16"],
    &["export", "--to", "out", "--format", "radiance"],
    &["export", "--to", "out", "--faces"],
    &["export", "--to", "out", "--looking", "20,-5"],
    &["export", "--to", "shots"],
    &["export", "--to", "shots", "--format", "png"],
    &["patch", "--room", "hall", "--looking", "20,-5"],
    &["patch", "--room", "hall", "--looking", "0,-90", "--field-of-view", "10", "--json"],
    &["patch", "--room", "hall", "--looking", "0,0", "--to", "shots/hall.jpg"],
];

#[track_caller]
fn run_all(mill: &TourFolder, must_succeed: bool) {
    let before = states(mill);
    for arguments in RUNS {
        let ran = mill.run(arguments);
        assert!(matches!(ran.code, 0 | 1), "{ran:?}");
        let is_sane = !arguments.windows(2).any(|pair| pair[0] == "--to" && pair[1].starts_with("shots"));
        assert!(!must_succeed || !is_sane || ran.code == 0, "{ran:?}");
        assert_eq!(states(mill), before, "{arguments:?}");
    }
}

/// The commands that `--help` lists.
fn listed(help: &str) -> BTreeSet<&str> {
    let commands = help.split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    commands.lines().filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next()).collect()
}

/// The export formats that `export --help` lists.
fn formats(help: &str) -> BTreeSet<String> {
    let after = help.split("--format <").nth(1).unwrap().split("--depth").next().unwrap();
    let values = after.split("[possible values: ").nth(1).unwrap().split(']').next().unwrap();
    values.split(',').map(|value| value.trim().to_owned()).collect()
}

/// A command or a format that is new has to be run here too.
#[test]
fn every_command_and_format_is_run_here() {
    let mill = TourFolder::new();
    let help = mill.run(&["--help"]).code(0).stdout;
    let mut run: BTreeSet<&str> = RUNS.iter().map(|arguments| arguments[0]).filter(|name| *name != "--help").collect();
    run.insert("preview");
    assert_eq!(listed(&help), run);
    let run: BTreeSet<String> = RUNS
        .iter()
        .filter_map(|arguments| arguments.windows(2).find(|pair| pair[0] == "--format"))
        .map(|pair| pair[1].to_owned())
        .chain(["jpeg".to_owned()])
        .collect();
    assert_eq!(formats(&mill.run(&["export", "-h"]).code(0).stdout), run);
}

#[test]
fn no_command_touches_a_source() {
    run_all(&mill(), true);
}

#[test]
fn no_command_touches_a_source_of_a_broken_tour() {
    let cut = |bytes: Vec<u8>| bytes[..bytes.len() / 2].to_vec();
    run_all(&mill().file("tour.yaml", YAML.replace("between: [hall, barn]", "between: [hall, bran]")), false);
    run_all(&mill().file("tour.yaml", "title: [\n"), false);
    run_all(&mill().file("shots/hall-2.jpg", cut(exposure(1.0))).file("shots/barn.png", "no picture"), false);
    run_all(&mill().file("plans/ground.svg", "<svg").file("notes/hoist.png", ""), false);
}

#[cfg(unix)]
#[test]
fn read_only_sources_are_read_and_stay_read_only() {
    use std::os::unix::fs::PermissionsExt;
    let mill = mill();
    for name in SOURCES {
        std::fs::set_permissions(mill.path(name), std::fs::Permissions::from_mode(0o444)).unwrap();
    }
    run_all(&mill, true);
}

/// Where the store cannot be, a build says so and names the place. A check needs none.
#[test]
fn without_a_place_for_the_store_a_build_says_so() {
    let mill = mill().file(".enfilade", "a file where the folder should be");
    let before = states(&mill);
    mill.run(&["check"]).code(0);
    let ran =
        mill.run(&["build"]).code(1).stdout("").stderr_has("error: ").stderr_has(".enfilade").stderr_has("help: ");
    assert!(!ran.stderr.contains("panicked"), "{}", ran.stderr);
    assert!(!mill.path("site").exists());
    assert_eq!(states(&mill), before);
    assert_eq!(std::fs::read(mill.path(".enfilade")).unwrap(), b"a file where the folder should be");
}

/// Ended with the test, however that ends.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        self.0.kill().unwrap();
        self.0.wait().unwrap();
    }
}

#[test]
fn a_preview_touches_no_source_while_the_description_is_edited() {
    let mill = mill();
    let before = states(&mill);
    let mut child = mill.command(&["preview"]).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let running = Running(child);
    let address = lines.find_map(|line| Some(line.unwrap().split_once("http://")?.1.to_owned())).unwrap();
    let digits: String = address.split(':').nth(1).unwrap().chars().take_while(char::is_ascii_digit).collect();
    let port: u16 = digits.parse().unwrap();
    let walk_holds = |text: &str| {
        let held = || {
            let answer = crate::preview::get(port, "/walk.json");
            answer.status == 200 && String::from_utf8_lossy(&answer.body).contains(text)
        };
        let until = std::time::Instant::now() + Duration::from_secs(60);
        while !held() {
            assert!(std::time::Instant::now() < until, "waited in vain for {text}");
            std::thread::sleep(Duration::from_millis(50));
        }
    };
    walk_holds("Larkmere Mill");
    mill.write("tour.yaml", YAML.replace("Larkmere Mill", "Larkmere Barn").replace("exposure: 0.3", "exposure: 0.6"));
    let edited = states(&mill);
    walk_holds("Larkmere Barn");
    drop(running);
    let after = states(&mill);
    assert_eq!(after, edited);
    for name in SOURCES.into_iter().filter(|name| *name != "tour.yaml") {
        assert_eq!(after[name], before[name], "{name}");
    }
}
