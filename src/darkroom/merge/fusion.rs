//! Exposure fusion: one picture that shows of every shot what it shows best.
//!
//! Mertens, Kautz and Van Reeth, "Exposure Fusion", Pacific Graphics 2007, section 3.2: the shots' Laplacian pyramids,
//! blended level by level with the Gaussian pyramids of their weights, on display-encoded values. The result is decoded to
//! linear light again.
//!
//! The finest level is never stored: it is read, weighed and blended a strip of rows at a time, twice (once on the way up, once
//! on the way down). The levels above it are kept as half floats. What is taken away as a coarse level is put
//! back as the same half floats, so that their rounding does not add up.

use super::curve::Curve;
use super::pyramid::{Scratch, Step, steps};
use super::stack::{Sample, Stack};
use super::strip::{Scene, Strip};
use super::wide::widest;
use crate::picture::linear::LinearPicture;
use crate::picture::linear::{Row, SRGB_TO_BT2020, empty_row, finite, through};
use half::f16;
use half::slice::HalfFloatSliceExt;
use rayon::prelude::*;

/// Rows of the finest level that are held at once, a worker.
const STRIP_ROWS: usize = 32;

/// Blends the shots of a scene.
pub(super) fn blend(scene: &Scene<'_>) -> LinearPicture {
    let steps = steps(scene.size());
    let mut levels = vec![first_level(scene, &steps[0])];
    for step in &steps[1..] {
        let next = step.reduce(&levels[levels.len() - 1]);
        levels.push(next);
    }
    let shots = scene.shots.len();
    let mut blended = coarsest(&levels[levels.len() - 1], shots);
    for (step, pair) in steps[1..].iter().zip(levels.windows(2)).rev() {
        blended = add_level(step, pair, &blended, shots);
    }
    let coarse = levels.swap_remove(0);
    drop(levels);
    finest(scene, &steps[0], &coarse, &blended)
}

/// The first level that is stored: colours and weights at half size.
fn first_level(scene: &Scene<'_>, step: &Step) -> Stack<f16> {
    let (width, height) = step.coarse;
    let row_length = scene.planes() * width;
    Stack::of_strips((width, height, scene.planes()), STRIP_ROWS / 2, |first, kept| {
        let rows = kept.len() / row_length;
        let strip = Strip::read(scene, step.first_row(first)..step.first_row(first + rows - 1) + 4);
        let (mut scratch, mut coarse) = (Scratch::default(), vec![0.0; row_length]);
        for (index, kept) in kept.chunks_exact_mut(row_length).enumerate() {
            let y = first + index;
            let four = std::array::from_fn(|tap| strip.row(step.first_row(y) + tap as isize));
            step.reduce_row(y, four, &mut scratch, &mut coarse);
            f16::keep(&coarse, kept);
        }
    })
}

/// The coarsest level: no detail is left to take away, so the colours themselves are blended.
fn coarsest(level: &Stack<f16>, shots: usize) -> Stack<f32> {
    let row_length = level.planes * level.width;
    Stack::of_rows(
        (level.width, level.height, 3),
        || vec![0.0; row_length],
        |row, y, blended| {
            level.read(y as isize, row);
            blended.fill(0.0);
            let (colours, weights) = row.split_at(3 * shots * level.width);
            for (colours, weights) in colours.chunks_exact(3 * level.width).zip(weights.chunks_exact(level.width)) {
                widest(|| add_detail(colours, None, weights, blended));
            }
        },
    )
}

/// One level finer: what is blended so far, expanded, and this level's own detail.
fn add_level(step: &Step, pair: &[Stack<f16>], blended: &Stack<f32>, shots: usize) -> Stack<f32> {
    let (level, coarse) = (&pair[0], &pair[1]);
    let width = level.width;
    let scratch = || (Scratch::default(), vec![0.0; level.planes * width], vec![0.0; 3 * shots * width]);
    Stack::of_rows((width, level.height, 3), scratch, |(scratch, row, smooth), y, finer| {
        level.read(y as isize, row);
        step.expand_row(coarse, y, scratch, smooth);
        step.expand_row(blended, y, scratch, finer);
        add_details(row, smooth, shots, width, finer);
    })
}

/// The finest level, decoded to linear light.
fn finest(scene: &Scene<'_>, step: &Step, coarse: &Stack<f16>, blended: &Stack<f32>) -> LinearPicture {
    let (width, height) = scene.size();
    let mut picture = LinearPicture::black(width, height);
    let [red, green, blue] = &mut picture.planes;
    let strip_length = STRIP_ROWS * width;
    red.par_chunks_mut(strip_length)
        .zip(green.par_chunks_mut(strip_length))
        .zip(blue.par_chunks_mut(strip_length))
        .enumerate()
        .for_each(|(index, ((red, green), blue))| {
            let first = (index * STRIP_ROWS) as isize;
            let strip = Strip::read(scene, first..first + (red.len() / width) as isize);
            let mut scratch = Scratch::default();
            let (mut smooth, mut row) = (vec![0.0; 3 * scene.shots.len() * width], vec![0.0; 3 * width]);
            let mut light = empty_row(width);
            let rows = red.chunks_exact_mut(width).zip(green.chunks_exact_mut(width)).zip(blue.chunks_exact_mut(width));
            for (index, ((red, green), blue)) in rows.enumerate() {
                let y = first + index as isize;
                step.expand_row(coarse, y as usize, &mut scratch, &mut smooth);
                step.expand_row(blended, y as usize, &mut scratch, &mut row);
                add_details(strip.row(y), &smooth, scene.shots.len(), width, &mut row);
                widest(|| decode(&row, &mut light));
                for (kept, made) in [red, green, blue].into_iter().zip(&light) {
                    kept.convert_from_f32_slice(made);
                }
            }
        });
    picture
}

/// Adds every shot's detail by its weight. `row` has three colours a shot, then the weights; `smooth` the expanded colours.
fn add_details(row: &[f32], smooth: &[f32], shots: usize, width: usize, blended: &mut [f32]) {
    let (colours, weights) = row.split_at(3 * shots * width);
    let shots = colours.chunks_exact(3 * width).zip(smooth.chunks_exact(3 * width)).zip(weights.chunks_exact(width));
    for ((colours, smooth), weights) in shots {
        widest(|| add_detail(colours, Some(smooth), weights, blended));
    }
}

#[inline(always)]
fn add_detail(colours: &[f32], smooth: Option<&[f32]>, weights: &[f32], blended: &mut [f32]) {
    let width = weights.len();
    for channel in 0..3 {
        let at = channel * width..(channel + 1) * width;
        let (colours, blended) = (&colours[at.clone()], &mut blended[at.clone()]);
        match smooth {
            Some(smooth) => {
                let smooth = &smooth[at];
                for x in 0..width {
                    blended[x] += weights[x] * (colours[x] - smooth[x]);
                }
            }
            None => {
                for x in 0..width {
                    blended[x] += weights[x] * colours[x];
                }
            }
        }
    }
}

/// From the values of an sRGB display to linear BT.2020.
#[inline(always)]
fn decode(row: &[f32], light: &mut Row) {
    let curve = Curve::srgb();
    let width = light[0].len();
    for (channel, values) in light.iter_mut().zip(row.chunks_exact(width)) {
        channel.copy_from_slice(values);
        curve.decode_all(channel);
    }
    let [red, green, blue] = light;
    let (red, green, blue) = (&mut red[..width], &mut green[..width], &mut blue[..width]);
    for x in 0..width {
        [red[x], green[x], blue[x]] = through(&SRGB_TO_BT2020, [red[x], green[x], blue[x]]).map(finite);
    }
}
