//! Plans and notes' pictures without what they say of themselves: a published walkthrough gives away no position of the
//! property, no camera, no name.
//!
//! Nothing is decoded or encoded again. What a browser needs to show the picture stays (pixels, colour profile,
//! orientation); every other segment of the file is left out, known or unknown. What can be *seen* in a picture, and the
//! visible text of a drawing, is the photographer's to judge.

mod jpeg;
mod orientation;
mod png;
mod svg;
mod webp;

use super::Bundle;
use crate::store::ContentHash;
use std::io;
use std::path::{Path, PathBuf};

/// A picture or drawing of the photographer's, known by the hash of what is left of it when it is cleaned.
///
/// Holds no pixels: a file is read when it is wanted, so that memory does not grow with the number of notes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::site) struct CleanFile {
    path: PathBuf,
    kind: Kind,
    hash: ContentHash,
    bytes: u64,
    size_px: Option<[u32; 2]>,
}

/// What every browser shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Jpeg,
    Png,
    WebP,
    Svg,
}

/// Why a picture or drawing cannot be published.
#[derive(Debug, thiserror::Error)]
#[allow(missing_docs)]
pub(in crate::site) enum CleanError {
    #[error("cannot be read: {0}")]
    Io(#[from] io::Error),
    #[error("is not a picture that every browser shows")]
    UnknownKind,
    #[error("is not a whole {0} file")]
    Damaged(&'static str),
    #[error("is not well-formed SVG: {0}")]
    Svg(String),
}

impl CleanError {
    /// What to do about it.
    pub(in crate::site) fn remedy(&self) -> &'static str {
        match self {
            CleanError::Io(_) => "see that the file is there and may be read",
            CleanError::UnknownKind => "save it as JPEG, PNG or WebP (a plan may be SVG too) and name that file",
            CleanError::Damaged(_) => "open it in a picture program and save it again",
            CleanError::Svg(_) => "open it in a drawing program and save it again as SVG",
        }
    }
}

impl CleanFile {
    /// Reads and cleans a file once, to learn its hash and size.
    ///
    /// # Errors
    /// Not readable, not JPEG, PNG, WebP or SVG, or damaged.
    pub(in crate::site) fn open(path: &Path) -> Result<Self, CleanError> {
        let source = std::fs::read(path)?;
        let kind = Kind::of(&source).ok_or(CleanError::UnknownKind)?;
        let clean = kind.clean(&source)?;
        Ok(CleanFile {
            path: path.to_path_buf(),
            kind,
            hash: ContentHash::of(&clean),
            bytes: clean.len() as u64,
            size_px: kind.size_px(&clean),
        })
    }

    /// Of the cleaned bytes.
    pub(in crate::site) fn hash(&self) -> ContentHash {
        self.hash
    }

    /// `jpg`, `png`, `webp` or `svg`: by content, whatever the photographer's file is called.
    pub(in crate::site) fn ending(&self) -> &'static str {
        match self.kind {
            Kind::Jpeg => "jpg",
            Kind::Png => "png",
            Kind::WebP => "webp",
            Kind::Svg => "svg",
        }
    }

    /// Width and height as shown, orientation applied; `None` for a drawing.
    pub(in crate::site) fn size_px(&self) -> Option<[u32; 2]> {
        self.size_px
    }
}

/// A bundle of one file, named by its ending alone.
impl Bundle for CleanFile {
    fn entries(&self) -> Box<dyn Iterator<Item = (&str, u64)> + '_> {
        Box::new(std::iter::once((self.ending(), self.bytes)))
    }

    /// Fails also where the file is no longer what it was when the site was composed.
    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        if name != self.ending() {
            return Err(io::ErrorKind::NotFound.into());
        }
        let changed = || io::Error::other(format!("`{}` changed while the site was being made", self.path.display()));
        let clean = self.kind.clean(&std::fs::read(&self.path)?).map_err(|_| changed())?;
        if ContentHash::of(&clean) == self.hash { Ok(clean) } else { Err(changed()) }
    }
}

impl Kind {
    fn of(bytes: &[u8]) -> Option<Self> {
        match bytes {
            [0xff, 0xd8, 0xff, ..] => Some(Kind::Jpeg),
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => Some(Kind::Png),
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some(Kind::WebP),
            _ => std::str::from_utf8(bytes).ok().filter(|text| svg::looks_like(text)).map(|_| Kind::Svg),
        }
    }

    fn clean(self, bytes: &[u8]) -> Result<Vec<u8>, CleanError> {
        match self {
            Kind::Jpeg => jpeg::clean(bytes).ok_or(CleanError::Damaged("JPEG")),
            Kind::Png => png::clean(bytes).ok_or(CleanError::Damaged("PNG")),
            Kind::WebP => webp::clean(bytes).ok_or(CleanError::Damaged("WebP")),
            Kind::Svg => svg::clean(bytes),
        }
    }

    fn size_px(self, clean: &[u8]) -> Option<[u32; 2]> {
        if self == Kind::Svg {
            return None;
        }
        let reader = image::ImageReader::new(io::Cursor::new(clean)).with_guessed_format().ok()?;
        let (width, height) = reader.into_dimensions().ok()?;
        let turned = orientation::of_file(clean).is_some_and(orientation::swaps_sides);
        Some(if turned { [height, width] } else { [width, height] })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_known_by_its_content_not_by_its_ending() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("kiln.png");
        let pixels = image::RgbImage::from_pixel(6, 4, image::Rgb([9, 90, 200]));
        let mut jpeg = Vec::new();
        image::codecs::jpeg::JpegEncoder::new(&mut jpeg).encode_image(&pixels).unwrap();
        std::fs::write(&path, &jpeg).unwrap();
        let file = CleanFile::open(&path).unwrap();
        assert_eq!((file.ending(), file.size_px()), ("jpg", Some([6, 4])));
        assert_eq!(file.entries().collect::<Vec<_>>(), [("jpg", file.read("jpg").unwrap().len() as u64)]);

        std::fs::write(&path, b"GIF89a").unwrap();
        assert!(file.read("jpg").unwrap_err().to_string().contains("changed while the site was being made"));
        assert!(matches!(CleanFile::open(&path), Err(CleanError::UnknownKind)));
    }
}
