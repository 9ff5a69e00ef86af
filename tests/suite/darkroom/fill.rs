//! Filling holes in floors, against the truth and against OpenCV's two ways of filling the same holes.
//!
//! OpenCV's numbers, and how they are measured, are in `tests/fixtures/floors`; the same is measured here.

use enfilade::darkroom::retouch::{FlatLight, fill};
use enfilade::picture::linear::{BT2020_TO_SRGB, SRGB_TO_BT2020, light_to_srgb, srgb_to_light, through};
use image::RgbImage;
use std::collections::BTreeMap;
use std::path::Path;

/// Floors whose pattern says how they go on: what is filled can be right to the pixel.
const STRUCTURED: [&str; 11] = [
    "brick-paving",
    "checked-rug",
    "chequered-tiles",
    "flagstones",
    "lozenge-rug",
    "oak-boards",
    "photographed-brick",
    "quarry-tiles",
    "striped-rug",
    "walnut-boards",
    "wide-pine-boards",
];

/// Floors that look alike everywhere and are the same nowhere, the mosaic's small stones of any colour among them: what is
/// filled can only look like them.
const RANDOM: [&str; 9] = [
    "carpet",
    "cobbles",
    "gravel",
    "lawn",
    "photographed-grass",
    "photographed-gravel",
    "polished-concrete",
    "small-mosaic",
    "terrazzo",
];

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/floors");
/// Of the hole, by the picture's width.
const RADIUS: f64 = 0.19;

fn floor(name: &str) -> RgbImage {
    image::open(Path::new(FOLDER).join(format!("{name}.jpg"))).unwrap().to_rgb8()
}

fn hole(width: usize) -> Vec<bool> {
    let away = |at: usize| at as f64 - (width as f64 - 1.0) / 2.0;
    let is_inside =
        |index: usize| away(index % width).powi(2) + away(index / width).powi(2) <= (RADIUS * width as f64).powi(2);
    (0..width * width).map(is_inside).collect()
}

/// The floor as light, with a colour in the hole that no floor has.
fn with_hole(floor: &RgbImage, hole: &[bool]) -> FlatLight {
    let light = |value: u8| srgb_to_light(f64::from(value) / 255.0) as f32;
    let pixels = floor.pixels().zip(hole);
    let pixels = pixels.map(|(pixel, hole)| match hole {
        true => [0.8, 0.0, 0.8],
        false => through(&SRGB_TO_BT2020, pixel.0.map(light)),
    });
    FlatLight { width: floor.width() as usize, height: floor.height() as usize, pixels: pixels.collect() }
}

fn filled(floor: &RgbImage) -> RgbImage {
    let hole = hole(floor.width() as usize);
    let mut picture = with_hole(floor, &hole);
    fill(&mut picture, &hole, &vec![false; hole.len()]);
    let value = |light: f32| (255.0 * light_to_srgb(f64::from(light).clamp(0.0, 1.0))).round() as u8;
    let bytes = picture.pixels.iter().flat_map(|light| through(&BT2020_TO_SRGB, *light).map(value)).collect();
    RgbImage::from_raw(floor.width(), floor.height(), bytes).unwrap()
}

fn psnr(filled: &RgbImage, truth: &RgbImage, hole: &[bool]) -> f64 {
    let inside = || filled.pixels().zip(truth.pixels()).zip(hole).filter(|(_, hole)| **hole).map(|(pair, _)| pair);
    let square = |(a, b): (&image::Rgb<u8>, &image::Rgb<u8>)| {
        (0..3).map(|channel| (f64::from(a[channel]) - f64::from(b[channel])).powi(2)).sum::<f64>()
    };
    let (sum, count) = (inside().map(square).sum::<f64>(), inside().count());
    10.0 * (255.0f64.powi(2) * 3.0 * count as f64 / sum).log10()
}

/// Means of luma over squares of 2r + 1 pixels; beyond the edge the edge goes on.
fn means(picture: &RgbImage, reach: i64) -> Vec<f64> {
    let (width, height) = (i64::from(picture.width()), i64::from(picture.height()));
    let grey: Vec<f64> = picture
        .pixels()
        .map(|pixel| 0.299 * f64::from(pixel[0]) + 0.587 * f64::from(pixel[1]) + 0.114 * f64::from(pixel[2]))
        .collect();
    let along = |grey: &[f64], across: bool| -> Vec<f64> {
        let at = |x: i64, y: i64| grey[(y.clamp(0, height - 1) * width + x.clamp(0, width - 1)) as usize];
        let mean = |index: i64| {
            let (x, y) = (index % width, index / width);
            let sum: f64 = (-reach..=reach).map(|step| if across { at(x + step, y) } else { at(x, y + step) }).sum();
            sum / (2 * reach + 1) as f64
        };
        (0..width * height).map(mean).collect()
    };
    along(&along(&grey, true), false)
}

fn deviations(picture: &RgbImage, hole: &[bool]) -> Vec<f64> {
    let means: Vec<Vec<f64>> = [0, 1, 2, 4, 8].map(|reach| means(picture, reach)).into();
    let deviation = |pair: &[Vec<f64>]| {
        let inside = || {
            pair[0].iter().zip(&pair[1]).zip(hole).filter(|(_, hole)| **hole).map(|((fine, coarse), _)| fine - coarse)
        };
        let count = inside().count() as f64;
        let mean = inside().sum::<f64>() / count;
        (inside().map(|value| (value - mean).powi(2)).sum::<f64>() / count).sqrt()
    };
    means.windows(2).map(deviation).collect()
}

fn texture_distance(filled: &RgbImage, truth: &RgbImage, hole: &[bool]) -> f64 {
    let pairs = deviations(filled, hole).into_iter().zip(deviations(truth, hole));
    pairs.map(|(ours, theirs)| ((ours + 1e-3) / (theirs + 1e-3)).log2().abs()).sum::<f64>() / 4.0
}

/// The better PSNR and the better texture distance of OpenCV's two.
fn opencv() -> BTreeMap<String, (f64, f64)> {
    let table = std::fs::read_to_string(Path::new(FOLDER).join("opencv.csv")).unwrap();
    let rows = table.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |index: usize| cells[index].parse::<f64>().unwrap();
        (cells[0].to_owned(), (number(1).max(number(2)), number(3).min(number(4))))
    });
    rows.collect()
}

#[test]
fn patterns_go_on_as_they_are_laid() {
    let opencv = opencv();
    let mut gains: Vec<f64> = STRUCTURED
        .iter()
        .map(|name| {
            let truth = floor(name);
            let reached = psnr(&filled(&truth), &truth, &hole(truth.width() as usize));
            println!("{name:20} {reached:6.2} dB, OpenCV {:6.2}", opencv[*name].0);
            reached - opencv[*name].0
        })
        .collect();
    gains.sort_by(f64::total_cmp);
    let median = gains[gains.len() / 2];
    assert!(median >= 3.0, "median {median:.2} dB of {gains:.2?}");
    assert!(gains[0] > -2.5, "{gains:.2?}");
}

#[test]
fn what_is_alike_everywhere_looks_alike_in_the_hole() {
    let opencv = opencv();
    for name in RANDOM {
        let truth = floor(name);
        let distance = texture_distance(&filled(&truth), &truth, &hole(truth.width() as usize));
        let theirs = opencv[name].1;
        println!("{name:20} {distance:.3}, OpenCV {theirs:.3}");
        assert!(distance < 0.6 * theirs, "{name}: {distance:.3} from the truth, OpenCV {theirs:.3}");
    }
}

#[test]
fn nothing_but_the_hole_changes_and_nothing_forbidden_is_taken() {
    let truth = floor("quarry-tiles");
    let width = truth.width() as usize;
    let hole = hole(width);
    let mut picture = with_hole(&truth, &hole);
    // A strip of pure blue right beside the hole.
    let forbidden: Vec<bool> = (0..hole.len()).map(|index| index % width > width * 7 / 10).collect();
    for (pixel, _) in picture.pixels.iter_mut().zip(&forbidden).filter(|(_, forbidden)| **forbidden) {
        *pixel = [0.0, 0.0, 1.0];
    }
    let before = picture.clone();
    fill(&mut picture, &hole, &forbidden);
    for (index, (after, before)) in picture.pixels.iter().zip(&before.pixels).enumerate() {
        if hole[index] {
            // Of the strip's blue there is no red; tiles have more red than blue.
            assert!(after[0] > 0.7 * after[2], "blue at {index}: {after:?}");
        } else {
            assert_eq!(after.map(f32::to_bits), before.map(f32::to_bits), "{index}");
        }
    }
}

#[test]
fn one_thread_and_many_fill_with_the_same_bytes() {
    let truth = floor("flagstones");
    let threads = |count| rayon::ThreadPoolBuilder::new().num_threads(count).build().unwrap();
    assert!(threads(1).install(|| filled(&truth)) == threads(3).install(|| filled(&truth)));
}

#[test]
fn odd_pictures_and_holes_are_stood() {
    let plain =
        |width: usize, height: usize| FlatLight { width, height, pixels: vec![[0.2, 0.3, 0.1]; width * height] };
    for (width, height) in [(1, 1), (5, 3), (40, 30), (64, 64)] {
        for hole in [
            vec![false; width * height],
            vec![true; width * height],
            (0..width * height).map(|index| index == 0).collect(),
            (0..width * height).map(|index| index % width >= width / 2).collect(),
        ] {
            let mut picture = plain(width, height);
            fill(&mut picture, &hole, &vec![false; width * height]);
            assert!(picture.pixels.iter().flatten().all(|light| light.is_finite()));
            fill(&mut picture, &hole, &vec![true; width * height]);
        }
    }
    let mut strange = plain(64, 64);
    strange.pixels[40] = [f32::NAN, f32::INFINITY, -1e9];
    let hole: Vec<bool> =
        (0..64 * 64).map(|index| (20..44).contains(&(index % 64)) && (20..44).contains(&(index / 64))).collect();
    fill(&mut strange, &hole, &vec![false; 64 * 64]);
    assert!(
        strange
            .pixels
            .iter()
            .zip(&hole)
            .filter(|(_, hole)| **hole)
            .all(|(pixel, _)| pixel.iter().all(|light| light.is_finite()))
    );
}
