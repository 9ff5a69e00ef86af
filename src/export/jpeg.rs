//! A bitmap as a JPEG file.

use super::Facts;
use crate::picture::{Bitmap, Chroma, Rgb8Rows};
use mozjpeg_rs::{Encoder, Preset, Subsampling};

/// XMP Specification part 3, section 1.1.3: what a segment with a packet begins with.
const XMP_SIGNATURE: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
/// Bytes of an EXIF segment's block: 65535 without its length and signature.
const LARGEST_EXIF: usize = 65_527;

/// # Errors
/// A side beyond 65535, which the format cannot say.
pub(super) fn encode(bitmap: &Bitmap, quality: u8, chroma: Chroma, facts: &Facts) -> Result<Vec<u8>, String> {
    let (width, height) = (bitmap.width, bitmap.height);
    if width.max(height) > 65_535 {
        return Err(format!("{width} × {height} pixels are more than a JPEG file can hold"));
    }
    let subsampling = match chroma {
        Chroma::Full => Subsampling::S444,
        Chroma::Half => Subsampling::S420,
    };
    let picture = Rgb8Rows { width, height, samples: &bitmap.eight_bits() }.to_ycc(chroma);
    let mut encoder = Encoder::new(Preset::ProgressiveBalanced)
        .quality(quality)
        .subsampling(subsampling)
        .icc_profile(Facts::profile())
        .add_marker(1, [XMP_SIGNATURE, facts.xmp().as_bytes()].concat());
    if let Some(block) = facts.exif_block().filter(|block| block.len() <= LARGEST_EXIF) {
        encoder = encoder.exif_data(block);
    }
    encoder
        .encode_ycbcr_planar(&picture.y, &picture.cb, &picture.cr, width as u32, height as u32)
        .map_err(|error| error.to_string())
}
