//! How unlike its surroundings every pixel of a region is.

use super::super::fill::likeness::{Rebuilt, rebuilt, white};
use super::super::flat_light::FlatLight;
use super::super::mask::Mask;
use super::lighting::Lighting;
use rayon::prelude::*;

/// The surroundings are made so bright that their lightest, but for this share, are white, or half of them brighter than this.
const BEYOND_WHITE: f64 = 0.005;
const MIDDLE: f32 = 0.4;
/// Where white lies on the scale of differences.
const WHITE: f32 = 235.0;

/// A small picture of what stands out.
pub struct Unlike {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// The side of one of its pixels, in pixels of the picture it was made from.
    pub side: usize,
    /// For each pixel of the region the largest difference of a channel, 0 to 255 in even steps to the eye, from what the surroundings can
    /// make there with their own patches; 0 outside the region.
    pub differences: Vec<u8>,
    /// How bright each pixel is, evenly lit, on the same scale.
    pub brightness: Vec<f32>,
    /// Whether it is darker than what the surroundings make there.
    pub darker: Vec<bool>,
}

/// Compares a region with its surroundings (of which `elsewhere` is no part), at the picture's size halved so often as is given. The region is rebuilt, patch by
/// patch, from what most resembles it outside; what cannot be rebuilt is unlike.
pub fn unlike(picture: &FlatLight, region: &Mask, elsewhere: &Mask, halvings: u32) -> Unlike {
    let even = evenly_lit(picture, region);
    let Rebuilt { width, height, seen, made } = rebuilt(&even, &region.inside, &elsewhere.inside, halvings);
    let step = f32::from(white()) / WHITE;
    let difference = |(a, b): (&[i16; 3], &[i16; 3])| {
        let largest = a.iter().zip(b).map(|(a, b)| a.abs_diff(*b)).max().unwrap_or(0);
        (f32::from(largest) / step + 0.5) as u8
    };
    let differences = seen.iter().zip(&made).map(difference).collect();
    let bright = |colour: &[i16; 3]| colour.iter().map(|&channel| f32::from(channel)).sum::<f32>() / (3.0 * step);
    let darker = seen.iter().zip(&made).map(|(a, b)| bright(a) < bright(b)).collect();
    Unlike { width, height, side: 1 << halvings, differences, darker, brightness: seen.iter().map(bright).collect() }
}

/// The picture without the falling-off of its light, and as bright as another.
fn evenly_lit(picture: &FlatLight, region: &Mask) -> FlatLight {
    let lighting = Lighting::of(picture, region);
    let mut even = picture.clone();
    even.pixels.par_chunks_mut(picture.width).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.iter_mut().enumerate() {
            let gain = libm::exp2f(-lighting.at(x, y));
            *pixel = pixel.map(|light| light * gain);
        }
    });
    let known = even.pixels.iter().zip(&region.inside).filter(|(_, inside)| !**inside);
    let mut lightest: Vec<f32> = known.map(|(pixel, _)| pixel.iter().copied().fold(0.0, f32::max)).collect();
    if lightest.is_empty() {
        return even;
    }
    let mut at = |share: f64| {
        let place = ((lightest.len() as f64 * share) as usize).min(lightest.len() - 1);
        f32::max(*lightest.select_nth_unstable_by(place, f32::total_cmp).1, 1e-4)
    };
    let gain = f32::max(1.0 / at(1.0 - BEYOND_WHITE), MIDDLE / at(0.5));
    even.pixels.iter_mut().for_each(|pixel| *pixel = pixel.map(|light| light * gain));
    even
}
