//! JPEG (ITU-T T.81, annex B): a row of segments, each with a marker, then the entropy-coded scans.
//!
//! Kept: what the decoder needs, JFIF's pixel density without its thumbnail, the colour profile, Adobe's colour transform,
//! and the orientation. Left out: EXIF with its GPS fields and thumbnails, XMP, IPTC, comments, makers' segments, and
//! whatever follows the picture's end (second pictures, clips).

use super::orientation;

const START_OF_IMAGE: u8 = 0xd8;
const END_OF_IMAGE: u8 = 0xd9;
const START_OF_SCAN: u8 = 0xda;
const APP0: u8 = 0xe0;
const APP1: u8 = 0xe1;
const APP2: u8 = 0xe2;
const APP14: u8 = 0xee;
const APP15: u8 = 0xef;
const COMMENT: u8 = 0xfe;

/// The file without what it says of itself; `None` if it is not whole.
pub(super) fn clean(source: &[u8]) -> Option<Vec<u8>> {
    let mut rest = source.strip_prefix(&[0xff, START_OF_IMAGE])?;
    let (mut kept, mut orientation) = (Vec::with_capacity(source.len()), 1);
    loop {
        let (marker, after) = marker(rest)?;
        if marker == END_OF_IMAGE {
            return Some(assemble(orientation, &kept));
        }
        if stands_alone(marker) {
            rest = after;
            continue;
        }
        let payload = after.get(2..usize::from(u16::from_be_bytes([*after.first()?, *after.get(1)?])))?;
        rest = &after[2 + payload.len()..];
        if marker == APP1 {
            let exif = payload.strip_prefix(b"Exif\0\0").and_then(orientation::of_block);
            orientation = exif.unwrap_or(orientation);
        }
        if let Some(payload) = needed(marker, payload) {
            push(&mut kept, marker, payload);
        }
        if marker == START_OF_SCAN {
            let length = scan_length(rest)?;
            kept.extend_from_slice(&rest[..length]);
            rest = &rest[length..];
        }
    }
}

/// The picture from its kept segments; JFIF's segment, which readers expect at the very front, stays before the
/// orientation.
fn assemble(orientation: u8, kept: &[u8]) -> Vec<u8> {
    let jfif = if kept.get(1) == Some(&APP0) { 4 + JFIF_WITHOUT_THUMBNAIL } else { 0 };
    let mut file = vec![0xff, START_OF_IMAGE];
    file.extend_from_slice(&kept[..jfif]);
    if orientation != 1 {
        push(&mut file, APP1, [b"Exif\0\0".as_slice(), &orientation::block(orientation)].concat());
    }
    file.extend_from_slice(&kept[jfif..]);
    file.extend_from_slice(&[0xff, END_OF_IMAGE]);
    file
}

/// Identifier, version, density and a thumbnail size of 0 × 0 (JFIF 1.02).
const JFIF_WITHOUT_THUMBNAIL: usize = 14;

/// A segment's payload as far as a browser needs it.
fn needed(marker: u8, payload: &[u8]) -> Option<Vec<u8>> {
    match marker {
        APP0 if payload.starts_with(b"JFIF\0") && payload.len() >= JFIF_WITHOUT_THUMBNAIL => {
            Some([&payload[..JFIF_WITHOUT_THUMBNAIL - 2], &[0, 0]].concat())
        }
        APP2 if payload.starts_with(b"ICC_PROFILE\0") => Some(payload.to_vec()),
        APP14 if payload.starts_with(b"Adobe") => Some(payload.to_vec()),
        APP0..=APP15 | COMMENT => None,
        _ => Some(payload.to_vec()),
    }
}

fn push(file: &mut Vec<u8>, marker: u8, payload: impl AsRef<[u8]>) {
    let payload = payload.as_ref();
    file.extend_from_slice(&[0xff, marker]);
    file.extend_from_slice(&(payload.len() as u16 + 2).to_be_bytes());
    file.extend_from_slice(payload);
}

/// The next marker and what follows it; fill bytes before it are skipped.
fn marker(rest: &[u8]) -> Option<(u8, &[u8])> {
    let rest = rest.strip_prefix(&[0xff])?;
    let fill = rest.iter().take_while(|byte| **byte == 0xff).count();
    Some((*rest.get(fill)?, &rest[fill + 1..]))
}

/// Markers without a length: TEM and RST0 to RST7.
fn stands_alone(marker: u8) -> bool {
    matches!(marker, 0x01 | 0xd0..=0xd7)
}

/// Bytes up to the next marker that is neither a stuffed 0xff nor a restart.
fn scan_length(scan: &[u8]) -> Option<usize> {
    scan.windows(2).position(|pair| pair[0] == 0xff && !matches!(pair[1], 0x00 | 0xd0..=0xd7 | 0xff))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture() -> Vec<u8> {
        let pixels = image::RgbImage::from_fn(48, 32, |x, y| image::Rgb([(x * 5) as u8, (y * 7) as u8, (x * y) as u8]));
        let mut jpeg = Vec::new();
        image::codecs::jpeg::JpegEncoder::new(&mut jpeg).encode_image(&pixels).unwrap();
        jpeg
    }

    /// The picture with more segments behind its first one, and something after its end.
    fn talkative(exif: &[u8]) -> Vec<u8> {
        let mut extra = Vec::new();
        push(&mut extra, APP1, [b"Exif\0\0", exif].concat());
        push(&mut extra, APP1, b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta>SECRET</x:xmpmeta>");
        push(&mut extra, APP2, b"ICC_PROFILE\0\x01\x01profile");
        push(&mut extra, APP2, b"MPF\0SECRET");
        push(&mut extra, 0xe5, b"SECRET");
        push(&mut extra, 0xed, b"Photoshop 3.0\0SECRET");
        push(&mut extra, COMMENT, b"SECRET");
        let plain = picture();
        let first = 4 + usize::from(u16::from_be_bytes([plain[4], plain[5]])) - 2 + 2;
        [&plain[..first], &extra, &plain[first..], b"SECRET"].concat()
    }

    fn holds(bytes: &[u8], word: &[u8]) -> bool {
        bytes.windows(word.len()).any(|window| window == word)
    }

    /// EXIF written by hand, big-endian: orientation 6, and a pointer (0x8825) to a GPS directory with a north latitude.
    fn exif_with_position() -> Vec<u8> {
        let mut tiff = b"MM\0\x2a\0\0\0\x08\0\x02".to_vec();
        tiff.extend_from_slice(b"\x01\x12\0\x03\0\0\0\x01\0\x06\0\0");
        tiff.extend_from_slice(b"\x88\x25\0\x04\0\0\0\x01\0\0\0\x26\0\0\0\0");
        tiff.extend_from_slice(b"\0\x01\0\x01\0\x02\0\0\0\x02N\0\0\0\0\0\0\0");
        tiff
    }

    #[test]
    fn position_and_all_else_goes_orientation_profile_and_pixels_stay() {
        let source = talkative(&exif_with_position());
        let position = exif::Tag::GPSLatitudeRef;
        let read = |file: &[u8]| exif::Reader::new().read_from_container(&mut std::io::Cursor::new(file)).unwrap();
        assert!(read(&source).get_field(position, exif::In::PRIMARY).is_some(), "the test's own EXIF is wrong");

        let cleaned = clean(&source).unwrap();
        assert!(read(&cleaned).get_field(position, exif::In::PRIMARY).is_none());
        assert_eq!(read(&cleaned).fields().count(), 1);
        assert_eq!(orientation::of_file(&cleaned), Some(6));
        assert!(holds(&cleaned, b"ICC_PROFILE\0\x01\x01profile") && !holds(&cleaned, b"SECRET"));
        let pixels = |file: &[u8]| image::load_from_memory(file).unwrap().into_rgb8();
        assert_eq!(pixels(&cleaned), pixels(&picture()));
        assert_eq!(clean(&cleaned).unwrap(), cleaned);
    }

    #[test]
    fn a_picture_that_says_nothing_is_left_as_it_is() {
        assert_eq!(clean(&picture()).unwrap(), picture());
    }

    #[test]
    fn half_a_file_is_refused() {
        let whole = talkative(&exif_with_position());
        let end = whole.len() - b"SECRET".len();
        for length in 0..end {
            assert_eq!(clean(&whole[..length]), None, "{length} bytes");
        }
    }
}
