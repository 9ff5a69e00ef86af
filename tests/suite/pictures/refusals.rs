//! One bad file for each thing that is refused, with the whole message and the remedy.

use super::files::*;
use enfilade::picture::{Chroma, decode, read_header, read_header_from};
use image::ImageFormat;
use mozjpeg_rs::Subsampling;

/// Refused by its headers and, with the same words, when it is to be decoded.
fn assert_refused(file: &[u8], message: &str, remedy: &str) {
    let error = read_header_from(file).expect_err(message);
    assert_eq!((error.to_string().as_str(), error.remedy().as_str()), (message, remedy));
    assert_eq!(decode(file, Chroma::Half).expect_err(message).to_string(), message);
}

/// Its headers are in order, but not its pixels.
fn assert_pixels_refused(file: &[u8], message: &str, remedy: &str) {
    read_header_from(file).unwrap_or_else(|error| panic!("{message}: {error}"));
    let error = decode(file, Chroma::Half).expect_err(message);
    assert_eq!((error.to_string().as_str(), error.remedy().as_str()), (message, remedy));
}

const COPY: &str = "Copy the file from the camera or export it again; a copy was probably interrupted";
const AGAIN: &str = "Copy the file from the camera or export it again";
const EXPORT: &str = "Export it as JPEG, or as 8- or 16-bit PNG or TIFF in RGB or grey";
const PLACE: &str = "Export it again, or take its GPano crop fields out if it is a whole sphere";

#[test]
fn a_file_that_is_not_there() {
    let error = read_header(std::path::Path::new("/no/such/shot.jpg")).unwrap_err();
    assert!(error.to_string().starts_with("cannot be read: "), "{error}");
    assert_eq!(error.remedy(), "Check that the file is there and may be read");
}

#[test]
fn no_bytes() {
    assert_refused(b"", "is empty: it has no bytes at all", COPY);
}

#[test]
fn not_a_picture() {
    let message = "is not a picture that can be read: its content is not JPEG, PNG, TIFF or WebP";
    let remedy = "Export the shot as JPEG, PNG, TIFF or WebP";
    for file in [b"title: Larkmere Mill\n".as_slice(), b"G", b"GIF89a\x02\0\x01\0", b"RIFF\x04\0\0\0WAVE"] {
        assert_refused(file, message, remedy);
    }
}

#[test]
fn not_twice_as_wide_as_high() {
    let file = encoded(image::RgbImage::new(60, 32), ImageFormat::Png);
    let remedy = "Export the full 360° × 180° equirectangular picture, uncropped; a part of a sphere needs the GPano \
                  fields that say where it lies";
    assert_refused(&file, "is 60×32 pixels, but a whole sphere is exactly twice as wide as high", remedy);
    // The test comes after orientation: a sphere on its side by its tag is none.
    let turned = with_segment(&plain_jpeg(), 0xE1, &[b"Exif\0\0".as_slice(), &exif(6)].concat());
    assert_refused(&turned, "is 32×64 pixels, but a whole sphere is exactly twice as wide as high", remedy);
}

#[test]
fn cmyk() {
    // A frame header with four components; the pixels are never asked for.
    let mut file = plain_jpeg();
    let frame = file.windows(2).position(|bytes| bytes == [0xFF, 0xC0] || bytes == [0xFF, 0xC1]).unwrap();
    file[frame + 3] += 3;
    file[frame + 9] = 4;
    file.splice(frame + 19..frame + 19, [4, 0x11, 0]);
    let remedy = "Convert it to RGB (sRGB is best) and save it again";
    assert_refused(&file, "is a JPEG picture in CMYK, the colours of print", remedy);
    let tiff = tiff(SIZE, 8, 5, 4, &vec![9; (SIZE.0 * SIZE.1 * 4) as usize], &[]);
    assert_refused(&tiff, "is a TIFF picture in CMYK, the colours of print", remedy);
}

#[test]
fn too_large() {
    let claimed = |width: u16, height: u16| {
        let mut file = plain_jpeg();
        let frame = file.windows(2).position(|bytes| bytes == [0xFF, 0xC0] || bytes == [0xFF, 0xC1]).unwrap();
        file[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
        file[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
        file
    };
    let remedy = "Export it at 32768×16384 pixels or smaller";
    let message = "is 60000×30000 pixels; the largest sphere that can be read is 32768×16384";
    assert_refused(&claimed(60000, 30000), message, remedy);
    let file = claimed(32768, 16384);
    let message =
        format!("claims 32768×16384 pixels, but has only {} bytes, fewer than such a picture can have", file.len());
    assert_refused(&file, &message, AGAIN);
}

#[test]
fn absurd_sizes_in_tiny_files() {
    let refused = |what: &str, file: &[u8]| {
        let message =
            format!("claims {what} pixels, but has only {} bytes, fewer than such a picture can have", file.len());
        assert_refused(file, &message, AGAIN);
    };
    refused("32768×16384", &png((32768, 16384), 8, 2, &[vec![0; 100]], &[]));
    refused("32768×16384", &tiff((32768, 16384), 8, 2, 3, &[0; 100], &[]));
    let mut pixels = Vec::new();
    // A lossless picture of 16384×8192: signature, then width − 1 and height − 1 in 14 bits each (RFC 9649).
    let size = 16383u32 | 8191 << 14;
    riff_chunk(&mut pixels, b"VP8L", &[[0x2F].as_slice(), &size.to_le_bytes(), &[0; 20]].concat());
    refused("16384×8192", &riff(&pixels));
    // Two pixels that claim to be a part of the largest sphere.
    let packet = xmp(&[
        ("FullPanoWidthPixels", "32768"),
        ("FullPanoHeightPixels", "16384"),
        ("CroppedAreaImageWidthPixels", "64"),
        ("CroppedAreaImageHeightPixels", "32"),
        ("CroppedAreaLeftPixels", "0"),
        ("CroppedAreaTopPixels", "0"),
    ]);
    refused("32768×16384", &with_segment(&plain_jpeg(), 0xE1, &xmp_segment(&packet)));
}

/// The most plain picture that each format can hold must still be read: what is refused as absurd is absurd.
#[test]
fn plain_surfaces_are_plausible() {
    let plain = image::RgbImage::from_pixel(2048, 1024, image::Rgb([90, 90, 90]));
    let white = image::GrayImage::from_pixel(2048, 1024, image::Luma([255]));
    let mut files: Vec<Vec<u8>> =
        [ImageFormat::Png, ImageFormat::Tiff, ImageFormat::WebP].map(|format| encoded(plain.clone(), format)).into();
    files.extend([ImageFormat::Png, ImageFormat::Tiff].map(|format| encoded(white.clone(), format)));
    files.extend([false, true].map(|progressive| jpeg(&plain, progressive, Subsampling::S420)));
    let encoder = mozjpeg_rs::Encoder::new(mozjpeg_rs::Preset::ProgressiveSmallest).optimize_huffman(true);
    files.push(encoder.encode_gray(white.as_raw(), 2048, 1024).unwrap());
    for file in files {
        let picture = decode(&file, Chroma::Half).unwrap();
        assert!(picture.y.iter().all(|&luma| luma.abs_diff(picture.y[0]) <= 1));
    }
}

#[test]
fn cut_off_anywhere() {
    let tall =
        image::RgbImage::from_fn(128, 64, |x, y| image::Rgb([((x * 7) ^ y) as u8, (y * 5 + x) as u8, (x ^ y) as u8]));
    let files = [
        ("JPEG", jpeg(&tall, false, Subsampling::S420)),
        ("JPEG", jpeg(&tall, true, Subsampling::S420)),
        ("PNG", encoded(tall.clone(), ImageFormat::Png)),
        ("TIFF", encoded(tall.clone(), ImageFormat::Tiff)),
        ("WebP", encoded(tall.clone(), ImageFormat::WebP)),
    ];
    for (format, file) in files {
        let message = format!("is cut off: the {format} data ends before the picture is complete");
        for eighths in 1..8 {
            let cut = &file[..file.len() * eighths / 8];
            let error = decode(cut, Chroma::Half).expect_err(&message);
            assert_eq!(error.to_string(), message, "{eighths} eighths of {}", file.len());
            assert_eq!(error.remedy(), COPY);
        }
        // PNG's own end chunk carries no pixel.
        let tail = if format == "PNG" { 20 } else { 1 };
        assert!(decode(&file[..file.len() - tail], Chroma::Half).is_err(), "{format} without its last bytes");
    }
}

/// Repair tools close a broken JPEG with an end marker; decoders then show grey below. So do cards whose last blocks
/// were never written, which leave noughts.
#[test]
fn jpeg_data_that_end_early_behind_a_good_end() {
    let tall =
        image::RgbImage::from_fn(256, 128, |x, y| image::Rgb([((x * 7) ^ y) as u8, (y * 5 + x) as u8, (x ^ y) as u8]));
    let message = "is cut off: the JPEG data ends before the picture is complete";
    for subsampling in [Subsampling::S444, Subsampling::S420] {
        let file = jpeg(&tall, false, subsampling);
        let scan = file.windows(2).position(|bytes| bytes == [0xFF, 0xDA]).unwrap() + 14;
        for sixteenths in 0..16 {
            let kept = scan + (file.len() - 2 - scan) * sixteenths / 16;
            let kept = if file[kept - 1] == 0xFF { kept - 1 } else { kept };
            assert_pixels_refused(&[&file[..kept], &[0xFF, 0xD9]].concat(), message, COPY);
            let noughts = vec![0; file.len() - kept];
            assert_pixels_refused(&[&file[..kept], &noughts].concat(), message, COPY);
        }
    }
    // A progressive picture without its last scan.
    let file = jpeg(&tall, true, Subsampling::S444);
    let last_scan = file.windows(2).rposition(|bytes| bytes == [0xFF, 0xDA]).unwrap();
    assert_pixels_refused(&[&file[..last_scan], &[0xFF, 0xD9]].concat(), message, COPY);
}

#[test]
fn what_follows_a_complete_jpeg_does_no_harm() {
    let file = plain_jpeg();
    let expected = decode(&file, Chroma::Half).unwrap();
    for behind in [b"\0\0\0\0".as_slice(), b"\xFF\xD8\xFF\xE0 another picture", &file] {
        assert_eq!(decode(&[&file, behind].concat(), Chroma::Half).unwrap(), expected);
    }
}

#[test]
fn damaged() {
    let mut file = plain_jpeg();
    let behind_jfif = 4 + usize::from(u16::from_be_bytes([file[4], file[5]]));
    file.splice(behind_jfif..behind_jfif, [0x12, 0x34]);
    let message = "is damaged: there is no segment where one should start (read as JPEG)";
    assert_refused(&file, message, AGAIN);
    let mut png = encoded(patches(), ImageFormat::Png);
    png[20] ^= 1;
    let error = read_header_from(&png).unwrap_err();
    assert!(error.to_string().starts_with("is damaged: "), "{error}");
    assert!(error.to_string().ends_with(" (read as PNG)"), "{error}");
    let webp = riff(b"EXIF\x02\0\0\0ab");
    assert_refused(&webp, "is damaged: it has no chunk with pixels (read as WebP)", AGAIN);
}

#[test]
fn kinds_that_are_not_read() {
    let with_frame = |marker: u8, precision: u8| {
        let mut file = plain_jpeg();
        let frame = file.windows(2).position(|bytes| bytes == [0xFF, 0xC0] || bytes == [0xFF, 0xC1]).unwrap();
        file[frame + 1] = marker;
        file[frame + 4] = precision;
        file
    };
    let cases = [
        (0xC3, 8, "lossless coding"),
        (0xC9, 8, "arithmetic coding"),
        (0xC5, 8, "hierarchical coding"),
        (0xC1, 12, "12-bit samples"),
    ];
    for (marker, precision, what) in cases {
        let message = format!("is a JPEG picture with {what}, which cannot be read");
        assert_refused(&with_frame(marker, precision), &message, EXPORT);
    }
}

#[test]
fn animations() {
    let mut chunks = Vec::new();
    riff_chunk(&mut chunks, b"VP8X", &[0x02, 0, 0, 0, 63, 0, 0, 31, 0, 0]);
    assert_refused(&riff(&chunks), "is an animated WebP picture", "Export a single still picture");
}

#[test]
fn another_projection() {
    let packet = xmp(&[("ProjectionType", "cylindrical")]);
    let file = with_segment(&plain_jpeg(), 0xE1, &xmp_segment(&packet));
    let remedy = "Export it in equirectangular projection";
    assert_refused(&file, "says that its projection is `cylindrical`", remedy);
}

#[test]
fn a_part_that_lies_outside() {
    let packet = xmp(&[
        ("FullPanoWidthPixels", "100"),
        ("FullPanoHeightPixels", "50"),
        ("CroppedAreaImageWidthPixels", "64"),
        ("CroppedAreaImageHeightPixels", "32"),
        ("CroppedAreaLeftPixels", "40"),
        ("CroppedAreaTopPixels", "0"),
    ]);
    let file = with_segment(&plain_jpeg(), 0xE1, &xmp_segment(&packet));
    let message = "says where it lies in the sphere, but at 40, 0 it reaches beyond the sphere's edge";
    assert_refused(&file, message, PLACE);
}
