//! A bitmap as a TIFF file.

use super::{Depth, Facts};
use crate::picture::Bitmap;
use exif::{Context, Field, Value};
use std::io::{Cursor, Seek, Write};
use tiff::encoder::colortype::{RGB8, RGB16};
use tiff::encoder::{Compression, DirectoryEncoder, Rational, SRational, TiffEncoder, TiffKind};
use tiff::tags::{Predictor, Tag, Type};
use tiff::{Directory, TiffResult};

/// XMP Specification part 3, section 1.3.1: tag 700, bytes.
const XMP: Tag = Tag::Unknown(700);
/// Exif 2.3 section 4.6.3: where the directory of capture begins.
const EXIF_DIRECTORY: Tag = Tag::Unknown(34_665);

/// # Errors
/// What the format cannot hold: 4 GiB in all.
pub(super) fn encode(bitmap: &Bitmap, depth: Depth, facts: &Facts) -> Result<Vec<u8>, String> {
    let mut file = Cursor::new(Vec::new());
    write(&mut file, bitmap, depth, facts).map_err(|error| error.to_string())?;
    Ok(file.into_inner())
}

fn write(file: &mut Cursor<Vec<u8>>, bitmap: &Bitmap, depth: Depth, facts: &Facts) -> TiffResult<()> {
    let (width, height) = (bitmap.width as u32, bitmap.height as u32);
    let encoder = TiffEncoder::new(file)?;
    let mut encoder =
        encoder.with_compression(Compression::Deflate(Default::default())).with_predictor(Predictor::Horizontal);
    let captured = facts.fields().iter().filter(|field| field.tag.context() == Context::Exif);
    let mut directory = encoder.extra_directory()?;
    for field in captured {
        write_field(&mut directory, field)?;
    }
    let captured = directory.finish_with_offsets()?;
    match depth {
        Depth::Eight => {
            let mut image = encoder.new_image::<RGB8>(width, height)?;
            write_facts(image.encoder(), facts, captured.offset)?;
            image.write_data(&bitmap.eight_bits())
        }
        Depth::Sixteen => {
            let mut image = encoder.new_image::<RGB16>(width, height)?;
            write_facts(image.encoder(), facts, captured.offset)?;
            image.write_data(&bitmap.samples)
        }
    }
}

fn write_facts<W: Write + Seek, K: TiffKind>(
    to: &mut DirectoryEncoder<'_, W, K>,
    facts: &Facts,
    captured: u32,
) -> TiffResult<()> {
    for field in facts.fields().iter().filter(|field| field.tag.context() == Context::Tiff) {
        write_field(to, field)?;
    }
    to.write_tag(XMP, facts.xmp().as_bytes())?;
    let profile = to.write_entry_bytes(Type::UNDEFINED, &Facts::profile())?;
    to.extend_from(&[(Tag::IccProfile, profile)].into_iter().collect::<Directory>());
    to.write_tag(EXIF_DIRECTORY, captured)
}

/// Fields of the kinds that [`Facts`] keeps.
fn write_field<W: Write + Seek, K: TiffKind>(to: &mut DirectoryEncoder<'_, W, K>, field: &Field) -> TiffResult<()> {
    let tag = Tag::from_u16_exhaustive(field.tag.number());
    match &field.value {
        Value::Ascii(lines) => {
            to.write_tag(tag, &*lines.iter().map(|line| String::from_utf8_lossy(line)).collect::<String>())
        }
        Value::Short(values) => to.write_tag(tag, values.as_slice()),
        Value::Long(values) => to.write_tag(tag, values.as_slice()),
        Value::Rational(values) => {
            let values: Vec<Rational> = values.iter().map(|value| Rational { n: value.num, d: value.denom }).collect();
            to.write_tag(tag, values.as_slice())
        }
        Value::SRational(values) => {
            let values: Vec<SRational> =
                values.iter().map(|value| SRational { n: value.num, d: value.denom }).collect();
            to.write_tag(tag, values.as_slice())
        }
        _ => Ok(()),
    }
}
