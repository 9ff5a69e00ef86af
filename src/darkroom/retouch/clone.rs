//! Covering a region with what is seen elsewhere.

use super::changes::Layer;
use super::flat::FlatView;
use super::lay::{feathered, lay};
use super::membrane::Membrane;
use crate::picture::linear::LinearRows;
use crate::sphere::{Direction, Region};

/// Of the region's reach, over which the copy passes into its surroundings, all of it outside.
const FEATHER: f64 = 0.08;
/// The least that it passes over, in pixels of the sphere.
const LEAST_FEATHER_PX: f64 = 4.0;
/// Of the region's reach, how far beyond the feather both pictures are compared.
const COMPARED: f64 = 0.12;

/// What is copied, and how.
pub(super) struct Copy<'a> {
    /// The sphere to copy from, of any size.
    pub source: &'a dyn LinearRows,
    /// What comes to lie in the region's middle.
    pub from: Direction,
    pub turned_clockwise_deg: f64,
}

/// Covers a region of a sphere. The copy is made as bright as what surrounds the region, channel by channel and place by place, by what both
/// show around it.
pub(super) fn clone(sphere: &dyn LinearRows, onto: &Region, copy: &Copy<'_>) -> Layer {
    let px_deg = 360.0 / sphere.size().0 as f64;
    let feather_deg = (FEATHER * onto.reach_deg()).max(LEAST_FEATHER_PX * px_deg);
    let laid_deg = onto.reach_deg() + feather_deg;
    let seen_deg = laid_deg + COMPARED * onto.reach_deg();
    let view = FlatView::without_loss(onto.middle(), seen_deg, sphere.size().0);
    // What is seen through a view that is turned one way is turned the other way itself.
    let from = FlatView::new(copy.from, seen_deg, view.side_px).turned(-copy.turned_clockwise_deg);
    let copied = from.look(copy.source);
    let membrane = Membrane::over(&view.look(sphere), &copied, |index| {
        let [right, up, ahead] = view.ray((index % view.side_px) as f64, (index / view.side_px) as f64);
        onto.distance_deg(Direction::normalized(right, up, ahead)) >= 0.0
    });
    lay(sphere, onto.middle(), laid_deg, &|direction| {
        let share = feathered(onto.distance_deg(direction), feather_deg);
        let pixel = view.pixel(direction).filter(|_| share > 0.0)?;
        let (mut light, gains) = (copied.sample(pixel), membrane.gains(pixel));
        light.iter_mut().zip(gains).for_each(|(light, gain)| *light *= gain);
        Some((light, share))
    })
}
