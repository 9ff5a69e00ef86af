//! Flat pictures: what somebody painted, and logos. Any proportion, transparency kept apart, in linear light.

use super::decode::checked_samples;
use super::facts::{self, Facts};
use super::light::{LightRows, ToLight};
use super::rows::{Depth, Kind, Samples};
use super::{Format, PictureError, ProfileKind, header};
use std::io::Cursor;

/// The longest side of a flat picture that is read. 16 bytes a pixel: 2.4 GB for the largest, beside the file's own samples.
pub const LONGEST_FLAT_SIDE: u32 = 12288;

/// A flat picture in linear BT.2020, as it is seen: orientation applied, its profile understood.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatPicture {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Red, green and blue, row by row; what is transparent keeps its own colour.
    pub pixels: Vec<[f32; 3]>,
    /// 0 transparent to 1 opaque, a number a pixel; `None` where the file has no such channel.
    pub alpha: Option<Vec<f32>>,
    /// 1 to 16, or 32 for floating point.
    pub bits_per_channel: u8,
    /// What kind of file it was.
    pub format: Format,
    /// What the file says of its colours.
    pub profile: ProfileKind,
}

/// Opens a flat picture from a file's bytes: JPEG, PNG, TIFF or WebP of any proportion.
///
/// # Errors
/// Not a picture, an animation, CMYK, a side longer than [`LONGEST_FLAT_SIDE`], damaged or truncated data.
pub fn open_flat(bytes: &[u8]) -> Result<FlatPicture, PictureError> {
    let length = bytes.len() as u64;
    let facts = Facts::read(Cursor::new(bytes), length)?;
    let (profile, conversion) = header::judge_flat(&facts, length, LONGEST_FLAT_SIDE)?;
    if facts.format == Format::Png && is_animated(bytes)? {
        return Err(PictureError::Animated { format: facts.format });
    }
    let (samples, alpha) = parted(checked_samples(bytes, &facts)?);
    let stored = (facts.width as usize, facts.height as usize);
    let (width, height) = facts.orientation.seen_size((facts.width, facts.height));
    let (width, height) = (width as usize, height as usize);
    let to_light = ToLight::new(conversion.as_ref(), &profile);
    let alpha = alpha.map(|alpha| {
        let row = |y| facts.orientation.walk(y, stored.0, stored.1).pixels().take(width).map(|pixel| alpha[pixel]);
        (0..height).flat_map(row).collect()
    });
    let mut rows = LightRows::new(samples, stored, facts.orientation, to_light);
    let mut planes: [Vec<f32>; 3] = std::array::from_fn(|_| vec![0.0; width]);
    let mut pixels = Vec::with_capacity(width * height);
    for y in 0..height {
        rows.read(y, planes.each_mut().map(|plane| &mut plane[..]));
        let [red, green, blue] = &planes;
        pixels.extend((0..width).map(|x| [red[x], green[x], blue[x]].map(super::linear::finite)));
    }
    let bits_per_channel = facts.bits_per_channel;
    Ok(FlatPicture { width, height, pixels, alpha, bits_per_channel, format: facts.format, profile })
}

fn is_animated(bytes: &[u8]) -> Result<bool, PictureError> {
    let decoder = facts::png_decoder(Cursor::new(bytes))?;
    decoder.is_apng().map_err(|error| PictureError::from_image(error, Format::Png))
}

/// Colours without transparency, and transparency by itself.
fn parted(samples: Samples) -> (Samples, Option<Vec<f32>>) {
    let kind = match samples.kind {
        Kind::GreyAlpha => Kind::Grey,
        Kind::RgbAlpha => Kind::Rgb,
        _ => return (samples, None),
    };
    let of_pixel = samples.bytes_per_pixel();
    let of_colour = of_pixel / samples.kind.channels() * kind.channels();
    let pixels = samples.bytes.chunks_exact(of_pixel);
    let alpha = pixels.clone().map(|pixel| opacity(samples.depth, &pixel[of_colour..])).collect();
    let bytes = pixels.flat_map(|pixel| &pixel[..of_colour]).copied().collect();
    (Samples { kind, depth: samples.depth, bytes }, Some(alpha))
}

fn opacity(depth: Depth, bytes: &[u8]) -> f32 {
    match (depth, bytes) {
        (Depth::Eight, &[value]) => f32::from(value) / 255.0,
        (Depth::Sixteen, &[a, b]) => f32::from(u16::from_ne_bytes([a, b])) / 65535.0,
        (Depth::Float, &[a, b, c, d]) => super::linear::finite(f32::from_ne_bytes([a, b, c, d])).clamp(0.0, 1.0),
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{ImageFormat, Rgba, RgbaImage};

    #[test]
    fn transparency_and_colour_are_kept_apart() {
        let mut file = Vec::new();
        let picture = RgbaImage::from_fn(3, 5, |x, y| Rgba([255, 255, 255, (x + 10 * y) as u8]));
        picture.write_to(&mut Cursor::new(&mut file), ImageFormat::Png).unwrap();
        let read = open_flat(&file).unwrap();
        assert_eq!((read.width, read.height, read.bits_per_channel), (3, 5, 8));
        assert!(read.pixels.iter().flatten().all(|light| (light - 1.0).abs() < 1e-6));
        assert_eq!(read.alpha.unwrap()[3 * 4 + 2], 42.0 / 255.0);
    }

    #[test]
    fn what_is_no_still_picture_is_refused() {
        assert!(matches!(open_flat(b"GIF89a and so on"), Err(PictureError::NotAPicture)));
        assert!(matches!(open_flat(b""), Err(PictureError::Empty)));
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, 4, 4);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_animated(2, 0).unwrap();
        let mut writer = encoder.write_header().unwrap();
        writer.write_image_data(&[7; 48]).unwrap();
        writer.write_image_data(&[9; 48]).unwrap();
        writer.finish().unwrap();
        assert!(matches!(open_flat(&file), Err(PictureError::Animated { .. })));
    }
}
