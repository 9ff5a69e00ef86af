//! Covering a region with what is seen elsewhere.

use super::changes::Layer;
use super::flat::FlatView;
use super::flat_light::FlatLight;
use super::lay::{feathered, lay};
use crate::picture::linear::{LUMINANCE, LinearRows};
use crate::sphere::{Direction, Region};

/// Of the region's reach, over which the copy passes into its surroundings, all of it outside.
const FEATHER: f64 = 0.08;
/// The least that it passes over, in pixels of the sphere.
const LEAST_FEATHER_PX: f64 = 4.0;
/// How much brighter or darker a copy is made at most, each channel.
const MOST_GAIN: f32 = 16.0;
/// Light below this says nothing of a ratio.
const DARK: f32 = 1e-4;

/// What is copied, and how.
pub(super) struct Copy<'a> {
    /// The sphere to copy from, of any size.
    pub source: &'a dyn LinearRows,
    /// What comes to lie in the region's middle.
    pub from: Direction,
    pub turned_clockwise_deg: f64,
}

/// Covers a region of a sphere. The copy is made as bright as what surrounds the region, channel by channel, by what both show along its edge.
pub(super) fn clone(sphere: &dyn LinearRows, onto: &Region, copy: &Copy<'_>) -> Layer {
    let px_deg = 360.0 / sphere.size().0 as f64;
    let feather_deg = (FEATHER * onto.reach_deg()).max(LEAST_FEATHER_PX * px_deg);
    let seen_deg = onto.reach_deg() + feather_deg;
    let view = FlatView::without_loss(onto.middle(), seen_deg, sphere.size().0);
    // What is seen through a view that is turned one way is turned the other way itself.
    let from = FlatView::new(copy.from, seen_deg, view.side_px).turned(-copy.turned_clockwise_deg);
    let mut copied = from.look(copy.source);
    let shares = |direction| feathered(onto.distance_deg(direction), feather_deg);
    let gains = gains(&view.look(sphere), &copied, |index| {
        let [right, up, ahead] = view.ray((index % view.side_px) as f64, (index / view.side_px) as f64);
        let share = shares(Direction::normalized(right, up, ahead));
        share > 0.0 && share < 1.0
    });
    for pixel in &mut copied.pixels {
        pixel.iter_mut().zip(gains).for_each(|(light, gain)| *light *= gain);
    }
    lay(sphere, onto.middle(), seen_deg, &|direction| Some((copied.sample(view.pixel(direction)?), shares(direction))))
}

/// By what a copy's channels are multiplied so that it shows the same light on the rim.
fn gains(around: &FlatLight, copied: &FlatLight, on_the_rim: impl Fn(usize) -> bool) -> [f32; 3] {
    let mut sums = [[0.0f64; 3]; 2];
    for (index, pair) in around.pixels.iter().zip(&copied.pixels).enumerate() {
        if on_the_rim(index) {
            for (sum, pixel) in sums.iter_mut().zip([pair.0, pair.1]) {
                sum.iter_mut().zip(pixel).for_each(|(sum, light)| *sum += f64::from(light.max(0.0)));
            }
        }
    }
    let luminance =
        |sum: &[f64; 3]| sum.iter().zip(LUMINANCE).map(|(sum, weight)| sum * f64::from(weight)).sum::<f64>();
    let least = f64::from(DARK) * luminance(&sums[1]).max(f64::MIN_POSITIVE);
    [0, 1, 2].map(|channel| {
        let [around, copied] = [sums[0][channel], sums[1][channel]];
        if copied <= least { 1.0 } else { ((around / copied) as f32).clamp(1.0 / MOST_GAIN, MOST_GAIN) }
    })
}
