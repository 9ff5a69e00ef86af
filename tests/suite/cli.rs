//! The command line: usage, help, and what every command prints and returns.

use crate::command::{Ran, TourFolder};
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Stdio;

/// Two rooms and a door between them, said in the pictures.
const YAML: &str = "\
title: Larkmere Mill
opens-in: hall
floors:
  - id: ground
    title: Ground floor
    rooms:
      - id: hall
        title: Entrance hall
        shots: shots/hall.jpg
      - id: kitchen
        title: Kitchen
        shots: shots/kitchen.jpg
doors:
  - between: [hall, kitchen]
    seen-from: { hall: { spot: [118, -6] }, kitchen: { spot: [-40, -12] } }
";

fn mill() -> TourFolder {
    TourFolder::new().file("tour.yaml", YAML).shot("shots/hall.jpg", 512).shot("shots/kitchen.jpg", 640)
}

#[test]
fn help_is_complete() {
    for (arguments, fixture) in [
        (&["--help"][..], "help/enfilade.txt"),
        (&["help"], "help/enfilade.txt"),
        (&["build", "--help"], "help/build.txt"),
        (&["check", "--help"], "help/check.txt"),
        (&["export", "--help"], "help/export.txt"),
        (&["patch", "--help"], "help/patch.txt"),
        (&["preview", "--help"], "help/preview.txt"),
    ] {
        TourFolder::new().run(arguments).code(0).stderr("").stdout_is_fixture(fixture);
    }
}

#[test]
fn the_version_is_the_packages() {
    let version = format!("enfilade {}\n", env!("CARGO_PKG_VERSION"));
    TourFolder::new().run(&["--version"]).code(0).stdout(&version).stderr("");
}

#[test]
fn without_a_command_the_help_is_an_error() {
    let help = TourFolder::new().run(&["--help"]).stdout;
    TourFolder::new().run(&[]).code(2).stdout("").stderr(&help);
}

#[test]
fn wrong_usage_is_said_plainly() {
    let usage = |arguments: &[&str], stderr: &str| {
        TourFolder::new().run(arguments).code(2).stdout("").stderr(stderr);
    };
    usage(
        &["biuld"],
        "error: unrecognized subcommand 'biuld'\n\n  tip: a similar subcommand exists: 'build'\n\n\
         Usage: enfilade <COMMAND>\n\nFor more information, try '--help'.\n",
    );
    usage(
        &["build", "--smal"],
        "error: unexpected argument '--smal' found\n\n  tip: a similar argument exists: '--small'\n\n\
         Usage: enfilade build --small [TOUR]\n\nFor more information, try '--help'.\n",
    );
    usage(
        &["check", "one", "two"],
        "error: unexpected argument 'two' found\n\n\
         Usage: enfilade check [OPTIONS] [TOUR]\n\nFor more information, try '--help'.\n",
    );
    usage(
        &["preview", "--port", "99999"],
        "error: invalid value '99999' for '--port <N>': 99999 is not in 0..=65535\n\n\
         For more information, try '--help'.\n",
    );
    usage(
        &["build", "--to"],
        "error: a value is required for '--to <DIR>' but none was supplied\n\n\
         For more information, try '--help'.\n",
    );
}

/// Who pages through help, or through a result, may quit at any time: a pipe that nobody reads is no failure.
#[test]
fn nobody_reading_is_no_failure() {
    let folder = TourFolder::new().file("tour.yaml", "title: 1\n");
    for arguments in [&["build", "--help"][..], &["check"], &["check", "--json"]] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let child = folder.command(arguments).stdout(writer).stderr(Stdio::piped()).spawn().unwrap();
        Ran::of(child.wait_with_output().unwrap(), arguments).code(0).stderr("");
    }
}

#[test]
fn a_build_says_what_it_did_and_the_next_that_nothing_changed() {
    let mill = mill();
    let ran = mill.run(&["build"]).code(0);
    assert!(ran.stdout.starts_with("Cut 2 stations, kept 0. Wrote "), "{}", ran.stdout);
    ran.stdout_has(
        "The walkthrough is in site: any web host can serve that folder.\nLook at it with: enfilade preview\n",
    )
    .stderr("Reading 2 shots of 2\n1/2 hall: cut\n2/2 kitchen: cut\n");
    assert!(mill.path("site/index.html").is_file() && mill.path("site/walk.json").is_file());

    let ran = mill.run(&["build"]).code(0);
    assert!(ran.stdout.starts_with("Nothing changed: kept 2 stations and "), "{}", ran.stdout);
    mill.run(&["build", "--quiet"]).code(0).stdout("").stderr("");
    let result = mill.run(&["build", "--json"]).code(0).stderr("").json();
    assert_eq!(result["stations"], serde_json::json!({ "cut": 0, "kept": 2 }));
    assert_eq!(result["files"]["written"], 0);
    assert_eq!(result["problems"], serde_json::json!([]));
}

#[test]
fn only_what_changed_is_made_again() {
    let mill = mill();
    mill.run(&["build"]).code(0);
    mill.write("tour.yaml", YAML.replace("Larkmere Mill", "Larkmere Mill, restored"));
    let ran = mill.run(&["build"]).code(0);
    assert!(ran.stdout.starts_with("Cut 0 stations, kept 2. Wrote "), "{}", ran.stdout);
    let mill = mill.shot("shots/kitchen.jpg", 800);
    let ran = mill.run(&["build"]).code(0).stderr_has("kitchen: cut\n");
    assert!(ran.stdout.starts_with("Cut 1 station, kept 1. Wrote "), "{}", ran.stdout);
}

#[test]
fn the_tour_may_be_named_by_folder_or_file_and_the_site_put_elsewhere() {
    let mill = mill();
    let file = mill.path("tour.yaml");
    let elsewhere = TourFolder::new();
    elsewhere
        .run(&["build", file.to_str().unwrap(), "--to", "public"])
        .code(0)
        .stdout_has("The walkthrough is in public: any web host can serve that folder.\n");
    assert!(elsewhere.path("public/index.html").is_file());
    assert!(!mill.path("site").exists());
    // The same store, found from the other side.
    let result = mill.run(&["build", "--to", elsewhere.path("public").to_str().unwrap(), "--json"]).code(0).json();
    assert_eq!(result["stations"]["cut"], 0);
    assert_eq!(result["files"]["written"], 0);
}

#[test]
fn a_good_tour_passes_the_check_and_nothing_is_made() {
    let mill = mill();
    mill.run(&["check"]).code(0).stdout("No problem found in 2 rooms and 2 stations.\n").stderr("");
    let result = mill.run(&["check", "--json"]).code(0).stderr("").json();
    assert_eq!(result, serde_json::json!({ "errors": 0, "warnings": 0, "problems": [] }));
    assert!(!mill.path(".enfilade").exists() && !mill.path("site").exists());
}

#[test]
fn a_missing_tour_is_said() {
    let folder = TourFolder::new();
    folder
        .run(&["check", "no-such"])
        .code(1)
        .stderr("")
        .stdout_has("no-such")
        .stdout_has("Found 1 error and 0 warnings.");
    folder.run(&["build", "no-such"]).code(1).stdout("").stderr_has("error: ").stderr_has("no-such");
}

#[test]
fn every_problem_of_a_description_has_its_place() {
    let yaml =
        YAML.replace("opens-in: hall", "opens-in: hal").replace("shots: shots/kitchen.jpg", "shot: shots/no.jpg");
    let folder = mill().file("tour.yaml", yaml);
    let ran = folder
        .run(&["check"])
        .code(1)
        .stderr("")
        .stdout_has("tour.yaml:2:11\n")
        .stdout_has("2 | opens-in: hal\n")
        .stdout_has("tour.yaml:12:9\n")
        .stdout_has("help: ");
    assert!(!ran.stdout.contains('\u{1b}'), "no colour outside a terminal");
    let result = folder.run(&["check", "--json"]).code(1).stderr("").json();
    let places: Vec<_> = result["problems"].as_array().unwrap().iter().map(|p| (&p["line"], &p["column"])).collect();
    assert!(places.contains(&(&2.into(), &11.into())), "{places:?}");
    // A build shows the same, on the standard error, and makes nothing.
    folder.run(&["build"]).code(1).stdout("").stderr_has("tour.yaml:2:11\n").stderr_has("tour.yaml:12:9\n");
    assert!(!folder.path("site").exists());
    let result = folder.run(&["build", "--json"]).code(1).stderr("").json();
    assert_eq!(result["site"], serde_json::Value::Null);
}

#[test]
fn every_unusable_shot_is_told_where_it_is_named() {
    let folder = mill().file("shots/hall.jpg", "no picture").file("shots/kitchen.jpg", "");
    for (command, code) in [("check", 1), ("build", 1)] {
        let ran = folder.run(&[command]).code(code);
        let told = ran.stdout + &ran.stderr;
        for part in [
            "error: the shot `shots/hall.jpg` ",
            "tour.yaml:9:16\n",
            "error: the shot `shots/kitchen.jpg` ",
            "tour.yaml:12:16\n",
        ] {
            assert!(told.contains(part), "{part:?} is missing in:\n{told}");
        }
    }
}

/// Pixels that turn out to be cut short only when they are decoded.
#[test]
fn a_truncated_shot_fails_the_build_and_spares_the_rest() {
    let folder = mill();
    let whole = std::fs::read(folder.path("shots/kitchen.jpg")).unwrap();
    folder.write("shots/kitchen.jpg", &whole[..whole.len() / 2]);
    folder.run(&["build"]).code(1).stdout("").stderr_has("error: the shot `shots/kitchen.jpg` ");
    folder.write("shots/kitchen.jpg", &whole);
    let result = folder.run(&["build", "--json"]).code(0).json();
    assert_eq!(result["stations"], serde_json::json!({ "cut": 1, "kept": 1 }));
}

#[test]
fn no_command_writes_to_a_shot() {
    let folder = mill();
    let before = files_below(&folder.path("shots"));
    let modified = |name| std::fs::metadata(folder.path(name)).unwrap().modified().unwrap();
    let times = ["shots/hall.jpg", "shots/kitchen.jpg"].map(modified);
    for arguments in [&["check"][..], &["build"], &["build", "--small", "--verify"]] {
        folder.run(arguments).code(0);
    }
    assert_eq!(files_below(&folder.path("shots")), before);
    assert_eq!(["shots/hall.jpg", "shots/kitchen.jpg"].map(modified), times);
}

#[test]
fn the_number_of_cores_and_the_store_do_not_show_in_the_site() {
    let one = mill();
    let many = mill();
    let build = |folder: &TourFolder, threads: &str| {
        let output = folder.command(&["build"]).env("RAYON_NUM_THREADS", threads).output().unwrap();
        Ran::of(output, &["build"]).code(0);
        files_below(&folder.path("site"))
    };
    let site = build(&one, "1");
    assert_eq!(build(&many, "4"), site);
    std::fs::remove_dir_all(one.path(".enfilade")).unwrap();
    assert_eq!(build(&one, "3"), site);
}

/// Killed at many moments, a build leaves nothing that the next would take for finished work.
#[test]
fn a_build_after_a_killed_one_is_right() {
    let undisturbed = mill();
    undisturbed.run(&["build"]).code(0);
    let expected = files_below(&undisturbed.path("site"));
    for wait_ms in [1, 5, 10, 20, 40, 80, 160] {
        let folder = mill();
        let mut killed = folder.command(&["build"]).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait_ms));
        killed.kill().unwrap();
        killed.wait().unwrap();
        folder.run(&["build"]).code(0);
        assert_eq!(files_below(&folder.path("site")), expected, "killed after {wait_ms} ms");
    }
}

#[test]
fn two_builds_may_share_a_store() {
    let folder = mill();
    let start =
        |to| folder.command(&["build", "--to", to]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let builds = ["a", "b", "c"].map(start);
    for build in builds {
        Ran::of(build.wait_with_output().unwrap(), &["build"]).code(0);
    }
    assert_eq!(files_below(&folder.path("a")), files_below(&folder.path("b")));
    assert_eq!(files_below(&folder.path("a")), files_below(&folder.path("c")));
}

/// Every file below a folder, with its content.
fn files_below(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    for entry in walkdir::WalkDir::new(folder) {
        let entry = entry.unwrap();
        if entry.file_type().is_file() {
            let name = entry.path().strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
            files.insert(name, std::fs::read(entry.path()).unwrap());
        }
    }
    files
}

#[test]
fn check_asks_about_repairs_that_may_mislead() {
    let yaml = "\
title: Larkmere Mill
unaltered: still
floors:
  - id: ground
    title: Ground floor
    rooms:
      - id: hall
        title: Hall
        shots: hall.jpg
        heading: 0
        retouch:
          - { fill: { spot: [0, 0], radius: 3 }, why: fixture }
          - { fill: { spot: [20, 0], radius: 3 }, why: damage }
          - { fill: { spot: [40, 0], radius: 3 }, why: sky }
          - { fill: { spot: [60, 0], radius: 3 }, why: clutter }
          - { fill: { spot: [80, 0], radius: 3 }, why: damage, off: true }
";
    let mill = TourFolder::new().shot("hall.jpg", 512).file("tour.yaml", yaml);
    let ran = mill.run(&["check", "--json"]).code(0);
    let said: serde_json::Value = serde_json::from_str(&ran.stdout).unwrap();
    let places: Vec<(u64, &str)> = said["problems"]
        .as_array()
        .unwrap()
        .iter()
        .map(|problem| (problem["line"].as_u64().unwrap(), problem["what"].as_str().unwrap()))
        .collect();
    assert_eq!(
        places,
        [
            (2, "visitors see the unaltered pictures as stills only"),
            (12, "this hides something that belongs to the house and stays"),
            (13, "this hides damage or wear"),
            (14, "this changes the sky or a view through a window"),
        ]
    );
    mill.write("tour.yaml", yaml.replace("unaltered: still\n", "").replace("why: fixture", "why: clutter"));
    let said: serde_json::Value = serde_json::from_str(&mill.run(&["check", "--json"]).code(0).stdout).unwrap();
    assert_eq!(said["warnings"], 2);
}
