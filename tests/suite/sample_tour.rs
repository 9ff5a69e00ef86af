//! The sample tour teaches every key, and agrees with the house it was rendered from: doors, tripods, north, drawings.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

const PAGE: &str = include_str!("../../docs/tour-yaml.md");
const TOUR: &str = include_str!("../../sample-tour/tour.yaml");

/// Runs one of the scene's scripts, with text on its standard input. It needs nothing but Python's own library.
fn python(script: &str, arguments: &[&str], input: &str) -> Output {
    let scene = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tour/scene");
    let mut child = Command::new("python3")
        .arg("-B")
        .arg(scene.join(script))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("python3 runs: Debian's package is called python3");
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

/// The tour as JSON, which Python reads without a package.
fn tour_as_json(tour: &str) -> String {
    serde_yaml::from_str::<serde_json::Value>(tour).unwrap().to_string()
}

fn collect_keys(value: &serde_json::Value, keys: &mut BTreeSet<String>) {
    match value {
        serde_json::Value::Object(entries) => {
            for (key, below) in entries {
                keys.insert(key.clone());
                collect_keys(below, keys);
            }
        }
        serde_json::Value::Array(items) => items.iter().for_each(|item| collect_keys(item, keys)),
        _ => {}
    }
}

#[test]
fn the_sample_uses_every_key_of_the_reference_page() {
    let named: BTreeSet<&str> =
        PAGE.lines().filter_map(|line| line.strip_prefix("| `")?.split_once('`')).map(|(key, _)| key).collect();
    let mut used = BTreeSet::new();
    collect_keys(&serde_yaml::from_str(TOUR).unwrap(), &mut used);
    assert!(named.len() > 30, "the page's tables are read: {named:?}");
    let missing: Vec<_> = named.iter().filter(|key| !used.contains(**key)).collect();
    assert!(missing.is_empty(), "sample-tour/tour.yaml never uses {missing:?}");
}

#[test]
fn the_sample_agrees_with_the_scene_within_half_a_degree() {
    let ran = python("tour_numbers.py", &["--check", "-"], &tour_as_json(TOUR));
    assert_eq!(String::from_utf8_lossy(&ran.stdout), "tour.yaml agrees with the house\n", "{ran:?}");
    assert!(ran.status.success());
}

/// Each change is just beyond what the check lets pass, so that it is known to look at all of them.
#[test]
fn the_check_against_the_scene_notices_every_kind_of_number() {
    for (written, wrong, told) in [
        ("heading: 250 ", "heading: 250.6 ", "hall: heading is 250.0"),
        ("stands-at: [180, 226]", "stands-at: [180, 226.6]", "kitchen: stands at [180.0, 226.0]"),
        ("at: [250.8, 249]", "at: [251.4, 249]", "kitchen – hall: the door is at [250.8, 249.0]"),
        ("north: 14 ", "north: 14.6 ", "ground: north is 14.0"),
        ("camera-height: 1.58", "camera-height: 1.6", "camera-height is 1.58"),
        ("spot: [28.5, -16.2]", "spot: [29.1, -16.2]", "stairs seen from the hall: spot is [28.5, -16.2]"),
        ("spot: [7.2, -24.9]", "spot: [7.2, -25.5]", "stove in the sitting room: spot is [7.2, -24.9]"),
    ] {
        assert!(TOUR.contains(written), "{written}");
        let ran = python("tour_numbers.py", &["--check", "-"], &tour_as_json(&TOUR.replacen(written, wrong, 1)));
        assert_eq!(String::from_utf8_lossy(&ran.stdout), format!("{told}\n"), "{ran:?}");
        assert_eq!(ran.status.code(), Some(1));
    }
}

#[test]
fn the_plans_are_as_the_scene_draws_them() {
    let folder = tempfile::tempdir().unwrap();
    let ran = python("plans.py", &["--to", folder.path().to_str().unwrap()], "");
    assert!(ran.status.success(), "{ran:?}");
    for plan in ["ground.svg", "upper.svg"] {
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tour/plans").join(plan);
        let drawn = std::fs::read_to_string(folder.path().join(plan)).unwrap();
        assert_eq!(std::fs::read_to_string(kept).unwrap(), drawn, "{plan}: draw it again with plans.py");
    }
}
