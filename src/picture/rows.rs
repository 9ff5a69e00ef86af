//! Rows of RGB as they are seen, from samples as they lie in a file: orientation, grey, transparency, depth, colours.

use super::exif::{Orientation, Walk};
use super::light::{self, ToLight};
use super::place::PLAIN;
use super::profile::{ToSrgb, narrow, widen};

/// What the channels of a sample are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Grey,
    GreyAlpha,
    Rgb,
    RgbAlpha,
    /// Full-range Y'CbCr after ITU-T T.871.
    Ycc,
}

/// Bits of one channel of one pixel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Depth {
    Eight,
    /// In the machine's byte order.
    Sixteen,
    /// 32-bit floating point in the machine's byte order: linear light.
    Float,
}

/// A whole picture's samples, interleaved, rows without padding.
pub(super) struct Samples {
    pub kind: Kind,
    pub depth: Depth,
    pub bytes: Vec<u8>,
}

impl Kind {
    /// Samples of one pixel.
    pub fn channels(self) -> usize {
        match self {
            Kind::Grey => 1,
            Kind::GreyAlpha => 2,
            Kind::Rgb | Kind::Ycc => 3,
            Kind::RgbAlpha => 4,
        }
    }
}

impl Samples {
    /// Bytes from one pixel to the next.
    pub fn bytes_per_pixel(&self) -> usize {
        let bytes_per_sample = match self.depth {
            Depth::Eight => 1,
            Depth::Sixteen => 2,
            Depth::Float => 4,
        };
        self.kind.channels() * bytes_per_sample
    }
}

/// How a picture's own colours become sRGB.
pub(super) enum Colours {
    /// They are sRGB.
    AsTheyAre,
    /// Through a profile.
    Converted(ToSrgb),
    /// They are light, in floating point.
    FromLight(ToLight),
}

/// A picture that is read row by row.
pub(super) struct Rows {
    samples: Samples,
    width: usize,
    height: usize,
    orientation: Orientation,
    colours: Colours,
    /// One row at 16 bits a channel, for what needs them.
    wide: Vec<u16>,
}

impl Rows {
    /// `width` and `height` are those of the file, before orientation.
    pub fn new(samples: Samples, (width, height): (usize, usize), orientation: Orientation, colours: Colours) -> Self {
        Rows { samples, width, height, orientation, colours, wide: Vec::new() }
    }

    /// Writes row `y`, as it is seen, as RGB of 8 bits in sRGB. What is transparent shows mid grey through it.
    pub fn read(&mut self, y: usize, out: &mut [u8]) {
        let walk = self.orientation.walk(y, self.width, self.height);
        match &self.colours {
            Colours::AsTheyAre if self.samples.depth == Depth::Eight => return self.gather::<u8>(walk, out),
            Colours::FromLight(to_light) => return light::to_bytes(&self.samples, walk, to_light, out),
            _ => {}
        }
        let mut wide = std::mem::take(&mut self.wide);
        wide.resize(out.len(), 0);
        match self.samples.depth {
            Depth::Sixteen => self.gather::<u16>(walk, &mut wide),
            Depth::Eight | Depth::Float => {
                self.gather::<u8>(walk, out);
                wide.iter_mut().zip(out.iter()).for_each(|(to, &from)| *to = widen(from));
            }
        }
        match &self.colours {
            Colours::Converted(to_srgb) => to_srgb.convert(&mut wide, out),
            _ => out.iter_mut().zip(&wide).for_each(|(to, &from)| *to = narrow(from)),
        }
        self.wide = wide;
    }

    /// RGB triples at the file's own depth.
    fn gather<S: Sample>(&self, walk: Walk, out: &mut [S]) {
        let channels = self.samples.kind.channels();
        let at = |pixel: usize, channel: usize| S::at(&self.samples.bytes, pixel * channels + channel);
        for (rgb, pixel) in out.chunks_exact_mut(3).zip(walk.pixels()) {
            let [red, green, blue] = match self.samples.kind {
                Kind::Grey => [at(pixel, 0); 3],
                Kind::GreyAlpha => [S::over_plain(at(pixel, 0), at(pixel, 1)); 3],
                Kind::Rgb => [0, 1, 2].map(|channel| at(pixel, channel)),
                Kind::RgbAlpha => [0, 1, 2].map(|channel| S::over_plain(at(pixel, channel), at(pixel, 3))),
                Kind::Ycc => to_rgb([0, 1, 2].map(|channel| at(pixel, channel) as i32)),
            };
            rgb.copy_from_slice(&[S::of(red), S::of(green), S::of(blue)]);
        }
    }
}

/// A channel of one pixel, computed with as a 32-bit number.
trait Sample: Copy {
    const LARGEST: u32;
    /// The `index`th of the samples in `bytes`.
    fn at(bytes: &[u8], index: usize) -> u32;
    fn of(value: u32) -> Self;

    /// A channel laid over plain grey as far as `alpha` lets that show, in the file's own values.
    fn over_plain(value: u32, alpha: u32) -> u32 {
        let plain = u32::from(PLAIN) * (Self::LARGEST / 255);
        // At 16 bits the sum still fits: 65535² is below 2³².
        (value * alpha + plain * (Self::LARGEST - alpha) + Self::LARGEST / 2) / Self::LARGEST
    }
}

impl Sample for u8 {
    const LARGEST: u32 = 255;
    fn at(bytes: &[u8], index: usize) -> u32 {
        u32::from(bytes[index])
    }
    fn of(value: u32) -> u8 {
        value as u8
    }
}

impl Sample for u16 {
    const LARGEST: u32 = 65535;
    fn at(bytes: &[u8], index: usize) -> u32 {
        u32::from(u16::from_ne_bytes([bytes[2 * index], bytes[2 * index + 1]]))
    }
    fn of(value: u32) -> u16 {
        value as u16
    }
}

/// ITU-T T.871 section 7, in fixed point of 16 bits.
fn to_rgb([y, cb, cr]: [i32; 3]) -> [u32; 3] {
    let (cb, cr) = (cb - 128, cr - 128);
    let round = |sum: i32| (((y << 16) + sum + (1 << 15)) >> 16).clamp(0, 255) as u32;
    [round(91881 * cr), round(-22554 * cb - 46802 * cr), round(116130 * cb)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ycc_to_rgb_is_the_published_formula() {
        let steps = || (0..256).step_by(5).chain([1, 127, 128, 129, 254]);
        for (y, cb, cr) in steps().flat_map(|y| steps().flat_map(move |cb| steps().map(move |cr| (y, cb, cr)))) {
            let (fy, fb, fr) = (f64::from(y), f64::from(cb) - 128.0, f64::from(cr) - 128.0);
            // T.871 section 7, with its own factors.
            let expected = [fy + 1.402 * fr, fy - (0.114 * 1.772 * fb + 0.299 * 1.402 * fr) / 0.587, fy + 1.772 * fb];
            for (got, exact) in to_rgb([y, cb, cr]).into_iter().zip(expected) {
                let exact = exact.clamp(0.0, 255.0);
                assert!((f64::from(got) - exact).abs() <= 0.51, "{y} {cb} {cr}: {got}, exactly {exact}");
            }
        }
    }

    #[test]
    fn transparency_shows_mid_grey() {
        assert_eq!(<u8 as Sample>::over_plain(200, 255), 200);
        assert_eq!(<u8 as Sample>::over_plain(200, 0), 128);
        assert_eq!(<u8 as Sample>::over_plain(255, 128), 192);
        assert_eq!(<u16 as Sample>::over_plain(65535, 65535), 65535);
        assert_eq!(<u16 as Sample>::over_plain(65535, 0), 128 * 257);
        assert_eq!(<u16 as Sample>::over_plain(0, 65535), 0);
    }
}
