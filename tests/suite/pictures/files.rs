//! Small picture files, written byte by byte where their headers matter and by general-purpose encoders elsewhere.

use enfilade::picture::{Chroma, YccPicture, decode};
use image::{DynamicImage, ImageFormat, RgbImage};

/// Columns and rows of a patch, and of the picture of eight patches.
pub const PATCH: u32 = 16;
pub const SIZE: (u32, u32) = (4 * PATCH, 2 * PATCH);

/// Eight colours, four in the upper row. No two rows or columns are the same.
pub const COLOURS: [[u8; 3]; 8] = [
    [200, 30, 40],
    [20, 180, 60],
    [40, 60, 210],
    [128, 128, 128],
    [250, 250, 250],
    [10, 10, 10],
    [230, 200, 40],
    [90, 20, 120],
];

/// The picture of the eight patches.
pub fn patches() -> RgbImage {
    RgbImage::from_fn(SIZE.0, SIZE.1, |x, y| image::Rgb(COLOURS[(y / PATCH * 4 + x / PATCH) as usize]))
}

/// The same as grey: every patch its green channel.
pub fn grey_patches() -> image::GrayImage {
    image::GrayImage::from_fn(SIZE.0, SIZE.1, |x, y| image::Luma([patches().get_pixel(x, y)[1]]))
}

/// Y', Cb, Cr after ITU-T T.871 section 7, in floating point.
pub fn ycc([r, g, b]: [f64; 3]) -> [f64; 3] {
    let y = 0.299 * r + 0.587 * g + 0.114 * b;
    [y, ((b - y) / 1.772 + 128.0).min(255.0), ((r - y) / 1.402 + 128.0).min(255.0)]
}

pub fn of_bytes(colour: [u8; 3]) -> [f64; 3] {
    colour.map(f64::from)
}

/// Y', Cb and Cr of a pixel.
pub fn pixel(picture: &YccPicture, x: usize, y: usize) -> [f64; 3] {
    let (chroma_width, _) = picture.chroma_size();
    let at = match picture.chroma {
        Chroma::Full => y * chroma_width + x,
        Chroma::Half => y / 2 * chroma_width + x / 2,
    };
    [picture.y[y * picture.width + x], picture.cb[at], picture.cr[at]].map(f64::from)
}

/// Decodes at both chroma sizes and compares the middle of every patch with RGB colours.
pub fn assert_patches(what: &str, file: &[u8], colours: &[[f64; 3]; 8], tolerance: f64) {
    for chroma in [Chroma::Full, Chroma::Half] {
        let picture = decode(file, chroma).unwrap_or_else(|error| panic!("{what}: {error}"));
        assert_eq!((picture.width as u32, picture.height as u32), SIZE, "{what}");
        for (index, &colour) in colours.iter().enumerate() {
            let (column, row) = (index as u32 % 4, index as u32 / 4);
            let middle = |side: u32| (side * PATCH + PATCH / 2) as usize;
            let got = pixel(&picture, middle(column), middle(row));
            for (got, expected) in got.into_iter().zip(ycc(colour)) {
                assert!(
                    (got - expected).abs() <= tolerance,
                    "{what}, {chroma:?}, patch {index}: {got}, expected {expected}"
                );
            }
        }
    }
}

/// By the image crate's encoder.
pub fn encoded(picture: impl Into<DynamicImage>, format: ImageFormat) -> Vec<u8> {
    let mut file = std::io::Cursor::new(Vec::new());
    picture.into().write_to(&mut file, format).unwrap();
    file.into_inner()
}

/// A JPEG by mozjpeg-rs at quality 98.
pub fn jpeg(picture: &RgbImage, progressive: bool, subsampling: mozjpeg_rs::Subsampling) -> Vec<u8> {
    mozjpeg_rs::Encoder::new(mozjpeg_rs::Preset::BaselineBalanced)
        .progressive(progressive)
        .subsampling(subsampling)
        .quality(98)
        .encode_rgb(picture.as_raw(), picture.width(), picture.height())
        .unwrap()
}

/// The patches as an ordinary JPEG.
pub fn plain_jpeg() -> Vec<u8> {
    jpeg(&patches(), false, mozjpeg_rs::Subsampling::S444)
}

/// Puts a segment right behind a JPEG's first two bytes.
pub fn with_segment(jpeg: &[u8], marker: u8, payload: &[u8]) -> Vec<u8> {
    let length = (payload.len() as u16 + 2).to_be_bytes();
    [&jpeg[..2], &[0xFF, marker], &length, payload, &jpeg[2..]].concat()
}

/// A JPEG without its JFIF segment, which mozjpeg-rs writes first.
pub fn without_jfif(jpeg: &[u8]) -> Vec<u8> {
    assert_eq!(jpeg[2..4], [0xFF, 0xE0]);
    let length = usize::from(u16::from_be_bytes([jpeg[4], jpeg[5]]));
    [&jpeg[..2], &jpeg[4 + length..]].concat()
}

/// An EXIF block that says nothing but the orientation.
pub fn exif(orientation: u8) -> Vec<u8> {
    let mut block = b"MM\0\x2A\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    block.extend([orientation, 0, 0, 0, 0, 0, 0]);
    block
}

/// A PNG by hand: `rows` are the raw rows without their filter bytes, `chunks` stand before the pixels.
pub fn png(size: (u32, u32), bits: u8, colour_type: u8, rows: &[Vec<u8>], chunks: &[(&[u8; 4], Vec<u8>)]) -> Vec<u8> {
    let mut file = b"\x89PNG\r\n\x1A\n".to_vec();
    let mut header = [size.0.to_be_bytes(), size.1.to_be_bytes()].concat();
    header.extend([bits, colour_type, 0, 0, 0]);
    png_chunk(&mut file, b"IHDR", &header);
    for (name, payload) in chunks {
        png_chunk(&mut file, name, payload);
    }
    let raw: Vec<u8> = rows.iter().flat_map(|row| std::iter::once(0).chain(row.iter().copied())).collect();
    png_chunk(&mut file, b"IDAT", &zlib(&raw));
    png_chunk(&mut file, b"IEND", &[]);
    file
}

fn png_chunk(file: &mut Vec<u8>, name: &[u8; 4], payload: &[u8]) {
    file.extend((payload.len() as u32).to_be_bytes());
    let start = file.len();
    file.extend(name);
    file.extend(payload);
    // CRC-32 as PNG annex D has it.
    let crc = file[start..].iter().fold(u32::MAX, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| (crc >> 1) ^ (0xEDB8_8320 * (crc & 1)))
    });
    file.extend((!crc).to_be_bytes());
}

/// A zlib stream (RFC 1950) of stored blocks (RFC 1951).
pub fn zlib(data: &[u8]) -> Vec<u8> {
    let mut stream = vec![0x78, 0x01];
    let blocks = data.chunks(0xFFFF);
    let last = blocks.len().saturating_sub(1);
    for (index, block) in blocks.enumerate() {
        stream.push(u8::from(index == last));
        let length = block.len() as u16;
        stream.extend([length.to_le_bytes(), (!length).to_le_bytes()].concat());
        stream.extend(block);
    }
    let (low, high) = data.iter().fold((1u32, 0u32), |(low, high), &byte| {
        let low = (low + u32::from(byte)) % 65521;
        (low, (high + low) % 65521)
    });
    stream.extend((high << 16 | low).to_be_bytes());
    stream
}

/// A PNG of the patches with chunks before its pixels.
pub fn png_patches(chunks: &[(&[u8; 4], Vec<u8>)]) -> Vec<u8> {
    let rows: Vec<Vec<u8>> = patches().as_raw().chunks_exact(3 * SIZE.0 as usize).map(<[u8]>::to_vec).collect();
    png(SIZE, 8, 2, &rows, chunks)
}

/// One entry of a TIFF directory: tag, type (1 byte, 3 short, 4 long, 7 undefined), values as bytes.
pub type TiffTag = (u16, u16, Vec<u8>);

/// An uncompressed little-endian TIFF in one strip, by hand.
pub fn tiff(size: (u32, u32), bits: u16, photometric: u16, channels: u16, pixels: &[u8], more: &[TiffTag]) -> Vec<u8> {
    let short = |tag: u16, values: &[u16]| (tag, 3, values.iter().flat_map(|value| value.to_le_bytes()).collect());
    let long = |tag: u16, value: u32| (tag, 4, value.to_le_bytes().to_vec());
    let mut tags: Vec<TiffTag> = vec![
        long(256, size.0),
        long(257, size.1),
        short(258, &vec![bits; usize::from(channels)]),
        short(259, &[1]),
        short(262, &[photometric]),
        long(273, 8),
        short(277, &[channels]),
        long(278, size.1),
        long(279, pixels.len() as u32),
    ];
    tags.retain(|(tag, ..)| !more.iter().any(|(other, ..)| other == tag));
    tags.extend(more.iter().cloned());
    tags.sort_by_key(|&(tag, ..)| tag);
    let directory_at = 8 + pixels.len().next_multiple_of(2);
    let mut file = [b"II\x2A\0".as_slice(), &(directory_at as u32).to_le_bytes(), pixels].concat();
    file.resize(directory_at, 0);
    let mut outside_at = directory_at + 2 + 12 * tags.len() + 4;
    let mut outside = Vec::new();
    file.extend((tags.len() as u16).to_le_bytes());
    for (tag, kind, value) in tags {
        let unit = match kind {
            3 => 2,
            4 => 4,
            _ => 1,
        };
        file.extend([tag.to_le_bytes(), kind.to_le_bytes()].concat());
        file.extend(((value.len() / unit) as u32).to_le_bytes());
        if value.len() <= 4 {
            file.extend(value.iter().copied().chain([0; 4]).take(4));
        } else {
            file.extend((outside_at as u32).to_le_bytes());
            outside_at += value.len().next_multiple_of(2);
            outside.extend(value.iter().copied().chain(std::iter::repeat_n(0, value.len() % 2)));
        }
    }
    file.extend([0; 4]);
    file.extend(outside);
    file
}

/// A TIFF of the patches with more tags.
pub fn tiff_patches(more: &[TiffTag]) -> Vec<u8> {
    tiff(SIZE, 8, 2, 3, patches().as_raw(), more)
}

/// Wraps a lossless WebP of `picture` into the extended layout (RFC 9649 section 2.7) with chunks around its pixels:
/// the profile before, the others behind.
pub fn webp(picture: &RgbImage, profile: Option<&[u8]>, behind: &[(&[u8; 4], Vec<u8>)]) -> Vec<u8> {
    let simple = encoded(picture.clone(), ImageFormat::WebP);
    let flag = |name: &[u8; 4], bit: u8| if behind.iter().any(|(other, _)| *other == name) { bit } else { 0 };
    let flags = if profile.is_some() { 0x20 } else { 0 } | flag(b"EXIF", 0x08) | flag(b"XMP ", 0x04);
    let side = |side: u32| (side - 1).to_le_bytes()[..3].to_vec();
    let mut chunks = Vec::new();
    let head = [vec![flags, 0, 0, 0], side(picture.width()), side(picture.height())].concat();
    riff_chunk(&mut chunks, b"VP8X", &head);
    if let Some(profile) = profile {
        riff_chunk(&mut chunks, b"ICCP", profile);
    }
    chunks.extend(&simple[12..]);
    for (name, payload) in behind {
        riff_chunk(&mut chunks, name, payload);
    }
    riff(&chunks)
}

pub fn riff(chunks: &[u8]) -> Vec<u8> {
    [b"RIFF", (chunks.len() as u32 + 4).to_le_bytes().as_slice(), b"WEBP", chunks].concat()
}

pub fn riff_chunk(file: &mut Vec<u8>, name: &[u8; 4], payload: &[u8]) {
    file.extend(name);
    file.extend((payload.len() as u32).to_le_bytes());
    file.extend(payload.iter().copied().chain(std::iter::repeat_n(0, payload.len() % 2)));
}

/// An XMP packet with GPano fields as attributes.
pub fn xmp(fields: &[(&str, &str)]) -> Vec<u8> {
    let fields: String = fields.iter().map(|(name, value)| format!(" GPano:{name}='{value}'")).collect();
    format!(
        "<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>\
         <rdf:Description rdf:about='' xmlns:GPano='http://ns.google.com/photos/1.0/panorama/'{fields}/>\
         </rdf:RDF></x:xmpmeta>"
    )
    .into_bytes()
}

/// A JPEG's APP1 segment for a packet: signature, then the packet.
pub fn xmp_segment(packet: &[u8]) -> Vec<u8> {
    [b"http://ns.adobe.com/xap/1.0/\0", packet].concat()
}
