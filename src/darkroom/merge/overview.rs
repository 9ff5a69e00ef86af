//! A small picture of a shot: enough to see how light it is, where it lies and what moved.

use super::wide::widest;
use crate::picture::linear::{BT2020_TO_SRGB, LUMINANCE, LinearRows, Row, empty_row, through};
use rayon::prelude::*;

/// Columns of an overview, at most: finer than what three angles and moved things need, small enough to look at often.
pub(super) const OVERVIEW_WIDTH: usize = 2048;

/// Light from which a pixel counts as clipped: 250 of 255, where cameras' curves have already flattened.
pub(super) const CLIPPED: f32 = 0.956;
/// Light below which noise and rounding rule: 8 of 255.
pub(super) const DARK: f32 = 0.0024;

/// One number a pixel, twice as wide as high.
#[derive(Clone)]
pub(super) struct Overview {
    pub width: usize,
    pub height: usize,
    /// Mean luminance.
    pub light: Vec<f32>,
    /// The largest channel of any pixel beneath: tells what is clipped.
    pub peak: Vec<f32>,
}

impl Overview {
    /// Of a whole shot; every pixel is looked at.
    pub fn of(rows: &dyn LinearRows) -> Overview {
        Self::sized(rows, OVERVIEW_WIDTH)
    }

    fn sized(rows: &dyn LinearRows, most: usize) -> Overview {
        let (from_width, from_height) = rows.size();
        let height = from_height.min(most / 2);
        let width = 2 * height;
        let starts = |from: usize, to: usize| (0..=to).map(|i| i * from / to).collect::<Vec<_>>();
        let (columns, lines) = (starts(from_width, width), starts(from_height, height));
        let (mut light, mut peak) = (vec![0.0; width * height], vec![0.0; width * height]);
        light.par_chunks_mut(width).zip(peak.par_chunks_mut(width)).enumerate().for_each_init(
            || (empty_row(from_width), vec![0.0; from_width], vec![0.0; from_width]),
            |(row, lights, peaks), (y, (light, peak))| {
                for line in lines[y]..lines[y + 1] {
                    rows.read(line, row);
                    widest(|| measure(row, lights, peaks));
                    add((lights, peaks), &columns, light, peak);
                }
                let lines = lines[y + 1] - lines[y];
                for (x, light) in light.iter_mut().enumerate() {
                    *light /= (lines * (columns[x + 1] - columns[x])) as f32;
                }
            },
        );
        Overview { width, height, light, peak }
    }

    /// Whether a pixel's light can be measured.
    pub fn is_usable(&self, index: usize) -> bool {
        self.peak[index] < CLIPPED && self.light[index] > DARK
    }

    /// Pixels that stand for about the same angle each, in order: towards the poles only every so-manieth of a row.
    pub fn even_pixels(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.height).flat_map(move |y| {
            let sine = libm::sin(std::f64::consts::PI * (y as f64 + 0.5) / self.height as f64);
            let step = ((1.0 / sine) as usize).clamp(1, self.width);
            (0..self.width).step_by(step).map(move |x| y * self.width + x)
        })
    }
}

/// Luminance and largest channel of every pixel of a row. Numbers that are not finite or below 0 count as black.
#[inline(always)]
fn measure(row: &Row, lights: &mut [f32], peaks: &mut [f32]) {
    let count = lights.len().min(peaks.len());
    let [red, green, blue] = row.each_ref().map(|channel| &channel[..count]);
    for x in 0..count {
        let colour = [red[x], green[x], blue[x]];
        let luminance = LUMINANCE[0] * colour[0] + LUMINANCE[1] * colour[1] + LUMINANCE[2] * colour[2];
        lights[x] = if luminance.is_finite() { luminance.max(0.0) } else { 0.0 };
        let [red, green, blue] = through(&BT2020_TO_SRGB, colour);
        peaks[x] = red.max(green).max(blue);
    }
}

/// Adds a measured row to the pixels it falls on.
fn add((lights, peaks): (&[f32], &[f32]), columns: &[usize], light: &mut [f32], peak: &mut [f32]) {
    for ((beneath, light), peak) in columns.windows(2).zip(light).zip(peak) {
        let beneath = beneath[0]..beneath[1];
        lights[beneath.clone()].iter().for_each(|beneath| *light += beneath);
        *peak = peaks[beneath].iter().fold(*peak, |peak, beneath| peak.max(*beneath));
    }
}
