//! PNG (W3C Portable Network Graphics, third edition): a row of chunks, each with a length, a name and a checksum.

use super::orientation;

const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";

/// Chunks that change what is seen: the critical ones, transparency, colour space, density, animation.
const NEEDED: [&[u8; 4]; 19] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB", b"cICP", b"mDCV",
    b"cLLI", b"bKGD", b"pHYs", b"acTL", b"fcTL", b"fdAT", b"hIST",
];

/// The file without texts, times, EXIF (but for the orientation) and unknown chunks; `None` if it is not whole.
pub(super) fn clean(source: &[u8]) -> Option<Vec<u8>> {
    let mut rest = source.strip_prefix(SIGNATURE)?;
    let mut kept = SIGNATURE.to_vec();
    loop {
        let length = u32::from_be_bytes(rest.get(..4)?.try_into().ok()?) as usize;
        let (name, data) = (rest.get(4..8)?, rest.get(8..8usize.checked_add(length)?)?);
        let chunk = rest.get(..12 + length)?;
        if name == b"eXIf" {
            if let Some(turned) = orientation::of_block(data).filter(|orientation| *orientation != 1) {
                push(&mut kept, b"eXIf", &orientation::block(turned));
            }
        } else if NEEDED.iter().any(|needed| *needed == name) {
            kept.extend_from_slice(chunk);
        }
        if name == b"IEND" {
            return Some(kept);
        }
        rest = &rest[12 + length..];
    }
}

fn push(file: &mut Vec<u8>, name: &[u8; 4], data: &[u8]) {
    file.extend_from_slice(&(data.len() as u32).to_be_bytes());
    let start = file.len();
    file.extend_from_slice(name);
    file.extend_from_slice(data);
    let sum = checksum(&file[start..]);
    file.extend_from_slice(&sum.to_be_bytes());
}

/// CRC-32 as the PNG specification's section 5.5 defines it, a bit at a time: it only ever sees thirty bytes.
fn checksum(bytes: &[u8]) -> u32 {
    let table_free = |sum: u32, byte: &u8| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| if sum & 1 == 1 { 0xedb8_8320 ^ (sum >> 1) } else { sum >> 1 })
    };
    !bytes.iter().fold(u32::MAX, table_free)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture() -> Vec<u8> {
        let pixels = image::RgbaImage::from_fn(9, 5, |x, y| image::Rgba([(x * 20) as u8, (y * 40) as u8, 7, 200]));
        let mut png = std::io::Cursor::new(Vec::new());
        pixels.write_to(&mut png, image::ImageFormat::Png).unwrap();
        png.into_inner()
    }

    /// The check value of CRC-32 in general use (from memory: `123456789` gives cbf43926).
    #[test]
    fn checksum_has_its_check_value() {
        assert_eq!(checksum(b"123456789"), 0xcbf4_3926);
    }

    #[test]
    fn texts_go_orientation_and_pixels_stay() {
        let plain = picture();
        let mut extra = Vec::new();
        push(&mut extra, b"tEXt", b"Comment\0SECRET");
        push(&mut extra, b"eXIf", &orientation::block(8));
        push(&mut extra, b"teSt", b"SECRET");
        let header = SIGNATURE.len() + 25;
        let source = [&plain[..header], &extra, &plain[header..], b"SECRET"].concat();
        let cleaned = clean(&source).unwrap();
        assert!(!cleaned.windows(6).any(|window| window == b"SECRET"));
        assert_eq!(orientation::of_file(&cleaned), Some(8));
        assert_eq!(
            image::load_from_memory(&cleaned).unwrap().into_rgba8(),
            image::load_from_memory(&plain).unwrap().into_rgba8()
        );
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
