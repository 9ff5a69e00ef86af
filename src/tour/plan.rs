//! Geometry on a plan: bearings, headings, distances, and how far below the horizon things lie.
//!
//! Places count right and down, in the drawing's own units. The formulas are plain trigonometry; the check values of
//! `tests/fixtures/reference/headings.csv` hold them to it.

use crate::sphere::Heading;

/// A door's mark stands this far above the floor, in the doorway.
pub const DOOR_MARK_HEIGHT_M: f64 = 1.0;
/// Where a door's mark stands when no scale tells how far it is: as from 3.4 m away at eye level.
pub const DOOR_ELEVATION_WITHOUT_SCALE_DEG: f64 = -10.0;
/// Where a step's mark lies when no scale tells how far it is: as from 4.4 m away at eye level.
pub const STEP_ELEVATION_WITHOUT_SCALE_DEG: f64 = -20.0;
/// No mark lies further down than this, so that it stays clear of the tripod (a cone of 15 to 25 degrees around the
/// nadir: common practice, no source) and in sight.
pub const LOWEST_MARK_DEG: f64 = -60.0;

/// Angle clockwise from plan-up of the way from one place to another, 0 ≤ bearing < 360; nothing where they coincide.
pub fn bearing_deg(from: [f64; 2], to: [f64; 2]) -> Option<f64> {
    let (right, down) = (to[0] - from[0], to[1] - from[1]);
    (right != 0.0 || down != 0.0).then(|| Heading::wrapping(libm::atan2(right, -down).to_degrees()).degrees())
}

/// The heading of a bearing, where the north arrow stands at `north_deg` clockwise from plan-up.
pub fn heading(bearing_deg: f64, north_deg: f64) -> Heading {
    Heading::wrapping(bearing_deg - north_deg)
}

/// Distance of two places, in the plan's units.
pub fn distance(from: [f64; 2], to: [f64; 2]) -> f64 {
    libm::hypot(to[0] - from[0], to[1] - from[1])
}

/// Elevation of a point `height_m` above the floor, `distance_m` away, seen from a lens `camera_height_m` above the
/// same floor. Below the lens at no distance: −90.
pub fn elevation_deg(height_m: f64, camera_height_m: f64, distance_m: f64) -> f64 {
    libm::atan2(height_m - camera_height_m, distance_m).to_degrees()
}
