//! WebP (RFC 9649, section 2): a RIFF file of chunks, each with a name and a length, padded to even lengths.

use super::orientation;

/// Chunks that change what is seen.
const NEEDED: [&[u8; 4]; 7] = [b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ANIM", b"ANMF", b"ICCP"];
/// In the first byte of `VP8X`: the file has EXIF, the file has XMP.
const HAS_EXIF: u8 = 0x08;
const HAS_XMP: u8 = 0x04;

/// The file without XMP, EXIF (but for the orientation) and unknown chunks; `None` if it is not whole.
pub(super) fn clean(source: &[u8]) -> Option<Vec<u8>> {
    let length = u32::from_le_bytes(source.get(4..8)?.try_into().ok()?) as usize;
    let mut rest = source.get(12..8usize.checked_add(length)?)?;
    let (mut kept, mut turned, mut flags_at) = (b"RIFF\0\0\0\0WEBP".to_vec(), None, None);
    while !rest.is_empty() {
        let size = u32::from_le_bytes(rest.get(4..8)?.try_into().ok()?) as usize;
        let (name, data) = (rest.get(..4)?, rest.get(8..8usize.checked_add(size)?)?);
        if name == b"EXIF" {
            // Some writers put JPEG's prefix before the TIFF header.
            let tiff = data.strip_prefix(b"Exif\0\0").unwrap_or(data);
            turned = orientation::of_block(tiff).filter(|orientation| *orientation != 1);
        }
        if NEEDED.iter().any(|needed| *needed == name) {
            flags_at = flags_at.or((name == b"VP8X" && size > 0).then_some(kept.len() + 8));
            push(&mut kept, name, data);
        }
        // The last chunk's padding is sometimes forgotten.
        rest = rest.get(8 + size + size % 2..).unwrap_or_default();
    }
    if let Some(flags) = flags_at {
        kept[flags] &= !(HAS_EXIF | HAS_XMP);
        if let Some(orientation) = turned {
            kept[flags] |= HAS_EXIF;
            push(&mut kept, b"EXIF", &orientation::block(orientation));
        }
    }
    let length = (kept.len() - 8) as u32;
    kept[4..8].copy_from_slice(&length.to_le_bytes());
    Some(kept)
}

fn push(file: &mut Vec<u8>, name: &[u8], data: &[u8]) {
    file.extend_from_slice(name);
    file.extend_from_slice(&(data.len() as u32).to_le_bytes());
    file.extend_from_slice(data);
    if data.len() % 2 == 1 {
        file.push(0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture() -> Vec<u8> {
        let pixels = image::RgbImage::from_fn(8, 6, |x, y| image::Rgb([(x * 20) as u8, (y * 40) as u8, 7]));
        let mut webp = std::io::Cursor::new(Vec::new());
        pixels.write_to(&mut webp, image::ImageFormat::WebP).unwrap();
        webp.into_inner()
    }

    #[test]
    fn texts_go_orientation_and_pixels_stay() {
        let plain = picture();
        let mut source = b"RIFF\0\0\0\0WEBP".to_vec();
        push(&mut source, b"VP8X", &[HAS_EXIF | HAS_XMP, 0, 0, 0, 7, 0, 0, 5, 0, 0]);
        source.extend_from_slice(&plain[12..]);
        push(&mut source, b"EXIF", &orientation::block(3));
        push(&mut source, b"XMP ", b"SECRET");
        let length = (source.len() - 8) as u32;
        source[4..8].copy_from_slice(&length.to_le_bytes());
        source.extend_from_slice(b"SECRET");

        let cleaned = clean(&source).unwrap();
        assert!(!cleaned.windows(6).any(|window| window == b"SECRET"));
        assert_eq!(orientation::of_file(&cleaned), Some(3));
        assert_eq!(
            image::load_from_memory(&cleaned).unwrap().into_rgb8(),
            image::load_from_memory(&plain).unwrap().into_rgb8()
        );
        assert_eq!(clean(&cleaned).unwrap(), cleaned);
        assert_eq!(clean(&plain).unwrap(), plain);
    }

    #[test]
    fn half_a_file_is_refused() {
        let whole = picture();
        for length in 0..whole.len() {
            assert_eq!(clean(&whole[..length]), None, "{length} bytes");
        }
    }
}
