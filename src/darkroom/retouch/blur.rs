//! Making a region unreadable, for good.

use super::changes::Layer;
use super::flat::FlatView;
use super::flat_light::FlatLight;
use super::lay::{feathered, lay};
use crate::picture::linear::LinearRows;
use crate::sphere::{Direction, Region};

/// Blocks across the region, and across half of what lies around it. So few numbers tell neither a face nor a word, whatever is
/// done to them afterwards.
const BLOCKS: usize = 4;
/// Samples across a block.
const SAMPLES: usize = 24;
/// Samples of a block that make a mean of its own.
const FEWEST: u32 = (SAMPLES * SAMPLES * 2 / 5) as u32;
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
    let blocks = means(&view.look(sphere), |index| {
        let [right, up, ahead] = view.ray((index % view.side_px) as f64, (index / view.side_px) as f64);
        region.distance_deg(Direction::normalized(right, up, ahead)) <= 0.0
    });
    let block = |direction| view.pixel(direction).map(|pixel| pixel.map(|at| (at + 0.5) / SAMPLES as f64 - 0.5));
    lay(sphere, region.middle(), seen_deg, &|direction| {
        let share = feathered(region.distance_deg(direction) - covered_deg, feather_deg);
        Some((smoothed(&blocks, block(direction)?), share))
    })
}

/// One pixel a block: the mean of what lies in the region, so that what surrounds it does not fade in. Where nearly nothing of
/// a block does, the mean of the whole region.
fn means(seen: &FlatLight, is_inside: impl Fn(usize) -> bool) -> FlatLight {
    let mut sums = [([0.0f32; 3], 0u32); BLOCKS * BLOCKS];
    for (index, pixel) in seen.pixels.iter().enumerate().filter(|(index, _)| is_inside(*index)) {
        let (x, y) = (index % seen.width, index / seen.width);
        let (sum, count) = &mut sums[y / SAMPLES * BLOCKS + x / SAMPLES];
        sum.iter_mut().zip(pixel).for_each(|(sum, light)| *sum += light.max(0.0));
        *count += 1;
    }
    let all = sums.iter().fold(([0.0; 3], 0), |(sum, count), (more, further)| {
        ([0, 1, 2].map(|channel| sum[channel] + more[channel]), count + further)
    });
    let mean = |(sum, count): &([f32; 3], u32)| sum.map(|sum| sum / (*count).max(1) as f32);
    let block = |block: &([f32; 3], u32)| if block.1 < FEWEST { mean(&all) } else { mean(block) };
    FlatLight { width: BLOCKS, height: BLOCKS, pixels: sums.iter().map(block).collect() }
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
