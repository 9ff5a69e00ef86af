//! Making a region unreadable, for good.

use super::changes::Layer;
use super::flat::FlatView;
use super::flat_light::FlatLight;
use super::lay::{feathered, lay};
use crate::picture::linear::LinearRows;
use crate::sphere::Region;

/// Blocks across the region, and across half of what lies around it. So few numbers tell neither a face nor a word, whatever is
/// done to them afterwards.
const BLOCKS: usize = 4;
/// Samples across a block.
const SAMPLES: usize = 24;
/// Of the region's reach, over which it passes into its surroundings, all of it outside.
const FEATHER: f64 = 0.12;
/// The least that it passes over, in pixels of the sphere: samples of colour are shared by two, and sampling reaches two further.
const LEAST_FEATHER_PX: f64 = 5.0;

/// Covers a region with the mean light of a few blocks, smoothed. Of what was seen in it nothing but these means is left.
pub(super) fn blur(sphere: &dyn LinearRows, region: &Region) -> Layer {
    let px_deg = 360.0 / sphere.size().0 as f64;
    let feather_deg = (FEATHER * region.reach_deg()).max(LEAST_FEATHER_PX * px_deg);
    let covered_deg = LEAST_FEATHER_PX / 2.0 * px_deg;
    let seen_deg = region.reach_deg() + covered_deg + feather_deg;
    let view = FlatView::new(region.middle(), seen_deg, BLOCKS * SAMPLES);
    let blocks = means(&view.look(sphere));
    let block = |direction| view.pixel(direction).map(|pixel| pixel.map(|at| (at + 0.5) / SAMPLES as f64 - 0.5));
    lay(sphere, region.middle(), seen_deg, &|direction| {
        let share = feathered(region.distance_deg(direction) - covered_deg, feather_deg);
        Some((smoothed(&blocks, block(direction)?), share))
    })
}

/// One pixel a block.
fn means(seen: &FlatLight) -> FlatLight {
    let share = 1.0 / (SAMPLES * SAMPLES) as f32;
    let mean = |block: usize| {
        let (left, top) = (block % BLOCKS * SAMPLES, block / BLOCKS * SAMPLES);
        let mut sum = [0.0f32; 3];
        for y in top..top + SAMPLES {
            for pixel in &seen.pixels[y * seen.width + left..][..SAMPLES] {
                sum.iter_mut().zip(pixel).for_each(|(sum, light)| *sum += light.max(0.0));
            }
        }
        sum.map(|sum| sum * share)
    };
    FlatLight { width: BLOCKS, height: BLOCKS, pixels: (0..BLOCKS * BLOCKS).map(mean).collect() }
}

/// Between the blocks' middles: the quadratic spline of nine of them, which has no edge and overshoots nowhere.
fn smoothed(blocks: &FlatLight, [x, y]: [f64; 2]) -> [f32; 3] {
    let near = |at: f64| ((at + 0.5).floor() as isize, (at + 0.5 - (at + 0.5).floor() - 0.5) as f32);
    let spline = |t: f32| [0.5 * (0.5 - t) * (0.5 - t), 0.75 - t * t, 0.5 * (0.5 + t) * (0.5 + t)];
    let ((column, across), (row, down)) = (near(x), near(y));
    let mut sum = [0.0f32; 3];
    for (j, of_row) in spline(down).into_iter().enumerate() {
        for (i, of_column) in spline(across).into_iter().enumerate() {
            let kept = |at: isize, count: usize| at.clamp(0, count as isize - 1) as usize;
            let (row, column) = (kept(row + j as isize - 1, BLOCKS), kept(column + i as isize - 1, BLOCKS));
            let light = blocks.pixels[row * BLOCKS + column];
            sum.iter_mut().zip(light).for_each(|(sum, light)| *sum += of_row * of_column * light);
        }
    }
    sum
}
