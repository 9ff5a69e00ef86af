//! WebP files as RFC 9649 lays them out: RIFF chunks. Walked here, because a chunk that claims more bytes than the
//! file has must be noticed before anything is set aside for it.

use super::exif::Orientation;
use super::facts::{Facts, METADATA_BYTES, evidence_for};
use super::{Format, PictureError};
use std::io::{BufRead, Read, Seek, SeekFrom};

/// Bits of the VP8X chunk's first byte.
const ANIMATION: u8 = 0x02;
const ALPHA: u8 = 0x10;

pub(super) fn read_facts<R: BufRead + Seek>(mut reader: R, bytes: u64) -> Result<Facts, PictureError> {
    let mut found = Found::default();
    let mut position = 12;
    // The last chunk may lack its padding byte, so fewer than eight bytes left are the end.
    while position + 8 <= bytes {
        reader.seek(SeekFrom::Start(position))?;
        let mut head = [0; 8];
        reader.read_exact(&mut head).map_err(|error| PictureError::from_read(error, Format::WebP))?;
        let length = u64::from(u32::from_le_bytes([head[4], head[5], head[6], head[7]]));
        if position + 8 + length > bytes {
            return Err(PictureError::Truncated { format: Format::WebP });
        }
        found.take(&head[..4], (&mut reader).take(length))?;
        if found.pixels_seen && !found.extended {
            break;
        }
        position += 8 + length + length % 2;
    }
    found.into_facts()
}

#[derive(Default)]
struct Found {
    size: Option<(u32, u32)>,
    /// Whether the file starts with a VP8X chunk: only then do metadata chunks follow.
    extended: bool,
    alpha: bool,
    pixels_seen: bool,
    orientation: Option<Orientation>,
    profile: Option<Vec<u8>>,
    xmp: Option<Vec<u8>>,
}

impl Found {
    fn take(&mut self, name: &[u8], mut chunk: std::io::Take<impl Read>) -> Result<(), PictureError> {
        match name {
            b"VP8X" => self.take_extended(&start(&mut chunk)?)?,
            b"VP8 " => {
                let head = start(&mut chunk)?;
                let side = |low: usize| u32::from(u16::from_le_bytes([head[low], head[low + 1]]) & 0x3FFF);
                self.size.get_or_insert((side(6), side(8)));
                self.pixels_seen = true;
            }
            b"VP8L" => {
                let head = start(&mut chunk)?;
                let bits = u32::from_le_bytes([head[1], head[2], head[3], head[4]]);
                self.size.get_or_insert(((bits & 0x3FFF) + 1, ((bits >> 14) & 0x3FFF) + 1));
                self.alpha |= bits >> 28 & 1 == 1;
                self.pixels_seen = true;
            }
            b"ICCP" if self.profile.is_none() => self.profile = Some(whole(chunk)?),
            b"XMP " if self.xmp.is_none() => self.xmp = Some(whole(chunk)?),
            b"EXIF" if self.orientation.is_none() => {
                let block = whole(chunk)?;
                // Some writers keep JPEG's signature before the block.
                let block = block.strip_prefix(b"Exif\0\0").unwrap_or(&block);
                self.orientation = Some(Orientation::from_exif(block));
            }
            _ => {}
        }
        Ok(())
    }

    fn take_extended(&mut self, head: &[u8; 10]) -> Result<(), PictureError> {
        if head[0] & ANIMATION != 0 {
            return Err(PictureError::Animated { format: Format::WebP });
        }
        let side = |low: usize| u32::from_le_bytes([head[low], head[low + 1], head[low + 2], 0]) + 1;
        self.size = Some((side(4), side(7)));
        self.extended = true;
        self.alpha = head[0] & ALPHA != 0;
        Ok(())
    }

    fn into_facts(self) -> Result<Facts, PictureError> {
        let Some((width, height)) = self.size.filter(|_| self.pixels_seen) else {
            let detail = "it has no chunk with pixels".to_owned();
            return Err(PictureError::Damaged { format: Format::WebP, detail });
        };
        Ok(Facts {
            format: Format::WebP,
            width,
            height,
            bits_per_channel: 8,
            channels: if self.alpha { 4 } else { 3 },
            orientation: self.orientation.unwrap_or(Orientation::TopLeft),
            profile: self.profile,
            xmp: self.xmp,
            least_bytes: evidence_for(width, height),
        })
    }
}

/// The ten bytes with which every chunk that says a size starts; a shorter chunk is damaged.
fn start(chunk: &mut impl Read) -> Result<[u8; 10], PictureError> {
    let mut head = [0; 10];
    let mut filled = 0;
    while filled < head.len() {
        match chunk.read(&mut head[filled..])? {
            0 => break,
            read => filled += read,
        }
    }
    // A lossless picture of one plain colour may be shorter than ten bytes, but not than its five bytes of header.
    if filled < 5 {
        let detail = "a chunk is shorter than its own header".to_owned();
        return Err(PictureError::Damaged { format: Format::WebP, detail });
    }
    Ok(head)
}

fn whole(chunk: std::io::Take<impl Read>) -> Result<Vec<u8>, PictureError> {
    let mut block = Vec::new();
    chunk.take(METADATA_BYTES as u64).read_to_end(&mut block)?;
    Ok(block)
}
