//! How far a decoded tile is from its source as an eye would judge, so that small files can be held to what the usual ones
//! keep.
//!
//! The terms of SSIMULACRA2 that carry nearly all of its weight (J. Sneyers, Cloudinary, 2022–23; the weights and constants
//! are those of its public description): in the colour space XYB, at the tile's size and at halves of it, where structure
//! differs (SSIM), where edges have come to be, and where detail has gone. Unlike the score, the loss is the plain weighted
//! sum: 0 for the same picture, larger for a worse one.
//!
//! Floating-point operations come in a fixed order and are never fused, so that every machine comes to the same loss.

use super::wide::{dispatch, widened};
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

/// Of the colour space XYB: red against green, brightness, blue against brightness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Channel {
    X,
    Y,
    B,
}

/// What differences count in one channel at one scale.
#[derive(Clone, Copy, Debug)]
struct Term {
    /// How often the picture is halved.
    scale: usize,
    channel: Channel,
    weights: Weights,
}

/// Each kind of difference by its mean and by its 4-norm, which minds the worst places.
#[derive(Clone, Copy, Debug)]
struct Weights {
    structure: [f64; 2],
    added_edges: [f64; 2],
    lost_detail: [f64; 2],
}

/// The published weights, but for those below 0.9, which change nothing that can be seen.
const TERMS: [Term; 10] = [
    term(0, Channel::Y, [0.0, 7.467], [0.0, 0.0], [0.0, 17.446]),
    term(1, Channel::Y, [0.0, 6.684], [0.0, 0.0], [0.0, 1.028]),
    term(2, Channel::X, [0.0, 1.842], [0.0, 11.441], [0.0, 0.0]),
    term(2, Channel::Y, [225.205, 19.213], [0.0, 0.0], [0.0, 0.0]),
    term(3, Channel::X, [0.0, 1.879], [0.0, 10.949], [0.0, 0.0]),
    term(3, Channel::Y, [176.393, 24.433], [0.0, 0.0], [0.0, 0.0]),
    term(3, Channel::B, [0.0, 8.827], [0.0, 23.192], [0.0, 0.0]),
    term(4, Channel::X, [0.0, 0.0], [0.968, 0.998], [0.0, 0.0]),
    term(4, Channel::Y, [0.0, 34.779], [0.0, 44.836], [0.0, 0.0]),
    term(4, Channel::B, [95.108, 0.0], [0.986, 171.267], [0.983, 0.981]),
];

const fn term(
    scale: usize,
    channel: Channel,
    structure: [f64; 2],
    added_edges: [f64; 2],
    lost_detail: [f64; 2],
) -> Term {
    Term { scale, channel, weights: Weights { structure, added_edges, lost_detail } }
}

/// Below this many pixels a scale says nothing.
const SMALLEST_SIDE: usize = 8;

/// A loss in its parts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Loss {
    pub brightness: f64,
    pub colour: f64,
}

impl Loss {
    pub fn whole(self) -> f64 {
        self.brightness + self.colour
    }
}

/// Turns samples into what an eye sees; shared between threads.
pub(super) struct Eye {
    /// Linear light of the 256 values of sRGB.
    light: [f32; 256],
}

/// A picture as it is compared: one entry for each term whose scale is large enough.
pub(super) struct Seen(Vec<SeenChannel>);

/// A channel, its local means and the local means of its squares.
struct SeenChannel {
    samples: Plane,
    mean: Plane,
    square: Plane,
}

#[derive(Clone, Debug)]
struct Plane {
    width: usize,
    height: usize,
    samples: Vec<f32>,
}

impl Eye {
    /// The transfer function of sRGB: IEC 61966-2-1.
    pub fn new() -> Eye {
        let light = |value: usize| {
            let signal = value as f64 / 255.0;
            if signal <= 0.04045 { signal / 12.92 } else { libm::pow((signal + 0.055) / 1.055, 2.4) }
        };
        Eye { light: std::array::from_fn(|value| light(value) as f32) }
    }

    /// Sees a file of the encoder's own.
    pub fn see_jpeg(&self, jpeg: &[u8]) -> Seen {
        let options = DecoderOptions::default().jpeg_set_out_colorspace(ColorSpace::YCbCr);
        let mut decoder = JpegDecoder::new_with_options(ZCursor::new(jpeg), options);
        let samples = decoder.decode().expect("what the encoder writes can be read");
        let (width, _) = decoder.dimensions().expect("the headers have been read");
        self.see(&samples, width)
    }

    /// Sees a picture of interleaved Y', Cb, Cr.
    pub fn see(&self, ycc: &[u8], width: usize) -> Seen {
        let mut light = self.linear(ycc, width);
        let mut seen = Vec::with_capacity(TERMS.len());
        let mut scale = 0;
        for term in TERMS {
            while scale < term.scale {
                light = light.map(|plane| halved(&plane));
                scale += 1;
            }
            if light[0].width.min(light[0].height) < SMALLEST_SIDE {
                break;
            }
            seen.push(SeenChannel::of(channel(term.channel, &light)));
        }
        Seen(seen)
    }

    /// Linear red, green and blue, by the formulas of ITU-T T.871 in 16 bits after the point.
    fn linear(&self, ycc: &[u8], width: usize) -> [Plane; 3] {
        let mut planes = [(); 3].map(|()| Vec::with_capacity(ycc.len() / 3));
        let value = |number: i32| self.light[((number + (1 << 15)) >> 16).clamp(0, 255) as usize];
        for pixel in ycc.chunks_exact(3) {
            let (luma, blue, red) = (i32::from(pixel[0]) << 16, i32::from(pixel[1]) - 128, i32::from(pixel[2]) - 128);
            planes[0].push(value(luma + 91_881 * red));
            planes[1].push(value(luma - 22_554 * blue - 46_802 * red));
            planes[2].push(value(luma + 116_130 * blue));
        }
        planes.map(|samples| Plane { width, height: samples.len() / width, samples })
    }
}

impl Seen {
    /// How far the other is from this one.
    pub fn loss(&self, other: &Seen) -> Loss {
        let mut loss = Loss::default();
        for (term, (a, b)) in TERMS.iter().zip(self.0.iter().zip(&other.0)) {
            let part = if term.channel == Channel::Y { &mut loss.brightness } else { &mut loss.colour };
            *part += a.loss(b, &term.weights);
        }
        loss
    }
}

impl SeenChannel {
    fn of(samples: Plane) -> SeenChannel {
        let square = samples.times(&samples);
        SeenChannel { mean: blurred(&samples), square: blurred(&square), samples }
    }

    /// The same stretch of the samples, their means and the means of their squares.
    fn rows(&self, at: std::ops::Range<usize>) -> [&[f32]; 3] {
        [&self.samples, &self.mean, &self.square].map(|plane| &plane.samples[at.clone()])
    }

    fn loss(&self, other: &SeenChannel, weights: &Weights) -> f64 {
        let product = blurred(&self.samples.times(&other.samples));
        let mut sums = [0.0; 6];
        let width = self.samples.width;
        let row = |plane: &'_ Plane, y: usize| -> std::ops::Range<usize> { y * plane.width..(y + 1) * plane.width };
        for y in 0..self.samples.height {
            let at = row(&product, y);
            let mut row_sums = [0.0f32; 6];
            let (first, second) = (self.rows(at.clone()), other.rows(at.clone()));
            let product = &product.samples[at];
            dispatch!(differences, differences_wide, (first, second, product, &mut row_sums));
            for (sum, row_sum) in sums.iter_mut().zip(row_sums) {
                *sum += f64::from(row_sum);
            }
        }
        let count = (width * self.samples.height) as f64;
        let norms = |sums: &[f64], weights: [f64; 2]| {
            weights[0] * sums[0] / count + weights[1] * (sums[1] / count).sqrt().sqrt()
        };
        norms(&sums[..2], weights.structure)
            + norms(&sums[2..4], weights.added_edges)
            + norms(&sums[4..], weights.lost_detail)
    }
}

/// How many sums run beside one another.
const LANES: usize = 8;
/// Keeps the structural difference of plain ground apart from noise: SSIMULACRA2's constant.
const PLAIN: f32 = 0.0009;

widened! {
    fn differences / differences_wide (
        first: [&[f32]; 3],
        second: [&[f32]; 3],
        product: &[f32],
        sums: &mut [f32; 6],
    ) {
        let ([a, mean_a, square_a], [b, mean_b, square_b]) = (first, second);
        let mut lanes = [[0.0f32; LANES]; 6];
        let mut step = |x: usize, lane: usize| {
            let (ma, mb) = (mean_a[x], mean_b[x]);
            let apart = ma - mb;
            let shared = 2.0 * (product[x] - ma * mb) + PLAIN;
            let all = (square_a[x] - ma * ma) + (square_b[x] - mb * mb) + PLAIN;
            let structure = (1.0 - (1.0 - apart * apart) * shared / all).max(0.0);
            let edge = (1.0 + (b[x] - mb).abs()) / (1.0 + (a[x] - ma).abs()) - 1.0;
            let (added, lost) = (edge.max(0.0), (-edge).max(0.0));
            for (index, value) in [structure, added, lost].into_iter().enumerate() {
                lanes[2 * index][lane] += value;
                let square = value * value;
                lanes[2 * index + 1][lane] += square * square;
            }
        };
        let width = product.len();
        let whole = width / LANES * LANES;
        for start in (0..whole).step_by(LANES) {
            for lane in 0..LANES {
                step(start + lane, lane);
            }
        }
        for x in whole..width {
            step(x, x - whole);
        }
        for (sum, lanes) in sums.iter_mut().zip(lanes) {
            *sum = lanes.iter().sum();
        }
    }
}

impl Plane {
    fn times(&self, other: &Plane) -> Plane {
        let samples = self.samples.iter().zip(&other.samples).map(|(a, b)| a * b).collect();
        Plane { samples, ..*self }
    }
}

/// Means of 2×2 pixels; an odd last column or row is left out.
fn halved(plane: &Plane) -> Plane {
    let (width, height) = (plane.width / 2, plane.height / 2);
    let samples = (0..height)
        .flat_map(|y| {
            let rows = &plane.samples[2 * y * plane.width..];
            let (upper, lower) = (&rows[..2 * width], &rows[plane.width..][..2 * width]);
            upper.chunks_exact(2).zip(lower.chunks_exact(2)).map(|(a, b)| ((a[0] + a[1]) + (b[0] + b[1])) * 0.25)
        })
        .collect();
    Plane { width, height, samples }
}

/// One channel of XYB. Constants that move all samples alike are left out: only differences count.
fn channel(channel: Channel, [red, green, blue]: &[Plane; 3]) -> Plane {
    let mut samples = vec![0.0; red.samples.len()];
    let (red_light, green_light, blue_light) = (&red.samples[..], &green.samples[..], &blue.samples[..]);
    match channel {
        Channel::X => dispatch!(x, x_wide, (red_light, green_light, blue_light, &mut samples)),
        Channel::Y => dispatch!(y, y_wide, (red_light, green_light, blue_light, &mut samples)),
        Channel::B => dispatch!(b, b_wide, (red_light, green_light, blue_light, &mut samples)),
    }
    Plane { width: red.width, height: red.height, samples }
}

/// The bias of XYB's cube roots.
const BIAS: f32 = 0.003_793_073_3;

/// How strongly the three kinds of cone in the eye answer.
#[inline(always)]
fn long(red: f32, green: f32, blue: f32) -> f32 {
    cube_root(0.3 * red + 0.622 * green + 0.078 * blue + BIAS)
}

#[inline(always)]
fn middle(red: f32, green: f32, blue: f32) -> f32 {
    cube_root(0.23 * red + 0.692 * green + 0.078 * blue + BIAS)
}

#[inline(always)]
fn short(red: f32, green: f32, blue: f32) -> f32 {
    cube_root(0.243_422_69 * red + 0.204_767_45 * green + 0.551_809_86 * blue + BIAS)
}

/// Of a number that is above nought and not tiny: a third of the exponent, then two steps of Halley's method.
#[inline(always)]
fn cube_root(value: f32) -> f32 {
    let mut root = f32::from_bits(value.to_bits() / 3 + 709_921_077);
    for _ in 0..2 {
        let cube = root * root * root;
        root *= (cube + 2.0 * value) / (2.0 * cube + value);
    }
    root
}

widened! {
    fn x / x_wide (red: &[f32], green: &[f32], blue: &[f32], out: &mut [f32]) {
        for (((out, &red), &green), &blue) in out.iter_mut().zip(red).zip(green).zip(blue) {
            *out = 7.0 * (long(red, green, blue) - middle(red, green, blue));
        }
    }
}

widened! {
    fn y / y_wide (red: &[f32], green: &[f32], blue: &[f32], out: &mut [f32]) {
        for (((out, &red), &green), &blue) in out.iter_mut().zip(red).zip(green).zip(blue) {
            *out = 0.5 * (long(red, green, blue) + middle(red, green, blue));
        }
    }
}

widened! {
    fn b / b_wide (red: &[f32], green: &[f32], blue: &[f32], out: &mut [f32]) {
        for (((out, &red), &green), &blue) in out.iter_mut().zip(red).zip(green).zip(blue) {
            let bright = 0.5 * (long(red, green, blue) + middle(red, green, blue));
            *out = short(red, green, blue) - bright;
        }
    }
}

/// A Gaussian with a standard deviation of 1.5 pixels, from its middle outwards.
const TAPS: [f32; 5] = [0.266_56, 0.213_45, 0.109_59, 0.036_07, 0.007_61];
const REACH: usize = TAPS.len() - 1;

/// Local means; beyond the edge, pixels repeat.
fn blurred(plane: &Plane) -> Plane {
    let mut samples = vec![0.0; plane.samples.len()];
    let mut line = vec![0.0; plane.width + 2 * REACH];
    for (y, out) in samples.chunks_exact_mut(plane.width).enumerate() {
        let row = |offset: isize| {
            let y = (y as isize + offset).clamp(0, plane.height as isize - 1) as usize;
            &plane.samples[y * plane.width..][..plane.width]
        };
        let rows: [&[f32]; 2 * REACH + 1] = std::array::from_fn(|i| row(i as isize - REACH as isize));
        let line = &mut line[..];
        dispatch!(blur_row, blur_row_wide, (&rows, line, out));
    }
    Plane { samples, ..*plane }
}

widened! {
    fn blur_row / blur_row_wide (rows: &[&[f32]; 2 * REACH + 1], line: &mut [f32], out: &mut [f32]) {
        let width = out.len();
        let rows = rows.map(|row| &row[..width]);
        let down = &mut line[REACH..][..width];
        for x in 0..width {
            let mut sum = TAPS[0] * rows[REACH][x];
            for k in 1..=REACH {
                sum += TAPS[k] * (rows[REACH - k][x] + rows[REACH + k][x]);
            }
            down[x] = sum;
        }
        let (first, last) = (line[REACH], line[REACH + width - 1]);
        line[..REACH].fill(first);
        line[REACH + width..].fill(last);
        let line = &line[..width + 2 * REACH];
        for x in 0..width {
            let mut sum = TAPS[0] * line[x + REACH];
            for k in 1..=REACH {
                sum += TAPS[k] * (line[x + REACH - k] + line[x + REACH + k]);
            }
            out[x] = sum;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ssimulacra2::{ColorPrimaries, Rgb, TransferCharacteristic, compute_frame_ssimulacra2};

    const SIDE: usize = 448;

    /// Grey waves and edges with noise of ±`noise` counts, as interleaved Y', Cb, Cr with plain colour.
    fn picture(noise: i32) -> Vec<u8> {
        let mut state = 7u32;
        (0..SIDE * SIDE)
            .flat_map(|i| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let (x, y) = ((i % SIDE) as i32, (i / SIDE) as i32);
                let ground = 60 + x / 5 + if (x / 23 + y / 31) % 2 == 0 { 50 } else { 0 };
                [(ground + (state >> 16) as i32 % (2 * noise + 1) - noise) as u8, 128, 128]
            })
            .collect()
    }

    /// By the crate `ssimulacra2`, which follows the published program.
    fn published(a: &[u8], b: &[u8]) -> f64 {
        let rgb = |ycc: &[u8]| {
            let pixels = ycc.chunks_exact(3).map(|pixel| [f32::from(pixel[0]) / 255.0; 3]).collect();
            Rgb::new(pixels, SIDE, SIDE, TransferCharacteristic::SRGB, ColorPrimaries::BT709).unwrap()
        };
        compute_frame_ssimulacra2(rgb(a), rgb(b)).unwrap()
    }

    /// The score that a loss stands for: the published polynomial and power.
    fn score(loss: f64) -> f64 {
        let sum = 0.956_238_261_683_484_4 * loss;
        let bent = 2.326_765_642_916_932 * sum - 0.020_884_521_182_843_837 * sum * sum
            + 6.248_496_625_763_138e-5 * sum * sum * sum;
        100.0 - 10.0 * bent.powf(0.627_633_646_783_138_7)
    }

    /// Where tiles lie, at scores above 60; at 47 it reads two points low.
    #[test]
    fn loss_follows_the_published_score() {
        let eye = Eye::new();
        let source = picture(0);
        for noise in [1, 2, 4, 8] {
            let worse = picture(noise);
            let ours = score(eye.see(&source, SIDE).loss(&eye.see(&worse, SIDE)).whole());
            let theirs = published(&source, &worse);
            assert!((ours - theirs).abs() < 2.0, "noise {noise}: {ours:.2}, published {theirs:.2}");
        }
    }

    #[test]
    fn the_same_picture_loses_nothing() {
        let eye = Eye::new();
        let seen = eye.see(&picture(5), SIDE);
        assert!(seen.loss(&eye.see(&picture(5), SIDE)).whole() < 1e-3);
    }

    #[test]
    fn cube_roots_are_right_to_the_last_digits() {
        for value in [BIAS, 0.01, 0.125, 0.5, 1.0, 1.01] {
            assert!((cube_root(value) / libm::cbrtf(value) - 1.0).abs() < 3e-7, "{value}");
        }
    }

    #[test]
    fn the_taps_are_the_gaussian_they_say() {
        let whole: f32 = TAPS[0] + 2.0 * TAPS[1..].iter().sum::<f32>();
        assert!((whole - 1.0).abs() < 1e-4, "{whole}");
        for (k, tap) in TAPS.into_iter().enumerate() {
            let gaussian = libm::exp(-((k * k) as f64) / 4.5);
            assert!((f64::from(tap / TAPS[0]) - gaussian).abs() < 1e-3, "tap {k}");
        }
    }
}
