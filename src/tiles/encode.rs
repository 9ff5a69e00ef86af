//! Planar Y'CbCr to a JPEG file.

use super::Encoding;
use crate::picture::Chroma;
use mozjpeg_rs::{Encoder, Preset, Subsampling};

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

/// An encoder that can be shared between threads.
pub(super) struct JpegEncoder(Encoder);

impl JpegEncoder {
    /// `encoding.small` takes the time for trellis quantisation, progressive scans and Huffman tables of its own.
    pub fn new(encoding: Encoding, chroma: Chroma) -> JpegEncoder {
        let encoder = if encoding.small { Encoder::new(Preset::ProgressiveBalanced) } else { Encoder::fastest() };
        let subsampling = match chroma {
            Chroma::Full => Subsampling::S444,
            Chroma::Half => Subsampling::S420,
        };
        JpegEncoder(encoder.quality(encoding.quality).subsampling(subsampling))
    }

    /// One file.
    pub fn encode(&self, r: Rectangle<'_>) -> Vec<u8> {
        let mut jpeg = Vec::with_capacity(r.width * r.height / 4);
        self.0
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
