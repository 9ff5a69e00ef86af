//! `enfilade export`: what is written, what is left alone, what it says. Metadata are read back by another program's reader in
//! `tests/exported/exported.test.mjs`.

use crate::command::TourFolder;
use std::path::Path;

const YAML: &str = "\
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms:
      - { id: hall, title: Hall, shots: shots/hall.jpg, heading: 92, tilt: { pitch: 4, roll: -3 } }
      - id: barn
        title: Barn
        steps:
          - between: [door-end, hearth]
            seen-from: { door-end: { spot: [5, -20] }, hearth: { spot: [9, -20] } }
        stations:
          - { id: door-end, shots: shots/barn-1.jpg }
          - { id: hearth, shots: shots/barn-2.jpg }
doors:
  - between: [hall, barn]
    seen-from: { hall: { spot: [1, 2] }, barn: { spot: [3, 4] } }
";

fn mill() -> TourFolder {
    ["hall", "barn-1", "barn-2"]
        .into_iter()
        .fold(TourFolder::new().file("tour.yaml", YAML), |mill, shot| mill.shot(&format!("shots/{shot}.jpg"), 512))
}

/// Every file below a folder with its content's hash.
fn contents(folder: &Path) -> Vec<(String, blake3::Hash)> {
    let files = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter().map(Result::unwrap);
    files
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| (entry.path().display().to_string(), blake3::hash(&std::fs::read(entry.path()).unwrap())))
        .collect()
}

#[test]
fn every_station_is_written_and_no_shot_is_touched() {
    let mill = mill();
    let before = contents(&mill.path("shots"));
    let ran = mill.run(&["export", "--to", "out", "--quiet"]);
    assert_eq!((ran.code, &*ran.stdout, &*ran.stderr), (0, "", ""));
    let names: Vec<String> = contents(&mill.path("out")).into_iter().map(|(path, _)| path).collect();
    let expected = ["barn-door-end.jpg", "barn-hearth.jpg", "hall.jpg"];
    assert_eq!(names, expected.map(|name| mill.path("out").join(name).display().to_string()));
    for name in expected {
        let picture = image::open(mill.path("out").join(name)).unwrap();
        assert_eq!((picture.width(), picture.height()), (512, 256));
    }
    assert_eq!(contents(&mill.path("shots")), before);
}

#[test]
fn the_same_tour_gives_the_same_files() {
    let mill = mill();
    for (folder, threads) in [("one", "1"), ("three", "3")] {
        let mut command =
            mill.command(&["export", "--to", folder, "--room", "hall", "--format", "png", "--depth", "16"]);
        assert!(command.env("RAYON_NUM_THREADS", threads).output().unwrap().status.success());
    }
    let read = |folder: &str| std::fs::read(mill.path(folder).join("hall.png")).unwrap();
    assert_eq!(read("one"), read("three"));
}

#[test]
fn formats_depths_and_shapes_are_as_asked() {
    let mill = mill();
    let sizes = |arguments: &[&str]| {
        let to = tempfile::tempdir().unwrap();
        let all = [&["export", "--quiet", "--room", "hall", "--to", to.path().to_str().unwrap()], arguments].concat();
        let ran = mill.run(&all);
        assert_eq!((ran.code, &*ran.stderr), (0, ""), "{arguments:?}");
        let files = contents(to.path());
        let describe = |(path, _): (String, _)| {
            let picture = image::open(&path).unwrap();
            let name = Path::new(&path).file_name().unwrap().to_str().unwrap().to_owned();
            format!("{name} {}×{} {:?}", picture.width(), picture.height(), picture.color())
        };
        files.into_iter().map(describe).collect::<Vec<_>>().join(", ")
    };
    assert_eq!(sizes(&["--width", "256"]), "hall.jpg 256×128 Rgb8");
    assert_eq!(sizes(&["--format", "png"]), "hall.png 512×256 Rgb8");
    assert_eq!(sizes(&["--format", "png", "--depth", "16"]), "hall.png 512×256 Rgb16");
    assert_eq!(sizes(&["--format", "tiff", "--depth", "16"]), "hall.tif 512×256 Rgb16");
    assert_eq!(sizes(&["--format", "tiff", "--width", "128"]), "hall.tif 128×64 Rgb8");
    assert_eq!(
        sizes(&["--faces", "--width", "64"]),
        ["nx", "ny", "nz", "px", "py", "pz"].map(|face| format!("hall-{face}.jpg 64×64 Rgb8")).join(", ")
    );
    assert_eq!(sizes(&["--looking", "-20,5", "--width", "300"]), "hall.jpg 300×200 Rgb8");
}

#[test]
fn what_was_not_exported_is_never_replaced() {
    let mill = mill();
    let before = contents(&mill.path("shots"));
    let ran = mill.run(&["export", "--to", "shots", "--room", "hall"]);
    assert_eq!(ran.code, 1);
    assert_eq!(
        ran.stderr,
        "1/1 hall\nerror: shots/hall.jpg is already there, and was not exported by Enfilade\n |\n = help: choose another folder with `--to`, or move the file away\n\n"
    );
    assert_eq!(contents(&mill.path("shots")), before);
    for _ in 0..2 {
        assert_eq!(mill.run(&["export", "--to", "out", "--room", "hall"]).code, 0);
    }
}

#[test]
fn what_is_asked_for_wrongly_is_said() {
    let mill = mill();
    let says = |arguments: &[&str], code: i32, text: &str| {
        let ran = mill.run(&[&["export", "--to", "out"], arguments].concat());
        assert_eq!(ran.code, code, "{arguments:?}");
        assert!(ran.stderr.contains(text), "{arguments:?}: {}", ran.stderr);
    };
    says(&["--room", "attic"], 1, "`--room attic`: there is no such room or station");
    says(&["--room", "attic"], 1, "name one of hall, barn");
    says(&["--depth", "16"], 1, "JPEG has 8 bits a channel, not 16");
    says(&["--depth", "12"], 2, "possible values: 8, 16");
    says(&["--looking", "200,0"], 2, "longitude lies in -180 to 180");
    says(&["--looking", "ahead"], 2, "such as 20,-5");
    says(&["--looking", "1,2", "--faces"], 2, "cannot be used with");
    says(&["--looking", "1,2", "--field-of-view", "180"], 2, "degrees from 1 to 160");
    assert!(!mill.path("out").exists());
}

#[test]
fn a_damaged_shot_is_named() {
    let mill = mill();
    let bytes = std::fs::read(mill.path("shots/hall.jpg")).unwrap();
    mill.write("shots/hall.jpg", &bytes[..bytes.len() / 2]);
    let ran = mill.run(&["export", "--to", "out", "--room", "hall", "--json"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.stdout
            .starts_with("{\"files\":null,\"problems\":[{\"severity\":\"error\",\"what\":\"the shot `shots/hall.jpg` ")
    );
}
