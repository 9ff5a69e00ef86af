//! The darkroom: what happens to a station's picture between the camera's file and the tiles, one file a step.
//!
//! ```text
//! shots ─ merge ─ retouch ─ tone ─ finished sphere
//! ```
//!
//! Every step is a pure function on whole spheres in linear light ([`crate::picture::linear`]): no seam at ±180°, no pinch
//! or ring at the poles, the same bytes on any number of cores and with any vector width. A [`Recipe`] is data: which steps, with which numbers.
//! A station whose recipe is plain never comes here; it goes from decode to tiles in 8 bits.
//!
//! Tilt is no step: it is taken out where tiles, stills and exports are sampled. What finds it from the picture's own verticals
//! stands here all the same, since it looks at pixels.

pub mod colour_difference;
mod develop;
pub mod doorway;
pub mod matrix;
pub mod merge;
pub mod recipe;
pub mod retouch;
pub mod tone;
pub mod upright;

pub use develop::{
    DevelopError, Developed, Files, develop, develop_deep, differences_from_twins, flat_view, proof, radiance,
    small_light,
};
pub use recipe::{Recipe, Tone, WhiteBalance};
