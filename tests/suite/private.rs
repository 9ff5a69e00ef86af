//! What was made unreadable is in no published file: every picture of a built site, and every exported one, is opened and looked through.

use crate::command::TourFolder;
use image::{Rgb, RgbImage};
use std::collections::BTreeSet;
use std::io::Cursor;
use std::path::Path;

/// The secret is a disc in the picture's own frame, and nothing else in the picture has its colours.
const SECRET: [f64; 2] = [30.0, 10.0];
const RADIUS_DEG: f64 = 12.0;
const CELL_DEG: f64 = 3.0;

/// A copy, a fill beside it, a tilt, a match and a still that looks straight at it: whatever might carry it elsewhere. The copy lies over the secret's edge, and comes from it.
const YAML: &str = "\
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms:
      - id: hall
        title: Hall
        shots: hall.png
        heading: 90
        tilt: { pitch: 3, roll: -2 }
        tone: { exposure: 0.2, local-contrast: 0.3, sharpening: 0.3 }
        opening-view: { spot: [30, 10], field-of-view: 80 }
        retouch:
          - { clone: { spot: [-60, 0], radius: 10 }, from: [30, 10], why: clutter }
          - { fill: { spot: [47, 10], radius: 7 }, why: clutter, name: A bag beside the secret }
          - { fill: tripod, radius: 20 }
          - { blur: { spot: [30, 10], radius: 13 }, name: A secret, off: OFF }
";

fn is_secret(longitude: f64, latitude: f64) -> bool {
    let across = (longitude - SECRET[0]) * latitude.to_radians().cos();
    across.hypot(latitude - SECRET[1]) < RADIUS_DEG
}

fn shot() -> Vec<u8> {
    let (width, height) = (2048, 1024);
    let picture = RgbImage::from_fn(width, height, |x, y| {
        let longitude = ((f64::from(x) + 0.5) / f64::from(width) - 0.5) * 360.0;
        let latitude = 90.0 - (f64::from(y) + 0.5) / f64::from(height) * 180.0;
        if is_secret(longitude, latitude) {
            let cell = (longitude / CELL_DEG).floor() + (latitude / CELL_DEG).floor();
            return if cell.rem_euclid(2.0) < 0.5 { Rgb([255, 0, 255]) } else { Rgb([0, 200, 0]) };
        }
        Rgb([90 + (x / 16 % 2 * 30) as u8, 96 + (y / 16 % 2 * 30) as u8, 100])
    });
    let mut png = Cursor::new(Vec::new());
    picture.write_to(&mut png, image::ImageFormat::Png).unwrap();
    png.into_inner()
}

/// Red and green that far apart are the secret's; the mean of its cells is grey.
fn shows_it(picture: &RgbImage) -> bool {
    let told = picture.pixels().filter(|pixel| (i32::from(pixel.0[0]) - i32::from(pixel.0[1])).abs() > 100).count();
    told > 3
}

/// Which pictures of a folder show the secret, and how many were opened. Every file that is one is looked at, whatever it is called.
fn telltales(folder: &Path) -> (BTreeSet<String>, usize) {
    let (mut telltales, mut opened) = (BTreeSet::new(), 0);
    for entry in walkdir::WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.unwrap();
        if !entry.file_type().is_file() {
            continue;
        }
        let bytes = std::fs::read(entry.path()).unwrap();
        let Ok(picture) = image::load_from_memory(&bytes) else { continue };
        opened += 1;
        if shows_it(&picture.to_rgb8()) {
            telltales.insert(entry.path().strip_prefix(folder).unwrap().to_str().unwrap().replace('\\', "/"));
        }
    }
    (telltales, opened)
}

fn mill(off: &str) -> TourFolder {
    let mill = TourFolder::new().file("hall.png", shot()).file("tour.yaml", YAML.replace("OFF", off));
    mill.run(&["build", "--quiet"]).code(0);
    mill.run(&["export", "--to", "finished", "--quiet"]).code(0);
    mill
}

#[test]
fn what_was_made_unreadable_is_in_no_published_file() {
    let mill = mill("false");
    let (telltales_of_the_site, opened) = telltales(&mill.path("site"));
    assert_eq!(telltales_of_the_site, BTreeSet::new());
    assert!(opened > 40, "{opened} pictures were opened");
    let (telltales_of_the_export, opened) = telltales(&mill.path("finished"));
    assert_eq!((telltales_of_the_export, opened), (BTreeSet::new(), 1));
    // The unaltered picture and the stills of it were among them.
    let files = walkdir::WalkDir::new(mill.path("site")).into_iter().map(|entry| entry.unwrap().into_path());
    let names: Vec<String> = files.map(|path| path.to_str().unwrap().replace('\\', "/")).collect();
    assert!(names.iter().any(|name| name.contains("/unaltered/")));
    assert!(names.iter().filter(|name| name.contains("-before-")).count() == 3, "{names:?}");
}

#[test]
fn without_the_blur_this_test_would_see_it_everywhere() {
    let mill = mill("true");
    let (telltales, _) = telltales(&mill.path("site"));
    let kinds = ["first-light.jpg", "unaltered/", "stills/hall-before-", "stills/hall-", "/656/pz", "/328/pz"];
    for kind in kinds {
        assert!(telltales.iter().any(|name| name.contains(kind)), "{kind}: {telltales:?}");
    }
}
