//! What moved between the shots of a bracket is shown as one of them has it.
//!
//! Method. Shots next to each other in exposure are compared on a small picture. From one pixel's light and the ratio of the exposures
//! follows what the other shot should show; the camera's own curve, which is not quite the standard's, is taken out as the median
//! difference at each lightness. Where the other shows plainly something else than anything within a pixel of there, and
//! most of the neighbourhood agrees, something moved. Such pixels, with a margin, are gathered into regions. Each region is given to the one
//! shot that is best exposed there, and in all others that shot's light, at their exposure, takes its place
//! before anything is weighed. So every level of the blend sees the same thing, and no faint double is left,
//! as it would be if only the weights were changed.
//!
//! Limits: what moved is as light and dark as one shot can show, and a thing smaller than about three pixels of the small picture (a
//! degree) is not noticed.

use super::Placed;
use super::curve::log2;
use super::exposure::{by_lightness, median};
use super::overview::Overview;
use super::stack::over_the_pole;
use crate::picture::linear::{Row, light_to_srgb};
use rayon::prelude::*;
use std::collections::VecDeque;

/// A difference that is believed, in stops, whatever the noise.
const LEAST_DIFFERENCE: f32 = 0.6;
/// Added to light before logarithms are compared, so that the noise of the dark end does not count.
const DARK_OFFSET: f32 = 0.01;
/// Fewest pixels of a region before its margin.
const SMALLEST_REGION: usize = 12;
/// Pixels of margin, of which the outer ones fade.
const MARGIN: isize = 4;
const FADE: isize = 2;

/// Where something moved, on a small picture.
pub(super) struct Moved {
    width: usize,
    height: usize,
    /// The shot that shows it; `None` outside.
    from: Vec<Option<u8>>,
    /// 0 outside, 1 where the shot counts alone.
    share: Vec<f32>,
    /// Stops of each shot.
    stops: Vec<f64>,
}

/// Looks for what moved; `None` if nothing did. `stops` are the shots' exposures over the first.
pub(super) fn find(shots: &[Overview], stops: &[f64]) -> Option<Moved> {
    let (width, height) = (shots[0].width, shots[0].height);
    let mut flags = vec![false; width * height];
    for pair in by_lightness(shots).windows(2) {
        let (dark, light) = (pair[0], pair[1]);
        let ratio = libm::exp2(stops[light] - stops[dark]) as f32;
        flag(&shots[dark], &shots[light], ratio, &mut flags);
        flag(&shots[light], &shots[dark], 1.0 / ratio, &mut flags);
    }
    let flags = majority(&flags, width);
    let regions = regions(&flags, width);
    let mut from = vec![None; width * height];
    let mut core = vec![false; width * height];
    for region in regions {
        let best = best_exposed(shots, &region);
        for &pixel in &region {
            for near in square(pixel, MARGIN, (width, height)) {
                from[near] = Some(best);
            }
            for near in square(pixel, MARGIN - FADE, (width, height)) {
                core[near] = true;
            }
        }
    }
    from.iter().any(Option::is_some).then(|| {
        let share = |i| {
            let near = square(i, FADE, (width, height));
            near.iter().filter(|&&near| core[near]).count() as f32 / near.len() as f32
        };
        let share = (0..core.len()).map(|i| if from[i].is_some() { share(i) } else { 0.0 }).collect();
        Moved { width, height, from, share, stops: stops.to_vec() }
    })
}

/// Number of kinds of lightness, each half a stop.
const LIGHTNESSES: usize = 24;

fn lightness(light: f32) -> usize {
    ((log2(light.max(1e-6)) + 12.0) * 2.0).clamp(0.0, LIGHTNESSES as f32 - 1.0) as usize
}

/// Marks pixels where `seen` is not what `known`, made `ratio` times as light, says.
fn flag(known: &Overview, seen: &Overview, ratio: f32, flags: &mut [bool]) {
    let (width, height) = (known.width, known.height);
    let expected = |i: usize| (known.light[i] * ratio).min(1.0);
    let difference = |i: usize| log2((seen.light[i].min(1.0) + DARK_OFFSET) / (expected(i) + DARK_OFFSET));
    let mut by_lightness = vec![Vec::new(); LIGHTNESSES];
    for i in known.even_pixels().filter(|&i| known.is_usable(i) && seen.is_usable(i)) {
        by_lightness[lightness(expected(i))].push(difference(i));
    }
    let usual: Vec<(f32, f32)> = by_lightness.into_iter().map(usual).collect();
    let logarithm = |i: usize| log2(expected(i) + DARK_OFFSET);
    let is_moved = |i: usize| {
        if !known.is_usable(i) {
            return false;
        }
        let (usual, threshold) = usual[lightness(expected(i))];
        let found = log2(seen.light[i].min(1.0) + DARK_OFFSET) - usual;
        // Nearly every pixel is as it should be itself, so its neighbours need not be asked.
        let own = logarithm(i);
        if found >= own - threshold && found <= own + threshold {
            return false;
        }
        let near = square(i, 1, (width, height));
        // A pixel whose neighbour cannot be measured may hold a part of it.
        if near.iter().any(|&near| !known.is_usable(near)) {
            return false;
        }
        let (mut low, mut high) = (f32::MAX, f32::MIN);
        for value in near.into_iter().map(logarithm) {
            (low, high) = (low.min(value), high.max(value));
        }
        // Where a part is clipped the rest is lighter than can be measured: too dark proves nothing.
        let too_dark = found < low - threshold && (seen.is_usable(i) || seen.light[i] < 0.5 * expected(i));
        let too_dark = too_dark && !is_partly_clipped(seen, i);
        too_dark || found > high + threshold
    };
    flags.par_chunks_mut(width).enumerate().for_each(|(y, row)| {
        row.iter_mut().enumerate().for_each(|(x, flag)| *flag |= is_moved(y * width + x));
    });
}

fn is_partly_clipped(shot: &Overview, i: usize) -> bool {
    shot.peak[i] >= super::overview::CLIPPED
}

/// What usually differs at a lightness, and how much more is remarkable.
fn usual(mut differences: Vec<f32>) -> (f32, f32) {
    if differences.len() < 200 {
        return (0.0, 2.0 * LEAST_DIFFERENCE);
    }
    let usual = median(&mut differences);
    differences.iter_mut().for_each(|difference| *difference = (*difference - usual).abs());
    // 1.4826 times the median deviation is the deviation of a normal distribution.
    (usual, (4.0 * 1.4826 * median(&mut differences)).max(LEAST_DIFFERENCE))
}

/// Keeps what most of its 3×3 neighbourhood agrees on: lines are noise or edges, things have an inside.
fn majority(flags: &[bool], width: usize) -> Vec<bool> {
    let size = (width, flags.len() / width);
    (0..flags.len()).map(|i| flags[i] && square(i, 1, size).iter().filter(|&&near| flags[near]).count() >= 6).collect()
}

/// Pixels within `reach` of a pixel in both directions, around the seam and over the poles.
fn square(pixel: usize, reach: isize, (width, height): (usize, usize)) -> Vec<usize> {
    let (x, y) = ((pixel % width) as isize, (pixel / width) as isize);
    let rows = (y - reach..=y + reach).map(|y| over_the_pole(y, height));
    rows.flat_map(|(y, opposite)| {
        let shift = if opposite { width as isize / 2 } else { 0 };
        (x - reach..=x + reach).map(move |x| y * width + (x + shift).rem_euclid(width as isize) as usize)
    })
    .collect()
}

/// Pixels that touch, gathered; regions closer than their margins are one. In the order of their first pixel.
fn regions(flags: &[bool], width: usize) -> Vec<Vec<usize>> {
    let size = (width, flags.len() / width);
    let mut left = flags.to_vec();
    let mut regions = Vec::new();
    for start in 0..flags.len() {
        if !std::mem::take(&mut left[start]) {
            continue;
        }
        let (mut region, mut queue) = (Vec::new(), VecDeque::from([start]));
        while let Some(pixel) = queue.pop_front() {
            region.push(pixel);
            for near in square(pixel, 2 * MARGIN, size) {
                if std::mem::take(&mut left[near]) {
                    queue.push_back(near);
                }
            }
        }
        if region.len() >= SMALLEST_REGION {
            regions.push(region);
        }
    }
    regions
}

/// The shot that shows most of a region well: not clipped, not dark, near the middle of the scale. The first of equals.
fn best_exposed(shots: &[Overview], region: &[usize]) -> u8 {
    let worth = |shot: &Overview| -> f64 {
        let of = |&i: &usize| {
            if !shot.is_usable(i) {
                return 0.0;
            }
            let off = light_to_srgb(f64::from(shot.light[i])) - 0.5;
            0.25 + libm::exp(-12.5 * off * off)
        };
        region.iter().map(of).sum()
    };
    let worths: Vec<f64> = shots.iter().map(worth).collect();
    (0..worths.len()).fold(0, |best, shot| if worths[shot] > worths[best] { shot } else { best }) as u8
}

impl Moved {
    /// Puts the light of the shot that shows what moved, at each shot's own exposure, into row `y` of the others.
    pub fn replace(&self, y: usize, shots: &[Placed<'_>], lights: &mut [Row]) {
        let (width, height) = shots[0].size();
        let at = (y as f64 + 0.5) * self.height as f64 / height as f64 - 0.5;
        let top = at.floor();
        let rows = [over_the_pole(top as isize, self.height), over_the_pole(top as isize + 1, self.height)];
        if rows.iter().all(|(row, _)| self.share[row * self.width..][..self.width].iter().all(|share| *share == 0.0)) {
            return;
        }
        let down = (at - top) as f32;
        let scale = self.width as f64 / width as f64;
        for x in 0..width {
            let (share, from) = self.at(rows, down, (x as f64 + 0.5) * scale - 0.5);
            if let Some(from) = from.filter(|_| share > 0.0) {
                self.replace_pixel(x, usize::from(from), share, lights);
            }
        }
    }

    /// Share and shot between four pixels; the shot is that of the pixel with most to say.
    fn at(&self, rows: [(usize, bool); 2], down: f32, x: f64) -> (f32, Option<u8>) {
        let left = x.floor();
        let across = (x - left) as f32;
        let (mut sum, mut best) = (0.0, (0.0, None));
        for ((row, opposite), down) in rows.into_iter().zip([1.0 - down, down]) {
            let shift = if opposite { self.width as isize / 2 } else { 0 };
            for (step, across) in [1.0 - across, across].into_iter().enumerate() {
                let column = (left as isize + step as isize + shift).rem_euclid(self.width as isize) as usize;
                let pixel = row * self.width + column;
                let part = down * across * self.share[pixel];
                sum += part;
                if part > best.0 {
                    best = (part, self.from[pixel]);
                }
            }
        }
        (sum, best.1)
    }

    fn replace_pixel(&self, x: usize, from: usize, share: f32, lights: &mut [Row]) {
        let colour = [0, 1, 2].map(|channel| lights[from][channel][x]);
        for (shot, light) in lights.iter_mut().enumerate().filter(|(shot, _)| *shot != from) {
            let ratio = libm::exp2(self.stops[shot] - self.stops[from]) as f32;
            for (channel, value) in colour.into_iter().enumerate() {
                let kept = &mut light[channel][x];
                *kept = *kept * (1.0 - share) + (value * ratio).min(value.max(1.0)) * share;
            }
        }
    }
}
