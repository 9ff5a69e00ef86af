//! GPano fields from every container, and parts of a sphere.

use super::files::*;
use enfilade::picture::{Chroma, Header, SphereFrame, decode, read_header_from};
use image::RgbImage;

const POSE: [(&str, &str); 4] = [
    ("ProjectionType", "equirectangular"),
    ("PoseHeadingDegrees", "212.25"),
    ("PosePitchDegrees", "-1.5"),
    ("PoseRollDegrees", "0002.0"),
];

fn pose(header: &Header) -> (Option<f64>, f64, f64) {
    (header.pose_heading.map(|heading| heading.degrees()), header.pose_pitch_deg, header.pose_roll_deg)
}

/// A PNG `iTXt` chunk: keyword, compressed or not, method 0, no language, no translated keyword, text.
fn itxt(text: &[u8], compressed: bool) -> Vec<u8> {
    let head = [b"XML:com.adobe.xmp\0".as_slice(), &[u8::from(compressed), 0, 0, 0]].concat();
    [head, if compressed { zlib(text) } else { text.to_vec() }].concat()
}

#[test]
fn pose_is_read_from_every_container() {
    let packet = xmp(&POSE);
    let elements = String::from_utf8(packet.clone()).unwrap();
    let elements =
        POSE.iter().fold(elements, |text, (name, value)| text.replace(&format!(" GPano:{name}='{value}'"), ""));
    let inside: String = POSE.iter().map(|(name, value)| format!("<GPano:{name}>{value}</GPano:{name}>")).collect();
    let elements = elements.replace("/></rdf:RDF>", &format!(">{inside}</rdf:Description></rdf:RDF>")).into_bytes();
    for packet in [packet, elements] {
        let files = [
            ("JPEG", with_segment(&plain_jpeg(), 0xE1, &xmp_segment(&packet))),
            ("PNG", png_patches(&[(b"iTXt", itxt(&packet, false))])),
            ("PNG, compressed", png_patches(&[(b"iTXt", itxt(&packet, true))])),
            ("TIFF, bytes", tiff_patches(&[(700, 1, packet.clone())])),
            ("TIFF, undefined", tiff_patches(&[(700, 7, packet.clone())])),
            ("WebP", webp(&patches(), None, &[(b"XMP ", packet.clone())])),
        ];
        for (what, file) in files {
            let header = read_header_from(&file).unwrap_or_else(|error| panic!("{what}: {error}"));
            assert_eq!(pose(&header), (Some(212.25), -1.5, 2.0), "{what}");
            assert!(header.warnings.is_empty(), "{what}");
            assert!(decode(&file, Chroma::Half).is_ok(), "{what}");
        }
    }
}

#[test]
fn exif_before_xmp_and_xmp_before_exif() {
    let exif = [b"Exif\0\0".as_slice(), &exif(3)].concat();
    let xmp = xmp_segment(&xmp(&POSE));
    let one = with_segment(&with_segment(&plain_jpeg(), 0xE1, &exif), 0xE1, &xmp);
    let other = with_segment(&with_segment(&plain_jpeg(), 0xE1, &xmp), 0xE1, &exif);
    assert_eq!(read_header_from(&one).unwrap(), read_header_from(&other).unwrap());
    assert_eq!(decode(&one, Chroma::Half).unwrap(), decode(&other, Chroma::Half).unwrap());
    assert_ne!(decode(&one, Chroma::Half).unwrap(), decode(&plain_jpeg(), Chroma::Half).unwrap());
}

#[test]
fn xmp_that_is_no_xml_is_left_out_with_a_warning() {
    let file = with_segment(&plain_jpeg(), 0xE1, &xmp_segment(b"<x:xmpmeta><GPano"));
    let header = read_header_from(&file).unwrap();
    assert_eq!(pose(&header), (None, 0.0, 0.0));
    let [warning] = header.warnings.as_slice() else { panic!("{:?}", header.warnings) };
    assert!(warning.starts_with("its XMP metadata cannot be read and are left out ("), "{warning}");
    assert_eq!(decode(&file, Chroma::Half).unwrap(), decode(&plain_jpeg(), Chroma::Half).unwrap());
}

/// The six crop fields.
fn crop(full: (u32, u32), part: (u32, u32), at: (u32, u32)) -> Vec<u8> {
    let values = [full.0, full.1, part.0, part.1, at.0, at.1].map(|value| value.to_string());
    let names = [
        "FullPanoWidthPixels",
        "FullPanoHeightPixels",
        "CroppedAreaImageWidthPixels",
        "CroppedAreaImageHeightPixels",
        "CroppedAreaLeftPixels",
        "CroppedAreaTopPixels",
    ];
    let fields: Vec<(&str, &str)> = names.into_iter().zip(values.iter().map(String::as_str)).collect();
    xmp(&fields)
}

/// A part whose every pixel is another colour, at an odd place, so that blocks of chroma lie across its edges.
fn part(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        image::Rgb([(x * 37 % 256) as u8, (y * 53 % 256) as u8, ((x + y) * 11) as u8])
    })
}

fn png_part(part: &RgbImage, packet: &[u8]) -> Vec<u8> {
    let rows: Vec<Vec<u8>> = part.as_raw().chunks_exact(3 * part.width() as usize).map(<[u8]>::to_vec).collect();
    png(part.dimensions(), 8, 2, &rows, &[(b"iTXt", itxt(packet, false))])
}

#[test]
fn a_part_is_placed_to_the_pixel() {
    // The height of the sphere is odd too.
    let (full, size, at) = ((54u32, 27u32), (21u32, 10u32), (7u32, 5u32));
    let part = part(size.0, size.1);
    let file = png_part(&part, &crop(full, size, at));
    let header = read_header_from(&file).unwrap();
    assert_eq!((header.width, header.height), size);
    assert_eq!(header.sphere, SphereFrame { full_width: 54, full_height: 27, left: 7, top: 5 });
    let colour = |x: u32, y: u32| {
        let inside = (at.0..at.0 + size.0).contains(&x) && (at.1..at.1 + size.1).contains(&y);
        if inside { of_bytes(part.get_pixel(x - at.0, y - at.1).0) } else { [128.0; 3] }
    };
    let full_chroma = decode(&file, Chroma::Full).unwrap();
    let half_chroma = decode(&file, Chroma::Half).unwrap();
    assert_eq!((full_chroma.width, full_chroma.height), (54, 27));
    assert_eq!(half_chroma.chroma_size(), (27, 14));
    for (x, y) in (0..27).flat_map(|y| (0..54).map(move |x| (x, y))) {
        let expected = ycc(colour(x, y));
        let got = pixel(&full_chroma, x as usize, y as usize);
        assert!(got.iter().zip(expected).all(|(got, exact)| (got - exact).abs() <= 0.51), "{x}, {y}: {got:?}");
        let block = |offset: u32| (x / 2 * 2 + offset % 2, (y / 2 * 2 + offset / 2).min(26));
        let mean = |channel: usize| {
            (0..4)
                .map(|offset| {
                    let (x, y) = block(offset);
                    ycc_unclipped(colour(x, y))[channel]
                })
                .sum::<f64>()
                / 4.0
        };
        let got = pixel(&half_chroma, x as usize, y as usize);
        let expected = [expected[0], mean(1).min(255.0), mean(2).min(255.0)];
        assert!(got.iter().zip(expected).all(|(got, exact)| (got - exact).abs() <= 0.51), "{x}, {y}: {got:?}");
    }
}

/// Before the largest values are cut to 255.
fn ycc_unclipped([r, g, b]: [f64; 3]) -> [f64; 3] {
    let y = 0.299 * r + 0.587 * g + 0.114 * b;
    [y, (b - y) / 1.772 + 128.0, (r - y) / 1.402 + 128.0]
}

#[test]
fn a_part_that_was_scaled_is_placed_by_its_scale() {
    let part = part(20, 10);
    let file = png_part(&part, &crop((800, 400), (400, 200), (200, 100)));
    let header = read_header_from(&file).unwrap();
    assert_eq!(header.sphere, SphereFrame { full_width: 40, full_height: 20, left: 10, top: 5 });
    let picture = decode(&file, Chroma::Full).unwrap();
    assert_eq!((picture.width, picture.height), (40, 20));
    assert_eq!(pixel(&picture, 9, 5), [128.0; 3]);
    let got = pixel(&picture, 10, 5);
    assert!(got.iter().zip(ycc(of_bytes(part.get_pixel(0, 0).0))).all(|(got, exact)| (got - exact).abs() <= 0.51));
}

#[test]
fn a_part_in_a_jpeg_is_placed_too() {
    let packet = crop((128, 64), SIZE, (32, 16));
    let file = with_segment(&plain_jpeg(), 0xE1, &xmp_segment(&packet));
    let picture = decode(&file, Chroma::Half).unwrap();
    assert_eq!((picture.width, picture.height), (128, 64));
    assert_eq!(pixel(&picture, 31, 16), [128.0; 3]);
    assert_eq!(pixel(&picture, 96, 47), [128.0; 3]);
    let got = pixel(&picture, 32 + 8, 16 + 8);
    assert!(got.iter().zip(ycc(of_bytes(COLOURS[0]))).all(|(got, exact)| (got - exact).abs() <= 3.0), "{got:?}");
}
