//! The light itself: a bracket as one picture of floating-point light, all that any shot could see.
//!
//! Debevec and Malik, "Recovering High Dynamic Range Radiance Maps from Photographs", SIGGRAPH 1997, equation 6, with the display's curve as
//! the known response: ln E = Σ w(z) (ln light(z) − ln t) / Σ w(z), with the hat of equation 4 on the encoded value z, 0 at
//! black and at white and 1 between them. Each of red, green and blue has its own sum.

use super::curve::{Curve, exp2, log2};
use super::strip::Scene;
use super::wide::widest;
use crate::picture::linear::LinearPicture;
use crate::picture::linear::{BT2020_TO_SRGB, Row, SRGB_TO_BT2020, empty_row, finite, through};
use half::slice::HalfFloatSliceExt;
use rayon::prelude::*;

/// Merges the shots of a scene. `stops` are their exposures over the one whose white is 1.
pub(super) fn merge(scene: &Scene<'_>, stops: &[f64]) -> LinearPicture {
    let (width, height) = scene.size();
    let stops: Vec<f32> = stops.iter().map(|&stops| stops as f32).collect();
    let (mut darkest, mut lightest) = (0, 0);
    for (shot, &of_shot) in stops.iter().enumerate() {
        darkest = if of_shot < stops[darkest] { shot } else { darkest };
        lightest = if of_shot > stops[lightest] { shot } else { lightest };
    }
    let mut picture = LinearPicture::black(width, height);
    let [red, green, blue] = &mut picture.planes;
    red.par_chunks_mut(width)
        .zip(green.par_chunks_mut(width))
        .zip(blue.par_chunks_mut(width))
        .enumerate()
        .for_each_init(
            || (vec![empty_row(width); stops.len()], empty_row(width)),
            |(lights, row), (y, ((red, green), blue))| {
                scene.read(y, lights);
                widest(|| merge_row(lights, &stops, (darkest, lightest), row));
                for (kept, made) in [red, green, blue].into_iter().zip(&*row) {
                    kept.convert_from_f32_slice(made);
                }
            },
        );
    picture
}

/// The hat on encoded values 0 to 1 (equation 4), scaled to 1 in the middle.
#[inline(always)]
fn hat(value: f32) -> f32 {
    (1.0 - (2.0 * value - 1.0).abs()).max(0.0)
}

#[inline(always)]
fn merge_row(lights: &[Row], stops: &[f32], (darkest, lightest): (usize, usize), merged: &mut Row) {
    let curve = Curve::srgb();
    let [red, green, blue] = merged;
    for x in 0..red.len() {
        let (mut weights, mut sums) = ([0.0f32; 3], [0.0f32; 3]);
        for (light, stops) in lights.iter().zip(stops) {
            let colour = through(&BT2020_TO_SRGB, [light[0][x], light[1][x], light[2][x]]);
            for channel in 0..3 {
                let value = colour[channel].max(0.0);
                let weight = hat(curve.encode(value));
                weights[channel] += weight;
                sums[channel] += weight * (log2(value) - stops);
            }
        }
        let colour: [f32; 3] = std::array::from_fn(|channel| {
            if weights[channel] > 1e-3 {
                exp2(sums[channel] / weights[channel])
            } else {
                unseen(lights, stops, (darkest, lightest), x, channel)
            }
        });
        let colour = through(&SRGB_TO_BT2020, colour).map(finite);
        [red[x], green[x], blue[x]] = colour;
    }
}

/// Where no shot tells: too light for the darkest, or too dark for the lightest.
#[inline(never)]
fn unseen(lights: &[Row], stops: &[f32], (darkest, lightest): (usize, usize), x: usize, channel: usize) -> f32 {
    let of = |shot: usize| {
        let light = &lights[shot];
        through(&BT2020_TO_SRGB, [light[0][x], light[1][x], light[2][x]])[channel] * exp2(-stops[shot])
    };
    let in_darkest = through(&BT2020_TO_SRGB, lights[darkest].each_ref().map(|row| row[x]))[channel];
    if in_darkest > 0.5 { of(darkest) } else { of(lightest) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Debevec and Malik, equation 4, on 8 bits: w(0) = 0, w(64) = 64, w(127) = w(128) = 127, w(255) = 0.
    #[test]
    fn the_hat_is_the_papers() {
        for (value, expected) in [(0.0, 0.0), (64.0, 64.0), (127.0, 127.0), (128.0, 127.0), (192.0, 63.0), (255.0, 0.0)]
        {
            let found = hat(value / 255.0) * 127.5;
            assert!((found - expected).abs() < 1e-4, "{value}: {found}");
        }
    }
}
