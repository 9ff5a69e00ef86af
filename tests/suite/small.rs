//! What `--small` is held to: far fewer bytes than usual at the same quality, at no lower SSIMULACRA2.
//!
//! SSIMULACRA2 (J. Sneyers, Cloudinary 2022–23) is computed by the crate `ssimulacra2`. The reference of each tile is the same
//! tile at quality 100 with full chroma.

use enfilade::picture::{Chroma, YccPicture, decode};
use enfilade::sphere::Rotation;
use enfilade::tiles::{Encoding, Layout, Source, Tile, cut};
use image::RgbImage;
use rayon::prelude::*;
use ssimulacra2::{ColorPrimaries, Rgb, TransferCharacteristic, compute_frame_ssimulacra2};

const WIDTH: usize = 2048;

/// A repeatable stream of numbers from 0 to 1 (a linear congruential generator with Knuth's MMIX constants).
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / (1u64 << 31) as f64
    }

    /// Between −1 and 1, more often near 0.
    fn around_zero(&mut self) -> f64 {
        self.next() + self.next() + self.next() - 1.5
    }
}

/// Discs over discs, the sizes by an inverse-cube law, each with a colour, a slope of brightness and a coarse or fine texture
/// of its own; then sensor grain. Such "dead leaves" have the statistics of photographs: A. B. Lee, D. Mumford and
/// J. Huang, "Occlusion models for natural images", International Journal of Computer Vision 41 (2001).
fn leaves(seed: u64) -> Vec<[f64; 3]> {
    let (width, height) = (WIDTH as i64, WIDTH as i64 / 2);
    let mut random = Random(seed);
    let mut picture = vec![[120.0; 3]; WIDTH * WIDTH / 2];
    for _ in 0..6000 {
        // The inverse of the cumulative distribution of 1/r³ between the smallest and the largest radius.
        let (smallest, largest) = (4.0_f64, 220.0_f64);
        let share = random.next();
        let radius = (smallest.powi(-2) * (1.0 - share) + largest.powi(-2) * share).powf(-0.5);
        let (x, y) = (random.next() * width as f64, random.next() * height as f64);
        let grey = 40.0 + 170.0 * random.next();
        let colour: [f64; 3] = std::array::from_fn(|_| grey + 35.0 * random.around_zero());
        let (slope_x, slope_y) = (25.0 * random.around_zero() / radius, 25.0 * random.around_zero() / radius);
        let (texture, wave) = (14.0 * random.next().powi(2), 0.15 + 1.2 * random.next());
        let turn = std::f64::consts::TAU * random.next();
        let reach = radius.ceil() as i64;
        for row in (y as i64 - reach).max(0)..(y as i64 + reach).min(height) {
            for column in x as i64 - reach..x as i64 + reach {
                let (dx, dy) = (column as f64 - x, row as f64 - y);
                if dx.hypot(dy) < radius {
                    let phase = wave * (dx * turn.cos() + dy * turn.sin());
                    let light = slope_x * dx + slope_y * dy + texture * phase.sin() * (0.7 * wave * dy).cos();
                    let at = row * width + column.rem_euclid(width);
                    picture[at as usize] = colour.map(|value| value + light);
                }
            }
        }
    }
    for pixel in &mut picture {
        let grain = 5.0 * random.around_zero();
        *pixel = pixel.map(|value| (value + grain).clamp(0.0, 255.0));
    }
    picture
}

/// Walls with soft light, a few pieces of furniture with hard edges, and faint grain.
fn interior(seed: u64) -> Vec<[f64; 3]> {
    let mut random = Random(seed);
    let lamps: Vec<[f64; 3]> = (0..9).map(|_| std::array::from_fn(|_| random.next())).collect();
    let pieces: Vec<([f64; 4], [f64; 3])> = (0..40)
        .map(|_| {
            let place = [random.next(), random.next(), 0.02 + 0.1 * random.next(), 0.02 + 0.2 * random.next()];
            let grey = 30.0 + 150.0 * random.next();
            (place, std::array::from_fn(|_| grey + 20.0 * random.around_zero()))
        })
        .collect();
    (0..WIDTH * WIDTH / 2)
        .map(|i| {
            let (x, y) = ((i % WIDTH) as f64 / WIDTH as f64, (i / WIDTH * 2) as f64 / WIDTH as f64);
            let inside = |[left, top, width, height]: &[f64; 4]| {
                (x - left).abs() < width / 2.0 && (y - top).abs() < height / 2.0
            };
            let colour = pieces.iter().rfind(|(place, _)| inside(place)).map_or([150.0, 140.0, 125.0], |piece| piece.1);
            let distance = |lamp: &[f64; 3]| (x - lamp[0]).hypot((y - lamp[1]) / 2.0) / (0.05 + 0.2 * lamp[2]);
            let light = 0.5 + lamps.iter().map(|lamp| 0.4 / (1.0 + distance(lamp).powi(2))).sum::<f64>();
            let grain = 2.5 * random.around_zero();
            colour.map(|value| (value * light + grain).clamp(0.0, 255.0))
        })
        .collect()
}

/// Planes by the formulas of ITU-T T.871 (JFIF); halved chroma is the mean of four pixels.
fn planes(picture: &[[f64; 3]], chroma: Chroma) -> YccPicture {
    let luma = |[red, green, blue]: [f64; 3]| 0.299 * red + 0.587 * green + 0.114 * blue;
    let plane = |value: &dyn Fn([f64; 3]) -> f64, side: usize| -> Vec<u8> {
        let (width, area) = (WIDTH / side, (side * side) as f64);
        (0..width * width / 2)
            .map(|i| {
                let (left, top) = (i % width * side, i / width * side);
                let block = (0..side * side).map(|k| picture[(top + k / side) * WIDTH + left + k % side]);
                (block.map(value).sum::<f64>() / area).round().clamp(0.0, 255.0) as u8
            })
            .collect()
    };
    let side = if chroma == Chroma::Half { 2 } else { 1 };
    YccPicture {
        width: WIDTH,
        height: WIDTH / 2,
        chroma,
        y: plane(&luma, 1),
        cb: plane(&|pixel| 128.0 + (pixel[2] - luma(pixel)) / 1.772, side),
        cr: plane(&|pixel| 128.0 + (pixel[0] - luma(pixel)) / 1.402, side),
    }
}

/// Means of 2×2 samples: a quarter of the tiles, to save time.
fn halved(picture: &YccPicture) -> YccPicture {
    let colour_width = if picture.chroma == Chroma::Half { picture.width / 2 } else { picture.width };
    let plane = |samples: &[u8], width: usize| -> Vec<u8> {
        let mean = |(a, b): (&[u8], &[u8])| {
            ((u16::from(a[0]) + u16::from(a[1]) + u16::from(b[0]) + u16::from(b[1]) + 2) / 4) as u8
        };
        let rows = samples.chunks_exact(2 * width).map(|rows| rows.split_at(width));
        rows.flat_map(|(upper, lower)| upper.chunks_exact(2).zip(lower.chunks_exact(2)).map(mean)).collect()
    };
    YccPicture {
        width: picture.width / 2,
        height: picture.height / 2,
        chroma: picture.chroma,
        y: plane(&picture.y, picture.width),
        cb: plane(&picture.cb, colour_width),
        cr: plane(&picture.cr, colour_width),
    }
}

fn tiles(picture: YccPicture, encoding: Encoding) -> Vec<Tile> {
    let layout = Layout::for_width(picture.width as u32);
    cut(&Source::new(picture), Rotation::IDENTITY, &layout, encoding)
}

fn bytes(tiles: &[Tile]) -> f64 {
    tiles.iter().map(|tile| tile.jpeg.len() as f64).sum()
}

fn decoded(tile: &Tile) -> RgbImage {
    image::load_from_memory(&tile.jpeg).unwrap().to_rgb8()
}

fn score(reference: &RgbImage, tile: &Tile) -> f64 {
    let linear = |picture: &RgbImage| {
        let pixels = picture.pixels().map(|pixel| pixel.0.map(|value| f32::from(value) / 255.0)).collect();
        let (width, height) = (picture.width() as usize, picture.height() as usize);
        Rgb::new(pixels, width, height, TransferCharacteristic::SRGB, ColorPrimaries::BT709).unwrap()
    };
    compute_frame_ssimulacra2(linear(reference), linear(&decoded(tile))).unwrap()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Bytes of small files by bytes of usual ones, and the mean and the median rise of the score over all tiles.
fn compared(planes: &dyn Fn(Chroma) -> YccPicture) -> (f64, f64, f64) {
    let at = |chroma, quality, small| tiles(planes(chroma), Encoding { quality, small });
    let references = at(Chroma::Full, 100, false);
    let (usual, small) = (at(Chroma::Half, 85, false), at(Chroma::Half, 85, true));
    let gains: Vec<f64> = (0..usual.len())
        .into_par_iter()
        .map(|i| {
            let reference = decoded(&references[i]);
            score(&reference, &small[i]) - score(&reference, &usual[i])
        })
        .collect();
    (bytes(&small) / bytes(&usual), gains.iter().sum::<f64>() / gains.len() as f64, median(gains))
}

fn assert_smaller_at_no_lower_score(name: &str, most: f64, planes: &dyn Fn(Chroma) -> YccPicture) {
    let (ratio, mean, median) = compared(planes);
    assert!(
        ratio <= most && mean >= 0.0 && median >= 0.0,
        "{name}: {ratio:.3} of the usual bytes, SSIMULACRA2 {mean:+.2} on average, {median:+.2} in the middle"
    );
}

#[test]
fn leaves_are_smaller_at_no_lower_score() {
    let picture = leaves(20);
    assert_smaller_at_no_lower_score("leaves", 0.80, &|chroma| planes(&picture, chroma));
}

#[test]
fn interiors_are_smaller_at_no_lower_score() {
    let picture = interior(5);
    assert_smaller_at_no_lower_score("interior", 0.70, &|chroma| planes(&picture, chroma));
}

#[test]
fn a_room_of_the_sample_tour_is_smaller_at_no_lower_score() {
    // Rendered rooms have soft light and little grain: the usual tables waste little on them.
    let shot = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/sample-tour/shots/hall.jpg")).unwrap();
    assert_smaller_at_no_lower_score("hall", 0.86, &|chroma| halved(&decode(&shot, chroma).unwrap()));
}

#[test]
fn quality_is_meant_in_both_ways() {
    let picture = leaves(3);
    for (chroma, small) in [(Chroma::Half, false), (Chroma::Full, true)] {
        let at = |quality| tiles(planes(&picture, chroma), Encoding { quality, small });
        let sizes = [1, 30, 85, 100].map(|quality| bytes(&at(quality)));
        assert!(sizes.is_sorted_by(|coarse, fine| coarse < fine), "{sizes:?}");
    }
}
