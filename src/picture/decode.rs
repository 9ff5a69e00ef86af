//! From a file's bytes to planar Y'CbCr or linear light, by the shortest road.
//!
//! The usual shot is a JPEG of a whole sphere, upright, in sRGB: its samples are Y'CbCr already and are only sorted
//! into planes. Everything else goes row by row through RGB, so that nothing but the file's own samples and the planes
//! are ever held whole.

use super::contain::contained;
use super::exif::Orientation;
use super::facts::{self, Facts};
use super::light::{LightRows, ToLight};
use super::linear::{LinearPicture, LinearRows, empty_row};
use super::profile::Conversion;
use super::rows::{Colours, Depth, Kind, Rows, Samples};
use super::ycc::YccWriter;
use super::{Chroma, Format, Header, PictureError, YccPicture, header, jpeg, ycc};
use image::codecs::webp::WebPDecoder;
use image::{ColorType, ImageDecoder};
use std::io::Cursor;

/// See [`super::decode()`].
pub(super) fn decode(bytes: &[u8], chroma: Chroma) -> Result<YccPicture, PictureError> {
    Ok(Decoded::read(bytes)?.into_ycc(chroma))
}

/// See [`super::open_linear()`].
pub(super) fn open_linear(bytes: &[u8]) -> Result<Box<dyn LinearRows + Send>, PictureError> {
    let decoded = Decoded::read(bytes)?;
    if decoded.samples.depth == Depth::Eight && decoded.conversion.is_none() {
        return Ok(Box::new(decoded.into_ycc(Chroma::Full)));
    }
    Ok(Box::new(decoded.into_light()))
}

/// A file's samples and what is known about them.
struct Decoded {
    header: Header,
    samples: Samples,
    /// Columns and rows of the file, before orientation.
    size: (usize, usize),
    orientation: Orientation,
    conversion: Option<Conversion>,
}

impl Decoded {
    fn read(bytes: &[u8]) -> Result<Decoded, PictureError> {
        let length = bytes.len() as u64;
        let facts = Facts::read(Cursor::new(bytes), length)?;
        let (header, conversion) = header::judge(&facts, length)?;
        let samples = checked_samples(bytes, &facts)?;
        let size = (facts.width as usize, facts.height as usize);
        Ok(Decoded { header, samples, size, orientation: facts.orientation, conversion })
    }

    fn into_ycc(self, chroma: Chroma) -> YccPicture {
        let Decoded { header, samples, size, orientation, conversion } = self;
        let upright = orientation == Orientation::TopLeft && header.sphere.is_whole((header.width, header.height));
        if samples.kind == Kind::Ycc && upright && conversion.is_none() {
            return ycc::split(samples.bytes, size, chroma);
        }
        let colours = match (samples.depth, conversion) {
            (Depth::Float, conversion) => Colours::FromLight(ToLight::new(conversion.as_ref(), &header.profile)),
            (_, Some(conversion)) => Colours::Converted(conversion.prepare()),
            (_, None) => Colours::AsTheyAre,
        };
        through_rgb(&header, Rows::new(samples, size, orientation, colours), chroma)
    }

    fn into_light(self) -> LinearPicture {
        let Decoded { header, samples, size, orientation, conversion } = self;
        let to_light = ToLight::new(conversion.as_ref(), &header.profile);
        through_light(&header, LightRows::new(samples, size, orientation, to_light))
    }
}

/// Every row as linear light, kept as half floats.
fn through_light(header: &Header, mut rows: LightRows) -> LinearPicture {
    let frame = header.sphere;
    let width = frame.full_width as usize;
    let mut picture = LinearPicture::black(width, frame.full_height as usize);
    picture.full_scale = rows.full_scale();
    let mut row = empty_row(width);
    for y in 0..frame.full_height {
        frame.lay_light((header.width, header.height), y, &mut row, |part_y, part| rows.read(part_y, part));
        picture.set_row(y as usize, &mut row);
    }
    picture
}

/// Every row through RGB, two at a time as 4:2:0 wants them.
fn through_rgb(header: &Header, mut rows: Rows, chroma: Chroma) -> YccPicture {
    let frame = header.sphere;
    let mut writer = YccWriter::new((frame.full_width as usize, frame.full_height as usize), chroma);
    let mut pair = [vec![0; 3 * frame.full_width as usize], vec![0; 3 * frame.full_width as usize]];
    for y in (0..frame.full_height).step_by(2) {
        for (below, row) in pair.iter_mut().enumerate() {
            // Below the last row of an odd height the same row stands once more.
            let y = (y + below as u32).min(frame.full_height - 1);
            frame.lay((header.width, header.height), y, row, |part_y, pixels| rows.read(part_y, pixels));
        }
        writer.push(&pair[0], &pair[1]);
    }
    writer.finish()
}

/// All samples of a file, checked against its facts.
pub(super) fn checked_samples(bytes: &[u8], facts: &Facts) -> Result<Samples, PictureError> {
    let read = contained(|| samples(bytes, facts.format)).unwrap_or_else(|| Err(confused(facts.format)));
    let samples = read?;
    if samples.bytes.len() != facts.pixels() as usize * samples.bytes_per_pixel() {
        return Err(confused(facts.format));
    }
    Ok(samples)
}

fn samples(bytes: &[u8], format: Format) -> Result<Samples, PictureError> {
    match format {
        Format::Jpeg => jpeg::decode(bytes),
        Format::Png => read(facts::png_decoder(Cursor::new(bytes))?, format),
        Format::Tiff => read(facts::tiff_decoder(Cursor::new(bytes))?, format),
        Format::WebP => {
            let decoder = WebPDecoder::new(Cursor::new(bytes));
            read(decoder.map_err(|error| PictureError::from_image(error, format))?, format)
        }
    }
}

fn read(decoder: impl ImageDecoder, format: Format) -> Result<Samples, PictureError> {
    let (kind, depth) = match decoder.color_type() {
        ColorType::L8 => (Kind::Grey, Depth::Eight),
        ColorType::La8 => (Kind::GreyAlpha, Depth::Eight),
        ColorType::Rgb8 => (Kind::Rgb, Depth::Eight),
        ColorType::Rgba8 => (Kind::RgbAlpha, Depth::Eight),
        ColorType::L16 => (Kind::Grey, Depth::Sixteen),
        ColorType::La16 => (Kind::GreyAlpha, Depth::Sixteen),
        ColorType::Rgb16 => (Kind::Rgb, Depth::Sixteen),
        ColorType::Rgba16 => (Kind::RgbAlpha, Depth::Sixteen),
        ColorType::Rgb32F => (Kind::Rgb, Depth::Float),
        ColorType::Rgba32F => (Kind::RgbAlpha, Depth::Float),
        other => return Err(PictureError::Unsupported { format, what: format!("samples of kind {other:?}") }),
    };
    let mut bytes = vec![0; decoder.total_bytes() as usize];
    decoder.read_image(&mut bytes).map_err(|error| PictureError::from_image(error, format))?;
    Ok(Samples { kind, depth, bytes })
}

/// A decoder failed in an unforeseen way.
fn confused(format: Format) -> PictureError {
    PictureError::Damaged { format, detail: "its picture data make no sense".to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{ProfileKind, SphereFrame};

    /// The same samples by both roads: sorted into planes, or through RGB. They differ by rounding to RGB and back,
    /// which is within one count of luma and, where nothing is clipped, of chroma.
    #[test]
    fn the_fast_road_leads_where_the_general_one_does() {
        let (width, height) = (256, 128);
        // All colours of Y'CbCr near the middle, so that none lies outside RGB.
        let bytes: Vec<u8> = (0..width * height)
            .flat_map(|pixel| [80 + pixel % 97, 90 + pixel / 97 % 71, 95 + pixel / 211 % 67].map(|value| value as u8))
            .collect();
        let header = Header {
            format: Format::Jpeg,
            width: width as u32,
            height: height as u32,
            channels: 3,
            bits_per_channel: 8,
            profile: ProfileKind::Absent,
            sphere: SphereFrame { full_width: width as u32, full_height: height as u32, left: 0, top: 0 },
            pose_heading: None,
            pose_pitch_deg: 0.0,
            pose_roll_deg: 0.0,
            warnings: Vec::new(),
        };
        for chroma in [Chroma::Full, Chroma::Half] {
            let fast = ycc::split(bytes.clone(), (width, height), chroma);
            let samples = Samples { kind: Kind::Ycc, depth: Depth::Eight, bytes: bytes.clone() };
            let rows = Rows::new(samples, (width, height), Orientation::TopLeft, Colours::AsTheyAre);
            let general = through_rgb(&header, rows, chroma);
            for (fast, general) in [(&fast.y, &general.y), (&fast.cb, &general.cb), (&fast.cr, &general.cr)] {
                assert_eq!(fast.len(), general.len());
                assert!(fast.iter().zip(general).all(|(fast, general)| fast.abs_diff(*general) <= 1), "{chroma:?}");
            }
        }
    }
}
