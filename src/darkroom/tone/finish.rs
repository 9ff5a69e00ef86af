//! From rows of light to a finished picture, a strip at a time.

use super::balance::Balance;
use super::colour::Saturation;
use super::logarithm::{cube_root, encode_srgb};
use super::plan::{Plan, Steps, TO_SRGB, luminance};
use super::sharpen::{REACH, Sharpener};
use super::surroundings::Lines;
use crate::picture::linear::{LinearRows, Row, empty_row, finite};
use crate::picture::{Chroma, YccPicture};
use rayon::prelude::*;
use std::ops::Range;

/// Pixels that are worked on together: what they need stays in the nearest cache.
const RUN: usize = 256;
/// Rows that are worked on together, even, so that halved chroma finds its pairs.
const STRIP: usize = 32;

/// A picture with its tone, made as it is asked for: nothing but the source and a small survey of it is held.
pub struct Finished<'a> {
    pub(super) rows: &'a dyn LinearRows,
    pub(super) plan: Plan,
}

impl Finished<'_> {
    /// Columns and rows.
    pub fn size(&self) -> (usize, usize) {
        self.rows.size()
    }

    /// The whole in 8 bits.
    pub fn ycc(&self, chroma: Chroma) -> YccPicture {
        let (width, height) = self.size();
        let mut picture =
            YccPicture { width, height, chroma, y: vec![0; width * height], cb: Vec::new(), cr: Vec::new() };
        let (chroma_width, chroma_height) = picture.chroma_size();
        picture.cb = vec![128; chroma_width * chroma_height];
        picture.cr = vec![128; chroma_width * chroma_height];
        let chroma_strip = chroma_width * if chroma == Chroma::Half { STRIP / 2 } else { STRIP };
        let y = picture.y.par_chunks_mut(width * STRIP);
        let (cb, cr) = (picture.cb.par_chunks_mut(chroma_strip), picture.cr.par_chunks_mut(chroma_strip));
        (y, cb, cr).into_par_iter().enumerate().for_each_init(
            || Bench::new(self),
            |bench, (index, (y, cb, cr))| {
                let rows = index * STRIP..(index * STRIP + STRIP).min(height);
                bench.develop(self, rows.clone());
                for (row, y) in rows.clone().zip(y.chunks_mut(width)) {
                    to_bytes(bench.luma(row), y);
                }
                match chroma {
                    Chroma::Full => {
                        for (row, (cb, cr)) in rows.zip(cb.chunks_mut(width).zip(cr.chunks_mut(width))) {
                            full_chroma(bench.row(row), cb, cr);
                        }
                    }
                    Chroma::Half => {
                        let pairs = cb.chunks_mut(chroma_width).zip(cr.chunks_mut(chroma_width));
                        for (row, (cb, cr)) in rows.step_by(2).zip(pairs) {
                            // Below the last row of an odd height the same row stands once more.
                            halved_chroma([bench.row(row), bench.row((row + 1).min(height - 1))], cb, cr);
                        }
                    }
                }
            },
        );
        picture
    }

    /// Some rows as sRGB red, green, blue of 16 bits, one behind the other, for export.
    ///
    /// # Panics
    /// If `out` is not three numbers a pixel long, or a row is not the picture's.
    pub fn rgb16(&self, rows: Range<usize>, out: &mut [u16]) {
        let width = self.size().0;
        assert_eq!(out.len(), 3 * width * rows.len());
        out.par_chunks_mut(3 * width * STRIP).enumerate().for_each_init(
            || Bench::new(self),
            |bench, (index, out)| {
                let start = rows.start + index * STRIP;
                let end = start + out.len() / (3 * width);
                bench.develop(self, start..end);
                for (y, out) in (start..end).zip(out.chunks_mut(3 * width)) {
                    bench.to_rgb16(y, out);
                }
            },
        );
    }
}

/// One worker's strip of rows, developed.
struct Bench {
    /// The strip and, where it is to be sharpened, the rows around it; encoded sRGB, 0..=1.
    rows: Vec<Row>,
    /// Their luma, sharpened in the strip itself.
    luma: Vec<Vec<f32>>,
    /// The picture's row that stands first.
    first: isize,
    lines: Option<Lines>,
    sharpener: Option<Sharpener>,
    height: usize,
}

impl Bench {
    fn new(finished: &Finished<'_>) -> Bench {
        let (width, height) = finished.size();
        let plan = &finished.plan;
        Bench {
            rows: Vec::new(),
            luma: Vec::new(),
            first: 0,
            lines: plan.surroundings.as_ref().map(|surroundings| Lines::new(surroundings, (width, height))),
            sharpener: (plan.sharpening > 0.0).then(|| Sharpener::new(plan.sharpening, (width, height))),
            height,
        }
    }

    /// Develops a strip of the picture.
    fn develop(&mut self, finished: &Finished<'_>, strip: Range<usize>) {
        let margin = if self.sharpener.is_some() { REACH as isize } else { 0 };
        let around = strip.start as isize - margin..strip.end as isize + margin;
        let width = finished.size().0;
        self.first = around.start;
        self.rows.resize_with(around.len(), || empty_row(width));
        self.luma.resize_with(around.len(), || vec![0.0; width]);
        for (index, y) in around.enumerate() {
            let (inside, beyond) = across_the_pole(y, self.height);
            let row = &mut self.rows[index];
            finished.rows.read(inside, row);
            let lines = self.lines.as_mut().zip(finished.plan.surroundings.as_ref()).map(|(lines, surroundings)| {
                lines.read(surroundings, inside);
                (&lines.slopes[..], &lines.offsets[..])
            });
            develop_row(&finished.plan.steps, row, lines, &mut self.luma[index]);
            if beyond {
                row.iter_mut().chain([&mut self.luma[index]]).for_each(|plane| plane.rotate_left(width / 2));
            }
        }
        if let Some(sharpener) = &mut self.sharpener {
            let mut sharp = vec![vec![0.0; width]; strip.len()];
            for (index, out) in sharp.iter_mut().enumerate() {
                let around = std::array::from_fn(|step| &self.luma[index + step][..]);
                sharpener.sharpen(strip.start + index, around, out);
            }
            for (index, sharp) in sharp.into_iter().enumerate() {
                self.luma[index + REACH] = sharp;
            }
        }
    }

    fn row(&self, y: usize) -> &Row {
        &self.rows[(y as isize - self.first) as usize]
    }

    fn luma(&self, y: usize) -> &[f32] {
        &self.luma[(y as isize - self.first) as usize]
    }

    /// Red, green and blue, shifted by what sharpening did to luma.
    fn to_rgb16(&self, y: usize, out: &mut [u16]) {
        let ([red, green, blue], sharp) = (self.row(y), self.luma(y));
        for (x, rgb) in out.chunks_exact_mut(3).enumerate() {
            let colour = [red[x], green[x], blue[x]];
            let shift = sharp[x] - luma(colour);
            rgb.iter_mut().zip(colour).for_each(|(to, channel)| {
                *to = ((channel + shift).clamp(0.0, 1.0) * 65535.0 + 0.5) as u16;
            });
        }
    }
}

/// The row that stands for row `y`, which may lie beyond a pole: then it is the one on this side of it, and true, for it is to
/// be turned by half.
fn across_the_pole(y: isize, height: usize) -> (usize, bool) {
    let height = height as isize;
    if y < 0 {
        ((-1 - y).min(height - 1) as usize, true)
    } else if y >= height {
        ((2 * height - 1 - y).max(0) as usize, true)
    } else {
        (y as usize, false)
    }
}

type LineRows<'a> = Option<(&'a [f32], &'a [f32])>;

/// Turns a row of light into encoded sRGB, and works out its luma.
fn develop_row(steps: &Steps, row: &mut Row, lines: LineRows<'_>, luma: &mut [f32]) {
    #[cfg(target_arch = "x86_64")]
    if crate::vectors::has_avx2() {
        // SAFETY: the processor was asked for these instructions.
        return unsafe { develop_row_avx2(steps, row, lines, luma) };
    }
    develop_row_plainly(steps, row, lines, luma);
}

/// The same code, compiled for wider vectors. Nothing is fused or reordered: the same bits.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn develop_row_avx2(steps: &Steps, row: &mut Row, lines: LineRows<'_>, luma: &mut [f32]) {
    develop_row_plainly(steps, row, lines, luma);
}

#[inline(always)]
fn develop_row_plainly(steps: &Steps, row: &mut Row, lines: LineRows<'_>, luma_row: &mut [f32]) {
    let [red, green, blue] = row;
    let runs = red.chunks_mut(RUN).zip(green.chunks_mut(RUN)).zip(blue.chunks_mut(RUN)).zip(luma_row.chunks_mut(RUN));
    let mut run = Run { colour: [[0.0; RUN]; 3], slopes: [0.0; RUN], offsets: [0.0; RUN] };
    for (index, (((red, green), blue), luma_run)) in runs.enumerate() {
        let length = red.len();
        run.colour.iter_mut().zip([&*red, &*green, &*blue]).for_each(|(to, from)| to[..length].copy_from_slice(from));
        if let Some((slopes, offsets)) = lines {
            run.slopes[..length].copy_from_slice(&slopes[index * RUN..][..length]);
            run.offsets[..length].copy_from_slice(&offsets[index * RUN..][..length]);
        }
        run.develop(steps);
        red.copy_from_slice(&run.colour[0][..length]);
        green.copy_from_slice(&run.colour[1][..length]);
        blue.copy_from_slice(&run.colour[2][..length]);
        luma_run.copy_from_slice(&run.slopes[..length]);
    }
}

/// A run of pixels, always of the same length: the compiler then does several at a time. What stands behind the end of a
/// row is worked on and thrown away.
struct Run {
    colour: [[f32; RUN]; 3],
    /// Becomes luma at the end.
    slopes: [f32; RUN],
    offsets: [f32; RUN],
}

impl Run {
    /// From light to encoded sRGB.
    #[inline(always)]
    fn develop(&mut self, steps: &Steps) {
        match steps.balance {
            Balance::Plain(matrix) => self.each(|colour, _, _| matrix.apply(colour.map(finite))),
            Balance::Guarded(guarded) => self.each(|colour, _, _| guarded.apply(colour.map(finite))),
        }
        if let Some(curves) = steps.curves {
            self.each(|colour, slope, offset| {
                let gain = curves.gain(luminance(colour), slope, offset);
                colour.map(|channel| channel * gain)
            });
        }
        if let Some(shoulder) = steps.shoulder {
            self.each(|colour, _, _| {
                let gain = shoulder.gain(colour[0].max(colour[1]).max(colour[2]));
                colour.map(|channel| channel * gain)
            });
        }
        self.each(|colour, _, _| TO_SRGB.apply(colour));
        if let Some(saturation) = steps.saturation {
            self.each(|colour, _, _| Saturation::cones(colour));
            self.each_number(cube_root);
            self.each(|roots, _, _| saturation.of_roots(roots));
        }
        let gamut = steps.gamut;
        self.each(|colour, _, _| gamut.apply(colour));
        self.each_number(encode_srgb);
        for x in 0..RUN {
            self.slopes[x] = luma([self.colour[0][x], self.colour[1][x], self.colour[2][x]]);
        }
    }

    #[inline(always)]
    fn each_number(&mut self, change: impl Fn(f32) -> f32) {
        self.colour.iter_mut().for_each(|channel| channel.iter_mut().for_each(|value| *value = change(*value)));
    }

    /// Every pixel's colour, with the slope and the offset of its surroundings.
    #[inline(always)]
    fn each(&mut self, change: impl Fn([f32; 3], f32, f32) -> [f32; 3]) {
        let [red, green, blue] = &mut self.colour;
        for x in 0..RUN {
            [red[x], green[x], blue[x]] = change([red[x], green[x], blue[x]], self.slopes[x], self.offsets[x]);
        }
    }
}

/// ITU-T T.871 section 7; exactly a grey's own number.
#[inline(always)]
fn luma([r, g, b]: [f32; 3]) -> f32 {
    g + (0.299 * (r - g) + 0.114 * (b - g))
}

/// Blue and red chroma from −½ to ½ (T.871).
#[inline(always)]
fn chroma_of(colour: [f32; 3]) -> [f32; 2] {
    let y = luma(colour);
    [(colour[2] - y) * (1.0 / 1.772), (colour[0] - y) * (1.0 / 1.402)]
}

/// The nearest whole number of one of 0..=255: adding 2²³ leaves no room for a fraction.
#[inline(always)]
fn to_byte(value: f32) -> u8 {
    (value + 8_388_608.0).to_bits() as u8
}

/// Chroma as a byte; full blue and full red would be 256.
#[inline(always)]
fn chroma_byte(value: f32) -> u8 {
    to_byte((value * 255.0 + 128.0).clamp(0.0, 255.0))
}

fn to_bytes(values: &[f32], out: &mut [u8]) {
    out.iter_mut().zip(values).for_each(|(byte, &value)| *byte = to_byte(value * 255.0));
}

fn full_chroma([red, green, blue]: &Row, cb: &mut [u8], cr: &mut [u8]) {
    for (x, (cb, cr)) in cb.iter_mut().zip(cr).enumerate() {
        [*cb, *cr] = chroma_of([red[x], green[x], blue[x]]).map(chroma_byte);
    }
}

/// Of the mean of each block of 2×2.
fn halved_chroma([upper, lower]: [&Row; 2], cb: &mut [u8], cr: &mut [u8]) {
    for (x, (cb, cr)) in cb.iter_mut().zip(cr).enumerate() {
        let mean = [0, 1, 2].map(|channel| {
            let (upper, lower) = (&upper[channel][2 * x..2 * x + 2], &lower[channel][2 * x..2 * x + 2]);
            0.25 * ((upper[0] + upper[1]) + (lower[0] + lower[1]))
        });
        [*cb, *cr] = chroma_of(mean).map(chroma_byte);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::darkroom::{Tone, WhiteBalance, tone::develop};
    use crate::picture::linear::LinearPicture;

    /// Every machine must get the same bytes: the row's code compiled plainly, against what this machine chooses; with what takes care of
    /// clipped light and without.
    #[test]
    fn wide_vectors_change_no_bit() {
        let (width, mut picture) = (600, LinearPicture::black(600, 300));
        for (channel, plane) in picture.planes.iter_mut().enumerate() {
            for (index, value) in plane.iter_mut().enumerate() {
                *value = half::f16::from_f32((index * (7 + channel) % 1009) as f32 / 900.0 - 0.02);
            }
        }
        let as_shot = Tone {
            exposure_ev: 0.4,
            highlights: -0.5,
            shadows: 0.5,
            contrast: 0.2,
            local_contrast: 0.3,
            saturation: 0.2,
            ..Tone::default()
        };
        let warm = WhiteBalance::Light { temperature_k: 3200.0, tint: 4.0 };
        for tone in [as_shot, Tone { white_balance: warm, ..as_shot }] {
            picture.full_scale = Some(crate::picture::linear::SRGB_TO_BT2020.map(|row| row.map(f64::from)));
            let finished = develop(&picture, &tone, None);
            assert_eq!(matches!(finished.plan.steps.balance, Balance::Guarded(_)), tone.white_balance == warm);
            let surroundings = finished.plan.surroundings.as_ref().unwrap();
            let mut lines = Lines::new(surroundings, (600, 300));
            for y in [0, 1, 77, 299] {
                lines.read(surroundings, y);
                let develop = |way: fn(&Steps, &mut Row, LineRows<'_>, &mut [f32])| {
                    let (mut row, mut luma) = (empty_row(width), vec![0.0; width]);
                    picture.read(y, &mut row);
                    way(&finished.plan.steps, &mut row, Some((&lines.slopes, &lines.offsets)), &mut luma);
                    (row, luma)
                };
                assert_eq!(develop(develop_row), develop(develop_row_plainly));
            }
        }
    }
}
