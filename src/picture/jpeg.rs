//! JPEG files: a walk over their segments (ITU-T T.81 annex B), and their pixels by way of zune-jpeg.
//!
//! The decoder shows what it can of a damaged file and says nothing. A room with a grey floor is no walkthrough, so
//! the walk also finds where the coded data end, and the decoder is led to fail where they end too early.

use super::exif::Orientation;
use super::facts::{Facts, METADATA_BYTES};
use super::rows::{Depth, Kind, Samples};
use super::{Format, PictureError};
use std::borrow::Cow;
use std::io::{BufRead, Read, Seek};
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

const EXIF_SIGNATURE: &[u8] = b"Exif\0\0";
const XMP_SIGNATURE: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
const ICC_SIGNATURE: &[u8] = b"ICC_PROFILE\0";
/// More segments than any camera writes; fewer than would take long to walk.
const MOST_SEGMENTS: usize = 20_000;

const END_OF_IMAGE: u8 = 0xD9;
const START_OF_SCAN: u8 = 0xDA;

/// The facts of a JPEG file; reads up to its first scan.
pub(super) fn read_facts<R: BufRead + Seek>(mut reader: R) -> Result<Facts, PictureError> {
    let segments = Segments::read(&mut reader)?;
    let frame = segments.frame.ok_or_else(|| damaged("its picture data come before its frame header"))?;
    frame.check()?;
    let pixels = u64::from(frame.width) * u64::from(frame.height);
    Ok(Facts {
        format: Format::Jpeg,
        width: frame.width.into(),
        height: frame.height.into(),
        bits_per_channel: 8,
        channels: frame.component_ids.len() as u8,
        orientation: segments.orientation.unwrap_or(Orientation::TopLeft),
        profile: segments.profile.join(),
        xmp: segments.xmp,
        // Every block of 8×8 pixels takes at least one bit: no Huffman code is shorter (T.81 annex C).
        least_bytes: pixels / 512,
    })
}

/// Decodes every sample, upsampled but with no change of colour. The headers have been read and found good.
///
/// # Errors
/// Data that end too early, at the end of the file or at an end marker that comes too soon; anything else that the
/// decoder refuses.
pub(super) fn decode(bytes: &[u8]) -> Result<Samples, PictureError> {
    let segments = Segments::read(&mut std::io::Cursor::new(bytes))?;
    let kind = segments.kind();
    let mut coded = complete_data(bytes, &segments)?;
    if let Some((0, at)) = segments.adobe_transform {
        // The decoder takes an Adobe marker with transform 0 for CMYK even where there are three channels.
        coded.to_mut()[at] = 1;
    }
    let options = DecoderOptions::default()
        .set_max_width(usize::from(u16::MAX))
        .set_max_height(usize::from(u16::MAX))
        .set_strict_mode(true);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(&coded[..]), options);
    decoder.decode_headers().map_err(refused)?;
    // Asked for what it holds, the decoder changes no colour.
    let held = decoder.input_colorspace().unwrap_or(ColorSpace::YCbCr);
    decoder.set_options(options.jpeg_set_out_colorspace(held));
    let bytes = decoder.decode().map_err(refused)?;
    Ok(Samples { kind, depth: Depth::Eight, bytes })
}

fn refused(error: zune_jpeg::errors::DecodeErrors) -> PictureError {
    use zune_jpeg::errors::DecodeErrors;
    match error {
        DecodeErrors::ExhaustedData | DecodeErrors::FormatStatic("Premature end of buffer") => truncated(),
        DecodeErrors::IoErrors(_) => truncated(),
        error => damaged(&error.to_string().replace('\n', " ")),
    }
}

fn truncated() -> PictureError {
    PictureError::Truncated { format: Format::Jpeg }
}

fn damaged(detail: &str) -> PictureError {
    PictureError::Damaged { format: Format::Jpeg, detail: detail.trim_end().to_owned() }
}

/// The bytes to give to the decoder, if the coded data are complete as far as their markers say.
///
/// After an end marker the decoder reads noughts for ever, after the end of its input it fails. So a sequential
/// picture is handed over with a few noughts in place of its end marker: enough for what the decoder reads ahead, not
/// enough for a row of blocks. A progressive picture that stops early lacks scans, which its scan headers tell.
fn complete_data<'a>(bytes: &'a [u8], segments: &Segments) -> Result<Cow<'a, [u8]>, PictureError> {
    const READ_AHEAD: usize = 16;
    let frame = segments.frame.as_ref().ok_or_else(truncated)?;
    let mut coverage = Coverage::new(frame);
    let end = walk_scans(bytes, segments.scan_at, &mut coverage)?;
    coverage.check()?;
    if frame.progressive {
        return Ok(Cow::Borrowed(&bytes[..end + 2]));
    }
    let mut coded = Vec::with_capacity(end + READ_AHEAD);
    coded.extend_from_slice(&bytes[..end]);
    coded.resize(end + READ_AHEAD, 0);
    Ok(Cow::Owned(coded))
}

/// Walks from the first scan to the end marker and says where that stands.
fn walk_scans(bytes: &[u8], first_scan: usize, coverage: &mut Coverage) -> Result<usize, PictureError> {
    let mut at = first_scan;
    for _ in 0..MOST_SEGMENTS {
        // `at` is a marker with a length: a scan, or tables between scans.
        let header = bytes.get(at..at + 4).ok_or_else(truncated)?;
        let length = usize::from(u16::from_be_bytes([header[2], header[3]]));
        let payload = bytes.get(at + 4..at + 2 + length.max(2)).ok_or_else(truncated)?;
        if header[1] == START_OF_SCAN {
            coverage.add(payload);
        }
        at = next_marker(bytes, at + 2 + length).ok_or_else(truncated)?;
        if bytes[at + 1] == END_OF_IMAGE {
            return Ok(at);
        }
    }
    Err(damaged("it has far too many segments"))
}

/// The next marker that is neither a stuffed byte nor a restart.
fn next_marker(bytes: &[u8], from: usize) -> Option<usize> {
    const BLOCK: usize = 64;
    let mut at = from;
    loop {
        // Most of the data are free of 0xFF; `contains` looks at many bytes at once.
        while bytes.get(at..at + BLOCK).is_some_and(|block| !block.contains(&0xFF)) {
            at += BLOCK;
        }
        at += bytes.get(at..)?.iter().position(|&byte| byte == 0xFF)?;
        match *bytes.get(at + 1)? {
            0x00 | 0x01 | 0xD0..=0xD7 => at += 2,
            0xFF => at += 1,
            _ => return Some(at),
        }
    }
}

/// Which coefficients of which component the scans have brought, and to which last bit.
struct Coverage {
    progressive: bool,
    /// For every component its id and, a coefficient each, the bits that are still missing.
    missing: Vec<(u8, [u8; 64])>,
}

impl Coverage {
    const NOT_SEEN: u8 = u8::MAX;

    fn new(frame: &Frame) -> Self {
        let missing = frame.component_ids.iter().map(|&id| (id, [Self::NOT_SEEN; 64])).collect();
        Coverage { progressive: frame.progressive, missing }
    }

    /// Takes a scan header's payload: count, (id, tables) each, first and last coefficient, bit positions
    /// (T.81 B.2.3). One that makes no sense is left to the decoder.
    fn add(&mut self, payload: &[u8]) {
        let count = payload.first().map_or(0, |&count| usize::from(count));
        let Some(&[first, last, bits]) = payload.get(1 + 2 * count..4 + 2 * count) else { return };
        let (range, bit) =
            if self.progressive { (usize::from(first)..=usize::from(last.min(63)), bits & 0x0F) } else { (0..=63, 0) };
        for named in payload[1..1 + 2 * count].chunks_exact(2) {
            for (_, missing) in self.missing.iter_mut().filter(|(id, _)| *id == named[0]) {
                range.clone().for_each(|coefficient| missing[coefficient] = bit);
            }
        }
    }

    fn check(&self) -> Result<(), PictureError> {
        let complete = self.missing.iter().all(|(_, missing)| missing.iter().all(|&bits| bits == 0));
        if complete { Ok(()) } else { Err(truncated()) }
    }
}

/// What stands before the first scan.
#[derive(Default)]
struct Segments {
    frame: Option<Frame>,
    orientation: Option<Orientation>,
    profile: ProfileParts,
    xmp: Option<Vec<u8>>,
    jfif: bool,
    /// The colour transform of an Adobe marker, and where that byte stands in the file.
    adobe_transform: Option<(u8, usize)>,
    /// Where the first scan's marker stands.
    scan_at: usize,
}

impl Segments {
    fn read<R: BufRead + Seek>(reader: &mut R) -> Result<Segments, PictureError> {
        let mut segments = Segments::default();
        let mut taken = 0;
        reader.read_exact(&mut [0; 2]).map_err(early)?;
        for _ in 0..MOST_SEGMENTS {
            let marker = read_marker(reader)?;
            match marker {
                0x01 | 0xD0..=0xD7 => continue,
                END_OF_IMAGE => return Err(truncated()),
                _ => {}
            }
            let marker_at = reader.stream_position()? - 2;
            if marker == START_OF_SCAN {
                segments.scan_at = marker_at as usize;
                return Ok(segments);
            }
            let length = read_length(reader)?;
            if !is_wanted(marker) {
                reader.seek_relative(length as i64)?;
                continue;
            }
            taken += length;
            if taken > METADATA_BYTES {
                return Err(damaged("its metadata are far too long"));
            }
            let mut payload = vec![0; length];
            reader.read_exact(&mut payload).map_err(early)?;
            segments.take(marker, &payload, marker_at as usize)?;
        }
        Err(damaged("it has far too many segments"))
    }

    fn take(&mut self, marker: u8, payload: &[u8], marker_at: usize) -> Result<(), PictureError> {
        match marker {
            0xC0..=0xCF => self.frame = Some(Frame::read(marker, payload)?),
            0xE0 => self.jfif |= payload.starts_with(b"JFIF\0"),
            0xE1 => self.take_application_1(payload),
            0xE2 => {
                if let Some(part) = payload.strip_prefix(ICC_SIGNATURE) {
                    self.profile.take(part);
                }
            }
            // Adobe Technical Note 5116: signature, version, two words of flags, transform.
            0xEE if payload.starts_with(b"Adobe") && payload.len() >= 12 => {
                self.adobe_transform = Some((payload[11], marker_at + 4 + 11));
            }
            _ => {}
        }
        Ok(())
    }

    fn take_application_1(&mut self, payload: &[u8]) {
        if let Some(block) = payload.strip_prefix(EXIF_SIGNATURE) {
            self.orientation.get_or_insert_with(|| Orientation::from_exif(block));
        } else if let Some(packet) = payload.strip_prefix(XMP_SIGNATURE) {
            self.xmp.get_or_insert_with(|| packet.to_vec());
        }
    }

    /// JFIF (ITU-T T.871) means Y'CbCr; else an Adobe marker says which; else the letters R, G, B as component ids
    /// do (common practice, no source).
    fn kind(&self) -> Kind {
        let ids = self.frame.as_ref().map_or(&[][..], |frame| &frame.component_ids);
        match (ids, self.adobe_transform) {
            ([_], _) => Kind::Grey,
            _ if self.jfif => Kind::Ycc,
            (_, Some((0, _))) | (b"RGB", None) => Kind::Rgb,
            _ => Kind::Ycc,
        }
    }
}

fn early(error: std::io::Error) -> PictureError {
    PictureError::from_read(error, Format::Jpeg)
}

/// Frame headers (not the tables and the reserved code between them), JFIF, EXIF and XMP, profiles, Adobe.
fn is_wanted(marker: u8) -> bool {
    matches!(marker, 0xC0..=0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF | 0xE0..=0xE2 | 0xEE)
}

/// Reads a marker with any fill bytes before it.
fn read_marker(reader: &mut impl Read) -> Result<u8, PictureError> {
    let mut byte = [0];
    reader.read_exact(&mut byte).map_err(early)?;
    if byte[0] != 0xFF {
        return Err(damaged("there is no segment where one should start"));
    }
    while byte[0] == 0xFF {
        reader.read_exact(&mut byte).map_err(early)?;
    }
    Ok(byte[0])
}

/// Reads a segment's length, less the two bytes of the length itself.
fn read_length(reader: &mut impl Read) -> Result<usize, PictureError> {
    let mut bytes = [0; 2];
    reader.read_exact(&mut bytes).map_err(early)?;
    usize::from(u16::from_be_bytes(bytes)).checked_sub(2).ok_or_else(|| damaged("a segment has no room for its length"))
}

/// A frame header (T.81 B.2.2).
struct Frame {
    progressive: bool,
    width: u16,
    height: u16,
    component_ids: Vec<u8>,
}

impl Frame {
    fn read(marker: u8, payload: &[u8]) -> Result<Frame, PictureError> {
        let unsupported = |what: &str| PictureError::Unsupported { format: Format::Jpeg, what: what.to_owned() };
        match marker {
            0xC0..=0xC2 => {}
            0xC3 => return Err(unsupported("lossless coding")),
            0xC9..=0xCB => return Err(unsupported("arithmetic coding")),
            _ => return Err(unsupported("hierarchical coding")),
        }
        let &[precision, h1, h0, w1, w0, count, ref components @ ..] = payload else {
            return Err(damaged("its frame header is too short"));
        };
        if precision != 8 {
            return Err(unsupported(&format!("{precision}-bit samples")));
        }
        if components.len() != 3 * usize::from(count) {
            return Err(damaged("its frame header has the wrong length"));
        }
        Ok(Frame {
            progressive: marker == 0xC2,
            width: u16::from_be_bytes([w1, w0]),
            height: u16::from_be_bytes([h1, h0]),
            component_ids: components.chunks_exact(3).map(|component| component[0]).collect(),
        })
    }

    fn check(&self) -> Result<(), PictureError> {
        let format = Format::Jpeg;
        match self.component_ids.len() {
            1 | 3 => Ok(()),
            4 => Err(PictureError::Cmyk { format }),
            count => Err(PictureError::Unsupported { format, what: format!("{count} channels") }),
        }
    }
}

/// A profile in APP2 segments (ICC.1 annex B): each part has its number, from 1, and the count of parts. They may
/// come in any order.
#[derive(Default)]
struct ProfileParts {
    count: u8,
    parts: std::collections::BTreeMap<u8, Vec<u8>>,
}

impl ProfileParts {
    fn take(&mut self, part: &[u8]) {
        if let &[number, count, ref data @ ..] = part {
            self.count = self.count.max(count);
            self.parts.entry(number).or_insert_with(|| data.to_vec());
        }
    }

    /// All parts in their order. With one missing the rest is handed over all the same: it will be found broken, and
    /// said to be.
    fn join(self) -> Option<Vec<u8>> {
        if self.parts.is_empty() {
            return None;
        }
        let complete = (1..=self.count).all(|number| self.parts.contains_key(&number));
        Some(if complete { self.parts.into_values().flatten().collect() } else { Vec::new() })
    }
}
