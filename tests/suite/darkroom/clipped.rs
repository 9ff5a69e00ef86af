//! Light that a file could not hold keeps no false colour: whole files of every depth, through white balance.
//!
//! The picture: a grey wall under a warm light and, on the same wall, a white lamp from dim to far too bright, as a sensor shows
//! them that is set for another light. Red ends first, then green, then blue. Whatever is clipped, lamp and wall have one colour.

use enfilade::darkroom::tone::develop;
use enfilade::darkroom::{Tone, WhiteBalance};
use enfilade::picture::linear::{LinearPicture, LinearRows};
use enfilade::picture::{Chroma, open_linear};
use enfilade::sphere::Spot;
use image::codecs::png::PngEncoder;
use image::{DynamicImage, ImageBuffer, ImageEncoder, ImageFormat, Rgb};
use moxcms::ColorProfile;
use std::io::Cursor;

const WIDTH: u32 = 256;
const HEIGHT: u32 = 128;
const WARM: [f64; 3] = [1.34, 1.0, 0.58];
/// Rows of the lamp, brighter from column to column. Above it the wall, below it a strong red.
const LAMP: std::ops::Range<u32> = 60..70;
const STRONG: std::ops::Range<u32> = 90..128;

/// The sRGB curve (IEC 61966-2-1).
fn encode(light: f64) -> f64 {
    if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

fn lamp(x: u32) -> f64 {
    0.05 * 2f64.powf(f64::from(x) / 32.0)
}

/// Linear light, not yet clipped.
fn light(x: u32, y: u32) -> [f64; 3] {
    if LAMP.contains(&y) {
        WARM.map(|channel| channel * lamp(x))
    } else if STRONG.contains(&y) {
        [1.0, 0.09, 0.05]
    } else {
        WARM.map(|channel| 0.2 * channel)
    }
}

fn picture(number: impl Fn(f64) -> f64) -> ImageBuffer<Rgb<f32>, Vec<f32>> {
    ImageBuffer::from_fn(WIDTH, HEIGHT, |x, y| Rgb(light(x, y).map(|light| number(light) as f32)))
}

/// As a camera writes it: cut off at 1, and bent.
fn of_whole_numbers() -> DynamicImage {
    DynamicImage::from(picture(|light| encode(light.min(1.0))))
}

fn written(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut file = Cursor::new(Vec::new());
    picture.write_to(&mut file, format).unwrap();
    file.into_inner()
}

fn png_with(profile: &ColorProfile) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = PngEncoder::new(&mut file);
    encoder.set_icc_profile(profile.encode().unwrap()).unwrap();
    let picture = of_whole_numbers().into_rgb8();
    encoder.write_image(&picture, WIDTH, HEIGHT, image::ExtendedColorType::Rgb8).unwrap();
    file
}

fn taken_out() -> Tone {
    Tone { white_balance: WhiteBalance::Neutral(Spot::new(0.0, 60.0).unwrap()), ..Tone::default() }
}

/// Codes of 16 bits of one row.
fn row(rows: &dyn LinearRows, tone: &Tone, y: u32) -> Vec<[f64; 3]> {
    let mut out = vec![0; 3 * WIDTH as usize];
    develop(rows, tone, None).rgb16(y as usize..y as usize + 1, &mut out);
    out.chunks_exact(3).map(|rgb| [0, 1, 2].map(|channel| f64::from(rgb[channel]) / 257.0)).collect()
}

/// Counts of 8 bits between the largest and the least channel.
fn chroma([r, g, b]: [f64; 3]) -> f64 {
    r.max(g).max(b) - r.min(g).min(b)
}

#[test]
fn a_clipped_lamp_is_as_white_as_the_wall_from_files_of_every_depth() {
    let deep = of_whole_numbers().into_rgb16();
    let files = [
        ("8 bits", written(&of_whole_numbers().into_rgb8().into(), ImageFormat::Png), 4.0),
        ("16 bits", written(&deep.clone().into(), ImageFormat::Png), 2.5),
        ("a TIFF of 16 bits", written(&deep.into(), ImageFormat::Tiff), 2.5),
        // Its curve is sRGB's, its primaries are not: the lamp is a white one all the same.
        ("Display P3", png_with(&ColorProfile::new_display_p3()), 4.0),
    ];
    for (name, file, most) in files {
        let rows = open_linear(&file).unwrap();
        let lamp = row(&*rows, &taken_out(), LAMP.start + 5);
        for (x, pair) in lamp.windows(2).enumerate() {
            assert!(chroma(pair[0]) <= most, "{name}: column {x} is {:?}", pair[0]);
            // Of a file's own rounding blue is made more than twice.
            let slack = 0.75 * most;
            assert!((0..3).all(|c| pair[1][c] >= pair[0][c] - slack), "{name}: darker after column {x}: {pair:?}");
            // The lamp doubles in 32 columns, which is 2 counts a column at most; to this comes the rounding. There is no leap.
            assert!((0..3).all(|c| pair[1][c] - pair[0][c] < 3.0 + slack), "{name}: a leap after column {x}: {pair:?}");
        }
        assert!(lamp[WIDTH as usize - 1].iter().all(|code| *code > 254.0), "{name}: {:?}", lamp.last());
    }
}

/// Its largest channel is clipped, and stays the largest: nothing says that it was paler.
#[test]
fn a_clipped_strong_colour_stays_strong() {
    let rows = open_linear(&written(&of_whole_numbers().into_rgb8().into(), ImageFormat::Png)).unwrap();
    let mut unguarded = LinearPicture::of(&*rows);
    unguarded.full_scale = None;
    let (got, expected) = (row(&*rows, &taken_out(), 100), row(&unguarded, &taken_out(), 100));
    for (got, expected) in got[7].into_iter().zip(expected[7]) {
        // The rest of the picture has other whites, and with them another shoulder: a little lighter or darker.
        assert!((got - expected).abs() < 6.0, "{got}, expected {expected}");
    }
    assert!(got[7][0] > got[7][1] + 100.0, "{:?}", got[7]);
}

/// In floating point 1 is no end: what stands there is believed, coloured or not.
#[test]
fn floating_point_is_believed() {
    let whole = written(&DynamicImage::from(picture(|light| light)), ImageFormat::Tiff);
    let lamp = row(&*open_linear(&whole).unwrap(), &taken_out(), LAMP.start + 5);
    assert!(
        lamp.iter().all(|colour| chroma(*colour) < 1.0),
        "nothing was clipped, and all is white: {:?}",
        lamp.last()
    );
    let clipped = written(&DynamicImage::from(picture(|light| light.min(1.0))), ImageFormat::Tiff);
    let last = *row(&*open_linear(&clipped).unwrap(), &taken_out(), LAMP.start + 5).last().unwrap();
    assert!(last[2] > last[0] + 40.0, "a white of 1 is a white of 1, blue once warm light is taken out: {last:?}");
}

#[test]
fn one_thread_and_many_guard_alike() {
    let rows = open_linear(&written(&of_whole_numbers().into_rgb8().into(), ImageFormat::Png)).unwrap();
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| develop(&*rows, &taken_out(), None).ycc(Chroma::Full))
    };
    assert_eq!(run(1), run(3));
}
