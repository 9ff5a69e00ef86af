//! Every format and depth against known colours, and the eight orientations.

use super::files::*;
use enfilade::picture::{Chroma, Format, Header, ProfileKind, SphereFrame, decode, read_header, read_header_from};
use image::{DynamicImage, ImageFormat};
use mozjpeg_rs::Subsampling;

fn colours() -> [[f64; 3]; 8] {
    COLOURS.map(of_bytes)
}

fn greys() -> [[f64; 3]; 8] {
    COLOURS.map(|colour| [f64::from(colour[1]); 3])
}

/// Rounding to the planes' 8 bits, and the sum of the weights' own rounding.
const EXACT: f64 = 0.51;
/// What JPEG at quality 98 may change in an even patch.
const JPEG: f64 = 2.0;

#[test]
fn jpeg_baseline_and_progressive_at_every_subsampling() {
    for progressive in [false, true] {
        for subsampling in [Subsampling::S444, Subsampling::S422, Subsampling::S420, Subsampling::S440] {
            let file = jpeg(&patches(), progressive, subsampling);
            assert_patches(&format!("progressive {progressive}, {subsampling:?}"), &file, &colours(), JPEG);
        }
    }
}

#[test]
fn jpeg_in_grey() {
    let grey = grey_patches();
    for progressive in [false, true] {
        let encoder = mozjpeg_rs::Encoder::new(mozjpeg_rs::Preset::BaselineBalanced).progressive(progressive);
        let file = encoder.quality(98).encode_gray(grey.as_raw(), SIZE.0, SIZE.1).unwrap();
        assert_patches("grey JPEG", &file, &greys(), JPEG);
    }
}

/// Adobe Technical Note 5116: transform 0 means that three channels are RGB. The encoder is fed with R, G, B as if
/// they were Y', Cb, Cr.
#[test]
fn jpeg_that_holds_rgb() {
    let plane = |channel: usize| patches().pixels().map(|pixel| pixel[channel]).collect::<Vec<u8>>();
    for progressive in [false, true] {
        let ycc = mozjpeg_rs::Encoder::new(mozjpeg_rs::Preset::BaselineBalanced)
            .progressive(progressive)
            .subsampling(Subsampling::S444)
            .quality(98)
            .encode_ycbcr_planar(&plane(0), &plane(1), &plane(2), SIZE.0, SIZE.1)
            .unwrap();
        let adobe = [b"Adobe".as_slice(), &[0, 100, 0, 0, 0, 0, 0]].concat();
        let file = with_segment(&without_jfif(&ycc), 0xEE, &adobe);
        assert_patches("JPEG in RGB", &file, &colours(), 3.0);
        // With JFIF the same bytes are Y'CbCr, whatever the Adobe marker says.
        let jfif = with_segment(&ycc, 0xEE, &adobe);
        let picture = decode(&jfif, Chroma::Full).unwrap();
        let expected = of_bytes(COLOURS[0]);
        let got = pixel(&picture, 8, 8);
        assert!(got.iter().zip(expected).all(|(got, expected)| (got - expected).abs() <= JPEG), "{got:?}");
    }
}

#[test]
fn png_tiff_and_webp_in_eight_bits() {
    for format in [ImageFormat::Png, ImageFormat::Tiff, ImageFormat::WebP] {
        assert_patches(&format!("{format:?}"), &encoded(patches(), format), &colours(), EXACT);
    }
    for format in [ImageFormat::Png, ImageFormat::Tiff] {
        assert_patches(&format!("grey {format:?}"), &encoded(grey_patches(), format), &greys(), EXACT);
    }
}

#[test]
fn png_and_tiff_in_sixteen_bits() {
    // 40 more than the even value: rounded once, it is still the same 8-bit value.
    let wide = DynamicImage::from(patches()).into_rgb16();
    let mut wide = wide;
    wide.pixels_mut().flat_map(|pixel| pixel.0.iter_mut()).for_each(|value| *value = value.saturating_add(40));
    for format in [ImageFormat::Png, ImageFormat::Tiff] {
        assert_patches(&format!("16-bit {format:?}"), &encoded(wide.clone(), format), &colours(), EXACT);
        let grey = DynamicImage::from(grey_patches()).into_luma16();
        assert_patches(&format!("16-bit grey {format:?}"), &encoded(grey, format), &greys(), EXACT);
    }
    // Big-endian samples come from the file, not from the machine.
    let rows: Vec<Vec<u8>> = wide
        .as_raw()
        .chunks_exact(3 * SIZE.0 as usize)
        .map(|row| row.iter().flat_map(|value| value.to_be_bytes()).collect())
        .collect();
    assert_patches("16-bit PNG by hand", &png(SIZE, 16, 2, &rows, &[]), &colours(), EXACT);
}

#[test]
fn transparent_pixels_lie_over_mid_grey() {
    let over = |alpha: u8| {
        COLOURS.map(|colour| {
            colour.map(|value| (f64::from(value) * f64::from(alpha) + 128.0 * f64::from(255 - alpha)) / 255.0)
        })
    };
    for alpha in [255, 128, 0] {
        let mut rgba = DynamicImage::from(patches()).into_rgba8();
        rgba.pixels_mut().for_each(|pixel| pixel[3] = alpha);
        for format in [ImageFormat::Png, ImageFormat::Tiff, ImageFormat::WebP] {
            let file = encoded(rgba.clone(), format);
            assert_patches(&format!("{format:?}, alpha {alpha}"), &file, &over(alpha), 1.01);
        }
        let mut wide = DynamicImage::from(rgba.clone()).into_rgba16();
        wide.pixels_mut().for_each(|pixel| pixel[3] = u16::from(alpha) * 257);
        assert_patches("16-bit RGBA PNG", &encoded(wide, ImageFormat::Png), &over(alpha), 1.01);
        let mut grey = DynamicImage::from(grey_patches()).into_luma_alpha8();
        grey.pixels_mut().for_each(|pixel| pixel[1] = alpha);
        let expected = over(alpha).map(|colour| [colour[1]; 3]);
        assert_patches("grey PNG with alpha", &encoded(grey, ImageFormat::Png), &expected, 1.01);
    }
}

#[test]
fn png_with_a_palette() {
    let palette: Vec<u8> = COLOURS.iter().flatten().copied().collect();
    let index = |x: u32, y: u32| (y / PATCH * 4 + x / PATCH) as u8;
    let rows: Vec<Vec<u8>> = (0..SIZE.1).map(|y| (0..SIZE.0).map(|x| index(x, y)).collect()).collect();
    assert_patches("palette of 8 bits", &png(SIZE, 8, 3, &rows, &[(b"PLTE", palette.clone())]), &colours(), EXACT);
    let rows: Vec<Vec<u8>> =
        rows.iter().map(|row| row.chunks_exact(2).map(|two| two[0] << 4 | two[1]).collect()).collect();
    assert_patches("palette of 4 bits", &png(SIZE, 4, 3, &rows, &[(b"PLTE", palette)]), &colours(), EXACT);
}

#[test]
fn headers_say_what_a_file_is() {
    let folder = tempfile::tempdir().unwrap();
    let expected = Header {
        format: Format::Jpeg,
        width: 64,
        height: 32,
        channels: 3,
        bits_per_channel: 8,
        profile: ProfileKind::Absent,
        sphere: SphereFrame { full_width: 64, full_height: 32, left: 0, top: 0 },
        pose_heading: None,
        pose_pitch_deg: 0.0,
        pose_roll_deg: 0.0,
        warnings: Vec::new(),
    };
    let wide = encoded(DynamicImage::from(patches()).into_rgb16(), ImageFormat::Tiff);
    let grey = encoded(grey_patches(), ImageFormat::Png);
    let files = [
        (plain_jpeg(), expected.clone()),
        (wide, Header { format: Format::Tiff, bits_per_channel: 16, ..expected.clone() }),
        (grey, Header { format: Format::Png, channels: 1, ..expected.clone() }),
        (encoded(patches(), ImageFormat::WebP), Header { format: Format::WebP, ..expected }),
    ];
    for (file, expected) in files {
        // The ending lies on purpose.
        let path = folder.path().join("room.txt");
        std::fs::write(&path, &file).unwrap();
        assert_eq!(read_header(&path).unwrap(), expected);
        assert_eq!(read_header_from(&file).unwrap(), expected);
    }
}

/// A file as each orientation says it was recorded, after CIPA DC-008 (tag 274): the name of each value says where
/// the file's row 0 and column 0 are seen.
fn recorded(orientation: u8) -> image::RgbImage {
    let seen = patches();
    let (width, height) = if orientation >= 5 { (SIZE.1, SIZE.0) } else { SIZE };
    image::RgbImage::from_fn(width, height, |column, row| {
        let (from_right, from_bottom) = (|side: u32| SIZE.0 - 1 - side, |side: u32| SIZE.1 - 1 - side);
        let (x, y) = match orientation {
            1 => (column, row),
            2 => (from_right(column), row),
            3 => (from_right(column), from_bottom(row)),
            4 => (column, from_bottom(row)),
            5 => (row, column),
            6 => (from_right(row), column),
            7 => (from_right(row), from_bottom(column)),
            _ => (row, from_bottom(column)),
        };
        *seen.get_pixel(x, y)
    })
}

#[test]
fn every_orientation_is_shown_upright() {
    for orientation in 1..=8 {
        let file = recorded(orientation);
        let rows: Vec<Vec<u8>> = file.as_raw().chunks_exact(3 * file.width() as usize).map(<[u8]>::to_vec).collect();
        let png = png(file.dimensions(), 8, 2, &rows, &[(b"eXIf", exif(orientation))]);
        assert_patches(&format!("PNG, orientation {orientation}"), &png, &colours(), EXACT);
        let tag = (274, 3, u16::from(orientation).to_le_bytes().to_vec());
        let tiff = tiff(file.dimensions(), 8, 2, 3, file.as_raw(), &[tag]);
        assert_patches(&format!("TIFF, orientation {orientation}"), &tiff, &colours(), EXACT);
        let webp = webp(&file, None, &[(b"EXIF", exif(orientation))]);
        assert_patches(&format!("WebP, orientation {orientation}"), &webp, &colours(), EXACT);
        let jpeg = jpeg(&file, false, Subsampling::S444);
        let jpeg = with_segment(&jpeg, 0xE1, &[b"Exif\0\0".as_slice(), &exif(orientation)].concat());
        assert_patches(&format!("JPEG, orientation {orientation}"), &jpeg, &colours(), JPEG + 1.0);
        let header = read_header_from(&jpeg).unwrap();
        assert_eq!((header.width, header.height), SIZE);
    }
}
