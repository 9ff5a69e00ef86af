//! A sphere becomes a pyramid of tiles: layout in integers, cutting, encoding.

pub mod layout;

pub use layout::{Layout, Level, TileId};

use crate::picture::YccPicture;
use crate::sphere::Rotation;

/// How tiles are encoded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Encoding {
    /// JPEG quality, 1..=100.
    pub quality: u8,
    /// Slower, with far smaller files.
    pub small: bool,
}

/// One finished file of a pyramid.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Tile {
    pub id: TileId,
    pub jpeg: Vec<u8>,
}

/// Cuts a picture into its whole pyramid, on all cores. `level` turns the camera's frame into the level frame (tilt
/// taken out). Tiles come in the order of [`Layout::tiles`], the same bytes on any machine and any number of cores.
pub fn cut(picture: &YccPicture, level: Rotation, layout: &Layout, encoding: Encoding) -> Vec<Tile> {
    let _ = (picture, level, layout, encoding);
    todo!("filled by the pyramid work")
}

/// The small equirectangular picture of a station that is shown before any tile: a JPEG of at most 20 KB, in the level
/// frame.
pub fn first_light(picture: &YccPicture, level: Rotation) -> Vec<u8> {
    let _ = (picture, level);
    todo!("filled by the pyramid work")
}

/// A flat view as a JPEG, for pages without script: `width × height` pixels, looking at `heading`, `elevation` degrees in
/// the level frame (heading counted from its centre column) with a horizontal field of view.
pub fn still(picture: &YccPicture, level: Rotation, view: StillView) -> Vec<u8> {
    let _ = (picture, level, view);
    todo!("filled by the pyramid work")
}

/// See [`still`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct StillView {
    pub longitude_deg: f64,
    pub elevation_deg: f64,
    pub field_of_view_deg: f64,
    pub width: u32,
    pub height: u32,
}
