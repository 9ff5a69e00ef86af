//! `enfilade patch`: what it writes and says, that its line builds, and that a saved patch is seen in the preview.

use crate::command::TourFolder;
use enfilade::preview::making::{Maker, News};
use enfilade::site::Site;
use image::{ImageFormat, Rgb};
use std::path::Path;
use std::sync::Mutex;

const YAML: &str = "\
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms:
      - id: hall
        title: Hall
        shots: hall.jpg
        heading: HEADING
        tilt: TILT
        tone: TONE
        retouch:
          LINE
";

const PLAIN: [(&str, &str); 4] = [("HEADING", "92"), ("TILT", "none"), ("TONE", "{}"), ("LINE", "[]")];

/// The description with some of its gaps filled otherwise.
fn yaml(with: &[(&str, &str)]) -> String {
    with.iter().chain(&PLAIN).fold(YAML.to_owned(), |yaml, (gap, text)| yaml.replace(gap, text))
}

fn mill(width: u32) -> TourFolder {
    TourFolder::new().shot("hall.jpg", width).file("tour.yaml", yaml(&[]))
}

/// Paints a square into the middle of a picture, as a paint program saves it.
fn paint(path: &Path) {
    let mut picture = image::open(path).unwrap().to_rgb16();
    let side = picture.width();
    for (x, y) in (side / 3..2 * side / 3).flat_map(|x| (side / 3..2 * side / 3).map(move |y| (x, y))) {
        picture.put_pixel(x, y, Rgb([65535, 0, 65535]));
    }
    picture.save_with_format(path, ImageFormat::Png).unwrap();
}

/// Every file of a built site but for those of the viewer, by name.
fn built(mill: &TourFolder) -> Vec<(String, Vec<u8>)> {
    let site = mill.path("site");
    mill.run(&["build", "--quiet"]).code(0);
    let entries = walkdir::WalkDir::new(&site).sort_by_file_name().into_iter().map(Result::unwrap);
    let files = entries.filter(|entry| entry.file_type().is_file());
    files
        .map(|entry| {
            let name = entry.path().strip_prefix(&site).unwrap().to_str().unwrap().to_owned();
            (name, std::fs::read(entry.path()).unwrap())
        })
        .collect()
}

/// Where the paint lies in the built first light, as the visitor's own picture: its middle in degrees of the level picture.
fn paint_in_first_light(mill: &TourFolder) -> Option<[f64; 2]> {
    let files = built(mill);
    let (_, light) = files.iter().find(|(name, _)| name.ends_with("first-light.jpg") && !name.contains("unaltered"))?;
    let picture = image::load_from_memory(light).unwrap().to_rgb8();
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let painted = picture.enumerate_pixels().filter(|(_, _, pixel)| {
        let [red, green, blue] = pixel.0.map(i32::from);
        red - green > 100 && blue > 190
    });
    let (sum_x, sum_y, count) = painted
        .fold((0.0, 0.0, 0.0), |(sx, sy, n), (x, y, _)| (sx + f64::from(x) + 0.5, sy + f64::from(y) + 0.5, n + 1.0));
    (count > 0.0).then(|| [(sum_x / count / width - 0.5) * 360.0, 90.0 - sum_y / count / height * 180.0])
}

#[test]
fn the_printed_line_builds_and_the_paint_lies_where_it_was_painted() {
    let mill = mill(2048);
    let ran = mill.run(&["patch", "--room", "hall", "--looking", "-100,-30", "--field-of-view", "60"]).code(0);
    let line = "- { patch: retouch/hall-patch.png, spot: [-100, -30], field-of-view: 60, why: other }";
    let ran = ran.stdout(&format!("{line}\n"));
    // 2048 columns are 325.9 to a radian, and half of 60° has the tangent 0.577: 376.4.
    ran.stderr_has("hall-patch.png (377×377 pixels)");
    let [painted, twin] = ["retouch/hall-patch.png", "retouch/hall-patch.twin.png"].map(|name| mill.path(name));
    assert_eq!(std::fs::read(&painted).unwrap(), std::fs::read(&twin).unwrap());
    assert!(std::fs::metadata(&twin).unwrap().permissions().readonly());
    assert_eq!(image::open(&painted).unwrap().color(), image::ColorType::Rgb16);
    mill.write("tour.yaml", yaml(&[("LINE", line)]));
    mill.run(&["check"]).code(0).stdout("No problem found in 1 room and 1 station.\n");
    assert_eq!(paint_in_first_light(&mill), None);
    paint(&painted);
    let near = |got: Option<[f64; 2]>, expected: [f64; 2], name: &str| {
        let got = got.unwrap_or_else(|| panic!("{name}: no paint"));
        assert!(got.iter().zip(expected).all(|(got, expected)| (got - expected).abs() < 2.0), "{name}: {got:?}");
    };
    near(paint_in_first_light(&mill), [-100.0, -30.0], "as painted");
    // Another exposure makes a bracket of it: the patch is laid onto what is merged, at the same place.
    let darker = image::open(mill.path("hall.jpg")).unwrap().to_rgb8();
    let darker = image::RgbImage::from_fn(darker.width(), darker.height(), |x, y| {
        Rgb(darker.get_pixel(x, y).0.map(|value| (f64::from(value) * 0.73) as u8))
    });
    darker.save(mill.path("hall-darker.jpg")).unwrap();
    mill.write("tour.yaml", yaml(&[("LINE", line), ("hall.jpg", "[hall-darker.jpg, hall.jpg]")]));
    near(paint_in_first_light(&mill), [-100.0, -30.0], "bracket");
    // A heading turns no pixel, a tone changes no place, and a tilt turns the whole picture, paint and all.
    for (name, changed) in [("heading", ("HEADING", "200")), ("tone", ("TONE", "{ exposure: -0.3 }"))] {
        mill.write("tour.yaml", yaml(&[("LINE", line), changed]));
        near(paint_in_first_light(&mill), [-100.0, -30.0], name);
    }
    let tilt = "{ pitch: 10, roll: 0 }";
    mill.write("tour.yaml", yaml(&[("LINE", line), ("TILT", tilt)]));
    let level = enfilade::sphere::Rotation::from_tilt(10.0, 0.0);
    let expected = level.apply(enfilade::sphere::Direction::from_degrees(-100.0, -30.0));
    near(paint_in_first_light(&mill), [expected.longitude(), expected.latitude()], "tilt");
}

#[test]
fn nothing_is_ever_replaced() {
    let mill = mill(512);
    let patch = |more: &[&str]| mill.run(&[&["patch", "--room", "hall", "--looking", "0,0"], more].concat());
    patch(&[]).code(0).stdout_has("retouch/hall-patch.png");
    mill.write("retouch/hall-patch.png", "painted");
    patch(&[]).code(0).stdout_has("retouch/hall-patch-2.png");
    // Somebody threw the painted picture away, and the twin is still there.
    std::fs::remove_file(mill.path("retouch/hall-patch-2.png")).unwrap();
    patch(&[]).code(0).stdout_has("retouch/hall-patch-3.png");
    patch(&["--to", "retouch/hall-patch.png"])
        .code(1)
        .stderr_has("is already there, and somebody may have painted on it");
    assert_eq!(std::fs::read(mill.path("retouch/hall-patch.png")).unwrap(), b"painted");
    patch(&["--to", "my socket.png"]).code(0).stdout_has("patch: \"my socket.png\", spot: [0, 0], field-of-view: 40");
    patch(&["--to", "../socket.png"]).code(1).stderr_has("this is not below the tour's folder");
    patch(&["--to", "socket.jpg"]).code(1).stderr_has("the flat view is a PNG");
    assert_eq!(std::fs::read_to_string(mill.path("tour.yaml")).unwrap(), yaml(&[]));
}

#[test]
fn what_is_asked_for_wrongly_is_said() {
    let mill = mill(512);
    let says = |arguments: &[&str], code: i32, text: &str| {
        mill.run(&[&["patch"], arguments].concat()).code(code).stdout("").stderr_has(text);
    };
    says(&["--room", "attic", "--looking", "0,0"], 1, "`--room attic`: there is no such room or station");
    says(&["--room", "attic", "--looking", "0,0"], 1, "name one of hall");
    says(&["--room", "hall"], 2, "--looking");
    says(&["--room", "hall", "--looking", "0,95"], 2, "latitude in -90 to 90");
    says(&["--room", "hall", "--looking", "0,0", "--field-of-view", "150"], 2, "degrees from 1 to 120");
    assert!(!mill.path("retouch").exists());
    let ran = mill.run(&["patch", "--room", "hall", "--looking", "0,0", "--json"]).code(0).stderr("");
    assert_eq!(ran.json()["sidePx"], 60);
    assert_eq!(ran.json()["line"], "- { patch: retouch/hall-patch.png, spot: [0, 0], field-of-view: 40, why: other }");
}

/// A tour with a patch, of which files are changed then.
fn patched() -> TourFolder {
    let mill = mill(2560);
    let ran = mill.run(&["patch", "--room", "hall", "--looking", "30,0"]).code(0);
    mill.write("tour.yaml", yaml(&[("LINE", ran.stdout.trim())]));
    mill
}

#[test]
fn a_cropped_patch_is_refused_at_its_place() {
    let mill = patched();
    let path = mill.path("retouch/hall-patch.png");
    let picture = image::open(&path).unwrap();
    picture.crop_imm(0, 0, picture.width(), 100).save(&path).unwrap();
    for command in ["check", "build"] {
        let ran = mill.run(&[command]).code(1);
        let said = ran.stdout.clone() + &ran.stderr;
        for part in ["retouch/hall-patch.png", "297×100 pixels", "tour.yaml:13:22", "without cropping it"] {
            assert!(said.contains(part), "{command}: {part} is missing in {said}");
        }
    }
}

#[test]
fn check_says_where_what_was_painted_on_has_changed() {
    let mill = patched();
    let check = || mill.run(&["check"]).code(0);
    check().stdout_has("No problem found");
    let original = image::open(mill.path("hall.jpg")).unwrap().to_rgb8();
    let save = |change: &dyn Fn(u8) -> u8| {
        let picture = image::RgbImage::from_fn(original.width(), original.height(), |x, y| {
            Rgb(original.get_pixel(x, y).0.map(change))
        });
        picture.save(mill.path("hall.jpg")).unwrap();
    };
    save(&|value| value.saturating_add(4));
    check().stdout_has("No problem found");
    save(&|value| value.saturating_add(30));
    check().stdout_has("what this patch was painted on has changed").stdout_has("tour.yaml:13:13");
}

/// Mean difference of red and green in a site's first light of the only station.
fn purple(site: &Site) -> f64 {
    let walk: serde_json::Value = serde_json::from_slice(&site.get("walk.json").unwrap().read().unwrap()).unwrap();
    let folder = walk["rooms"][0]["stations"][0]["folder"].as_str().unwrap();
    let light = site.get(&format!("{folder}/first-light.jpg")).unwrap().read().unwrap();
    let picture = image::load_from_memory(&light).unwrap().to_rgb8();
    picture.pixels().map(|pixel| f64::from(pixel.0[0]) - f64::from(pixel.0[1])).sum::<f64>()
        / picture.pixels().len() as f64
}

#[test]
fn a_saved_patch_is_seen_at_once_in_the_preview() {
    let mill = patched();
    let maker = Maker::new(&mill.path("."));
    let seen = Mutex::new((Vec::new(), Vec::new()));
    let make = || {
        let keep = |news| match news {
            News::Interim(site) => seen.lock().unwrap().0.push(site),
            News::MadeOf(files) => seen.lock().unwrap().1 = files,
            News::Progress(_) => {}
        };
        maker.make(&|| Some("hall".to_owned()), &keep).unwrap().0
    };
    let before = purple(&make());
    seen.lock().unwrap().0.clear();
    paint(&mill.path("retouch/hall-patch.png"));
    let after = purple(&make());
    let (interim, watched) = &*seen.lock().unwrap();
    assert!(after > before + 0.5, "{before} became {after}");
    // First of all a proof, and it shows the paint.
    assert!((purple(&interim[0]) - after).abs() < 0.1, "{} and {after}", purple(&interim[0]));
    for name in ["hall-patch.png", "hall-patch.twin.png"] {
        assert!(watched.iter().any(|(path, _)| path.ends_with(format!("retouch/{name}"))), "{name} is not watched");
    }
}
