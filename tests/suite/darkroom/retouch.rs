//! Repairs on the sphere: what they cover, and that they touch nothing else.

use enfilade::darkroom::retouch::{Repair, RepairKind, retouch};
use enfilade::darkroom::{Files, Recipe, develop};
use enfilade::picture::linear::{LinearPicture, LinearRows, empty_row};
use enfilade::picture::{Chroma, YccPicture};
use enfilade::sphere::{Direction, Region, Spot};

pub(super) const WIDTH: usize = 1024;
pub(super) const HEIGHT: usize = WIDTH / 2;
/// No edge is softer than this beyond a region: an eighth of the largest radius, and a few pixels.
const WIDEST_FEATHER_DEG: f64 = 0.125 * 60.0 + 12.0 * 360.0 / WIDTH as f64;

pub(super) fn spot(longitude: f64, latitude: f64) -> Spot {
    Spot::new(longitude, latitude).unwrap()
}

/// Which way a pixel looks.
pub(super) fn direction(x: usize, y: usize) -> Direction {
    let longitude = ((x as f64 + 0.5) / WIDTH as f64 - 0.5) * 360.0;
    Direction::from_degrees(longitude, 90.0 - (y as f64 + 0.5) * 180.0 / HEIGHT as f64)
}

/// A picture of 8 bits with detail everywhere: waves and noise on the sphere.
pub(super) fn detailed() -> YccPicture {
    let mut state = 7u32;
    let mut plane = |middle: f64, strength: f64| -> Vec<u8> {
        (0..WIDTH * HEIGHT)
            .map(|index| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let d = direction(index % WIDTH, index / WIDTH);
                let wave = (40.0 * d.right).sin() + (31.0 * d.up).cos() + (23.0 * d.ahead).sin();
                let grain = f64::from(state >> 24) / 255.0 - 0.5;
                (middle + strength * (0.25 * wave + 0.4 * grain)).clamp(0.0, 255.0) as u8
            })
            .collect()
    };
    let (y, cb, cr) = (plane(128.0, 90.0), plane(128.0, 25.0), plane(128.0, 25.0));
    YccPicture { width: WIDTH, height: HEIGHT, chroma: Chroma::Full, y, cb, cr }
}

pub(super) fn on(kind: RepairKind) -> Repair {
    Repair { kind, is_private: false }
}

/// Rows of light, one channel after the other.
pub(super) fn rows(sphere: &dyn LinearRows) -> Vec<[Vec<f32>; 3]> {
    let mut row = empty_row(WIDTH);
    let read = |y| {
        sphere.read(y, &mut row);
        row.clone()
    };
    (0..HEIGHT).map(read).collect()
}

/// Regions at the nadir, across ±180°, on the edge between two faces, at the zenith, at 2° and at 60°, and a polygon.
fn regions() -> Vec<Region> {
    let square = [spot(170.0, -8.0), spot(-170.0, -9.0), spot(-172.0, 6.0), spot(172.0, 7.0)];
    vec![
        Region::disc(spot(0.0, -90.0), 24.0),
        Region::disc(spot(180.0, 0.0), 6.0),
        Region::disc(spot(45.0, 10.0), 2.0),
        Region::disc(spot(30.0, 88.0), 5.0),
        Region::disc(spot(-100.0, -20.0), 60.0),
        Region::polygon(&square).unwrap(),
    ]
}

/// Every kind that covers a region.
fn kinds(region: &Region) -> Vec<RepairKind> {
    let clone = |from| RepairKind::Clone { onto: region.clone(), from, from_shot: None, turned_clockwise_deg: 25.0 };
    vec![RepairKind::Blur(region.clone()), clone(Some(spot(100.0, 15.0))), RepairKind::Fill(region.clone())]
}

#[test]
fn nothing_beyond_the_feathered_edge_changes_by_one_bit() {
    let sphere = LinearPicture::of(&detailed());
    let before = rows(&sphere);
    for region in regions() {
        for kind in kinds(&region) {
            let name = format!("{kind:?}");
            let stages = retouch(&sphere, &[on(kind)], &[]).unwrap();
            let after = rows(&stages.altered.unwrap());
            assert_eq!(rows(&stages.unaltered), before, "{name}");
            let (mut inside, mut changed) = (0, 0);
            for y in 0..HEIGHT {
                for x in 0..WIDTH {
                    let pixel = |rows: &[[Vec<f32>; 3]]| [0, 1, 2].map(|channel| rows[y][channel][x].to_bits());
                    let distance = region.distance_deg(direction(x, y));
                    let is_changed = pixel(&before) != pixel(&after);
                    assert!(!is_changed || distance < WIDEST_FEATHER_DEG, "{name}: {x} {y}, {distance}° outside");
                    inside += usize::from(distance < 0.0);
                    changed += usize::from(distance < 0.0 && is_changed);
                }
            }
            assert!(changed as f64 > 0.99 * inside as f64, "{name}: {changed} of {inside} pixels are covered");
        }
    }
}

#[test]
fn eight_bits_beyond_the_edge_stay_as_the_camera_wrote_them() {
    // Through the whole of the darkroom: a PNG is kept to the last bit without repairs, so that with them it can be compared.
    let picture = detailed();
    let rgb: Vec<u8> =
        (0..WIDTH * HEIGHT).flat_map(|index| [picture.y[index], picture.cb[index], picture.cr[index]]).collect();
    let mut png = Vec::new();
    image::RgbImage::from_raw(WIDTH as u32, HEIGHT as u32, rgb)
        .unwrap()
        .write_to(&mut std::io::Cursor::new(&mut png), image::ImageFormat::Png)
        .unwrap();
    let shots = [png];
    let region = Region::disc(spot(-179.0, -70.0), 12.0);
    for chroma in [Chroma::Half, Chroma::Full] {
        let plain = develop(Files { shots: &shots, materials: &[] }, &Recipe::default(), chroma).unwrap();
        assert_eq!(plain.unaltered, None);
        let recipe = Recipe { retouch: vec![on(RepairKind::Blur(region.clone()))], ..Recipe::default() };
        let made = develop(Files { shots: &shots, materials: &[] }, &recipe, chroma).unwrap();
        assert_eq!(made.unaltered.as_ref(), Some(&plain.picture));
        let mut changed = 0;
        for index in 0..WIDTH * HEIGHT {
            let distance = region.distance_deg(direction(index % WIDTH, index / WIDTH));
            let is_changed = made.picture.y[index] != plain.picture.y[index];
            assert!(!is_changed || distance < WIDEST_FEATHER_DEG, "{chroma:?}: {index}, {distance}° outside");
            changed += usize::from(is_changed);
        }
        assert!(changed > 5000);
    }
}

/// A picture that is grey but for letters within a region, drawn by `ink`: light or dark strokes about the same mean.
fn with_letters(region: &Region, ink: impl Fn(Direction) -> bool) -> LinearPicture {
    let mut picture = LinearPicture::black(WIDTH, HEIGHT);
    for y in 0..HEIGHT {
        let mut row = empty_row(WIDTH);
        for x in 0..WIDTH {
            let d = direction(x, y);
            let light = match region.distance_deg(d) < 0.0 {
                true if ink(d) => 0.9,
                true => 0.1,
                false => 0.4,
            };
            row.iter_mut().for_each(|channel| channel[x] = light);
        }
        picture.set_row(y, &mut row);
    }
    picture
}

#[test]
fn what_was_blurred_cannot_be_told_apart() {
    // Stripes across and stripes down, twelve to the region: as different as two words, with nearly the same means. What comes out
    // may differ by what sampling leaves of a mean, and by nothing that shows which of the two it was.
    let region = Region::disc(spot(20.0, 5.0), 12.0);
    let stripes = |value: f64| (value * 2.0).rem_euclid(2.0) < 1.0;
    let across = with_letters(&region, |d| stripes(d.latitude()));
    let down = with_letters(&region, |d| stripes(d.longitude()));
    let blurred = |picture: &LinearPicture| {
        rows(
            &retouch(picture, &[Repair { kind: RepairKind::Blur(region.clone()), is_private: true }], &[])
                .unwrap()
                .unaltered,
        )
    };
    let (first, second) = (blurred(&across), blurred(&down));
    let mut worst: f32 = 0.0;
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            if region.distance_deg(direction(x, y)) < 0.0 {
                worst = worst.max((first[y][0][x] - second[y][0][x]).abs());
            }
        }
    }
    // 0.8 lay between a stroke and its ground. At the disc's rim a block holds few strokes, whose number shows in its mean.
    assert!(worst < 0.12, "{worst}");
}

#[test]
fn privacy_covers_copies_of_its_region_and_whatever_is_laid_over_it() {
    let face = Region::disc(spot(60.0, 10.0), 6.0);
    let elsewhere = Region::disc(spot(-60.0, -20.0), 6.0);
    // A checkerboard that nothing else in the picture resembles.
    let checks = |d: Direction| ((d.longitude() / 1.5).floor() + (d.latitude() / 1.5).floor()).rem_euclid(2.0) < 1.0;
    let sphere = with_letters(&face, checks);
    let copy = |onto: &Region, from: Spot| {
        on(RepairKind::Clone { onto: onto.clone(), from: Some(from), from_shot: None, turned_clockwise_deg: 0.0 })
    };
    let blur = Repair { kind: RepairKind::Blur(face.clone()), is_private: true };
    let there_and_back = [copy(&elsewhere, spot(60.0, 10.0)), copy(&face, spot(-60.0, -20.0)), blur.clone()];
    for repairs in [there_and_back.to_vec(), vec![blur, there_and_back[0].clone(), there_and_back[1].clone()]] {
        let stages = retouch(&sphere, &repairs, &[]).unwrap();
        for (name, sphere) in [("altered", &stages.altered.unwrap()), ("unaltered", &stages.unaltered)] {
            for (y, row) in rows(sphere).iter().enumerate() {
                // Neighbours differ by 0.8 where checks meet; nowhere is a tenth of that left.
                for x in 1..WIDTH {
                    let near = [&face, &elsewhere].iter().any(|region| region.distance_deg(direction(x, y)) < -0.5);
                    let step = (row[0][x] - row[0][x - 1]).abs();
                    assert!(!near || step < 0.08, "{name}: a step of {step} at {x}, {y}");
                }
            }
        }
    }
}

#[test]
fn a_copy_is_as_bright_as_what_surrounds_it() {
    // The right half of the picture has a quarter of the light, and is warmer.
    let light = |d: Direction| if d.right > 0.0 { [0.12, 0.1, 0.08] } else { [0.4, 0.4, 0.4] };
    let mut sphere = LinearPicture::black(WIDTH, HEIGHT);
    for y in 0..HEIGHT {
        let mut row = empty_row(WIDTH);
        for x in 0..WIDTH {
            let light = light(direction(x, y));
            row.iter_mut().zip(light).for_each(|(channel, light)| channel[x] = light);
        }
        sphere.set_row(y, &mut row);
    }
    let onto = Region::disc(spot(60.0, 0.0), 8.0);
    let clone = RepairKind::Clone {
        onto: onto.clone(),
        from: Some(spot(-60.0, 0.0)),
        from_shot: None,
        turned_clockwise_deg: 0.0,
    };
    let made = rows(&retouch(&sphere, &[on(clone)], &[]).unwrap().altered.unwrap());
    let middle = (0.5 + 60.0 / 360.0) * WIDTH as f64;
    for (channel, expected) in [0.12, 0.1, 0.08].into_iter().enumerate() {
        let got = made[HEIGHT / 2][channel][middle as usize];
        assert!((got / expected - 1.0).abs() < 0.01, "{channel}: {got} for {expected}");
    }
}

/// A wall without pattern, lit from one side: light that falls off with the direction, warmer at one end.
fn lit_wall(width: usize, strength: f64) -> LinearPicture {
    let mut sphere = LinearPicture::black(width, width / 2);
    for y in 0..width / 2 {
        let mut row = empty_row(width);
        for x in 0..width {
            let longitude = ((x as f64 + 0.5) / width as f64 - 0.5) * 360.0;
            let d = Direction::from_degrees(longitude, 90.0 - (y as f64 + 0.5) * 360.0 / width as f64);
            let light = 0.25 * (strength * (d.right + 0.5 * d.up)).exp();
            for (channel, warmth) in row.iter_mut().zip([1.0 + 0.2 * d.right, 1.0, 1.0 - 0.2 * d.right]) {
                channel[x] = (light * warmth) as f32;
            }
        }
        sphere.set_row(y, &mut row);
    }
    sphere
}

#[test]
fn no_edge_shows_where_a_copy_lies_on_a_gradient() {
    use enfilade::picture::linear::light_to_srgb;
    let value = |light: f32| 255.0 * light_to_srgb(f64::from(light));
    let sphere = lit_wall(WIDTH, 1.5);
    let before = rows(&sphere);
    let mut other = Vec::new();
    // Another shot of the same wall, half as large again and lit otherwise, as it comes from a camera.
    let source = lit_wall(3 * WIDTH / 2, -0.7);
    let mut row = empty_row(source.width);
    let pixels = (0..source.height).flat_map(|y| {
        source.read(y, &mut row);
        (0..source.width)
            .flat_map(|x| [0, 1, 2].map(|channel| (257.0 * value(row[channel][x])) as u16))
            .collect::<Vec<_>>()
    });
    let picture = image::ImageBuffer::<image::Rgb<u16>, _>::from_raw(
        source.width as u32,
        source.height as u32,
        pixels.collect::<Vec<u16>>(),
    );
    picture.unwrap().write_to(&mut std::io::Cursor::new(&mut other), image::ImageFormat::Png).unwrap();
    for region in [
        Region::disc(spot(20.0, 0.0), 10.0),
        Region::disc(spot(180.0, -30.0), 20.0),
        Region::disc(spot(0.0, -90.0), 24.0),
        Region::polygon(&[spot(60.0, -8.0), spot(80.0, -9.0), spot(78.0, 6.0), spot(62.0, 7.0)]).unwrap(),
    ] {
        for (from, from_shot) in [(Some(spot(-40.0, 10.0)), None), (None, Some(0))] {
            let clone = RepairKind::Clone { onto: region.clone(), from, from_shot, turned_clockwise_deg: 15.0 };
            let after = rows(&retouch(&sphere, &[on(clone)], &[other.clone()]).unwrap().altered.unwrap());
            for (x, y) in (1..HEIGHT).flat_map(|y| (1..WIDTH).map(move |x| (x, y))) {
                // About the edge: from just outside the region to where the copy lies alone.
                if region.distance_deg(direction(x, y)).abs() > 0.1 * region.reach_deg() + 1.0 {
                    continue;
                }
                for channel in 0..3 {
                    let step = |rows: &[[Vec<f32>; 3]], (to_x, to_y): (usize, usize)| {
                        value(rows[y][channel][x]) - value(rows[to_y][channel][to_x])
                    };
                    for to in [(x - 1, y), (x, y - 1)] {
                        let more = (step(&after, to) - step(&before, to)).abs();
                        assert!(more <= 1.0, "{region:?} {from_shot:?}: a step of {more} at {x}, {y}");
                    }
                }
            }
        }
    }
}

#[test]
fn one_thread_and_many_make_the_same_bytes() {
    let sphere = LinearPicture::of(&detailed());
    let repairs: Vec<Repair> = regions().iter().flat_map(kinds).map(on).collect();
    let made = || rows(&retouch(&sphere, &repairs, &[]).unwrap().altered.unwrap());
    let threads = |count| rayon::ThreadPoolBuilder::new().num_threads(count).build().unwrap();
    assert!(threads(1).install(made) == threads(3).install(made));
}

#[test]
fn a_plain_disc_lies_on_the_floor() {
    let sphere = LinearPicture::of(&detailed());
    let disc = RepairKind::PlainDisc { radius_deg: 14.0, colour: [0x6b, 0x62, 0x59] };
    let made = rows(&retouch(&sphere, &[on(disc)], &[]).unwrap().altered.unwrap());
    let nadir: Vec<f32> = made[HEIGHT - 1].iter().map(|channel| channel[WIDTH / 3]).collect();
    // sRGB 0x6b is 0.1470 of full light, 0x59 is 0.0999 (IEC 61966-2-1); in BT.2020's primaries the three lie a little closer together.
    assert!(nadir[0] > nadir[1] && nadir[1] > nadir[2]);
    assert!((0.0999..0.147).contains(&nadir[0]) && (0.0999..0.147).contains(&nadir[2]), "{nadir:?}");
}
