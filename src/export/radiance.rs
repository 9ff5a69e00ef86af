//! A bitmap of light as a Radiance file, which programs that light scenes from photographs read.

use crate::picture::{Bitmap, Sample};
use half::f16;
use image::Rgb;
use image::codecs::hdr::HdrEncoder;

/// The files' ending, without a point.
pub const ENDING: &str = "hdr";

/// The format's first line.
const FIRST_LINE: &[u8] = b"#?RADIANCE\n";
/// Who made it, and sRGB's primaries and white as x and y (IEC 61966-2-1): variables of the format's header, which readers that do not
/// know them pass over.
const VARIABLES: &str = concat!(
    "SOFTWARE=Enfilade ",
    env!("CARGO_PKG_VERSION"),
    "\nPRIMARIES=0.640 0.330 0.300 0.600 0.150 0.060 0.3127 0.3290\n"
);

/// Three numbers of eight bits with one exponent for a pixel (Ward, "Real Pixels", Graphics Gems II, 1991): right to half in a
/// hundred of the largest channel.
///
/// # Errors
/// What the writer refuses.
pub(super) fn encode(bitmap: &Bitmap<f16>) -> Result<Vec<u8>, String> {
    let pixels: Vec<Rgb<f32>> =
        bitmap.samples.chunks_exact(3).map(|pixel| Rgb([0, 1, 2].map(|channel| pixel[channel].number()))).collect();
    let mut file = Vec::new();
    HdrEncoder::new(&mut file).encode(&pixels, bitmap.width, bitmap.height).map_err(|error| error.to_string())?;
    let at = if file.starts_with(FIRST_LINE) { FIRST_LINE.len() } else { 0 };
    file.splice(at..at, VARIABLES.bytes());
    Ok(file)
}

/// Whether a file was written here.
pub(super) fn bears_our_mark(bytes: &[u8]) -> bool {
    bytes.strip_prefix(FIRST_LINE).is_some_and(|rest| rest.starts_with(b"SOFTWARE=Enfilade "))
}
