//! Pure maths of directions: no pixels, no files.
//!
//! The frame of everything: +Z is the picture's centre column once tilt is taken out, +X to its right, +Y up.
//! Longitude grows to the right (clockwise seen from above), latitude up; both in degrees at the surface of
//! this module, radians inside.

mod angle;
mod cube;
mod direction;
mod region;
mod rotation;

pub use angle::{Elevation, Heading, RangeError, wrap_degrees};
pub use cube::{Face, FaceAxes};
pub use direction::{Direction, Spot};
pub use region::{Region, RegionError, axes_at, on_plane};
pub use rotation::Rotation;
