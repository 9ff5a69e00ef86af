//! What was painted: where a flat picture differs from its untouched twin.

use super::area::shrunk;
use super::distance::Pixels;
use crate::picture::FlatPicture;
use crate::picture::linear::light_to_srgb;
use rayon::prelude::*;

/// Difference of a value, 0 to 1 on sRGB's curve, that a file of 8 bits may have without having been painted on: rounding of both
/// files, and one step more from dithering or from a change of profile.
const NOISE_8_BIT: f32 = 2.5 / 255.0;
/// The same for more bits: paint programs that count to 32768, or in half floats, stay below it.
const NOISE_16_BIT: f32 = 1.0 / 1024.0;
/// Of what the twin's values differ by next to a pixel, which scaling to and fro may change.
const SCALED: f32 = 0.5;
/// Radius of gaps that are closed, in pixels.
const GAP_PX: usize = 3;

/// Where two square pictures of the same view differ, at the size of the smaller one: beyond noise, without single specks, small gaps closed.
pub(super) fn changed(painted: &FlatPicture, twin: &FlatPicture) -> Pixels {
    let side = painted.width.min(twin.width);
    let (values, of_twin) = rayon::join(|| values(painted, side), || values(twin, side));
    let noise = if painted.bits_per_channel.min(twin.bits_per_channel) <= 8 { NOISE_8_BIT } else { NOISE_16_BIT };
    let is_scaled = painted.width != twin.width;
    let differs = |index: usize| {
        let leeway = if is_scaled { NOISE_8_BIT + SCALED * contrast(&of_twin, side, index) } else { noise };
        values[index].iter().zip(of_twin[index]).any(|(value, twin)| (value - twin).abs() > leeway)
    };
    let is_in = (0..side * side).into_par_iter().map(differs).collect();
    Pixels { side, is_in }.without_specks().closed(GAP_PX)
}

/// A picture's values on sRGB's curve, at a size that is no larger than its own.
pub(super) fn values(picture: &FlatPicture, side: usize) -> Vec<[f32; 3]> {
    on_the_curve(&shrunk(&picture.pixels, (picture.width, picture.height), (side, side)))
}

/// Light on sRGB's curve, clipped, to within a tenth of the finest noise.
pub(super) fn on_the_curve(light: &[[f32; 3]]) -> Vec<[f32; 3]> {
    let table: Vec<f32> = (0..=u16::MAX).map(|light| light_to_srgb(f64::from(light) / 65535.0) as f32).collect();
    let value = |light: f32| table[usize::from((light.clamp(0.0, 1.0) * 65535.0 + 0.5) as u16)];
    light.par_iter().map(|light| light.map(value)).collect()
}

/// The most that any channel differs by among a pixel and its neighbours.
fn contrast(values: &[[f32; 3]], side: usize, index: usize) -> f32 {
    let near = |at: usize| at.saturating_sub(1)..(at + 2).min(side);
    let (mut least, mut most) = (values[index], values[index]);
    for pixel in near(index / side).flat_map(|y| near(index % side).map(move |x| values[y * side + x])) {
        least.iter_mut().zip(pixel).for_each(|(least, value)| *least = least.min(value));
        most.iter_mut().zip(pixel).for_each(|(most, value)| *most = most.max(value));
    }
    most.iter().zip(least).map(|(most, least)| most - least).fold(0.0, f32::max)
}
