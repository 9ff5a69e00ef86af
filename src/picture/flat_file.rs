//! Linear light as a file that any paint program opens.

use super::linear::{BT2020_TO_SRGB, light_to_srgb, through};
use super::profile::{srgb_profile, wide_profile};
use png::{BitDepth, ColorType, Compression, Encoder, EncodingError, Info};
use rayon::prelude::*;

/// How far beyond sRGB light may lie and still count as within: less than a step of 8 bits in the dark.
const TOLERANCE: f32 = 1.0 / 4096.0;

/// A flat picture in linear BT.2020, row by row, as a PNG of 16 bits with its profile: sRGB where every colour lies in
/// sRGB, else the primaries of BT.2020 with sRGB's curve. Light above white or below black is clipped.
///
/// # Errors
/// A size that the format cannot hold.
pub fn flat_png(width: usize, pixels: &[[f32; 3]]) -> Result<Vec<u8>, EncodingError> {
    let is_wide = pixels.par_iter().any(|&light| lies_beyond_srgb(light));
    let mut info = Info::with_size(width as u32, (pixels.len() / width.max(1)) as u32);
    info.color_type = ColorType::Rgb;
    info.bit_depth = BitDepth::Sixteen;
    info.icc_profile = Some(if is_wide { wide_profile() } else { srgb_profile() }.into());
    let samples = |&light: &[f32; 3]| {
        let light = if is_wide { light } else { through(&BT2020_TO_SRGB, light) };
        let [red, green, blue] = light.map(|light| sample(light).to_be_bytes());
        [red[0], red[1], green[0], green[1], blue[0], blue[1]]
    };
    let samples: Vec<[u8; 6]> = pixels.par_iter().map(samples).collect();
    let mut file = Vec::new();
    let mut encoder = Encoder::with_info(&mut file, info)?;
    encoder.set_compression(Compression::Fast);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(samples.as_flattened())?;
    writer.finish()?;
    Ok(file)
}

fn sample(light: f32) -> u16 {
    (65535.0 * light_to_srgb(f64::from(light.clamp(0.0, 1.0))) + 0.5) as u16
}

/// Whether a colour that BT.2020 can say is none that sRGB can.
fn lies_beyond_srgb(light: [f32; 3]) -> bool {
    let narrow = through(&BT2020_TO_SRGB, light);
    let is_dark = light.iter().any(|channel| *channel < 0.0);
    let is_bright = light.iter().any(|channel| *channel > 1.0);
    narrow.iter().any(|&channel| (channel < -TOLERANCE && !is_dark) || (channel > 1.0 + TOLERANCE && !is_bright))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{ProfileKind, open_flat};

    #[test]
    fn what_is_written_reads_as_the_same_light() {
        for (name, beyond) in [("within sRGB", [0.4, 0.41, 0.42]), ("beyond it", [0.02, 0.6, 0.05])] {
            let pixels: Vec<[f32; 3]> = (0..64).map(|x| beyond.map(|light| light * x as f32 / 64.0)).collect();
            let read = open_flat(&flat_png(8, &pixels).unwrap()).unwrap();
            assert_eq!((read.width, read.height, read.bits_per_channel), (8, 8, 16));
            assert_eq!(read.profile == ProfileKind::Srgb, name == "within sRGB", "{name}: {:?}", read.profile);
            for (got, expected) in read.pixels.iter().zip(&pixels) {
                // A profile's matrix has 16 bits behind the point, so a little of the brightest channel shows in the others.
                let leeway = 3e-5 + 3e-4 * expected.iter().copied().fold(0.0, f32::max);
                let is_near = got.iter().zip(expected).all(|(got, expected)| (got - expected).abs() < leeway);
                assert!(is_near, "{name}: {got:?} for {expected:?}");
            }
        }
    }

    #[test]
    fn the_same_light_gives_the_same_file() {
        let pixels = [[0.1, 0.6, 0.1]; 16];
        assert_eq!(flat_png(4, &pixels).unwrap(), flat_png(4, &pixels).unwrap());
    }
}
