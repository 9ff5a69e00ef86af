//! The truths of `tests/fixtures/house/` are what they say they are.

use enfilade::sphere::{Direction, Rotation};
use image::{ImageBuffer, Rgb, RgbImage};
use std::f64::consts::PI;

fn path(name: &str) -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/house").join(name)
}

fn picture(name: &str) -> RgbImage {
    image::open(path(name)).unwrap_or_else(|error| panic!("{name}: {error}")).into_rgb8()
}

/// The linear light beside a bracket; 1 is what the middle frame calls full white.
fn light(name: &str) -> ImageBuffer<Rgb<f32>, Vec<f32>> {
    let kept = image::open(path(name)).unwrap().into_rgb16();
    ImageBuffer::from_fn(kept.width(), kept.height(), |x, y| {
        Rgb(kept.get_pixel(x, y).0.map(|value| 8.0 * (f32::from(value) / 65535.0).powi(2)))
    })
}

/// The sRGB curve (IEC 61966-2-1), 0 to 255.
fn srgb(light: f32) -> f32 {
    let light = light.clamp(0.0, 1.0);
    255.0 * if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

/// Mean absolute difference of two sequences of pixels.
fn mean_difference(pairs: impl Iterator<Item = ([f32; 3], [f32; 3])>) -> f32 {
    let (mut sum, mut count) = (0.0, 0);
    for (one, other) in pairs {
        sum += one.iter().zip(other).map(|(a, b)| (a - b).abs()).sum::<f32>();
        count += 3;
    }
    sum / count as f32
}

/// Every pixel of an equirectangular picture with its direction.
fn sphere(picture: &RgbImage) -> impl Iterator<Item = (Direction, [f32; 3])> + '_ {
    let (width, height) = picture.dimensions();
    picture.enumerate_pixels().map(move |(x, y, pixel)| {
        let longitude = (f64::from(x) + 0.5) * 360.0 / f64::from(width) - 180.0;
        let latitude = 90.0 - (f64::from(y) + 0.5) * 180.0 / f64::from(height);
        (Direction::from_degrees(longitude, latitude), pixel.0.map(f32::from))
    })
}

/// Bilinear; columns join, rows are held at the picture's edge.
fn sample(picture: &RgbImage, column: f64, row: f64) -> [f32; 3] {
    let (width, height) = picture.dimensions();
    let (left, top) = (column.floor(), row.floor());
    let (across, down) = ((column - left) as f32, (row - top) as f32);
    let pixel = |x: f64, y: f64| {
        let x = x.rem_euclid(f64::from(width)) as u32;
        picture.get_pixel(x, y.clamp(0.0, f64::from(height - 1)) as u32).0.map(f32::from)
    };
    let corners = [pixel(left, top), pixel(left + 1.0, top), pixel(left, top + 1.0), pixel(left + 1.0, top + 1.0)];
    std::array::from_fn(|channel| {
        let [a, b, c, d] = corners.map(|corner| corner[channel]);
        (a + (b - a) * across) * (1.0 - down) + (c + (d - c) * across) * down
    })
}

fn seen_in_sphere(picture: &RgbImage, direction: Direction) -> [f32; 3] {
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let column = (direction.longitude() / 360.0 + 0.5) * width - 0.5;
    sample(picture, column, (0.5 - direction.latitude() / 180.0) * height - 0.5)
}

#[test]
fn each_frame_of_the_bracket_is_the_srgb_curve_of_its_light() {
    let light = light("sitting-room-door-end-bracket-light.png");
    for (frame, stops) in [(1, -2.0_f32), (2, 0.0), (3, 2.0)] {
        let frame = picture(&format!("sitting-room-door-end-bracket-{frame}.jpg"));
        assert_eq!(frame.dimensions(), light.dimensions());
        let off_by = |error: f32| {
            mean_difference(light.pixels().zip(frame.pixels()).map(|(light, shown)| {
                (light.0.map(|light| srgb(light * (stops + error).exp2())), shown.0.map(f32::from))
            }))
        };
        // JPEG and the rest of the grain; a tenth of a stop more or less must be told apart.
        assert!(off_by(0.0) < 2.0, "{stops} EV: {}", off_by(0.0));
        assert!(off_by(0.1) > 1.5 * off_by(0.0) && off_by(-0.1) > 1.5 * off_by(0.0), "{stops} EV");
    }
    let brightest = light.pixels().flat_map(|pixel| pixel.0).fold(0.0, f32::max);
    assert!((2.0..4.0).contains(&brightest), "the darkest frame holds what the middle one does not: {brightest}");
}

#[test]
fn the_dark_warm_bedroom_is_darker_and_warmer_than_its_twin() {
    let means = |name: &str| {
        let picture = picture(name);
        let count = (picture.width() * picture.height()) as f32;
        picture.pixels().fold([0.0; 3], |sum: [f32; 3], pixel| {
            std::array::from_fn(|channel| sum[channel] + f32::from(pixel.0[channel]) / count)
        })
    };
    let (right, wrong) = (means("bedroom.jpg"), means("bedroom-dark-and-warm.jpg"));
    assert!(wrong[1] < 0.6 * right[1], "{wrong:?} against {right:?}");
    assert!(wrong[0] / wrong[2] > 1.6 * right[0] / right[2], "{wrong:?} against {right:?}");
}

/// The tripod leans with the camera, so that below −60° the two pictures rightly differ.
#[test]
fn the_tilted_landing_set_upright_is_its_level_twin() {
    let (level, tilted) = (picture("landing.jpg"), picture("landing-tilted.jpg"));
    let upright_off_by = |pitch: f64, roll: f64| {
        let to_camera = Rotation::from_tilt(pitch, roll).inverse();
        let above_the_tripod = sphere(&level).filter(|(direction, _)| direction.latitude() > -60.0);
        mean_difference(
            above_the_tripod.map(|(direction, shown)| (seen_in_sphere(&tilted, to_camera.apply(direction)), shown)),
        )
    };
    let right = upright_off_by(3.4, -4.6);
    assert!(right < 2.5, "{right}");
    for (pitch, roll) in [(3.4, 4.6), (-3.4, -4.6), (3.0, -4.6), (3.4, -4.2)] {
        let wrong = upright_off_by(pitch, roll);
        assert!(wrong > 1.3 * right, "pitch {pitch}, roll {roll}: {wrong} against {right}");
    }
}

/// Where an equidistant circle of 200° shows a direction: as far from its centre as the angle, 100° at the rim.
fn seen_in_circle(pair: &RgbImage, left: f64, direction: Direction) -> Option<[f32; 3]> {
    let radius = f64::from(pair.height()) / 2.0;
    let angle = direction.ahead.clamp(-1.0, 1.0).acos();
    let away = angle / (100.0 / 180.0 * PI) * radius;
    let aside = direction.right.hypot(direction.up).max(1e-12);
    let (column, row) = (radius + away * direction.right / aside, radius - away * direction.up / aside);
    (angle < 60_f64.to_radians()).then(|| sample(pair, left + column - 0.5, row - 0.5))
}

/// Only far from the seam: nearer to it, near things are seen from two places 25 mm apart.
#[test]
fn the_fisheye_circles_show_the_kitchen_ahead_and_behind() {
    let (sphere_picture, pair) = (picture("kitchen.jpg"), picture("kitchen-fisheyes.jpg"));
    let side = f64::from(pair.height());
    for (left, sign) in [(0.0, 1.0), (side, -1.0)] {
        let off_by = |turn: f64| {
            mean_difference(sphere(&sphere_picture).filter(|(direction, _)| direction.latitude() > -50.0).filter_map(
                |(direction, shown)| {
                    let lens =
                        Direction { right: sign * direction.right, up: direction.up, ahead: sign * direction.ahead };
                    let turned = Rotation::from_tilt(turn, 0.0).apply(lens);
                    Some((seen_in_circle(&pair, left, turned)?, shown))
                },
            ))
        };
        let right = off_by(0.0);
        assert!(right < 5.0, "the circle at {left}: {right}");
        assert!(off_by(2.0) > 1.5 * right && off_by(-2.0) > 1.5 * right, "the circle at {left}: {right}");
    }
}

/// The lowest 148 of 512 rows. The first of them are the same light; a camera's tripod is dark against most floors at the last.
#[test]
fn rooms_with_and_without_the_tripod_differ_in_nothing_but_the_tripod() {
    for room in ["hall", "kitchen", "sitting-room-door-end", "sitting-room-hearth", "terrace", "landing", "bedroom"] {
        let (with, without) = (picture(&format!("{room}-low.jpg")), picture(&format!("{room}-without-tripod-low.jpg")));
        assert_eq!((with.dimensions(), without.dimensions()), ((1024, 148), (1024, 148)), "{room}");
        let differ = |rows: std::ops::Range<u32>| {
            mean_difference(
                rows.flat_map(|y| (0..1024).map(move |x| (x, y)))
                    .map(|(x, y)| (with.get_pixel(x, y).0.map(f32::from), without.get_pixel(x, y).0.map(f32::from))),
            )
        };
        assert!(differ(0..2) < 1.5, "{room} above the tripod: {}", differ(0..2));
        assert!(differ(128..148) > 15.0, "{room} at the nadir: {}", differ(128..148));
    }
}
