//! Changed pixels in a picture of 8 bits, all others left to the last bit.

use super::Retouched;
use super::changes::Span;
use crate::picture::linear::{BT2020_TO_SRGB, light_to_srgb, through};
use crate::picture::{Chroma, YccPicture};

impl Retouched<'_> {
    /// Writes what was changed into a picture: the same one that lies below. Where colour is halved, a sample is the mean of its four
    /// pixels, those that were not changed counting as they are.
    pub fn write_into(&self, picture: &mut YccPicture) {
        let width = picture.width;
        let mut colours = vec![None; 2 * width];
        let mut changed = self.changed().peekable();
        while let Some((y, spans)) = changed.next() {
            let upper = y - y % 2;
            colours.fill(None);
            keep(picture, y, &spans, &mut colours[(y % 2) * width..][..width]);
            if let Some((below, spans)) = changed.next_if(|(below, _)| *below == upper + 1) {
                keep(picture, below, &spans, &mut colours[width..]);
            }
            match picture.chroma {
                Chroma::Full => keep_full_chroma(picture, upper, &colours),
                Chroma::Half => keep_halved_chroma(picture, upper, &colours),
            }
        }
    }
}

/// Keeps luma, and notes both chroma values of each pixel that was changed.
fn keep(picture: &mut YccPicture, y: usize, spans: &[&Span], colours: &mut [Option<[f32; 2]>]) {
    for span in spans {
        for (x, light) in (span.first..).zip(&span.light) {
            let [luma, colour @ ..] = ycc(*light);
            picture.y[y * picture.width + x] = rounded(luma);
            colours[x] = Some(colour);
        }
    }
}

fn keep_full_chroma(picture: &mut YccPicture, upper: usize, colours: &[Option<[f32; 2]>]) {
    for (index, colour) in colours.iter().enumerate() {
        if let Some([cb, cr]) = colour {
            picture.cb[upper * picture.width + index] = rounded(*cb);
            picture.cr[upper * picture.width + index] = rounded(*cr);
        }
    }
}

fn keep_halved_chroma(picture: &mut YccPicture, upper: usize, colours: &[Option<[f32; 2]>]) {
    let width = picture.width;
    // The last row of an odd height stands for the one below it.
    let rows = if upper + 1 < picture.height { [0, width] } else { [0, 0] };
    for column in 0..width / 2 {
        let four = [rows[0], rows[0] + 1, rows[1], rows[1] + 1].map(|corner| colours[corner + 2 * column]);
        if four.iter().all(Option::is_none) {
            continue;
        }
        let at = upper / 2 * (width / 2) + column;
        let before = [f32::from(picture.cb[at]), f32::from(picture.cr[at])];
        let mean = |channel: usize| four.iter().map(|colour| colour.unwrap_or(before)[channel]).sum::<f32>() / 4.0;
        (picture.cb[at], picture.cr[at]) = (rounded(mean(0)), rounded(mean(1)));
    }
}

/// Y', Cb and Cr, 0 to 255 (ITU-T T.871, section 7), of light, which is clipped to sRGB.
fn ycc(light: [f32; 3]) -> [f32; 3] {
    let [red, green, blue] =
        through(&BT2020_TO_SRGB, light).map(|light| 255.0 * light_to_srgb(f64::from(light).clamp(0.0, 1.0)) as f32);
    let luma = 0.299 * red + 0.587 * green + 0.114 * blue;
    [luma, 128.0 + (blue - luma) / 1.772, 128.0 + (red - luma) / 1.402]
}

fn rounded(value: f32) -> u8 {
    (value + 0.5).clamp(0.0, 255.0) as u8
}
