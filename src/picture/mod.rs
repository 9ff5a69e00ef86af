//! Reading picture files: what they are, what they say of themselves, and their pixels.
//!
//! [`read_header`] looks at headers alone; [`decode()`] gives the sphere. Both judge a file by the same rules:
//!
//! * JPEG (baseline and progressive), PNG and TIFF of 8 or 16 bits, WebP, TIFF in RGB of 32-bit floating point (taken
//!   as linear light, in sRGB's primaries where no profile says otherwise); recognised by content.
//! * EXIF orientation is applied before anything else is asked; an embedded profile is honoured; transparency and what
//!   lies outside a part of a sphere show mid grey. Of an animation or a file of several pages only a TIFF's first
//!   page is taken; PNG's `gAMA` and `cHRM` are not looked at.
//! * No file makes more memory be set aside than it gives evidence for: every format's best compression sets a fewest
//!   number of bytes for a number of pixels, and a file that has fewer is refused before any pixel is decoded.

mod bitmap;
mod contain;
mod decode;
mod error;
mod exif;
mod exposure;
mod facts;
mod flat;
mod flat_file;
mod format;
mod gpano;
mod header;
mod jpeg;
mod light;
pub mod linear;
mod place;
mod profile;
mod rows;
mod shaper;
mod webp;
mod ycc;
mod ycc_light;

pub use bitmap::{Bitmap, Sample};
pub use error::PictureError;
pub use exposure::{Exposure, read_exposure};
pub use flat::{FlatPicture, LONGEST_FLAT_SIDE, open_flat};
pub use flat_file::flat_png;
pub use format::Format;
pub use profile::{ProfileKind, srgb_profile};
pub use ycc::{Chroma, Rgb8Rows, YccPicture};

use crate::sphere::Heading;
use linear::LinearRows;
use std::fs::File;
use std::io::BufReader;
use std::path::Path;

/// Columns of the largest sphere that is read.
pub const LARGEST_WIDTH: u32 = 32768;
/// Rows of the largest sphere that is read.
pub const LARGEST_HEIGHT: u32 = 16384;

/// What a picture file says of itself, from its headers alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Header {
    /// JPEG, PNG, TIFF or WebP; by content, not by the file's ending.
    pub format: Format,
    /// After EXIF orientation.
    pub width: u32,
    /// After EXIF orientation.
    pub height: u32,
    /// 1 grey, 2 grey with transparency, 3 colour, 4 colour with transparency.
    pub channels: u8,
    /// 1 to 16, or 32 for floating point.
    pub bits_per_channel: u8,
    /// What the file says of its colours.
    pub profile: ProfileKind,
    /// Size of the whole sphere's picture: the same as width and height unless only a part was recorded. Always
    /// exactly twice as wide as high.
    pub sphere: SphereFrame,
    /// GPano pose field; `None` where the file says nothing, or an angle outside 0..=360.
    pub pose_heading: Option<Heading>,
    /// Degrees, −90..=90, 0 where the file says nothing.
    pub pose_pitch_deg: f64,
    /// Degrees, −180..=180, 0 where the file says nothing.
    pub pose_roll_deg: f64,
    /// What was left out of account, each as the end of a sentence that starts with the file's name, without its full
    /// stop.
    pub warnings: Vec<String>,
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

/// Reads the headers of a picture file; decodes no pixel. Bounded in time and memory whatever the file claims.
///
/// # Errors
/// Not a picture, not an equirectangular one (2:1, or a part that says where it lies), too large, damaged headers.
pub fn read_header(path: &Path) -> Result<Header, PictureError> {
    let file = File::open(path)?;
    let bytes = file.metadata()?.len();
    header::read(BufReader::new(file), bytes)
}

/// The same from a file's bytes.
///
/// # Errors
/// As [`read_header`].
pub fn read_header_from(bytes: &[u8]) -> Result<Header, PictureError> {
    header::read(std::io::Cursor::new(bytes), bytes.len() as u64)
}

/// Decodes a whole equirectangular picture from a file's bytes: orientation applied, colours brought to sRGB, a
/// partial sphere placed and the rest filled plainly, then as planar Y'CbCr.
///
/// The same bytes give the same picture on any machine (a profile with look-up tables within rounding).
///
/// # Errors
/// As [`read_header`], and damaged or truncated pixel data.
pub fn decode(bytes: &[u8], chroma: Chroma) -> Result<YccPicture, PictureError> {
    decode::decode(bytes, chroma)
}

/// Opens a whole equirectangular picture from a file's bytes as linear light: orientation applied, a partial sphere
/// placed and the rest filled plainly, as [`decode()`] does.
///
/// What has 8 bits and sRGB's colours is kept as the [`YccPicture`] of full chroma that it is. Everything else becomes a
/// [`linear::LinearPicture`] without ever being narrowed to 8 bits or to sRGB's primaries: 16-bit samples, floating point
/// (numbers above 1 and below 0 are kept), and every profile that is not sRGB in effect. A profile of curves goes through
/// its matrix, and colours beyond BT.2020 keep their negative channel; one of tables goes through 16 bits in BT.2020's primaries.
///
/// # Errors
/// As [`decode()`].
pub fn open_linear(bytes: &[u8]) -> Result<Box<dyn LinearRows + Send>, PictureError> {
    decode::open_linear(bytes)
}
