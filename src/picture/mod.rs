//! Reading picture files: what they are, what they say of themselves, and their pixels.

mod ycc;

pub use ycc::{Chroma, YccPicture};

use crate::sphere::Heading;
use std::path::Path;

/// What a picture file says of itself, from its headers alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Header {
    /// JPEG, PNG, TIFF or WebP; by content, not by the file's ending.
    pub format: Format,
    /// After EXIF orientation.
    pub width: u32,
    /// After EXIF orientation.
    pub height: u32,
    /// Size of the whole sphere's picture: the same as width and height unless only a part was recorded.
    pub sphere: SphereFrame,
    /// GPano pose fields.
    pub pose_heading: Option<Heading>,
    /// Degrees, 0 where the file says nothing.
    pub pose_pitch_deg: f64,
    /// Degrees, 0 where the file says nothing.
    pub pose_roll_deg: f64,
}

/// Where a picture lies in the whole sphere's picture, in pixels of this file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct SphereFrame {
    pub full_width: u32,
    pub full_height: u32,
    pub left: u32,
    pub top: u32,
}

/// Kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Format {
    Jpeg,
    Png,
    Tiff,
    WebP,
}

/// Why a picture cannot be used. The message says what is wrong; [`PictureError::remedy`] what to do.
#[derive(Debug, thiserror::Error)]
pub enum PictureError {
    /// Filled by the picture work.
    #[error("cannot be read: {0}")]
    Io(#[from] std::io::Error),
}

impl PictureError {
    /// What to do about it, as a sentence without its full stop.
    pub fn remedy(&self) -> String {
        todo!("filled by the picture work")
    }
}

/// Reads the headers of a picture file; decodes no pixel. Bounded in time and memory whatever the file claims.
///
/// # Errors
/// Not a picture, not an equirectangular one (2:1, or a part that says where it lies), too large, damaged headers.
pub fn read_header(path: &Path) -> Result<Header, PictureError> {
    let _ = path;
    todo!("filled by the picture work")
}

/// Decodes a whole equirectangular picture from a file's bytes: orientation applied, colours brought to sRGB, a
/// partial sphere placed and the rest filled plainly, then as planar Y'CbCr.
///
/// # Errors
/// As [`read_header`], and damaged or truncated pixel data.
pub fn decode(bytes: &[u8], chroma: Chroma) -> Result<YccPicture, PictureError> {
    let _ = (bytes, chroma);
    todo!("filled by the picture work")
}
