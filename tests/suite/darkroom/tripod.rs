//! Finding the tripod, and filling what it covered, in every room of the example with the tripod and without.

use enfilade::darkroom::retouch::tripod::{Unsure, find, find_below};
use enfilade::darkroom::retouch::{FlatLight, Repair, RepairKind, retouch};
use enfilade::picture::linear::{LinearPicture, LinearRows, SRGB_TO_BT2020, empty_row, srgb_to_light, through};
use enfilade::sphere::Direction;
use image::RgbImage;
use std::path::Path;

/// Of the picture that the rows were cut from.
const WIDTH: usize = 1024;
const HEIGHT: usize = WIDTH / 2;

const ROOMS: [&str; 7] =
    ["bedroom", "hall", "kitchen", "landing", "sitting-room-door-end", "sitting-room-hearth", "terrace"];

fn low(name: &str) -> RgbImage {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/house"));
    image::open(folder.join(format!("{name}-low.jpg"))).unwrap().to_rgb8()
}

fn light(srgb: [u8; 3]) -> [f32; 3] {
    through(&SRGB_TO_BT2020, srgb.map(|value| srgb_to_light(f64::from(value) / 255.0) as f32))
}

/// A sphere with a room's lower rows; what lies above is grey.
fn sphere(low: &RgbImage) -> LinearPicture {
    let mut picture = LinearPicture::black(WIDTH, HEIGHT);
    let first = HEIGHT - low.height() as usize;
    for y in 0..HEIGHT {
        let mut row = empty_row(WIDTH);
        for x in 0..WIDTH {
            let light = match y.checked_sub(first) {
                Some(below) => light(low.get_pixel(x as u32, below as u32).0),
                None => [0.4; 3],
            };
            row.iter_mut().zip(light).for_each(|(channel, light)| channel[x] = light);
        }
        picture.set_row(y, &mut row);
    }
    picture
}

fn direction(x: usize, y: usize) -> Direction {
    let longitude = ((x as f64 + 0.5) / WIDTH as f64 - 0.5) * 360.0;
    Direction::from_degrees(longitude, 90.0 - (y as f64 + 0.5) * 180.0 / HEIGHT as f64)
}

/// Where the tripod itself is: it is darker or brighter than the floor by far more than its shadow makes the floor.
fn tripod(with: &RgbImage, without: &RgbImage) -> Vec<(usize, usize)> {
    let first = HEIGHT - with.height() as usize;
    let is_other = |x: u32, y: u32| {
        let (a, b) = (with.get_pixel(x, y).0, without.get_pixel(x, y).0);
        // A shadow dims all colours alike; metal has a colour of its own.
        let ratio = |c: usize| (f64::from(a[c]) + 8.0) / (f64::from(b[c]) + 8.0);
        let ratios = [ratio(0), ratio(1), ratio(2)];
        let (least, most) = (ratios.iter().copied().fold(9.0, f64::min), ratios.iter().copied().fold(0.0, f64::max));
        least < 0.33 || most > 1.6 || most / least > 1.7
    };
    let places = (0..with.height()).flat_map(|y| (0..with.width()).map(move |x| (x, y)));
    places.filter(|(x, y)| is_other(*x, *y)).map(|(x, y)| (x as usize, first + y as usize)).collect()
}

/// Solid angle of a pixel, by that of one on the equator.
fn weight(y: usize) -> f64 {
    (std::f64::consts::PI * (0.5 - (y as f64 + 0.5) / HEIGHT as f64)).cos()
}

/// From the example's own picture.
fn shot(room: &str) -> LinearPicture {
    let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/sample-tour/shots")).join(format!("{room}.jpg"));
    let picture = image::open(path).unwrap().to_rgb8();
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let mut sphere = LinearPicture::black(width, height);
    for y in height / 2..height {
        let mut row = empty_row(width);
        for x in 0..width {
            let light = light(picture.get_pixel(x as u32, y as u32).0);
            row.iter_mut().zip(light).for_each(|(channel, light)| channel[x] = light);
        }
        sphere.set_row(y, &mut row);
    }
    sphere
}

/// A rod between two places, in metres: right, ahead, up from the floor; and its radius.
type Rod = ([f64; 3], [f64; 3], f64);

/// What `sample-tour/scene/tripod.py` builds.
fn rods() -> Vec<Rod> {
    let top = 1.31;
    let mut rods = vec![
        ([0.0, 0.0, 0.55], [0.0, 0.0, top - 0.085], 0.012),
        ([0.0, 0.0, top - 0.115], [0.0, 0.0, top - 0.031], 0.021),
        ([0.02, 0.0, top - 0.07], [0.055, 0.0, top - 0.07], 0.008),
        ([0.0, 0.0, top - 0.031], [0.0, 0.0, top], 0.024),
        ([0.0, 0.0, 0.96], [0.0, 0.0, 1.05], 0.030),
    ];
    let leg = [
        ([0.032, 1.01], [0.20, 0.55], 0.013),
        ([0.194, 0.575], [0.395, 0.02], 0.009),
        ([0.191, 0.58], [0.212, 0.525], 0.017),
        ([0.402, 0.0], [0.388, 0.045], 0.015),
        ([0.0, 0.60], [0.185, 0.60], 0.006),
    ];
    for turn in [0.0f64, 120.0, 240.0] {
        let (sin, cos) = turn.to_radians().sin_cos();
        rods.extend(leg.map(|(a, b, radius)| ([a[0] * cos, a[0] * sin, a[1]], [b[0] * cos, b[0] * sin, b[1]], radius)));
    }
    rods
}

/// Which of the directions show the tripod: those whose line of sight comes near enough to a rod. A direction is right and ahead of the nadir, as tangents.
fn truth(directions: &[[f64; 2]]) -> Vec<bool> {
    let (sin, cos) = 20f64.to_radians().sin_cos();
    let turned = |[x, y, z]: [f64; 3]| [x * cos - y * sin, x * sin + y * cos, z - 1.58];
    let along = |(a, b, radius): Rod| {
        let (a, b) = (turned(a), turned(b));
        (0..=40).map(move |k| (std::array::from_fn(|i| a[i] + (b[i] - a[i]) * f64::from(k) / 40.0), radius))
    };
    let balls: Vec<([f64; 3], f64)> = rods().into_iter().flat_map(along).collect();
    let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let is_hit = |&[right, ahead]: &[f64; 2]| {
        let ray = [right, ahead, -1.0];
        balls.iter().any(|&(ball, radius)| dot(ball, ball) - dot(ball, ray).powi(2) / dot(ray, ray) < radius * radius)
    };
    directions.iter().map(is_hit).collect()
}

/// From edge to edge of a floor's picture.
const FLOOR_DEG: f64 = 80.0;

/// A picture of a floor with pixels to a tangent unit.
fn floor(name: &str) -> (FlatLight, f64) {
    let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/floors")).join(format!("{name}.jpg"));
    let picture = image::open(path).unwrap().to_rgb8();
    let pixels = picture.pixels().map(|pixel| light(pixel.0)).collect();
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let scale = width as f64 / 2.0 / (FLOOR_DEG / 2.0).to_radians().tan();
    (FlatLight { width, height, pixels }, scale)
}

/// The directions of a square of that many pixels about the nadir, to a tangent of `reach`.
fn directions(side: usize, reach: f64) -> Vec<[f64; 2]> {
    let along = |pixel: usize| ((pixel as f64 + 0.5) / side as f64 * 2.0 - 1.0) * reach;
    (0..side * side).map(|index| [along(index % side), -along(index / side)]).collect()
}

/// How much of the tripod is found, and how much is found by the tripod's own area.
fn judge(name: &str, truth: &[bool], found: &[bool], most_area: f64) {
    let count = |is_one: &dyn Fn(usize) -> bool| (0..truth.len()).filter(|index| is_one(*index)).count() as f64;
    let all = count(&|index| truth[index]);
    let (recall, area) = (count(&|index| truth[index] && found[index]) / all, count(&|index| found[index]) / all);
    println!("{name:28} recall {recall:.4}, {area:.2} times the tripod's area");
    assert!(recall >= 0.98 && area <= most_area, "{name}: recall {recall:.4}, {area:.2} times the tripod's area");
}

#[test]
fn the_tripod_is_found_in_every_room_and_not_much_besides() {
    let directions = directions(700, 0.5);
    let truth = truth(&directions);
    for room in ROOMS {
        let found = find(&shot(room), false).unwrap_or_else(|unsure| panic!("{room}: {unsure}"));
        let is_found = |&[right, ahead]: &[f64; 2]| found.cover(Direction::normalized(right, -1.0, ahead)) > 0.5;
        judge(room, &truth, &directions.iter().map(is_found).collect::<Vec<_>>(), 2.2);
    }
}

#[test]
fn the_tripod_is_found_on_floors_of_many_kinds() {
    for name in
        ["carpet", "flagstones", "gravel", "lawn", "lozenge-rug", "oak-boards", "polished-concrete", "quarry-tiles"]
    {
        let name = format!("{name}-tripod");
        let (view, scale) = floor(&name);
        let found = find_below(&view, scale, false).unwrap_or_else(|unsure| panic!("{name}: {unsure}"));
        let truth = truth(&directions(view.width, (FLOOR_DEG / 2.0).to_radians().tan()));
        judge(&name, &truth, &found.inside, 2.8);
    }
}

#[test]
fn where_there_is_no_tripod_none_is_found() {
    for with_shadow in [false, true] {
        for room in ROOMS {
            let found = find(&sphere(&low(&format!("{room}-without-tripod"))), with_shadow);
            assert!(found.is_err(), "{room}: something is taken for a tripod");
        }
        let files = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/floors")).unwrap();
        let names = files.map(|file| file.unwrap().file_name().into_string().unwrap());
        let floors = names.filter_map(|name| name.strip_suffix(".jpg").map(str::to_owned));
        for name in floors.filter(|name| !name.ends_with("-tripod")) {
            let (view, scale) = floor(&name);
            assert!(find_below(&view, scale, with_shadow).is_err(), "{name}: something is taken for a tripod");
        }
    }
}

#[test]
fn a_view_that_is_too_small_says_so() {
    let (view, _) = floor("oak-boards");
    assert_eq!(find_below(&view, 600.0, false), Err(Unsure::TooSmall));
}

#[test]
fn a_floor_without_a_tripod_is_filled_as_usual_and_says_so() {
    let floor = sphere(&low("terrace-without-tripod"));
    let tripod = Repair { kind: RepairKind::FillTripod { radius_deg: None, with_shadow: false }, is_private: false };
    let stages = retouch(&floor, &[tripod], &[]).unwrap();
    assert_eq!(stages.doubts.len(), 1);
    assert_eq!(stages.doubts[0].repair, 0);
    assert!(stages.doubts[0].what.contains("nadir"), "{}", stages.doubts[0].what);
}

/// Decibels over the tripod's own pixels, in sRGB counts.
fn psnr(made: &dyn LinearRows, truth: &LinearPicture, places: &[(usize, usize)]) -> f64 {
    let encode = |light: f32| 255.0 * enfilade::picture::linear::light_to_srgb(f64::from(light).clamp(0.0, 1.0));
    let (mut ours, mut theirs) = (empty_row(WIDTH), empty_row(WIDTH));
    let (mut sum, mut weights) = (0.0, 0.0);
    for (x, y) in places {
        made.read(*y, &mut ours);
        truth.read(*y, &mut theirs);
        for channel in 0..3 {
            sum += weight(*y) * (encode(ours[channel][*x]) - encode(theirs[channel][*x])).powi(2);
            weights += weight(*y);
        }
    }
    10.0 * (255.0f64.powi(2) * weights / sum).log10()
}

#[test]
fn the_floor_under_the_tripod_is_much_as_it_was() {
    let mut reached = Vec::new();
    for room in ROOMS {
        let (with, without) = (low(room), low(&format!("{room}-without-tripod")));
        let (with_tripod, truth) = (sphere(&with), sphere(&without));
        let fill = Repair { kind: RepairKind::FillTripod { radius_deg: None, with_shadow: false }, is_private: false };
        let made = retouch(&with_tripod, &[fill], &[]).unwrap().altered.unwrap();
        let places: Vec<_> =
            tripod(&with, &without).into_iter().filter(|(x, y)| direction(*x, *y).latitude() < -66.0).collect();
        let (before, after) = (psnr(&with_tripod, &truth, &places), psnr(&made, &truth, &places));
        println!("{room:22} {before:.2} dB with the tripod, {after:.2} dB filled");
        assert!(after > before + 4.0, "{room}: {before:.2} dB with the tripod, {after:.2} dB filled");
        reached.push(after);
    }
    reached.sort_by(f64::total_cmp);
    assert!(reached[3] > 20.0, "{reached:.1?}");
}
