//! Why a picture cannot be used, and what the photographer can do about it.

use super::flat::LONGEST_FLAT_SIDE;
use super::{Format, LARGEST_HEIGHT, LARGEST_WIDTH};

/// Why a picture cannot be used. The message says what is wrong, as the end of a sentence that starts with the file's
/// name; [`PictureError::remedy`] says what to do.
#[derive(Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum PictureError {
    /// The file could not be opened or read.
    #[error("cannot be read: {0}")]
    Io(#[from] std::io::Error),
    /// Not one byte.
    #[error("is empty: it has no bytes at all")]
    Empty,
    /// The first bytes are those of no known kind of picture.
    #[error("is not a picture that can be read: its content is not JPEG, PNG, TIFF or WebP")]
    NotAPicture,
    /// The file stops before its picture does.
    #[error("is cut off: the {format} data ends before the picture is complete")]
    Truncated { format: Format },
    /// The file contradicts its own format.
    #[error("is damaged: {detail} (read as {format})")]
    Damaged { format: Format, detail: String },
    /// Right by its format, but of a kind that is not read.
    #[error("is a {format} picture with {what}, which cannot be read")]
    Unsupported { format: Format, what: String },
    /// Ink instead of light.
    #[error("is a {format} picture in CMYK, the colours of print")]
    Cmyk { format: Format },
    /// More than one picture in time.
    #[error("is an animated {format} picture")]
    Animated { format: Format },
    /// Larger than 32768×16384, by itself or as the whole sphere that it says it is part of.
    #[error("is {width}×{height} pixels; the largest sphere that can be read is {LARGEST_WIDTH}×{LARGEST_HEIGHT}")]
    TooLarge { width: u64, height: u64 },
    /// A flat picture with a side longer than 12288 pixels.
    #[error("is {width}×{height} pixels; the largest flat picture that can be read is {LONGEST_FLAT_SIDE} on a side")]
    TooLargeFlat { width: u32, height: u32 },
    /// The size that the headers claim cannot be held by a file this short.
    #[error("claims {width}×{height} pixels, but has only {bytes} bytes, fewer than such a picture can have")]
    Implausible { width: u32, height: u32, bytes: u64 },
    /// No whole sphere, and nothing that says which part of it.
    #[error("is {width}×{height} pixels, but a whole sphere is exactly twice as wide as high")]
    NotTwoToOne { width: u32, height: u32 },
    /// GPano metadata says that the picture is no equirectangular one.
    #[error("says that its projection is `{name}`")]
    Projection { name: String },
    /// The crop fields contradict the picture or each other.
    #[error("says where it lies in the sphere, but {detail}")]
    Placement { detail: String },
}

impl PictureError {
    /// What to do about it, as a sentence without its full stop.
    pub fn remedy(&self) -> String {
        match self {
            PictureError::Io(_) => "Check that the file is there and may be read",
            PictureError::Empty | PictureError::Truncated { .. } => {
                "Copy the file from the camera or export it again; a copy was probably interrupted"
            }
            PictureError::NotAPicture => "Export the shot as JPEG, PNG, TIFF or WebP",
            PictureError::Damaged { .. } | PictureError::Implausible { .. } => {
                "Copy the file from the camera or export it again"
            }
            PictureError::Unsupported { .. } => "Export it as JPEG, or as 8- or 16-bit PNG or TIFF in RGB or grey",
            PictureError::Cmyk { .. } => "Convert it to RGB (sRGB is best) and save it again",
            PictureError::Animated { .. } => "Export a single still picture",
            PictureError::TooLarge { .. } => {
                return format!("Export it at {LARGEST_WIDTH}×{LARGEST_HEIGHT} pixels or smaller");
            }
            PictureError::TooLargeFlat { .. } => {
                return format!("Export it with at most {LONGEST_FLAT_SIDE} pixels on a side");
            }
            PictureError::NotTwoToOne { .. } => {
                "Export the full 360° × 180° equirectangular picture, uncropped; a part of a sphere needs the GPano \
                 fields that say where it lies"
            }
            PictureError::Projection { .. } => "Export it in equirectangular projection",
            PictureError::Placement { .. } => {
                "Export it again, or take its GPano crop fields out if it is a whole sphere"
            }
        }
        .to_owned()
    }

    /// For bytes that end too early, and everything else that goes wrong while reading.
    pub(super) fn from_read(error: std::io::Error, format: Format) -> Self {
        if error.kind() == std::io::ErrorKind::UnexpectedEof {
            PictureError::Truncated { format }
        } else {
            PictureError::Io(error)
        }
    }

    /// What the readers of PNG, TIFF and WebP complain about.
    pub(super) fn from_image(error: image::ImageError, format: Format) -> Self {
        use image::ImageError;
        match error {
            ImageError::IoError(error) => PictureError::from_read(error, format),
            ImageError::Unsupported(error) => PictureError::Unsupported { format, what: error.to_string() },
            error if ends_early(&error) => PictureError::Truncated { format },
            error => PictureError::Damaged { format, detail: error.to_string() },
        }
    }
}

/// Whether the innermost cause is that the bytes ran out.
fn ends_early(error: &(dyn std::error::Error + 'static)) -> bool {
    std::iter::successors(Some(error), |error| error.source())
        .filter_map(|error| error.downcast_ref::<std::io::Error>())
        .any(|error| error.kind() == std::io::ErrorKind::UnexpectedEof)
}
