//! Finding the tripod, and filling what it covered, in every room of the example with the tripod and without.

use enfilade::darkroom::retouch::tripod::{Unsure, find};
use enfilade::darkroom::retouch::{Repair, RepairKind, retouch};
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

/// A sphere with a room's lower rows; what lies above is grey.
fn sphere(low: &RgbImage) -> LinearPicture {
    let mut picture = LinearPicture::black(WIDTH, HEIGHT);
    let first = HEIGHT - low.height() as usize;
    for y in 0..HEIGHT {
        let mut row = empty_row(WIDTH);
        for x in 0..WIDTH {
            let light = match y.checked_sub(first) {
                Some(below) => {
                    let pixel = low.get_pixel(x as u32, below as u32).0;
                    through(&SRGB_TO_BT2020, pixel.map(|value| srgb_to_light(f64::from(value) / 255.0) as f32))
                }
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

#[test]
fn the_tripod_is_found_in_every_room_and_not_much_besides() {
    for room in ROOMS {
        let (with, without) = (low(room), low(&format!("{room}-without-tripod")));
        let found = find(&sphere(&with), false).unwrap_or_else(|unsure| panic!("{room}: {unsure}"));
        let truth: Vec<(usize, usize)> =
            tripod(&with, &without).into_iter().filter(|(x, y)| direction(*x, *y).latitude() < -66.0).collect();
        let all: f64 = truth.iter().map(|(_, y)| weight(*y)).sum();
        let covered: f64 =
            truth.iter().filter(|(x, y)| found.cover(direction(*x, *y)) > 0.0).map(|(_, y)| weight(*y)).sum();
        let area: f64 = (0..WIDTH * HEIGHT)
            .filter(|index| found.cover(direction(index % WIDTH, index / WIDTH)) > 0.0)
            .map(|index| weight(index / WIDTH))
            .sum();
        println!(
            "{room:22} recall {:.4}, area {:.2} of the tripod's, reach {:.1}",
            covered / all,
            area / all,
            found.reach_deg
        );
        assert!(covered / all >= 0.97, "{room}: {:.4} of the tripod is found", covered / all);
        // Legs are thin and the margin around them is not.
        assert!(area / all <= 6.0, "{room}: {:.2} times the tripod's own area", area / all);
    }
}

#[test]
fn where_there_is_no_tripod_none_is_found() {
    for room in ROOMS {
        let floor = sphere(&low(&format!("{room}-without-tripod")));
        match find(&floor, false) {
            Err(Unsure::NothingStandsOut | Unsure::NoLegs) => {}
            Ok(found) => panic!("{room}: something that reaches {:.1}° is taken for a tripod", found.reach_deg),
        }
    }
}

#[test]
fn a_floor_without_a_tripod_is_filled_as_usual_and_says_so() {
    let floor = sphere(&low("terrace-without-tripod"));
    let tripod = Repair { kind: RepairKind::FillTripod { radius_deg: None, with_shadow: false }, is_private: false };
    let stages = retouch(&floor, &[tripod], &[]).unwrap();
    assert_eq!(stages.doubts.len(), 1);
    assert_eq!(stages.doubts[0].repair, 0);
    assert!(stages.doubts[0].what.contains("below the camera"), "{}", stages.doubts[0].what);
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
