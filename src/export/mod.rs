//! Finished pictures as files for other programs: whole spheres, cube faces or flat views, tilt taken out.
//!
//! Every file is sRGB and says so with a profile. A sphere says in GPano metadata that it is one, where it faces, and that
//! it is level. (Files of light cannot say so: their format has no place for it.) Of the shot's own metadata only what is on a short list goes along: see [`Facts`].

mod facts;
mod jpeg;
mod png;
mod radiance;
mod tiff;

pub use facts::{Facts, bears_our_mark};
pub use radiance::ENDING as LIGHT_ENDING;

use crate::picture::{Bitmap, Chroma, Sample};
use crate::sphere::{Direction, Face, Rotation};
use half::f16;

/// What kind of file is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FileKind {
    /// 8 bits, lossy.
    #[default]
    Jpeg,
    /// 8 or 16 bits, lossless.
    Png,
    /// 8 or 16 bits, lossless.
    Tiff,
}

impl FileKind {
    /// The file's ending, without a point.
    pub fn ending(self) -> &'static str {
        match self {
            FileKind::Jpeg => "jpg",
            FileKind::Png => "png",
            FileKind::Tiff => "tif",
        }
    }
}

/// Bits a channel. JPEG has 8.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Depth {
    #[default]
    Eight,
    Sixteen,
}

/// How files are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Format {
    /// What kind of file.
    pub kind: FileKind,
    /// Not used for JPEG.
    pub depth: Depth,
    /// Of JPEG, 1..=100.
    pub quality: u8,
    /// Of JPEG.
    pub chroma: Chroma,
}

/// Which pictures a station gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// The whole sphere, equirectangular, twice as wide as high.
    Sphere {
        /// Columns, even.
        width: u32,
    },
    /// Six pictures, the sides of a cube, as the OpenGL cube map has them.
    Faces {
        /// Columns and rows of each.
        side: u32,
    },
    /// One rectilinear picture.
    View {
        /// Degrees to the right of the level picture's centre column.
        longitude_deg: f64,
        /// Degrees above the horizon.
        elevation_deg: f64,
        /// Horizontal angle in degrees, above 0 and below 180.
        field_of_view_deg: f64,
        /// Columns.
        width: u32,
        /// Rows.
        height: u32,
    },
}

/// One file that was made.
#[derive(Clone, Debug)]
pub struct Made {
    /// What tells it apart from others of the same station: a face's name, or nothing.
    pub part: Option<&'static str>,
    /// The whole file.
    pub bytes: Vec<u8>,
}

/// Makes a station's files. `level` turns the picture's frame into the level one. Files are handed to `done` one by one, so that
/// no more than one picture is held beside the sphere.
///
/// # Errors
/// What `done` returns, at once; a picture that is too large for its format.
pub fn export<E>(
    finished: &Bitmap,
    level: Rotation,
    shape: Shape,
    format: Format,
    facts: &Facts,
    mut done: impl FnMut(Made) -> Result<(), E>,
) -> Result<(), ExportError<E>> {
    let flat_facts = facts.of_flat_picture();
    let facts = if matches!(shape, Shape::Sphere { .. }) { facts } else { &flat_facts };
    shaped(finished, level, shape, |part, bitmap| {
        let bytes = encode(&bitmap, format, facts).map_err(ExportError::Encoding)?;
        done(Made { part, bytes }).map_err(ExportError::Handing)
    })
}

/// The same for a station's light, as Radiance files ([`LIGHT_ENDING`]): linear, with sRGB's primaries, 1 for white.
///
/// # Errors
/// As [`export`].
pub fn export_light<E>(
    light: &Bitmap<f16>,
    level: Rotation,
    shape: Shape,
    mut done: impl FnMut(Made) -> Result<(), E>,
) -> Result<(), ExportError<E>> {
    shaped(light, level, shape, |part, bitmap| {
        let bytes = radiance::encode(&bitmap).map_err(ExportError::Encoding)?;
        done(Made { part, bytes }).map_err(ExportError::Handing)
    })
}

/// Samples the pictures of a shape, one after the other.
fn shaped<S: Sample, E>(
    sphere: &Bitmap<S>,
    level: Rotation,
    shape: Shape,
    mut hand_over: impl FnMut(Option<&'static str>, Bitmap<S>) -> Result<(), E>,
) -> Result<(), E> {
    match shape {
        Shape::Sphere { width } => hand_over(None, sphere.sphere(level, width as usize)),
        Shape::Faces { side } => Face::ALL
            .into_iter()
            .try_for_each(|face| hand_over(Some(face.name()), sphere.face(level, face, side as usize))),
        Shape::View { longitude_deg, elevation_deg, field_of_view_deg, width, height } => {
            let centre = Direction::from_degrees(longitude_deg, elevation_deg);
            let size = (width as usize, height as usize);
            hand_over(None, sphere.view(level, (longitude_deg, centre), field_of_view_deg, size))
        }
    }
}

/// Why a file could not be made.
#[derive(Debug)]
pub enum ExportError<E> {
    /// The picture cannot be written in this format.
    Encoding(String),
    /// Whoever took the files has failed.
    Handing(E),
}

fn encode(bitmap: &Bitmap, format: Format, facts: &Facts) -> Result<Vec<u8>, String> {
    match format.kind {
        FileKind::Jpeg => jpeg::encode(bitmap, format.quality, format.chroma, facts),
        FileKind::Png => png::encode(bitmap, format.depth, facts),
        FileKind::Tiff => tiff::encode(bitmap, format.depth, facts),
    }
}

/// Full size of a face for a sphere of that width: as the pyramid's largest level.
pub fn face_side(sphere_width: u32) -> u32 {
    crate::tiles::Layout::for_width(sphere_width).levels[0].face_px
}
