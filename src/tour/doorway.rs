//! How large a doorway looks from a station, so that the next room can be shown inside it on the way through.

use super::plan::elevation_deg;

/// A usual inner door (common practice, no source).
const WIDTH_M: f64 = 0.9;
/// Likewise.
const HEIGHT_M: f64 = 2.0;
/// How far away a doorway is taken to be when nothing tells: where its mark then stands (see
/// [`DOOR_ELEVATION_WITHOUT_SCALE_DEG`](super::plan::DOOR_ELEVATION_WITHOUT_SCALE_DEG)).
const USUAL_DISTANCE_M: f64 = 3.4;
/// A camera stands no closer: a tripod's legs would stand in the doorway.
const LEAST_DISTANCE_M: f64 = 0.5;

/// The outline of a doorway that faces the station, around the door's own heading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doorway {
    /// From one side of the opening to the other, degrees.
    pub width_deg: f64,
    /// Elevation of the lintel, degrees.
    pub top_deg: f64,
    /// Elevation of the threshold, degrees. Below the lintel's.
    pub bottom_deg: f64,
}

impl Doorway {
    /// As seen by a lens `camera_height_m` above the threshold; `None`: nothing tells how far away.
    pub fn seen_from(camera_height_m: f64, distance_m: Option<f64>) -> Self {
        let distance_m = distance_m.unwrap_or(USUAL_DISTANCE_M).max(LEAST_DISTANCE_M);
        Doorway {
            width_deg: 2.0 * libm::atan2(WIDTH_M / 2.0, distance_m).to_degrees(),
            top_deg: elevation_deg(HEIGHT_M, camera_height_m, distance_m),
            bottom_deg: elevation_deg(0.0, camera_height_m, distance_m),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Right-angled triangles, by hand: 0.45 m to each side at 0.45 m is 45°, 1.5 m down at 1.5 m likewise.
    #[test]
    fn a_doorway_looks_as_large_as_it_is_near() {
        let near = Doorway::seen_from(1.5, Some(1.5));
        assert!((near.bottom_deg + 45.0).abs() < 1e-12);
        assert!((near.top_deg - libm::atan(1.0 / 3.0).to_degrees()).abs() < 1e-12);
        assert!((near.width_deg - 2.0 * libm::atan(0.3).to_degrees()).abs() < 1e-12);
        let far = Doorway::seen_from(1.5, Some(15.0));
        assert!(far.width_deg < near.width_deg && far.top_deg < near.top_deg && far.bottom_deg > near.bottom_deg);
    }

    #[test]
    fn an_unknown_distance_is_a_usual_one_and_none_is_too_near() {
        assert_eq!(Doorway::seen_from(1.6, None), Doorway::seen_from(1.6, Some(3.4)));
        assert_eq!(Doorway::seen_from(1.6, Some(0.0)), Doorway::seen_from(1.6, Some(0.5)));
        // A camera on a high pole looks down on the lintel; the threshold still lies below it.
        let high = Doorway::seen_from(4.0, None);
        assert!(high.top_deg < 0.0 && high.bottom_deg < high.top_deg);
    }
}
