//! What a file's own headers say, before anything is made of it: the same few facts from every format.

use super::contain::contained;
use super::exif::Orientation;
use super::{Format, PictureError, format, jpeg, webp};
use image::codecs::{png::PngDecoder, tiff::TiffDecoder};
use image::{ColorType, ExtendedColorType, ImageDecoder, Limits};
use std::io::{BufRead, Seek, SeekFrom};

/// Most bytes of profile, XMP and other text that are taken from one file.
pub(super) const METADATA_BYTES: usize = 32 << 20;

/// A file's facts, in the file's own rows and columns.
#[derive(Debug)]
pub(super) struct Facts {
    pub format: Format,
    /// Columns of the file, before orientation.
    pub width: u32,
    /// Rows of the file, before orientation.
    pub height: u32,
    /// 1 to 16, or 32 for floating point.
    pub bits_per_channel: u8,
    /// Grey or colour, with or without alpha: 1 to 4.
    pub channels: u8,
    pub orientation: Orientation,
    /// ICC profile, put together, not yet understood.
    pub profile: Option<Vec<u8>>,
    /// XMP packet, not yet understood.
    pub xmp: Option<Vec<u8>>,
    /// The fewest bytes that a file with that many pixels can have.
    pub least_bytes: u64,
}

impl Facts {
    /// Reads the headers, whatever the format. `bytes` is the file's length.
    pub fn read<R: BufRead + Seek>(mut reader: R, bytes: u64) -> Result<Facts, PictureError> {
        if bytes == 0 {
            return Err(PictureError::Empty);
        }
        let mut start = [0; format::SIGNATURE_BYTES];
        let read = read_up_to(&mut reader, &mut start)?;
        let format = Format::of(&start[..read]).ok_or(PictureError::NotAPicture)?;
        reader.seek(SeekFrom::Start(0))?;
        let read = || match format {
            Format::Jpeg => jpeg::read_facts(reader),
            Format::Png => read_png(reader),
            Format::Tiff => read_tiff(reader, bytes),
            Format::WebP => webp::read_facts(reader, bytes),
        };
        contained(read)
            .unwrap_or_else(|| Err(PictureError::Damaged { format, detail: "its headers make no sense".to_owned() }))
    }

    /// Number of pixels.
    pub fn pixels(&self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }
}

/// Up to this many pixels a claim is believed without evidence: a plain surface may take a few bytes only.
const PIXELS_ON_TRUST: u64 = 16 << 20;
/// Beyond that, a photograph has at least one byte for so many pixels.
const PIXELS_PER_BYTE: u64 = 2048;

/// How many bytes a file must have before that many pixels are set aside for it, where its format sets no lower limit:
/// WebP, and the part of a sphere that a file does not hold.
pub(super) fn evidence_for(width: u32, height: u32) -> u64 {
    match u64::from(width) * u64::from(height) {
        pixels if pixels <= PIXELS_ON_TRUST => 0,
        pixels => pixels / PIXELS_PER_BYTE,
    }
}

/// Fills as much of `buffer` as there is.
fn read_up_to(reader: &mut impl BufRead, buffer: &mut [u8]) -> std::io::Result<usize> {
    let mut filled = 0;
    while filled < buffer.len() {
        match reader.read(&mut buffer[filled..])? {
            0 => break,
            read => filled += read,
        }
    }
    Ok(filled)
}

/// A PNG reader whose texts and profile are bounded.
pub(super) fn png_decoder<R: BufRead + Seek>(reader: R) -> Result<PngDecoder<R>, PictureError> {
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(METADATA_BYTES as u64);
    PngDecoder::with_limits(reader, limits).map_err(|error| PictureError::from_image(error, Format::Png))
}

fn read_png(mut reader: impl BufRead + Seek) -> Result<Facts, PictureError> {
    // Signature and IHDR (PNG section 11.2.1). The decoder tells the depth only as it will hand the pixels over.
    let mut start = [0; 26];
    reader.read_exact(&mut start).map_err(|error| PictureError::from_read(error, Format::Png))?;
    reader.seek(SeekFrom::Start(0))?;
    let (bits, colour_type) = (start[24], start[25]);
    let mut decoder = png_decoder(reader)?;
    let (width, height) = decoder.dimensions();
    let stored_channels = [1, 0, 3, 1, 2, 0, 4].get(usize::from(colour_type)).copied().unwrap_or(1);
    // Damaged texts are no reason to refuse a picture.
    let exif = decoder.exif_metadata().ok().flatten();
    let least = raw_bytes(width, height, bits.min(16) * stored_channels) / u64::from(DEFLATE_RATIO);
    Ok(Facts {
        format: Format::Png,
        width,
        height,
        bits_per_channel: bits,
        channels: decoder.color_type().channel_count(),
        orientation: exif.map_or(Orientation::TopLeft, |block| Orientation::from_exif(&block)),
        profile: decoder.icc_profile().ok().flatten(),
        xmp: decoder.xmp_metadata().ok().flatten(),
        least_bytes: least,
    })
}

/// Deflate codes at most 258 bytes in 2 bits (RFC 1951), 1032 to 1.
const DEFLATE_RATIO: u32 = 1032;
/// LZW's strings grow by one byte a code up to its 4094th of at most 12 bits (TIFF 6.0 section 13): no more than
/// 1400 to 1, and the other codings of colour stay below.
const TIFF_RATIO: u32 = 1400;

/// A TIFF reader for pixels that sets aside no more than the pixels twice and a little more.
///
/// Not for metadata: its limits would not let a small picture have a large profile.
pub(super) fn tiff_decoder<R: BufRead + Seek>(reader: R) -> Result<TiffDecoder<R>, PictureError> {
    let refuse = |error| PictureError::from_image(error, Format::Tiff);
    let mut decoder = TiffDecoder::new(reader).map_err(refuse)?;
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(decoder.total_bytes().saturating_mul(2).saturating_add(METADATA_BYTES as u64));
    decoder.set_limits(limits).map_err(refuse)?;
    Ok(decoder)
}

fn read_tiff(reader: impl BufRead + Seek, bytes: u64) -> Result<Facts, PictureError> {
    let format = Format::Tiff;
    // The decoder's own limits: a megabyte for a tag.
    let mut decoder = TiffDecoder::new(reader).map_err(|error| PictureError::from_image(error, format))?;
    let (width, height) = decoder.dimensions();
    if matches!(decoder.original_color_type(), ExtendedColorType::Cmyk8 | ExtendedColorType::Cmyk16) {
        return Err(PictureError::Cmyk { format });
    }
    let (bits, channels) = stored_depth(decoder.original_color_type(), decoder.color_type());
    let orientation = decoder.orientation().map_err(|error| PictureError::from_image(error, format))?;
    let metadata_fits = |block: &Vec<u8>| block.len() as u64 <= bytes;
    Ok(Facts {
        format,
        width,
        height,
        bits_per_channel: bits,
        channels,
        orientation: Orientation::from_tag(orientation.to_exif()),
        profile: decoder.icc_profile().ok().flatten().filter(metadata_fits),
        xmp: decoder.xmp_metadata().ok().flatten().filter(metadata_fits),
        least_bytes: raw_bytes(width, height, bits * channels) / u64::from(TIFF_RATIO),
    })
}

/// Bits of a channel and number of channels as they lie in the file.
fn stored_depth(stored: ExtendedColorType, read: ColorType) -> (u8, u8) {
    match stored {
        ExtendedColorType::L1 => (1, 1),
        _ => ((read.bytes_per_pixel() / read.channel_count()) * 8, read.channel_count()),
    }
}

fn raw_bytes(width: u32, height: u32, bits_per_pixel: u8) -> u64 {
    (u64::from(width) * u64::from(bits_per_pixel)).div_ceil(8) * u64::from(height)
}
