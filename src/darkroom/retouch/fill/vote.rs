//! What the patches over a pixel say it is.

use super::Window;
use super::field::Field;
use super::level::{Level, REACH, State};
use rayon::prelude::*;

/// By how much a patch's word counts less for each pixel that it lies deeper in the hole: what is near the edge is better known. In 1/1024.
const DEEPER: u32 = 800;

/// Weights of all patches: those that match well count more.
struct Weights(Vec<u32>);

impl Weights {
    fn of(level: &Level, field: &Field) -> Weights {
        let mut distances: Vec<u32> =
            field.matches.iter().map(|one| one.distance).filter(|distance| *distance != u32::MAX).collect();
        if distances.is_empty() {
            return Weights(Vec::new());
        }
        let middle = distances.len() * 3 / 4;
        let (_, usual, _) = distances.select_nth_unstable(middle);
        let usual = f32::max(*usual as f32, 1.0);
        let deeper: Vec<f32> = (0..=255u32)
            .scan(1.0f32, |weight, _| {
                let now = *weight;
                *weight *= DEEPER as f32 / 1024.0;
                Some(now.max(1e-6))
            })
            .collect();
        let weight = |index: usize| {
            let one = &field.matches[index];
            if one.distance == u32::MAX {
                return 0;
            }
            let fit = libm::expf(-(one.distance as f32) / (2.0 * usual) * 4.0);
            let depth = usize::from(level.depths[index]);
            (65536.0 * fit.max(1e-3) * deeper[depth.min(24)]) as u32 + 1
        };
        Weights((0..field.matches.len()).into_par_iter().map(weight).collect())
    }
}

/// Gives every pixel of the hole the colour that the patches over it say.
pub fn vote(level: &mut Level, field: &Field) {
    let weights = Weights::of(level, field);
    let width = level.width;
    let voted: Vec<Option<[i16; 4]>> = (0..level.colours.len())
        .into_par_iter()
        .map(|index| {
            if level.states[index] != State::Hole {
                return None;
            }
            let (mut sum, mut all) = ([0u64; 4], 0u64);
            patches_over(level, field, index, |patch, source| {
                let weight = u64::from(weights.0[patch]);
                let colour = level.colours[source];
                for channel in 0..3 {
                    sum[channel] += weight * colour[channel] as u64;
                }
                all += weight;
            });
            (all > 0).then(|| sum.map(|sum| ((sum + all / 2) / all) as i16))
        })
        .collect();
    debug_assert_eq!(voted.len(), width * level.height);
    for (colour, voted) in level.colours.iter_mut().zip(voted) {
        if let Some(voted) = voted {
            *colour = voted;
        }
    }
}

/// The same in light, from the picture's own: nothing is lost to rounding. For the pixels of a part of the level; those outside the hole are the picture's.
pub fn light(
    level: &Level,
    field: &Field,
    part: Window,
    picture: &(dyn Fn(usize) -> [f32; 3] + Sync),
) -> Vec<[f32; 3]> {
    let weights = Weights::of(level, field);
    (0..part.width * part.height)
        .into_par_iter()
        .map(|index| {
            let index = part.outer(index, level.width);
            if level.states[index] != State::Hole {
                return picture(index);
            }
            let (mut sum, mut all) = ([0.0f32; 3], 0.0f32);
            patches_over(level, field, index, |patch, source| {
                let weight = weights.0[patch] as f32;
                // Only what fits best: a mean of many patches is soft.
                let weight = weight * weight;
                let light = picture(source);
                for channel in 0..3 {
                    sum[channel] += weight * light[channel];
                }
                all += weight;
            });
            if all > 0.0 { sum.map(|sum| sum / all) } else { picture(index) }
        })
        .collect()
}

/// Every patch over a pixel that has a match, with the pixel that it copies there.
#[inline(always)]
fn patches_over(level: &Level, field: &Field, index: usize, mut each: impl FnMut(usize, usize)) {
    let (x, y) = (index % level.width, index / level.width);
    for row in y.saturating_sub(REACH)..=(y + REACH).min(level.height - 1) {
        for column in x.saturating_sub(REACH)..=(x + REACH).min(level.width - 1) {
            let patch = row * level.width + column;
            let one = &field.matches[patch];
            if one.source[0] < 0 {
                continue;
            }
            let [source_column, source_row] = one.source.map(|at| at as usize);
            each(patch, (source_row + y - row) * level.width + source_column + x - column);
        }
    }
}
