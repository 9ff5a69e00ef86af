//! What kind of file it is, by its first bytes. Endings lie: phones and messengers rename what they convert.

/// Kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Format {
    Jpeg,
    Png,
    Tiff,
    WebP,
}

/// How many bytes [`Format::of`] wants to see.
pub(super) const SIGNATURE_BYTES: usize = 12;

impl Format {
    /// By content; `None` for anything else, or for fewer bytes than a signature has.
    ///
    /// Signatures: ITU-T T.81 (SOI and the next marker), PNG section 5.2, TIFF 6.0 section 2 (BigTIFF has 43 for 42),
    /// RFC 9649 for WebP.
    pub fn of(start: &[u8]) -> Option<Format> {
        match start {
            [0xFF, 0xD8, 0xFF, ..] => Some(Format::Jpeg),
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Some(Format::Png),
            [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => Some(Format::Tiff),
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some(Format::WebP),
            _ => None,
        }
    }
}

impl std::fmt::Display for Format {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Format::Jpeg => "JPEG",
            Format::Png => "PNG",
            Format::Tiff => "TIFF",
            Format::WebP => "WebP",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signatures_are_told_apart() {
        assert_eq!(Format::of(b"\xFF\xD8\xFF\xE0"), Some(Format::Jpeg));
        assert_eq!(Format::of(b"\x89PNG\r\n\x1A\n"), Some(Format::Png));
        assert_eq!(Format::of(b"II\x2A\0\x08\0\0\0"), Some(Format::Tiff));
        assert_eq!(Format::of(b"MM\0\x2A\0\0\0\x08"), Some(Format::Tiff));
        assert_eq!(Format::of(b"RIFF\x24\0\0\0WEBPVP8 "), Some(Format::WebP));
        assert_eq!(Format::of(b"RIFF\x24\0\0\0WAVEfmt "), None);
        assert_eq!(Format::of(b"GIF89a"), None);
        assert_eq!(Format::of(b"\xFF\xD8"), None);
        assert_eq!(Format::of(b""), None);
    }
}
