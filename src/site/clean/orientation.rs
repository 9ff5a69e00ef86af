//! EXIF orientation: the one field of a picture's own notes that a browser needs.

/// The orientation, 1..=8, that an EXIF block (a TIFF header and what follows) names; `None` where it names none.
pub(super) fn of_block(tiff: &[u8]) -> Option<u8> {
    let exif = exif::Reader::new().read_raw(tiff.to_vec()).ok()?;
    of_exif(&exif)
}

/// The same for a whole JPEG, PNG or WebP file.
pub(super) fn of_file(file: &[u8]) -> Option<u8> {
    let exif = exif::Reader::new().read_from_container(&mut std::io::Cursor::new(file)).ok()?;
    of_exif(&exif)
}

fn of_exif(exif: &exif::Exif) -> Option<u8> {
    let value = exif.get_field(exif::Tag::Orientation, exif::In::PRIMARY)?.value.get_uint(0)?;
    u8::try_from(value).ok().filter(|value| (1..=8).contains(value))
}

/// A whole EXIF block that says nothing but the orientation. Layout: TIFF 6.0, section 2; tag 0x0112, type SHORT.
pub(super) fn block(orientation: u8) -> [u8; 26] {
    let mut tiff = *b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\0\0\0\0\0\0\0";
    tiff[19] = orientation;
    tiff
}

/// Whether width and height change places.
pub(super) fn swaps_sides(orientation: u8) -> bool {
    orientation >= 5
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `kamadak-exif` reads what is written here.
    #[test]
    fn the_block_says_its_orientation() {
        for orientation in 1..=8 {
            assert_eq!(of_block(&block(orientation)), Some(orientation));
        }
        assert_eq!(of_block(&block(9)), None);
        assert_eq!(of_block(b"MM"), None);
    }
}
