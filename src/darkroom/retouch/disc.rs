//! A disc on the floor below the camera.

use super::changes::Layer;
use super::flat::FlatView;
use super::lay::lay;
use super::veil::Veil;
use crate::picture::FlatPicture;
use crate::picture::linear::{LinearRows, SRGB_TO_BT2020, srgb_to_light, through};
use crate::sphere::{Region, Spot};

/// Lays a disc of one sRGB colour over the nadir. Its edge passes over one pixel.
pub(super) fn plain(sphere: &dyn LinearRows, radius_deg: f64, colour: [u8; 3]) -> Layer {
    let light = through(&SRGB_TO_BT2020, colour.map(|value| srgb_to_light(f64::from(value) / 255.0) as f32));
    let region = nadir(radius_deg);
    let px_deg = 360.0 / sphere.size().0 as f64;
    lay(sphere, region.middle(), radius_deg + px_deg, &|direction| {
        let inside_px = 0.5 - region.distance_deg(direction) / px_deg;
        Some((light, inside_px.clamp(0.0, 1.0) as f32))
    })
}

/// Lays a picture flat on the floor within an angle of the nadir, its top away from who looks at the picture's centre column. Its longer
/// side spans the disc, and what reaches beyond the disc is cut off: a square picture without transparency comes out round. The edge
/// passes over one pixel.
pub(super) fn picture(sphere: &dyn LinearRows, radius_deg: f64, picture: &FlatPicture) -> Layer {
    let region = nadir(radius_deg);
    let view = FlatView::without_loss(region.middle(), radius_deg, sphere.size().0);
    let veil = Veil::of(picture).no_finer_than(view.side_px);
    let view = view.with_side(veil.width.max(veil.height));
    let beside = |length: usize| (view.side_px - length) as f64 / 2.0;
    let (left, top) = (beside(veil.width), beside(veil.height));
    let px_deg = 360.0 / sphere.size().0 as f64;
    lay(sphere, region.middle(), radius_deg + px_deg, &|direction| {
        let inside_px = 0.5 - region.distance_deg(direction) / px_deg;
        let [x, y] = view.pixel(direction)?;
        let (light, share) = veil.sample([x - left, y - top])?;
        Some((light, share * inside_px.clamp(0.0, 1.0) as f32))
    })
}

/// What is seen within an angle of the picture's nadir.
pub(super) fn nadir(radius_deg: f64) -> Region {
    Region::disc(Spot::new(0.0, -90.0).expect("the nadir is a spot"), radius_deg)
}
