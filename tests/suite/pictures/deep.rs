//! Pictures as linear light: nothing deep or wide is narrowed on the way.
//!
//! Primaries from `tests/fixtures/reference/rgb_spaces.json` (sRGB: IEC 61966-2-1; BT.2020: ITU-R BT.2020-2, matrix in
//! `picture::linear`); curves from the same standards, written out here.

use super::colours::{display_p3, matrix, srgb_to_linear};
use super::files::*;
use enfilade::picture::linear::{LinearRows, Row, SRGB_TO_BT2020, empty_row};
use enfilade::picture::{open_linear, read_header_from};
use image::{DynamicImage, ImageBuffer, ImageFormat, Rgb};
use moxcms::ColorProfile;

fn open(file: &[u8]) -> Box<dyn LinearRows + Send> {
    open_linear(file).unwrap_or_else(|error| panic!("{error}"))
}

fn row(picture: &dyn LinearRows, y: usize) -> Row {
    let mut row = empty_row(picture.size().0);
    picture.read(y, &mut row);
    row
}

/// A colour of linear sRGB in linear BT.2020.
fn wide(light: [f64; 3]) -> [f64; 3] {
    SRGB_TO_BT2020.map(|weights| weights.iter().zip(light).map(|(&weight, light)| f64::from(weight) * light).sum())
}

fn in_space(space: &str, light: [f64; 3]) -> [f64; 3] {
    wide(matrix(space).map(|weights| weights.iter().zip(light).map(|(weight, light)| weight * light).sum()))
}

/// A picture of 16 bits whose red, green and blue are functions of the pixel's index, as PNG.
fn png16(size: (u32, u32), chunks: &[(&[u8; 4], Vec<u8>)], colour: impl Fn(u32) -> [u16; 3]) -> Vec<u8> {
    let row = |y: u32| (0..size.0).flat_map(|x| colour(y * size.0 + x)).flat_map(u16::to_be_bytes).collect();
    png(size, 16, 2, &(0..size.1).map(row).collect::<Vec<Vec<u8>>>(), chunks)
}

fn assert_near(what: &str, got: &Row, x: usize, expected: [f64; 3], tolerance: f64) {
    for (channel, expected) in got.iter().zip(expected) {
        assert!((f64::from(channel[x]) - expected).abs() <= tolerance, "{what}: {}, expected {expected}", channel[x]);
    }
}

/// 65536 levels in, at least 4000 out: as many as half floats have between the darkest and white.
#[test]
fn a_ramp_of_sixteen_bits_stays_deep() {
    let (width, height) = (512, 256);
    let file = png16((width, height), &[], |index| [(index / 2) as u16; 3]);
    let picture = open(&file);
    let mut levels = Vec::new();
    for y in 0..height as usize {
        let row = row(&*picture, y);
        assert!(row[0] == row[1] && row[1] == row[2], "row {y} is not grey");
        for (x, &light) in row[0].iter().enumerate() {
            let exact = srgb_to_linear(((y * 512 + x) / 2) as f64 / 65535.0);
            // Half floats: eleven bits, and 2⁻²⁵ where they run out of exponents.
            assert!((f64::from(light) - exact).abs() <= exact / 2048.0 + 3.1e-8, "{light} for {exact}");
        }
        levels.extend(row[0].iter().map(|light| light.to_bits()));
    }
    assert!(levels.is_sorted());
    levels.dedup();
    assert!(levels.len() >= 4000, "{} levels", levels.len());
}

#[test]
fn primaries_of_wide_profiles_are_where_the_standards_put_them() {
    let adobe = |value: f64| value.powf(563.0 / 256.0);
    type Case = (&'static str, ColorProfile, fn(f64) -> f64);
    let cases: [Case; 2] = [
        ("Display P3", ColorProfile::new_display_p3(), srgb_to_linear),
        ("Adobe RGB (1998)", ColorProfile::new_adobe_rgb(), adobe),
    ];
    let full = u16::MAX;
    let colours =
        [[full, 0, 0], [0, full, 0], [0, 0, full], [full; 3], [30000; 3], [40000, 9000, 1000], [0; 3], [1; 3]];
    for (space, profile, to_linear) in cases {
        let iccp = [b"profile\0\0".as_slice(), &zlib(&profile.encode().unwrap())].concat();
        let picture = open(&png16((8, 4), &[(b"iCCP", iccp)], |index| colours[(index % 8) as usize]));
        let row = row(&*picture, 1);
        for (x, colour) in colours.into_iter().enumerate() {
            let expected = in_space(space, colour.map(|value| to_linear(f64::from(value) / 65535.0)));
            // Profiles have 16 bits behind the point, half floats eleven in all.
            assert_near(&format!("{space} {colour:?}"), &row, x, expected, 6e-4);
        }
        for x in [3, 4, 6, 7] {
            assert!(row[0][x] == row[1][x] && row[1][x] == row[2][x], "{space}: column {x} is not grey");
        }
    }
}

/// Red of Display P3 has a negative green in sRGB; here it must still have it.
#[test]
fn what_lies_outside_srgb_is_not_clipped() {
    let (profile, _) = display_p3();
    let iccp = [b"profile\0\0".as_slice(), &zlib(&profile)].concat();
    let red = vec![[255, 0, 0].repeat(2)];
    let picture = open(&png((2, 1), 8, 2, &red, &[(b"iCCP", iccp)]));
    assert_near("red of Display P3", &row(&*picture, 0), 0, in_space("Display P3", [1.0, 0.0, 0.0]), 6e-4);
    let srgb = enfilade::picture::linear::BT2020_TO_SRGB;
    let row = row(&*picture, 0);
    let green: f32 = srgb[1].iter().zip(&row).map(|(weight, channel)| weight * channel[0]).sum();
    assert!(green < -0.03, "{green}");
}

/// Tables instead of a matrix, as `super::colours` makes them.
#[test]
fn a_profile_of_tables_reaches_its_wide_colours() {
    let profile = super::colours::display_p3_by_tables();
    let iccp = [b"profile\0\0".as_slice(), &zlib(&profile)].concat();
    let colours = [[65535, 0, 0], [0, 65535, 0], [65535; 3], [20000; 3]];
    let picture = open(&png16((4, 2), &[(b"iCCP", iccp)], |index| colours[(index % 4) as usize]));
    let row = row(&*picture, 0);
    for (x, colour) in colours.into_iter().enumerate() {
        let expected = in_space("Display P3", colour.map(|value| srgb_to_linear(f64::from(value) / 65535.0)));
        assert_near(&format!("{colour:?}"), &row, x, expected, 0.01);
    }
}

#[test]
fn eight_bits_in_srgb_are_kept_as_they_are() {
    for file in [plain_jpeg(), encoded(patches(), ImageFormat::Png)] {
        let picture = open(&file);
        for (index, colour) in COLOURS.into_iter().enumerate() {
            let (column, row_of) = (index % 4, index / 4);
            let at = |side: usize| side * PATCH as usize + PATCH as usize / 2;
            let expected = wide(colour.map(|value| srgb_to_linear(f64::from(value) / 255.0)));
            assert_near(&format!("{colour:?}"), &row(&*picture, at(row_of)), at(column), expected, 0.02);
        }
    }
}

#[test]
fn floating_point_is_light_and_may_be_brighter_than_white() {
    let light = [[0.25f32, 0.5, 0.75], [7.5, 3.0, 0.125], [-0.1, 0.2, 0.3], [f32::NAN, f32::INFINITY, 0.0]];
    let pixels: Vec<f32> = (0..8).flat_map(|index| light[index % 4]).collect();
    let picture = ImageBuffer::<Rgb<f32>, _>::from_raw(4, 2, pixels).unwrap();
    let file = encoded(DynamicImage::from(picture), ImageFormat::Tiff);
    let header = read_header_from(&file).unwrap();
    assert_eq!((header.bits_per_channel, header.channels), (32, 3));
    let row = row(&*open(&file), 1);
    for (x, light) in light[..3].iter().enumerate() {
        assert_near(&format!("{light:?}"), &row, x, wide(light.map(f64::from)), 4e-3);
    }
    assert!(row.iter().flatten().all(|value| value.is_finite()));
    // On the 8-bit road the same is clipped.
    assert_patches_of_floats(&encoded(DynamicImage::from(patches()).into_rgb32f(), ImageFormat::Tiff));
}

/// The patches' bytes divided by 255, which in floating point are light.
fn assert_patches_of_floats(file: &[u8]) {
    let encode = |light: f64| if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    let expected = COLOURS.map(|colour| colour.map(|value| 255.0 * encode(f64::from(value) / 255.0)));
    assert_patches("floating point", file, &expected, 1.1);
}

#[test]
fn parts_and_orientation_are_as_on_the_other_road() {
    // Turned by 90°, and a part of a sphere of 8 × 4 with its place at (2, 1).
    let turned: Vec<Vec<u8>> = vec![vec![10, 20], vec![30, 40], vec![50, 60], vec![70, 80]];
    let wide_rows: Vec<Vec<u8>> = turned.iter().map(|row| row.iter().flat_map(|&value| [value, 0]).collect()).collect();
    let upright = open(&png((2, 4), 16, 0, &wide_rows, &[(b"eXIf", exif(6))]));
    assert_eq!(upright.size(), (4, 2));
    let levels = [[70, 50, 30, 10], [80, 60, 40, 20]];
    for (y, levels) in levels.into_iter().enumerate() {
        for (x, level) in levels.into_iter().enumerate() {
            let expected = srgb_to_linear(f64::from(level) * 256.0 / 65535.0);
            assert_near("turned", &row(&*upright, y), x, [expected; 3], expected / 1000.0);
        }
    }
    let packet = xmp(&[
        ("ProjectionType", "equirectangular"),
        ("FullPanoWidthPixels", "8"),
        ("FullPanoHeightPixels", "4"),
        ("CroppedAreaImageWidthPixels", "4"),
        ("CroppedAreaImageHeightPixels", "2"),
        ("CroppedAreaLeftPixels", "2"),
        ("CroppedAreaTopPixels", "1"),
    ]);
    let itxt = [b"XML:com.adobe.xmp\0\0\0\0\0".as_slice(), &packet].concat();
    let part = open(&png16((4, 2), &[(b"iTXt", itxt)], |_| [65535; 3]));
    assert_eq!(part.size(), (8, 4));
    for y in 0..4 {
        for x in 0..8 {
            let inside = (1..3).contains(&y) && (2..6).contains(&x);
            let expected = if inside { 1.0 } else { srgb_to_linear(128.0 / 255.0) };
            assert_near("part", &row(&*part, y), x, [expected; 3], 1e-3);
        }
    }
}
