//! Colour profiles, against the published primaries in `tests/fixtures/reference/rgb_spaces.json` (sRGB: IEC
//! 61966-2-1; Display P3; Adobe RGB (1998)).

use super::files::*;
use enfilade::picture::{Chroma, ProfileKind, decode, read_header_from};
use image::{DynamicImage, ImageFormat};
use moxcms::ColorProfile;
use serde_json::Value;

fn reference(file: &str) -> Value {
    let path = format!("{}/tests/fixtures/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

pub fn matrix(space: &str) -> [[f64; 3]; 3] {
    let rows = &reference("rgb_spaces.json")["spaces"][space]["linear_to_linear_srgb"];
    std::array::from_fn(|row| std::array::from_fn(|column| rows[row][column].as_f64().unwrap()))
}

/// IEC 61966-2-1, both ways.
pub fn srgb_to_linear(value: f64) -> f64 {
    if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
}

fn linear_to_srgb(light: f64) -> f64 {
    let light = light.clamp(0.0, 1.0);
    255.0 * if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

/// The eight colours, read as being in `space`, in sRGB.
fn in_srgb(space: &str, to_linear: impl Fn(f64) -> f64) -> [[f64; 3]; 8] {
    let matrix = matrix(space);
    COLOURS.map(|colour| {
        let light = colour.map(|value| to_linear(f64::from(value) / 255.0));
        matrix.map(|row| linear_to_srgb(row.iter().zip(light).map(|(weight, light)| weight * light).sum()))
    })
}

pub fn display_p3() -> (Vec<u8>, [[f64; 3]; 8]) {
    (ColorProfile::new_display_p3().encode().unwrap(), in_srgb("Display P3", srgb_to_linear))
}

fn adobe_rgb() -> (Vec<u8>, [[f64; 3]; 8]) {
    let to_linear = |value: f64| value.powf(563.0 / 256.0);
    (ColorProfile::new_adobe_rgb().encode().unwrap(), in_srgb("Adobe RGB (1998)", to_linear))
}

/// A PNG `iCCP` chunk: name, method 0, compressed profile.
fn iccp(profile: &[u8]) -> Vec<u8> {
    [b"profile\0\0".as_slice(), &zlib(profile)].concat()
}

/// An ICC profile as APP2 segments (ICC.1 annex B), in the order given by `order`.
fn with_profile(jpeg: &[u8], profile: &[u8], parts: usize, order: &[usize]) -> Vec<u8> {
    let size = profile.len().div_ceil(parts);
    let parts: Vec<&[u8]> = profile.chunks(size).collect();
    order.iter().rev().fold(jpeg.to_vec(), |file, &index| {
        let head = [b"ICC_PROFILE\0".as_slice(), &[index as u8 + 1, parts.len() as u8]].concat();
        with_segment(&file, 0xE2, &[&head, parts[index]].concat())
    })
}

#[test]
fn profiles_are_honoured_in_every_container() {
    for (profile, expected) in [display_p3(), adobe_rgb()] {
        let icc_tag = (34675, 7, profile.clone());
        assert_patches("PNG", &png_patches(&[(b"iCCP", iccp(&profile))]), &expected, 1.1);
        assert_patches("TIFF", &tiff_patches(&[icc_tag]), &expected, 1.1);
        assert_patches("WebP", &webp(&patches(), Some(&profile), &[]), &expected, 1.1);
        let jpeg = with_profile(&plain_jpeg(), &profile, 1, &[0]);
        assert_patches("JPEG", &jpeg, &expected, 4.0);
    }
}

#[test]
fn sixteen_bits_go_through_the_profile_unrounded() {
    let (profile, expected) = display_p3();
    let wide = DynamicImage::from(patches()).into_rgb16();
    let rows: Vec<Vec<u8>> = wide
        .as_raw()
        .chunks_exact(3 * SIZE.0 as usize)
        .map(|row| row.iter().flat_map(|value| value.to_be_bytes()).collect())
        .collect();
    let file = png(SIZE, 16, 2, &rows, &[(b"iCCP", iccp(&profile))]);
    assert_patches("16-bit PNG", &file, &expected, 1.1);
}

/// The red primary of Display P3 lies outside sRGB: by the published matrix it is (1.225, −0.042, −0.020), clipped to
/// pure red. A dim one, linear 0.2, stays inside but for its negative parts.
#[test]
fn display_p3_red_is_where_its_primaries_put_it() {
    let dim = (255.0 * linear_to_srgb(0.2) / 255.0_f64).round() as u8;
    let rows = vec![[vec![255, 0, 0], vec![dim, 0, 0]].concat()];
    let profile = display_p3().0;
    let picture = decode(&png((2, 1), 8, 2, &rows, &[(b"iCCP", iccp(&profile))]), Chroma::Full).unwrap();
    let red = matrix("Display P3")[0][0] * srgb_to_linear(f64::from(dim) / 255.0);
    for (x, expected) in [(0, ycc([255.0, 0.0, 0.0])), (1, ycc([linear_to_srgb(red), 0.0, 0.0]))] {
        let got = pixel(&picture, x, 0);
        assert!(got.iter().zip(expected).all(|(got, expected)| (got - expected).abs() <= 1.0), "{got:?} {expected:?}");
    }
}

#[test]
fn parts_of_a_profile_are_joined_by_their_numbers() {
    let (profile, expected) = display_p3();
    let file = with_profile(&plain_jpeg(), &profile, 3, &[2, 0, 1]);
    assert_eq!(read_header_from(&file).unwrap().profile, ProfileKind::Other("Display P3".to_owned()));
    assert_patches("JPEG, parts out of order", &file, &expected, 4.0);
}

/// How many segments a profile takes (`misc.json`: 65519 bytes fit into one), as written by mozjpeg-rs.
#[test]
fn long_profiles_are_put_together_from_full_segments() {
    let (profile, _) = display_p3();
    for (length, segments) in reference("misc.json")["icc_app2"]["chunks"].as_object().unwrap() {
        let mut padded = profile.clone();
        padded.resize(length.parse().unwrap(), 0);
        let encoder = mozjpeg_rs::Encoder::new(mozjpeg_rs::Preset::BaselineBalanced).icc_profile(padded);
        let file = encoder.encode_rgb(patches().as_raw(), SIZE.0, SIZE.1).unwrap();
        let count = file.windows(12).filter(|bytes| *bytes == b"ICC_PROFILE\0").count() as u64;
        assert_eq!(Some(count), segments.as_u64(), "{length} bytes");
        let kind = read_header_from(&file).unwrap().profile;
        assert_eq!(kind, ProfileKind::Other("Display P3".to_owned()), "{length} bytes");
    }
}

#[test]
fn a_profile_that_is_srgb_changes_nothing() {
    let profile = ColorProfile::new_srgb().encode().unwrap();
    let plain = plain_jpeg();
    let file = with_profile(&plain, &profile, 1, &[0]);
    assert_eq!(read_header_from(&file).unwrap().profile, ProfileKind::Srgb);
    assert_eq!(decode(&file, Chroma::Half).unwrap(), decode(&plain, Chroma::Half).unwrap());
}

#[test]
fn a_grey_profile_bends_grey() {
    let profile = ColorProfile::new_gray_with_gamma(1.8).encode().unwrap();
    let expected = COLOURS.map(|colour| [linear_to_srgb((f64::from(colour[1]) / 255.0).powf(1.8)); 3]);
    let rows: Vec<Vec<u8>> = grey_patches().as_raw().chunks_exact(SIZE.0 as usize).map(<[u8]>::to_vec).collect();
    assert_patches("grey PNG", &png(SIZE, 8, 0, &rows, &[(b"iCCP", iccp(&profile))]), &expected, 1.1);
    let tag = (34675, 7, profile);
    let tiff = tiff(SIZE, 8, 1, 1, grey_patches().as_raw(), &[tag]);
    assert_patches("grey TIFF", &tiff, &expected, 1.1);
}

/// Display P3 said by tables (ICC.1 section 10.10, lut16Type) instead of a matrix: sRGB's curve as input tables, and a
/// grid of two points a side, whose corners are the sums of the primaries. Between them it is linear, as the matrix.
pub fn display_p3_by_tables() -> Vec<u8> {
    let mut profile = ColorProfile::new_display_p3();
    let primaries = [profile.red_colorant, profile.green_colorant, profile.blue_colorant];
    // XYZ of 1.0 is 0x8000.
    let corner = |bits: [usize; 3], axis: fn(&moxcms::Xyzd) -> f64| {
        let sum: f64 = primaries.iter().zip(bits).map(|(primary, bit)| bit as f64 * axis(primary)).sum();
        (sum * 32768.0).round() as u16
    };
    let corners = (0..8).map(|index| [index >> 2 & 1, index >> 1 & 1, index & 1]);
    let grid = corners.flat_map(|bits| [corner(bits, |p| p.x), corner(bits, |p| p.y), corner(bits, |p| p.z)]);
    let curve = (0..256).map(|value| (srgb_to_linear(f64::from(value) / 255.0) * 65535.0).round() as u16);
    let tables = moxcms::LutDataType {
        num_input_channels: 3,
        num_output_channels: 3,
        num_clut_grid_points: 2,
        matrix: moxcms::Matrix3d { v: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] },
        num_input_table_entries: 256,
        num_output_table_entries: 2,
        input_table: moxcms::LutStore::Store16(curve.collect::<Vec<u16>>().repeat(3)),
        clut_table: moxcms::LutStore::Store16(grid.collect()),
        output_table: moxcms::LutStore::Store16([0, 65535].repeat(3)),
        lut_type: moxcms::LutType::Lut16,
    };
    profile.lut_a_to_b_perceptual = Some(moxcms::LutWarehouse::Lut(tables.clone()));
    profile.lut_a_to_b_colorimetric = Some(moxcms::LutWarehouse::Lut(tables));
    profile.cicp = None;
    // Without curves there is no matrix road left.
    (profile.red_trc, profile.green_trc, profile.blue_trc) = (None, None, None);
    profile.encode().unwrap()
}

#[test]
fn a_profile_of_tables_is_honoured() {
    let (_, expected) = display_p3();
    let file = png_patches(&[(b"iCCP", iccp(&display_p3_by_tables()))]);
    assert_eq!(read_header_from(&file).unwrap().profile, ProfileKind::Other("Display P3".to_owned()));
    assert_patches("PNG with tables", &file, &expected, 3.0);
}

/// What cannot be used is said, and the colours are taken as sRGB.
#[test]
fn a_broken_profile_is_left_out_with_a_warning() {
    let (profile, _) = display_p3();
    let whole = with_profile(&plain_jpeg(), &profile, 3, &[0, 1, 2]);
    let missing_part = with_profile(&plain_jpeg(), &profile, 3, &[0, 2]);
    let cut = with_profile(&plain_jpeg(), &profile[..200], 1, &[0]);
    let noise = with_profile(&plain_jpeg(), &[7; 500], 1, &[0]);
    let lab = with_profile(&plain_jpeg(), &ColorProfile::new_lab().encode().unwrap(), 1, &[0]);
    assert!(read_header_from(&whole).unwrap().warnings.is_empty());
    for (what, file) in [("missing part", missing_part), ("cut", cut), ("noise", noise), ("Lab", lab)] {
        let header = read_header_from(&file).unwrap();
        let ProfileKind::Broken(why) = &header.profile else { panic!("{what}: {:?}", header.profile) };
        let warning = format!("its colour profile cannot be used ({why}); its colours are taken as sRGB");
        assert_eq!(header.warnings, [warning], "{what}");
        assert_patches(what, &file, &COLOURS.map(of_bytes), 2.0);
    }
}

#[test]
fn png_says_srgb_in_its_own_chunk() {
    let file = png_patches(&[(b"sRGB", vec![0])]);
    assert_eq!(read_header_from(&file).unwrap().profile, ProfileKind::Absent);
    assert_patches("PNG with sRGB chunk", &file, &COLOURS.map(of_bytes), 0.51);
    assert_eq!(encoded(patches(), ImageFormat::Png)[..4], file[..4]);
}
