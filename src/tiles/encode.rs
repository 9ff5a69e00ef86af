//! Planar Y'CbCr to a JPEG file.

use super::loss::Eye;
use super::quantisation::{Busyness, Strength, Tables};
use super::sharpen::interleaved;
use super::{Encoding, search};
use crate::picture::Chroma;
use mozjpeg_rs::simd::SimdOps;
use mozjpeg_rs::{Encoder, Preset, Subsampling, TrellisConfig};

/// A rectangle inside planes: slices begin at its top left sample and reach `stride × rows` bytes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rectangle<'a> {
    /// Luma, and bytes from one row to the next.
    pub y: (&'a [u8], usize),
    /// Chroma blue.
    pub cb: (&'a [u8], usize),
    /// Chroma red.
    pub cr: (&'a [u8], usize),
    /// In luma pixels; even where chroma is halved.
    pub width: usize,
    /// In luma pixels; even where chroma is halved.
    pub height: usize,
}

/// Encodes tiles; shared between threads.
pub(super) struct JpegEncoder {
    encoding: Encoding,
    chroma: Chroma,
    /// Compares small files with usual ones; without it, their tables are guessed.
    eye: Option<Eye>,
}

impl JpegEncoder {
    /// For planes with this chroma.
    pub fn new(encoding: Encoding, chroma: Chroma) -> JpegEncoder {
        JpegEncoder { encoding, chroma, eye: encoding.small.then(Eye::new) }
    }

    /// The same without comparing small files with usual ones and without trying many ways to part a file into scans: that
    /// gains a small file a few per cent and takes several times as long, which no file that every build makes is worth.
    pub fn without_search(self) -> JpegEncoder {
        JpegEncoder { eye: None, ..self }
    }

    /// One file. `encoding.small` takes the time for trellis quantisation, for progressive scans, for Huffman tables of the
    /// file's own, and for quantisation tables that suit the tile; unless told otherwise it searches for the tables and the
    /// scans that make the file smallest.
    pub fn encode(&self, r: Rectangle<'_>) -> Vec<u8> {
        let quality = self.encoding.quality;
        if !self.encoding.small {
            return self.written(Encoder::fastest(), &Tables::usual(quality), &r);
        }
        let guess = Strength::guess(self.busyness(&r));
        let (scans, strength) = match &self.eye {
            None => (Preset::ProgressiveBalanced, guess),
            Some(eye) => (Preset::ProgressiveSmallest, self.searched(eye, guess, &r)),
        };
        self.written(Encoder::new(scans).trellis(trellis()), &Tables::small(quality, strength), &r)
    }

    /// The strength of small tables at which a tile loses as much as with the usual ones.
    fn searched(&self, eye: &Eye, guess: Strength, r: &Rectangle<'_>) -> Strength {
        let source = eye.see(&interleaved(r, self.chroma), r.width);
        let loss = |encoder: Encoder, tables: &Tables| source.loss(&eye.see_jpeg(&self.written(encoder, tables, r)));
        let usual = loss(Encoder::fastest(), &Tables::usual(self.encoding.quality));
        // Plain Huffman codes and a single scan: quick, with the same samples as the finished file.
        let draft = || Encoder::fastest().overshoot_deringing(true).trellis(trellis());
        search::strength(guess, usual, |strength| loss(draft(), &Tables::small(self.encoding.quality, strength)))
    }

    fn busyness(&self, r: &Rectangle<'_>) -> Busyness {
        let luma = mean_difference(r.y, (r.width, r.height), 1, |d| d.min(EDGE) - d.min(GRAIN));
        // Samples of chroma that stand two pixels of luma apart.
        let (divisor, apart) = if self.chroma == Chroma::Half { (2, 1) } else { (1, 2) };
        let size = (r.width / divisor, r.height / divisor);
        let [blue, red] = [r.cb, r.cr].map(|plane| mean_difference(plane, size, apart, |d| d));
        Busyness::of(luma, (blue + red) / 2)
    }

    fn written(&self, encoder: Encoder, tables: &Tables, r: &Rectangle<'_>) -> Vec<u8> {
        let encoder = if crate::vectors::has_avx2() { encoder } else { encoder.simd_ops(SimdOps::scalar()) };
        let subsampling = match self.chroma {
            Chroma::Full => Subsampling::S444,
            Chroma::Half => Subsampling::S420,
        };
        let mut jpeg = Vec::with_capacity(r.width * r.height / 4);
        encoder
            // At quality 50 the encoder takes tables as they are.
            .quality(50)
            .custom_luma_qtable(tables.luma)
            .custom_chroma_qtable(tables.chroma)
            .subsampling(subsampling)
            .encode_ycbcr_planar_strided_to_writer(
                r.y.0,
                r.y.1,
                r.cb.0,
                r.cb.1,
                r.cr.0,
                r.cr.1,
                r.width as u32,
                r.height as u32,
                &mut jpeg,
            )
            .expect("sizes are right by construction and memory cannot fail to be written");
        jpeg
    }
}

/// Trellis quantisation weighs bits against error by λ = 2^scale1 / (2^scale2 + the block's energy). With a large scale2, λ is
/// nearly the same for all blocks of a tile. Both scales are whole, so that their powers are exact on every machine.
fn trellis() -> TrellisConfig {
    TrellisConfig { enabled: true, lambda_log_scale1: 18.0, lambda_log_scale2: 19.0, ..TrellisConfig::disabled() }
}

/// Differences of luma up to this are grain.
const GRAIN: u8 = 4;
/// Differences of luma beyond this are edges: they count no more than this, or a few hard edges would make a plain tile busy.
const EDGE: u8 = 24;

/// The mean over both neighbours of `weight(difference)`, in hundredths of a count, of the samples of a plane that lie `apart`.
fn mean_difference(
    (samples, stride): (&[u8], usize),
    (width, height): (usize, usize),
    apart: usize,
    weight: impl Fn(u8) -> u8,
) -> u32 {
    let (across, down) = (width.saturating_sub(apart), height.saturating_sub(apart));
    let difference = |a: &[u8], b: &[u8]| -> u64 {
        a.iter().zip(b).take(across).map(|(&a, &b)| u64::from(weight(a.abs_diff(b)))).sum()
    };
    let sum: u64 = (0..down)
        .map(|y| {
            let row = &samples[y * stride..];
            difference(row, &row[apart..]) + difference(row, &row[apart * stride..])
        })
        .sum();
    (sum * 100 / (2 * across * down).max(1) as u64) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vectors::narrow;

    /// A plane of `width`² samples: waves, and grain of ±`grain` counts, reaching black and white.
    fn plane(width: usize, grain: i32) -> Vec<u8> {
        let mut state = 7u32;
        (0..width * width)
            .map(|i| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let wave = ((i % width) * (i / width) / 9 % 280) as i32;
                (wave + (state >> 16) as i32 % (2 * grain + 1) - grain - 10).clamp(0, 255) as u8
            })
            .collect()
    }

    #[test]
    fn bytes_are_the_same_with_and_without_wide_vectors() {
        let (width, luma, colour) = (144, plane(144, 9), plane(144, 3));
        for (chroma, divisor) in [(Chroma::Half, 2), (Chroma::Full, 1)] {
            for small in [false, true] {
                let encoder = JpegEncoder::new(Encoding { quality: 85, small }, chroma);
                let plane = (&colour[..], width / divisor);
                let encode =
                    || encoder.encode(Rectangle { y: (&luma, width), cb: plane, cr: plane, width, height: width });
                let wide = encode();
                narrow(true);
                let plain = encode();
                narrow(false);
                assert!(wide == plain, "{chroma:?}, small {small}");
            }
        }
    }

    #[test]
    fn edges_count_little_and_grain_not_at_all() {
        let difference = |samples: &[u8], weight: fn(u8) -> u8| mean_difference((samples, 100), (100, 100), 1, weight);
        let excess = |d: u8| d.min(EDGE) - d.min(GRAIN);
        let grain: Vec<u8> = (0..10_000).map(|i| 100 + (i * 7 % 5) as u8).collect();
        assert_eq!(difference(&grain, excess), 0);
        assert!(difference(&grain, |d| d) > 100);
        // One column of 99 differs by 200 from its neighbour: 20 counts in one of 2·99 differences of each row.
        let edge: Vec<u8> = (0..10_000).map(|i| if i % 100 < 50 { 20 } else { 220 }).collect();
        assert_eq!(difference(&edge, excess), 2000 / 198);
    }
}
