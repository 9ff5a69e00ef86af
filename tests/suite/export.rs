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

/// Red, green and blue of every pixel, as the decoder of the crate that wrote them has them.
fn light_of(path: &Path) -> (usize, Vec<[f32; 3]>) {
    let bytes = std::fs::read(path).unwrap();
    let decoder = image::codecs::hdr::HdrDecoder::new(std::io::Cursor::new(&bytes[..])).unwrap();
    let picture = image::DynamicImage::from_decoder(decoder).unwrap().into_rgb32f();
    (picture.width() as usize, picture.pixels().map(|pixel| pixel.0).collect())
}

fn plain_shot(value: u8) -> Vec<u8> {
    let mut jpeg = std::io::Cursor::new(Vec::new());
    let mut encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 100);
    encoder.encode_image(&image::RgbImage::from_pixel(256, 128, image::Rgb([value; 3]))).unwrap();
    jpeg.into_inner()
}

/// A wall whose light is 0.5 of white: sRGB 188 in the middle exposure (IEC 61966-2-1), two stops down 99.
/// A lamp in its middle is clipped there and 0.5 in the darker, whose white is 1: the darker of two counts as the middle.
#[test]
fn the_light_of_a_bracket_is_seen_by_the_shots_that_hold_it() {
    let shot = |wall: u8, lamp: u8| {
        let picture = image::RgbImage::from_fn(256, 128, |x, y| {
            let is_lamp = (100..156).contains(&x) && (40..88).contains(&y);
            image::Rgb([if is_lamp { lamp } else { wall }; 3])
        });
        let mut png = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut png, image::ImageFormat::Png).unwrap();
        png.into_inner()
    };
    let mill = mill()
        .file(
            "tour.yaml",
            YAML.replace(
                "shots/hall.jpg, heading: 92, tilt: { pitch: 4, roll: -3 }",
                "[shots/b.png, shots/a.png], tone: { exposure: 2 }",
            ),
        )
        .file("shots/a.png", shot(99, 188))
        .file("shots/b.png", shot(188, 255));
    for _ in 0..2 {
        mill.run(&["export", "--to", "out", "--room", "hall", "--format", "radiance", "--quiet"]).code(0).stderr("");
    }
    let bytes = std::fs::read(mill.path("out/hall.hdr")).unwrap();
    assert!(bytes.starts_with(b"#?RADIANCE\nSOFTWARE=Enfilade "));
    let (width, light) = light_of(&mill.path("out/hall.hdr"));
    for (found, expected) in [(light[10 * width + 10], 0.1255), (light[64 * width + 128], 0.503)] {
        assert!(found.iter().all(|value| (value / expected - 1.0).abs() < 0.02), "{found:?} for {expected}");
    }
}

/// sRGB 188 is 0.503 of white (IEC 61966-2-1), whatever the tone.
#[test]
fn the_light_of_one_shot_is_the_shots() {
    let yaml = YAML.replace("tilt: { pitch: 4, roll: -3 }", "tone: { exposure: 1 }");
    let mill = mill().file("tour.yaml", yaml).file("shots/hall.jpg", plain_shot(188));
    mill.run(&["export", "--to", "out", "--room", "hall", "--format", "radiance", "--width", "64"]).code(0);
    let (width, light) = light_of(&mill.path("out/hall.hdr"));
    assert_eq!((width, light.len()), (64, 64 * 32));
    assert!(light.iter().flatten().all(|value| (value - 0.503).abs() < 0.005), "{:?}", light[0]);
    mill.run(&["export", "--to", "faces", "--room", "hall", "--format", "radiance", "--faces", "--width", "16"])
        .code(0);
    assert_eq!(contents(&mill.path("faces")).len(), 6);
}

#[test]
fn a_file_of_light_is_level_and_replaces_only_its_like() {
    let mill = mill();
    let export = |format: &str| mill.run(&["export", "--to", "out", "--room", "hall", "--format", format, "--quiet"]);
    export("radiance").code(0);
    export("png").code(0);
    let (width, light) = light_of(&mill.path("out/hall.hdr"));
    let shown = image::open(mill.path("out/hall.png")).unwrap().into_rgb8();
    for (x, y) in [(20, 30), (255, 128), (400, 200), (500, 60)] {
        let light = light[y * width + x];
        for (light, shown) in light.into_iter().zip(shown.get_pixel(x as u32, y as u32).0) {
            let value = 255.0 * enfilade::picture::linear::light_to_srgb(f64::from(light));
            assert!((value - f64::from(shown)).abs() < 3.0, "{x}, {y}: {value} for {shown}");
        }
    }
    mill.write("out/hall.hdr", "#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n");
    export("radiance").code(1).stderr_has("hall.hdr is already there, and was not exported by Enfilade");
    let ran = mill.run(&["export", "--to", "out", "--format", "radiance", "--depth", "16"]).code(1);
    ran.stderr_has("a Radiance file has its own kind of floating point, not 16 bits");
}

/// Numbers that are none, or no light, in a floating-point shot; a black and a white one beside it.
#[test]
fn strange_black_and_white_pictures_are_exported_sanely() {
    let float = |values: [f32; 4]| {
        let picture = image::Rgb32FImage::from_fn(64, 32, |x, _| image::Rgb([values[x as usize / 16]; 3]));
        let mut tiff = std::io::Cursor::new(Vec::new());
        image::DynamicImage::ImageRgb32F(picture).write_to(&mut tiff, image::ImageFormat::Tiff).unwrap();
        tiff.into_inner()
    };
    let tone = "tone: { exposure: 0.2, white-balance: auto, highlights: -0.5, local-contrast: 0.5, sharpening: 0.5 }";
    let yaml = YAML
        .replace(
            "shots/hall.jpg, heading: 92, tilt: { pitch: 4, roll: -3 }",
            &format!("shots/strange.tif, tilt: auto, {tone}"),
        )
        .replace("barn-1.jpg", "black.tif")
        .replace("barn-2.jpg", "white.tif");
    let mill = TourFolder::new()
        .file("tour.yaml", yaml)
        .file("shots/strange.tif", float([f32::NAN, f32::INFINITY, -5.0, 1e30]))
        .file("shots/black.tif", float([0.0; 4]))
        .file("shots/white.tif", float([1.0; 4]));
    mill.run(&["build", "--quiet"]).code(0);
    mill.run(&["export", "--to", "out", "--format", "png", "--depth", "16", "--quiet"]).code(0);
    mill.run(&["export", "--to", "out", "--format", "radiance", "--quiet"]).code(0);
    let is_plain = |name: &str, value: u16| {
        let picture = image::open(mill.path(name)).unwrap().into_rgb16();
        picture.pixels().all(|pixel| pixel.0.iter().all(|&sample| sample.abs_diff(value) <= 1))
    };
    assert!(is_plain("out/barn-door-end.png", 0) && is_plain("out/barn-hearth.png", u16::MAX));
    let strange = image::open(mill.path("out/hall.png")).unwrap().into_rgb16();
    assert_eq!(strange.get_pixel(8, 16).0, [0; 3], "what is not a number is black");
    assert_eq!(strange.get_pixel(40, 16).0, [0; 3], "less than no light is black");
    let (width, light) = light_of(&mill.path("out/hall.hdr"));
    assert!(light.iter().flatten().all(|value| value.is_finite() && *value >= 0.0));
    assert!(light[16 * width + 56][1] > 60_000.0 && light[16 * width + 8] == [0.0; 3]);
    assert!(light[16 * width + 24][1] > 60_000.0, "light without end is as bright as can be said");
}
