//! Planar Y'CbCr to a JPEG file.

use super::Encoding;
use super::quantisation::{Busyness, Tables};
use crate::picture::Chroma;
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
    subsampling: Subsampling,
}

impl JpegEncoder {
    /// For planes with this chroma.
    pub fn new(encoding: Encoding, chroma: Chroma) -> JpegEncoder {
        let subsampling = match chroma {
            Chroma::Full => Subsampling::S444,
            Chroma::Half => Subsampling::S420,
        };
        JpegEncoder { encoding, subsampling }
    }

    /// The encoder for one file. `encoding.small` takes the time for trellis quantisation, for progressive scans, for
    /// Huffman tables of the file's own, and for quantisation tables that suit the tile.
    fn encoder(&self, r: &Rectangle<'_>) -> Encoder {
        let quality = self.encoding.quality;
        let (encoder, tables) = if self.encoding.small {
            let busyness = busyness(r);
            let encoder = Encoder::new(Preset::ProgressiveBalanced).trellis(trellis(busyness));
            (encoder, Tables::small(quality, busyness))
        } else {
            (Encoder::fastest(), Tables::usual(quality))
        };
        // At quality 50 the encoder takes tables as they are.
        encoder
            .quality(50)
            .custom_luma_qtable(tables.luma)
            .custom_chroma_qtable(tables.chroma)
            .subsampling(self.subsampling)
    }

    /// One file.
    pub fn encode(&self, r: Rectangle<'_>) -> Vec<u8> {
        let mut jpeg = Vec::with_capacity(r.width * r.height / 4);
        self.encoder(&r)
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
/// nearly the same for all blocks of a tile. The values come from the search that found the tables.
fn trellis(busyness: Busyness) -> TrellisConfig {
    TrellisConfig {
        enabled: true,
        lambda_log_scale1: 17.85 + 0.95 * busyness.share(),
        lambda_log_scale2: 19.0,
        ..TrellisConfig::disabled()
    }
}

/// From the mean difference between a pixel's luma and its right neighbour's.
fn busyness(r: &Rectangle<'_>) -> Busyness {
    let (samples, stride) = r.y;
    let sum: u64 = samples
        .chunks(stride)
        .take(r.height)
        .map(|row| {
            let row = &row[..r.width];
            row.iter().zip(&row[1..]).map(|(&left, &right)| u64::from(left.abs_diff(right))).sum::<u64>()
        })
        .sum();
    Busyness::of((sum * 100 / ((r.width as u64 - 1) * r.height as u64)) as u32)
}
