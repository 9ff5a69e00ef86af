//! Pyramids on the sphere: each level half the size, wrapping in longitude and closing at the poles.
//!
//! Sizes, grids and filters are those of pixels as areas: a coarse pixel covers two by two finer ones, so both poles are
//! treated alike. The reducing filter is the tent of two fine pixels' half width, 1 3 3 1 in eighths (Burt and Adelson, "The Laplacian
//! pyramid as a compact image code", IEEE Trans. Communications 31(4), 1983, use five taps about a pixel's centre; four about
//! an edge are the same idea on this grid); the expanding one is linear, 1 3 in quarters. A height that is odd
//! is rounded up, and the same two filters are sampled at the ratio that results.
//!
//! Towards the poles a row's pixels crowd together; there a coarse row is smoothed along itself in addition, so that the filter covers the
//! same angle in both directions. Without it the coarse levels would stay as sharp around a pole as the finest is, and a blend would fan out from it.

use super::stack::{Sample, Stack};
use super::wide::widest;

/// From one size to the next smaller, and back.
pub(super) struct Step {
    pub fine: (usize, usize),
    pub coarse: (usize, usize),
    down: Vec<Tent>,
    across: Vec<Tent>,
    up: Vec<Between>,
    along: Vec<Between>,
}

/// Four fine pixels that make a coarse one.
struct Tent {
    start: isize,
    weights: [f32; 4],
}

/// Two coarse pixels between which a fine one lies.
struct Between {
    start: isize,
    share_of_second: f32,
}

fn tents(fine: usize, coarse: usize) -> Vec<Tent> {
    let ratio = fine as f64 / coarse as f64;
    let tent = |index| {
        let centre = (index as f64 + 0.5) * ratio;
        let start = (centre - 2.5).floor() + 1.0;
        let weights: [f64; 4] =
            std::array::from_fn(|tap| (1.0 - (start + tap as f64 + 0.5 - centre).abs() / 2.0).max(0.0));
        let sum: f64 = weights.iter().sum();
        Tent { start: start as isize, weights: weights.map(|weight| (weight / sum) as f32) }
    };
    (0..coarse).map(tent).collect()
}

fn betweens(fine: usize, coarse: usize) -> Vec<Between> {
    let ratio = coarse as f64 / fine as f64;
    let between = |index| {
        let at = (index as f64 + 0.5) * ratio - 0.5;
        Between { start: at.floor() as isize, share_of_second: (at - at.floor()) as f32 }
    };
    (0..fine).map(between).collect()
}

impl Step {
    /// From that size, twice as wide as high, to half of it. One row stays one row.
    pub fn from(fine: (usize, usize)) -> Step {
        let rows = fine.1.div_ceil(2);
        let coarse = (2 * rows, rows);
        Step {
            fine,
            coarse,
            down: tents(fine.1, coarse.1),
            across: tents(fine.0, coarse.0),
            up: betweens(fine.1, coarse.1),
            along: betweens(fine.0, coarse.0),
        }
    }

    /// The first of the four fine rows that make coarse row `y`; may lie beyond a pole.
    pub fn first_row(&self, y: usize) -> isize {
        self.down[y].start
    }

    /// Coarse row `y` of so many planes from its four fine rows. `sum` has room for a fine row, `padded` for anything.
    pub fn reduce_row(&self, y: usize, rows: [&[f32]; 4], scratch: &mut Scratch, coarse: &mut [f32]) {
        let weights = self.down[y].weights;
        let (fine_width, coarse_width) = (self.fine.0, self.coarse.0);
        scratch.sum.resize(rows[0].len(), 0.0);
        widest(|| add_four(rows, weights, &mut scratch.sum));
        for (fine, coarse) in scratch.sum.chunks_exact(fine_width).zip(coarse.chunks_exact_mut(coarse_width)) {
            pad(fine, &mut scratch.padded);
            if fine_width == 2 * coarse_width {
                widest(|| halve(&scratch.padded, coarse));
            } else {
                resample(&scratch.padded, &self.across, coarse);
            }
            widen(coarse, self.extra_variance(y), &mut scratch.padded);
        }
    }

    /// How much wider, in coarse pixels squared, row `y` must be filtered so that it is smoothed by the same angle along as
    /// across: the filter's variance is 3/4 of a fine pixel squared, 3/16 of a coarse one.
    fn extra_variance(&self, y: usize) -> f64 {
        let from_pole = std::f64::consts::PI * (y as f64 + 0.5) / self.coarse.1 as f64;
        let sine = libm::sin(from_pole);
        0.1875 * (1.0 / (sine * sine) - 1.0)
    }

    /// The whole next level.
    pub fn reduce<T: Sample>(&self, fine: &Stack<T>) -> Stack<T> {
        let row_length = fine.width * fine.planes;
        let scratch = || (Scratch::default(), [(); 4].map(|()| vec![0.0; row_length]));
        Stack::of_rows((self.coarse.0, self.coarse.1, fine.planes), scratch, |(scratch, rows), y, coarse| {
            for (tap, row) in rows.iter_mut().enumerate() {
                fine.read(self.first_row(y) + tap as isize, row);
            }
            self.reduce_row(y, rows.each_ref().map(Vec::as_slice), scratch, coarse);
        })
    }

    /// Fine row `y` of the coarse stack's first planes, as many as `row` has room for.
    pub fn expand_row<T: Sample>(&self, coarse: &Stack<T>, y: usize, scratch: &mut Scratch, row: &mut [f32]) {
        let planes = row.len() / self.fine.0;
        let Between { start, share_of_second } = self.up[y];
        scratch.sum.resize(planes * self.coarse.0, 0.0);
        scratch.second.resize(planes * self.coarse.0, 0.0);
        coarse.read(start, &mut scratch.sum);
        coarse.read(start + 1, &mut scratch.second);
        widest(|| mix(&mut scratch.sum, &scratch.second, share_of_second));
        for (coarse, fine) in scratch.sum.chunks_exact(self.coarse.0).zip(row.chunks_exact_mut(self.fine.0)) {
            pad(coarse, &mut scratch.padded);
            if self.fine.0 == 2 * self.coarse.0 {
                widest(|| double(&scratch.padded, fine));
            } else {
                stretch(&scratch.padded, &self.along, fine);
            }
        }
    }
}

/// Rows that a worker needs, kept from one row to the next.
#[derive(Default)]
pub(super) struct Scratch {
    sum: Vec<f32>,
    second: Vec<f32>,
    padded: Vec<f32>,
}

/// Numbers before and after a row, from its other end.
const PADDING: usize = 2;

fn pad(row: &[f32], padded: &mut Vec<f32>) {
    padded.clear();
    padded.extend((0..PADDING).map(|index| row[(row.len() * PADDING + index - PADDING) % row.len()]));
    padded.extend_from_slice(row);
    padded.extend((0..PADDING).map(|index| row[index % row.len()]));
}

#[inline(always)]
fn add_four([a, b, c, d]: [&[f32]; 4], weights: [f32; 4], sum: &mut [f32]) {
    let count = sum.len();
    let (a, b, c, d) = (&a[..count], &b[..count], &c[..count], &d[..count]);
    for x in 0..count {
        sum[x] = (weights[0] * a[x] + weights[1] * b[x]) + (weights[2] * c[x] + weights[3] * d[x]);
    }
}

#[inline(always)]
fn halve(padded: &[f32], coarse: &mut [f32]) {
    // Coarse pixel x has fine pixels 2x − 1 to 2x + 2.
    let fine = &padded[PADDING - 1..][..2 * coarse.len() + 2];
    for (x, coarse) in coarse.iter_mut().enumerate() {
        let four = &fine[2 * x..2 * x + 4];
        *coarse = (four[0] + four[3]) * 0.125 + (four[1] + four[2]) * 0.375;
    }
}

fn resample(padded: &[f32], tents: &[Tent], coarse: &mut [f32]) {
    let last = padded.len() - 1;
    for (tent, coarse) in tents.iter().zip(coarse) {
        let start = (tent.start + PADDING as isize).max(0) as usize;
        let at = |tap: usize| tent.weights[tap] * padded[(start + tap).min(last)];
        *coarse = (at(0) + at(1)) + (at(2) + at(3));
    }
}

#[inline(always)]
fn mix(first: &mut [f32], second: &[f32], share_of_second: f32) {
    for (first, second) in first.iter_mut().zip(second) {
        *first = *first * (1.0 - share_of_second) + second * share_of_second;
    }
}

#[inline(always)]
fn double(padded: &[f32], fine: &mut [f32]) {
    let coarse = &padded[PADDING - 1..][..fine.len() / 2 + 2];
    for (x, pair) in fine.chunks_exact_mut(2).enumerate() {
        pair[0] = 0.25 * coarse[x] + 0.75 * coarse[x + 1];
        pair[1] = 0.75 * coarse[x + 1] + 0.25 * coarse[x + 2];
    }
}

fn stretch(padded: &[f32], betweens: &[Between], fine: &mut [f32]) {
    for (between, fine) in betweens.iter().zip(fine) {
        let first = (between.start + PADDING as isize) as usize;
        *fine = padded[first] * (1.0 - between.share_of_second) + padded[first + 1] * between.share_of_second;
    }
}

/// Smooths a row, around its ends, by a filter of that variance in pixels squared.
fn widen(row: &mut [f32], variance: f64, before: &mut Vec<f32>) {
    if variance <= 0.5 {
        let side = variance / (2.0 * (1.0 - variance));
        let (side, middle) = (side as f32, 1.0 / (1.0 + 2.0 * side) as f32);
        pad(row, before);
        return widest(|| three(&before[PADDING - 1..], middle, side * middle, row));
    }
    for _ in 0..2 {
        box_filter(row, variance / 2.0, before);
    }
}

#[inline(always)]
fn three(padded: &[f32], middle: f32, side: f32, row: &mut [f32]) {
    let padded = &padded[..row.len() + 2];
    for (x, value) in row.iter_mut().enumerate() {
        *value = middle * padded[x + 1] + side * (padded[x] + padded[x + 2]);
    }
}

/// The mean over a window with fractional ends, of exactly that variance (the extended box filter of Gwosdek, Grewenig, Bruhn and Weickert,
/// "Theoretical foundations of Gaussian convolution by extended box filtering", SSVM 2011). Its cost does not depend on its width.
fn box_filter(row: &mut [f32], variance: f64, before: &mut Vec<f32>) {
    let count = row.len();
    let radius = ((libm::sqrt(12.0 * variance + 1.0) - 1.0) / 2.0).floor();
    // A window cannot be wider than the row is long; a very short row becomes its mean.
    let radius = radius.min((count as f64 - 3.0).max(0.0) / 2.0).floor();
    let beyond = (radius + 1.0) * (radius + 1.0);
    let length = 2.0 * radius + 1.0;
    let end =
        (length * (3.0 * variance - radius * (radius + 1.0)) / (6.0 * (beyond - variance).max(1e-9))).clamp(0.0, 1.0);
    let scale = 1.0 / (length + 2.0 * end);
    let radius = radius as usize;
    before.clear();
    before.extend_from_slice(row);
    let mut sum: f64 = (0..2 * radius + 1).map(|index| f64::from(before[(count + index - radius) % count])).sum();
    let (mut leaving, mut entering) = ((count - radius) % count, (radius + 1) % count);
    for value in row.iter_mut() {
        let previous = before[if leaving == 0 { count - 1 } else { leaving - 1 }];
        let ends = f64::from(previous) + f64::from(before[entering]);
        *value = ((sum + end * ends) * scale) as f32;
        sum += f64::from(before[entering]) - f64::from(before[leaving]);
        leaving = if leaving + 1 == count { 0 } else { leaving + 1 };
        entering = if entering + 1 == count { 0 } else { entering + 1 };
    }
}

/// Every step from that size down to one row; at least one.
pub(super) fn steps(size: (usize, usize)) -> Vec<Step> {
    let mut steps = vec![Step::from(size)];
    while let Some(last) = steps.last().filter(|step| step.coarse.1 > 1) {
        let next = Step::from(last.coarse);
        steps.push(next);
    }
    steps
}
