//! The truths of `tests/fixtures/house/` are what they say they are.

use image::{ImageBuffer, Rgb, RgbImage};

fn path(name: &str) -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/house").join(name)
}

fn picture(name: &str) -> RgbImage {
    image::open(path(name)).unwrap_or_else(|error| panic!("{name}: {error}")).into_rgb8()
}

/// The linear light beside a bracket; 1 is what the middle frame calls full white.
fn light(name: &str) -> ImageBuffer<Rgb<f32>, Vec<f32>> {
    let kept = image::open(path(name)).unwrap().into_rgb16();
    ImageBuffer::from_fn(kept.width(), kept.height(), |x, y| {
        Rgb(kept.get_pixel(x, y).0.map(|value| 8.0 * (f32::from(value) / 65535.0).powi(2)))
    })
}

/// The sRGB curve (IEC 61966-2-1), 0 to 255.
fn srgb(light: f32) -> f32 {
    let light = light.clamp(0.0, 1.0);
    255.0 * if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

/// Mean absolute difference of two sequences of pixels.
fn mean_difference(pairs: impl Iterator<Item = ([f32; 3], [f32; 3])>) -> f32 {
    let (mut sum, mut count) = (0.0, 0);
    for (one, other) in pairs {
        sum += one.iter().zip(other).map(|(a, b)| (a - b).abs()).sum::<f32>();
        count += 3;
    }
    sum / count as f32
}

#[test]
fn each_frame_of_the_bracket_is_the_srgb_curve_of_its_light() {
    let light = light("sitting-room-door-end-bracket-light.png");
    for (frame, stops) in [(1, -2.0_f32), (2, 0.0), (3, 2.0)] {
        let frame = picture(&format!("sitting-room-door-end-bracket-{frame}.jpg"));
        assert_eq!(frame.dimensions(), light.dimensions());
        let off_by = |error: f32| {
            mean_difference(light.pixels().zip(frame.pixels()).map(|(light, shown)| {
                (light.0.map(|light| srgb(light * (stops + error).exp2())), shown.0.map(f32::from))
            }))
        };
        // JPEG and the rest of the grain; a tenth of a stop more or less must be told apart.
        assert!(off_by(0.0) < 2.0, "{stops} EV: {}", off_by(0.0));
        assert!(off_by(0.1) > 1.5 * off_by(0.0) && off_by(-0.1) > 1.5 * off_by(0.0), "{stops} EV");
    }
    let brightest = light.pixels().flat_map(|pixel| pixel.0).fold(0.0, f32::max);
    assert!((2.0..4.0).contains(&brightest), "the darkest frame holds what the middle one does not: {brightest}");
}

#[test]
fn the_dark_warm_bedroom_is_darker_and_warmer_than_its_twin() {
    let means = |name: &str| {
        let picture = picture(name);
        let count = (picture.width() * picture.height()) as f32;
        picture.pixels().fold([0.0; 3], |sum: [f32; 3], pixel| {
            std::array::from_fn(|channel| sum[channel] + f32::from(pixel.0[channel]) / count)
        })
    };
    let (right, wrong) = (means("bedroom.jpg"), means("bedroom-dark-and-warm.jpg"));
    assert!(wrong[1] < 0.6 * right[1], "{wrong:?} against {right:?}");
    assert!(wrong[0] / wrong[2] > 1.6 * right[0] / right[2], "{wrong:?} against {right:?}");
}
