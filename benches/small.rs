//! What `--small` gains and costs on whole pictures: `cargo bench --bench small -- PICTURE.jpg…`
//!
//! For each equirectangular JPEG: bytes of the small files by bytes of the usual ones at quality 85, how their SSIMULACRA2
//! differs on average and in the middle over all tiles (reference: the tile at quality 100 with full chroma), the same for
//! the tile that loses most, and the time that cutting takes by the time that it usually takes.

use enfilade::picture::{Chroma, decode};
use enfilade::sphere::Rotation;
use enfilade::tiles::{Encoding, Layout, Source, Tile, cut};
use image::RgbImage;
use rayon::prelude::*;
use ssimulacra2::{ColorPrimaries, Rgb, TransferCharacteristic, compute_frame_ssimulacra2};
use std::time::{Duration, Instant};

fn main() {
    println!("{:32} {:>6} {:>6} {:>6} {:>6} {:>5}", "picture", "bytes", "mean", "middle", "worst", "time");
    // Cargo adds an argument of its own.
    for path in std::env::args().skip(1).filter(|argument| !argument.starts_with("--")) {
        let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
        println!("{path:32} {}", compared(&bytes));
    }
}

fn compared(picture: &[u8]) -> String {
    let source = |chroma| Source::new(decode(picture, chroma).expect("a JPEG that can be read"));
    let half = source(Chroma::Half);
    let (usual, usual_time) = timed(&half, Encoding { quality: 85, small: false });
    let (small, small_time) = timed(&half, Encoding { quality: 85, small: true });
    let (references, _) = timed(&source(Chroma::Full), Encoding { quality: 100, small: false });
    let mut gains: Vec<f64> = (0..usual.len())
        .into_par_iter()
        .filter_map(|i| {
            let reference = decoded(&references[i]);
            Some(score(&reference, &small[i])? - score(&reference, &usual[i])?)
        })
        .collect();
    gains.sort_by(f64::total_cmp);
    let bytes = |tiles: &[Tile]| tiles.iter().map(|tile| tile.jpeg.len()).sum::<usize>() as f64;
    let (ratio, slower) = (bytes(&small) / bytes(&usual), small_time.as_secs_f64() / usual_time.as_secs_f64());
    let (mean, middle) = (gains.iter().sum::<f64>() / gains.len() as f64, gains[gains.len() / 2]);
    format!("{ratio:6.3} {mean:+6.2} {middle:+6.2} {:+6.2} {slower:5.1}", gains[0])
}

fn timed(source: &Source, encoding: Encoding) -> (Vec<Tile>, Duration) {
    let start = Instant::now();
    let tiles = cut(source, Rotation::IDENTITY, &Layout::for_width(source.width() as u32), encoding);
    (tiles, start.elapsed())
}

fn decoded(tile: &Tile) -> RgbImage {
    image::load_from_memory(&tile.jpeg).expect("a tile of our own").to_rgb8()
}

/// None for tiles too small to be scored.
fn score(reference: &RgbImage, tile: &Tile) -> Option<f64> {
    let linear = |picture: &RgbImage| {
        let pixels = picture.pixels().map(|pixel| pixel.0.map(|value| f32::from(value) / 255.0)).collect();
        let (width, height) = (picture.width() as usize, picture.height() as usize);
        Rgb::new(pixels, width, height, TransferCharacteristic::SRGB, ColorPrimaries::BT709).ok()
    };
    compute_frame_ssimulacra2(linear(reference)?, linear(&decoded(tile))?).ok()
}
