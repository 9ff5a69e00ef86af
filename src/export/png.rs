//! A bitmap as a PNG file.

use super::{Depth, Facts};
use crate::picture::Bitmap;
use png::{BitDepth, ColorType, Compression, Encoder, Info};

/// # Errors
/// What the format cannot hold.
pub(super) fn encode(bitmap: &Bitmap, depth: Depth, facts: &Facts) -> Result<Vec<u8>, String> {
    let mut info = Info::with_size(bitmap.width as u32, bitmap.height as u32);
    info.color_type = ColorType::Rgb;
    info.bit_depth = match depth {
        Depth::Eight => BitDepth::Eight,
        Depth::Sixteen => BitDepth::Sixteen,
    };
    info.icc_profile = Some(Facts::profile().into());
    info.exif_metadata = facts.exif_block().map(Into::into);
    let mut file = Vec::new();
    write(&mut file, info, bitmap, depth, facts).map_err(|error| error.to_string())?;
    Ok(file)
}

fn write(
    file: &mut Vec<u8>,
    info: Info<'_>,
    bitmap: &Bitmap,
    depth: Depth,
    facts: &Facts,
) -> Result<(), png::EncodingError> {
    let mut encoder = Encoder::with_info(file, info)?;
    encoder.set_compression(Compression::Fast);
    // XMP Specification part 3, section 1.1.5: the packet's keyword.
    encoder.add_itxt_chunk("XML:com.adobe.xmp".to_owned(), facts.xmp())?;
    let mut writer = encoder.write_header()?;
    match depth {
        Depth::Eight => writer.write_image_data(&bitmap.eight_bits())?,
        Depth::Sixteen => {
            let samples: Vec<u8> = bitmap.samples.iter().flat_map(|sample| sample.to_be_bytes()).collect();
            writer.write_image_data(&samples)?;
        }
    }
    writer.finish()
}
