//! Cutting a hole into a sphere, filling it on a flat view, and laying the filling back.

use super::changes::Layer;
use super::disc::nadir;
use super::fill::fill;
use super::flat::FlatView;
use super::lay::{feathered, lay};
use super::tripod::{self, Unsure};
use crate::picture::linear::LinearRows;
use crate::sphere::{Direction, Region};
use crate::tour::retouch::USUAL_TRIPOD_DEG;
use rayon::prelude::*;

/// How much further than a hole one looks for what may fill it.
const SURROUNDINGS: f64 = 2.0;
/// A large hole is not filled from things so far off that they are others: beyond this, and a margin around the hole, nothing is taken, degrees.
const FAR_DEG: f64 = 46.0;
const MARGIN_DEG: f64 = 12.0;
/// No flat view that is filled is wider: beyond it memory would be short, and what is filled a little softer does not show.
const MOST_SIDE_PX: usize = 6000;
/// Pixels of the sphere over which a filling passes into what surrounds it, outside the region.
const FEATHER_PX: f64 = 3.0;

/// Fills a region from its surroundings.
pub(super) fn fill_region(sphere: &dyn LinearRows, region: &Region) -> Layer {
    let feather_deg = FEATHER_PX * 360.0 / sphere.size().0 as f64;
    let share = |direction| feathered(region.distance_deg(direction), feather_deg);
    filled(sphere, region.middle(), region.reach_deg() + feather_deg, &share)
}

/// Fills what stands below the camera: a disc of that radius, or else what is found there. Where nothing is found for sure, a disc of the
/// usual size; the second value then tells why.
pub(super) fn fill_tripod(
    sphere: &dyn LinearRows,
    radius_deg: Option<f64>,
    with_shadow: bool,
) -> (Layer, Option<Unsure>) {
    if let Some(radius_deg) = radius_deg {
        return (fill_region(sphere, &nadir(radius_deg)), None);
    }
    match tripod::find(sphere, with_shadow) {
        Ok(found) => {
            let share = |direction| found.cover(direction);
            (filled(sphere, nadir(1.0).middle(), found.reach_deg + 1.0, &share), None)
        }
        Err(unsure) => (fill_region(sphere, &nadir(USUAL_TRIPOD_DEG)), Some(unsure)),
    }
}

/// Fills whatever has a share in a hole around a direction.
fn filled(
    sphere: &dyn LinearRows,
    middle: Direction,
    reach_deg: f64,
    share: &(dyn Fn(Direction) -> f32 + Sync),
) -> Layer {
    let seen_deg = (SURROUNDINGS * reach_deg + 2.0).min(FAR_DEG.max(reach_deg + MARGIN_DEG)).min(70.0);
    let view = FlatView::without_loss(middle, seen_deg, sphere.size().0).at_most(MOST_SIDE_PX);
    let hole: Vec<bool> = (0..view.side_px * view.side_px)
        .into_par_iter()
        .map(|index| {
            let [right, up, ahead] = view.ray((index % view.side_px) as f64, (index / view.side_px) as f64);
            share(Direction::normalized(right, up, ahead)) > 0.0
        })
        .collect();
    let mut picture = view.look_where(sphere, &|index| !hole[index]);
    fill(&mut picture, &hole, &vec![false; hole.len()]);
    lay(sphere, middle, reach_deg, &|direction| {
        let share = share(direction);
        (share > 0.0).then_some(())?;
        Some((picture.sample(view.pixel(direction)?), share))
    })
}
