//! Tone: what every control promises, on whole spheres.

use crate::reference::{reference, table};
use enfilade::darkroom::colour_difference::{bt2020_to_xyz, ciede2000, lab_of_light};
use enfilade::darkroom::matrix;
use enfilade::darkroom::tone::develop;
use enfilade::darkroom::{Tone, WhiteBalance};
use enfilade::picture::linear::{BT2020_TO_SRGB, LinearRows, Row, SRGB_TO_BT2020, srgb_to_light, through};
use enfilade::picture::{Chroma, YccPicture, open_linear};
use enfilade::sphere::{Direction, Spot};

/// A sphere in single precision.
struct Sphere {
    width: usize,
    pixels: Vec<[f32; 3]>,
}

impl Sphere {
    /// From a function of column and row.
    fn of(width: usize, pixel: impl Fn(usize, usize) -> [f32; 3]) -> Sphere {
        let pixels = (0..width * width / 2).map(|index| pixel(index % width, index / width)).collect();
        Sphere { width, pixels }
    }

    /// From a function of direction.
    fn looking(width: usize, light: impl Fn(Direction) -> [f32; 3]) -> Sphere {
        let degrees = 360.0 / width as f64;
        Sphere::of(width, |x, y| {
            let (x, y) = (x as f64 + 0.5, y as f64 + 0.5);
            light(Direction::from_degrees(x * degrees - 180.0, 90.0 - y * degrees))
        })
    }

    fn rolled(&self, columns: usize) -> Sphere {
        let mut pixels = self.pixels.clone();
        pixels.chunks_mut(self.width).for_each(|row| row.rotate_left(columns));
        Sphere { width: self.width, pixels }
    }
}

impl LinearRows for Sphere {
    fn size(&self) -> (usize, usize) {
        (self.width, self.width / 2)
    }

    fn read(&self, y: usize, row: &mut Row) {
        for (x, pixel) in self.pixels[y * self.width..][..self.width].iter().enumerate() {
            (0..3).for_each(|channel| row[channel][x] = pixel[channel]);
        }
    }
}

/// The finished picture in 16 bits, a colour a pixel.
fn finished(rows: &dyn LinearRows, tone: &Tone) -> Vec<[u16; 3]> {
    let (width, height) = rows.size();
    let mut out = vec![0; 3 * width * height];
    develop(rows, tone, None).rgb16(0..height, &mut out);
    out.chunks_exact(3).map(|rgb| [rgb[0], rgb[1], rgb[2]]).collect()
}

fn wide(light: [f64; 3]) -> [f32; 3] {
    SRGB_TO_BT2020
        .map(|row| row.iter().zip(light).map(|(&weight, light)| f64::from(weight) * light).sum::<f64>() as f32)
}

/// Up and down again over a turn, so that there is no edge where the turn ends; every row the same.
fn ramp(width: usize, most: f32) -> Sphere {
    Sphere::of(width, |x, _| [most * (x.min(width - 1 - x) as f32 / (width / 2 - 1) as f32).powi(2); 3])
}

/// Something for every step to work on: smooth light, edges, grain, colours, a bright window.
fn busy(width: usize) -> Sphere {
    Sphere::of(width, |x, y| {
        let grain = ((x * 7919 + y * 104_729) % 1009) as f32 / 1009.0;
        let block = ((x * 8 / width) * 31 + (y * 16 / width) * 17) % 7;
        let light = if block == 3 { 2.5 } else { 0.02 * 1.8f32.powi(block as i32) };
        let colour = [[1.0, 1.0, 1.0], [1.0, 0.4, 0.2], [0.2, 0.8, 0.4]][block % 3];
        colour.map(|channel| channel * light * (0.8 + 0.4 * grain))
    })
}

fn all_controls() -> Tone {
    Tone {
        exposure_ev: 0.4,
        white_balance: WhiteBalance::Light { temperature_k: 4300.0, tint: -6.0 },
        highlights: -0.6,
        shadows: 0.5,
        contrast: 0.2,
        local_contrast: 0.4,
        saturation: 0.25,
        sharpening: 0.5,
    }
}

/// Each control by itself at both ends of its range, white balance left out: `(name, tone)`.
fn ends() -> Vec<(String, Tone)> {
    type Control = (&'static str, fn(&mut Tone, f64));
    let set: [Control; 7] = [
        ("exposure", |tone, value| tone.exposure_ev = 2.0 * value),
        ("highlights", |tone, value| tone.highlights = value),
        ("shadows", |tone, value| tone.shadows = value),
        ("contrast", |tone, value| tone.contrast = value),
        ("local contrast", |tone, value| tone.local_contrast = value),
        ("saturation", |tone, value| tone.saturation = value),
        ("sharpening", |tone, value| tone.sharpening = value.abs()),
    ];
    let at = |value: f64| {
        set.map(|(name, set)| {
            let mut tone = Tone::default();
            set(&mut tone, value);
            (format!("{name} {value}"), tone)
        })
    };
    at(-1.0).into_iter().chain(at(1.0)).collect()
}

fn shot(name: &str) -> Box<dyn LinearRows + Send> {
    let path = format!("{}/sample-tour/shots/{name}.jpg", env!("CARGO_MANIFEST_DIR"));
    open_linear(&std::fs::read(path).unwrap()).unwrap()
}

/// sRGB's curve from light to 8 bits (`srgb.csv`: IEC 61966-2-1), through a tone that does nothing.
#[test]
fn light_becomes_the_published_codes() {
    for row in reference("srgb.csv") {
        let (input, output) = (row.number("input"), row.number("output"));
        match row.text("op").as_str() {
            "linear_to_encoded" => {
                let got = finished(&Sphere::of(4, |_, _| [input as f32; 3]), &Tone::default())[0][0];
                assert!((f64::from(got) - 65535.0 * output).abs() <= 0.55, "{input}: {got}");
            }
            "linear_to_code8_rounded" => {
                let sphere = Sphere::of(4, |_, _| [input as f32; 3]);
                assert_eq!(
                    f64::from(develop(&sphere, &Tone::default(), None).ycc(Chroma::Half).y[0]),
                    output,
                    "{input}"
                );
            }
            _ => {
                let sphere = Sphere::of(4, |_, _| [output as f32; 3]);
                assert_eq!(f64::from(develop(&sphere, &Tone::default(), None).ycc(Chroma::Full).y[0]), input);
            }
        }
    }
}

/// `colour_patches.csv`: CIELAB by scikit-image, one stop darker by numpy. No patch is lost to clipping or gamut mapping.
#[test]
fn patches_have_their_published_colours_and_darken_by_a_stop() {
    for patch in table("darkroom/colour_patches.csv") {
        let codes = ["r", "g", "b"].map(|name| patch.number(name));
        let light = wide(codes.map(|code| srgb_to_light(code / 255.0)));
        let lab = lab_of_light(light.map(f64::from));
        for (got, name) in lab.into_iter().zip(["L", "lab_a", "lab_b"]) {
            // scikit-image's matrix and white have six places.
            assert!((got - patch.number(name)).abs() < 0.03, "{codes:?}: {name} {got}");
        }
        let sphere = Sphere::of(4, |_, _| light);
        let same = finished(&sphere, &Tone::default())[0];
        let darker = finished(&sphere, &Tone { exposure_ev: -1.0, ..Tone::default() })[0];
        for (channel, name) in ["darker_r", "darker_g", "darker_b"].into_iter().enumerate() {
            assert!((f64::from(same[channel]) / 257.0 - codes[channel]).abs() < 0.02, "{codes:?} became {same:?}");
            assert!((f64::from(darker[channel]) / 257.0 - patch.number(name)).abs() < 0.02, "{codes:?}: {darker:?}");
        }
    }
}

/// What every colour of 8 bits becomes under a tone that does nothing: itself, within a count.
#[test]
fn a_picture_with_all_controls_at_nought_comes_out_as_it_was() {
    let (width, height) = (512, 256);
    let byte = |index: usize, step: usize| (index * step % 256) as u8;
    let plane = |step: usize| (0..width * height).map(|index| byte(index / 3, step)).collect::<Vec<u8>>();
    let picture = YccPicture { width, height, chroma: Chroma::Full, y: plane(7), cb: plane(3), cr: plane(5) };
    let same = develop(&picture, &Tone::default(), None).ycc(Chroma::Full);
    let mut inside = 0;
    for index in 0..width * height {
        let [y, cb, cr] = [picture.y[index], picture.cb[index], picture.cr[index]].map(f64::from);
        let (cb, cr) = (cb - 128.0, cr - 128.0);
        let rgb = [y + 1.402 * cr, y - 0.344_136 * cb - 0.714_136 * cr, y + 1.772 * cb];
        if rgb.iter().all(|channel| (0.0..=255.0).contains(channel)) {
            inside += 1;
            for (before, after) in [(&picture.y, &same.y), (&picture.cb, &same.cb), (&picture.cr, &same.cr)] {
                assert!(
                    before[index].abs_diff(after[index]) <= 1,
                    "{rgb:?}: {} became {}",
                    before[index],
                    after[index]
                );
            }
        }
    }
    assert!(inside > width * height / 8);
}

#[test]
fn greys_stay_exactly_grey_and_in_order_under_every_control() {
    let sphere = ramp(512, 1.0);
    let every = Tone { white_balance: WhiteBalance::AsShot, ..all_controls() };
    for (name, tone) in ends().into_iter().chain([("all".to_owned(), every)]) {
        let out = finished(&sphere, &tone);
        assert!(out.iter().all(|[r, g, b]| r == g && g == b), "{name}: not grey");
        // Sharpening makes the tip and the foot of the ramp a little lighter and darker: it is for the eye, not for a ramp.
        let row: Vec<i32> = out[128 * 512..][..256].iter().map(|rgb| i32::from(rgb[0])).collect();
        let slack = if tone.sharpening > 0.0 { 40 } else { 0 };
        for (x, pair) in row.windows(2).enumerate() {
            assert!(pair[1] + slack >= pair[0], "{name}: column {x}: {pair:?}");
        }
    }
    let eight =
        develop(&sphere, &Tone { white_balance: WhiteBalance::AsShot, ..all_controls() }, None).ycc(Chroma::Half);
    assert!(eight.cb.iter().chain(&eight.cr).all(|&chroma| chroma == 128));
}

/// More of a control never makes less of what it is for: plain spheres of one grey; a colour for saturation.
#[test]
fn every_control_is_monotone() {
    let steps = || (-8..=8).map(|step| f64::from(step) / 8.0);
    let grey_of = |light: f32, tone: Tone| finished(&Sphere::of(8, |_, _| [light; 3]), &tone)[0][0];
    for light in [0.001f32, 0.02, 0.1, 0.3, 0.7, 1.0] {
        let rises = |name: &str, tone: &dyn Fn(f64) -> Tone, sign: i32| {
            let values: Vec<i32> = steps().map(|value| i32::from(grey_of(light, tone(value)))).collect();
            assert!(values.windows(2).all(|pair| sign * (pair[1] - pair[0]) >= -1), "{name} at {light}: {values:?}");
        };
        rises("exposure", &|value| Tone { exposure_ev: 5.0 * value, ..Tone::default() }, 1);
        rises("highlights", &|value| Tone { highlights: value, ..Tone::default() }, 1);
        rises("shadows", &|value| Tone { shadows: value, ..Tone::default() }, 1);
        let side = if light > 0.18 { 1 } else { -1 };
        rises("contrast", &|value| Tone { contrast: value, ..Tone::default() }, side);
    }
    let colour = wide([0.2, 0.1, 0.05]);
    let chroma = |saturation: f64| {
        let [r, g, b] = finished(&Sphere::of(8, |_, _| colour), &Tone { saturation, ..Tone::default() })[0];
        i32::from(r.max(g).max(b)) - i32::from(r.min(g).min(b))
    };
    let values: Vec<i32> = steps().map(chroma).collect();
    assert!(values.windows(2).all(|pair| pair[1] > pair[0]) && values[0] == 0, "{values:?}");
}

#[test]
fn a_rolled_picture_gives_the_rolled_result() {
    let sphere = busy(192);
    let mut expected = finished(&sphere, &all_controls());
    for columns in [1, 5, 96, 131] {
        let got = finished(&sphere.rolled(columns), &all_controls());
        expected.chunks_mut(192).for_each(|row| row.rotate_left(columns));
        let off =
            got.iter().flatten().zip(expected.iter().flatten()).map(|(got, expected)| got.abs_diff(*expected)).max();
        // Sums that start elsewhere round elsewhere: a fiftieth of a count of 8 bits.
        assert!(off.unwrap() <= 5, "rolled by {columns}: off by {off:?} in 65535");
        expected.chunks_mut(192).for_each(|row| row.rotate_right(columns));
    }
}

/// The survey of a larger picture has cells of several pixels, and a roll may part them otherwise.
#[test]
fn a_large_rolled_picture_gives_the_rolled_result_within_a_count() {
    let sphere = Sphere::looking(2500, |to| {
        let light = 0.2 + 0.15 * (5.0 * to.right).sin() * (4.0 * to.up).cos() + 0.1 * (3.0 * to.ahead);
        [light as f32, 0.8 * light as f32, 0.7 * light as f32]
    });
    let tone = Tone { sharpening: 0.0, ..all_controls() };
    let expected = develop(&sphere, &tone, None).ycc(Chroma::Full);
    let got = develop(&sphere.rolled(3), &tone, None).ycc(Chroma::Full);
    for (got, expected) in got.y.chunks(2500).zip(expected.y.chunks(2500)) {
        for x in 0..2500 {
            assert!(got[x].abs_diff(expected[(x + 3) % 2500]) <= 1, "column {x}");
        }
    }
}

/// Light that is a smooth function of direction stays one: beside the seam, around the pole rows and across the poles.
#[test]
fn a_smooth_picture_stays_smooth_over_seam_and_poles() {
    let width = 360;
    let sphere = Sphere::looking(width, |to| {
        let light = 0.15 + 0.08 * to.right + 0.05 * to.ahead + 0.03 * to.up * to.up;
        [1.1 * light as f32, light as f32, 0.9 * light as f32]
    });
    let out = finished(&sphere, &all_controls());
    let step =
        |one: usize, other: usize| (0..3).map(|channel| out[one][channel].abs_diff(out[other][channel])).max().unwrap();
    // The steepest step of a degree anywhere but near the poles.
    let usual = (15 * width..165 * width).map(|index| step(index, index + width)).max().unwrap();
    for row in [0, width / 2 - 1] {
        for x in 0..width {
            let (here, next, across) =
                (row * width + x, row * width + (x + 1) % width, row * width + (x + width / 2) % width);
            // Next to the pole a column is a hundredth of a degree wide, and straight across is a degree away.
            assert!(step(here, next) <= usual / 8, "row {row}, column {x}: {} of {usual}", step(here, next));
            assert!(
                step(here, across) <= usual + usual / 4,
                "row {row}, column {x}: {} of {usual}",
                step(here, across)
            );
        }
    }
    for y in 0..width / 2 {
        assert!(step(y * width, y * width + width - 1) <= usual, "seam at row {y}");
    }
    // Between rows towards the pole: no ring.
    for y in 0..20 {
        for x in 0..width {
            let (upper, lower) = (y * width + x, (y + 1) * width + x);
            assert!(step(upper, lower) <= usual + usual / 4, "row {y}, column {x}: {} of {usual}", step(upper, lower));
        }
    }
}

#[test]
fn strange_and_uniform_pictures_pass_sanely() {
    let strange = Sphere::of(64, |x, y| match (x + y) % 5 {
        0 => [f32::NAN; 3],
        1 => [f32::INFINITY, 0.5, f32::NEG_INFINITY],
        2 => [-1.0, -2.0, -3.0],
        3 => [1e30; 3],
        _ => [0.2; 3],
    });
    let white_balances =
        [WhiteBalance::AsShot, WhiteBalance::Auto, WhiteBalance::Neutral(Spot::new(10.0, 20.0).unwrap())];
    for white_balance in white_balances {
        let tone = Tone { white_balance, ..all_controls() };
        assert_eq!(finished(&strange, &tone).len(), 64 * 32);
        assert!(finished(&Sphere::of(64, |_, _| [f32::NAN; 3]), &tone).iter().all(|rgb| *rgb == [0; 3]));
        assert!(finished(&Sphere::of(64, |_, _| [0.0; 3]), &tone).iter().all(|rgb| *rgb == [0; 3]));
    }
    for (name, tone) in ends().into_iter().filter(|(_, tone)| tone.exposure_ev >= 0.0) {
        let white = finished(&Sphere::of(64, |_, _| [1.0; 3]), &tone);
        let darker = tone.highlights < 0.0;
        assert!(white.iter().all(|rgb| *rgb == white[0] && (darker || rgb[0] >= 65534)), "{name}: {:?}", white[0]);
    }
}

#[test]
fn one_thread_and_many_give_the_same_bytes() {
    let sphere = busy(256);
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let finished = develop(&sphere, &Tone { white_balance: WhiteBalance::Auto, ..all_controls() }, None);
            let mut deep = vec![0; 3 * 256 * 100];
            finished.rgb16(17..117, &mut deep);
            (finished.ycc(Chroma::Half), finished.ycc(Chroma::Full), deep)
        })
    };
    assert_eq!(run(1), run(5));
}

/// 16-bit rows asked for one by one are those of the whole, and 8 bits are the same picture.
#[test]
fn every_way_of_asking_gives_the_same_picture() {
    let sphere = busy(128);
    let whole = finished(&sphere, &all_controls());
    let finished = develop(&sphere, &all_controls(), None);
    for y in [0, 1, 31, 32, 63] {
        let mut row = vec![0; 3 * 128];
        finished.rgb16(y..y + 1, &mut row);
        assert_eq!(row, whole[y * 128..][..128].as_flattened(), "row {y}");
    }
    let (full, half) = (finished.ycc(Chroma::Full), finished.ycc(Chroma::Half));
    assert_eq!(full.y, half.y);
    for (index, [r, g, b]) in whole.iter().map(|rgb| rgb.map(|channel| f64::from(channel) / 257.0)).enumerate() {
        let y = 0.299 * r + 0.587 * g + 0.114 * b;
        // Where sharpening would go beyond white the luma alone is clipped, not each channel.
        if r.max(g).max(b) < 255.0 && r.min(g).min(b) > 0.0 {
            assert!((f64::from(full.y[index]) - y).abs() < 0.52, "{index}: {} for {y}", full.y[index]);
            assert!((f64::from(full.cb[index]) - 128.0 - (b - y) / 1.772).abs() < 0.52, "{index}");
            assert!((f64::from(full.cr[index]) - 128.0 - (r - y) / 1.402).abs() < 0.52, "{index}");
        }
    }
}

/// A wall and a window four stops brighter, highlights down and shadows up: the wall beside the frame is the wall elsewhere.
#[test]
fn no_halo_is_seen_at_a_window_frame() {
    let width = 720;
    let in_window = |x: usize, y: usize| (300..380).contains(&x) && (150..220).contains(&y);
    let sphere = Sphere::of(width, |x, y| [if in_window(x, y) { 0.9 } else { 0.05 }; 3]);
    let out = finished(&sphere, &Tone { highlights: -1.0, shadows: 1.0, local_contrast: 0.3, ..Tone::default() });
    let lightness = |x: usize, y: usize| {
        let code = f64::from(out[y * width + x][0]) / 65535.0;
        lab_of_light([srgb_to_light(code); 3])[0]
    };
    let (wall, window) = (lightness(100, 180), lightness(340, 185));
    for step in 0..60 {
        let beside = lightness(299 - step, 185);
        assert!((beside - wall).abs() < 2.5, "{step} pixels beside the frame: L* {beside:.1}, wall {wall:.1}");
    }
    for step in 0..40 {
        let inside = lightness(300 + step, 185);
        assert!((inside - window).abs() < 2.5, "{step} pixels inside: L* {inside:.1}, window {window:.1}");
    }
}

/// Light of CIE illuminant A (ISO 11664-2: x 0.44757, y 0.40745, 2856 K) is made neutral by its own temperature.
#[test]
fn tungsten_light_becomes_neutral_at_its_temperature() {
    let (x, y) = (0.447_57, 0.407_45);
    let xyz = [x / y, 1.0, (1.0 - x - y) / y].map(|value| 0.3 * value);
    let lit = matrix::apply(&matrix::inverse(&bt2020_to_xyz()), xyz).map(|channel| channel as f32);
    let tone = Tone { white_balance: WhiteBalance::Light { temperature_k: 2856.0, tint: 0.0 }, ..Tone::default() };
    let [r, g, b] = finished(&Sphere::of(8, |_, _| lit), &tone)[0].map(|channel| f64::from(channel) / 257.0);
    let expected = 255.0 * (1.055 * 0.3f64.powf(1.0 / 2.4) - 0.055);
    assert!([r, g, b].iter().all(|channel| (channel - expected).abs() < 0.6), "{r} {g} {b}, expected {expected}");
}

#[test]
fn a_neutral_spot_becomes_neutral_and_keeps_its_brightness() {
    let spot = Spot::new(-175.0, 40.0).unwrap();
    let sphere =
        Sphere::looking(
            360,
            |to| {
                if to.angle_to(spot.direction()) < 4.0 { [0.3, 0.25, 0.15] } else { [0.1, 0.2, 0.4] }
            },
        );
    let out = finished(&sphere, &Tone { white_balance: WhiteBalance::Neutral(spot), ..Tone::default() });
    let [r, g, b] = out[50 * 360 + 5].map(i32::from);
    assert!((r - g).abs() <= 2 && (b - g).abs() <= 2, "{r} {g} {b}");
    let luminance = 0.2627 * 0.3 + 0.678 * 0.25 + 0.0593 * 0.15;
    assert!((srgb_to_light(f64::from(g) / 65535.0) - luminance).abs() < 1e-4);
}

/// The sample tour's hall under a warm light: automatic white balance brings it as near to how it was as automatic white balance
/// of the hall itself leaves it, within a third of what the light did.
#[test]
fn automatic_white_balance_takes_out_most_of_a_warm_light() {
    struct Warm(Box<dyn LinearRows + Send>);
    impl LinearRows for Warm {
        fn size(&self) -> (usize, usize) {
            self.0.size()
        }
        fn read(&self, y: usize, row: &mut Row) {
            self.0.read(y, row);
            row.iter_mut()
                .zip([0.95, 0.75, 0.45])
                .for_each(|(plane, gain)| plane.iter_mut().for_each(|value| *value *= gain));
        }
    }
    let auto = Tone { white_balance: WhiteBalance::Auto, ..Tone::default() };
    let mean = |rows: &dyn LinearRows, tone: &Tone| {
        let mut out = vec![0; 3 * rows.size().0 * 8];
        let finished = develop(rows, tone, None);
        let mut sum = [0.0; 3];
        for start in (0..rows.size().1).step_by(64) {
            finished.rgb16(start..start + 8, &mut out);
            let weight = (std::f64::consts::PI * (start as f64 + 4.0) / rows.size().1 as f64).sin();
            for rgb in out.chunks_exact(3) {
                (0..3).for_each(|channel| sum[channel] += weight * srgb_to_light(f64::from(rgb[channel]) / 65535.0));
            }
        }
        // The same lightness for all, so that colour alone is compared.
        let green = sum[1];
        lab_of_light(wide(sum.map(|channel| 0.25 * channel / green)).map(f64::from))
    };
    let (hall, warm) = (shot("hall"), Warm(shot("hall")));
    let as_it_was = mean(&*hall, &auto);
    let (before, after) = (mean(&warm, &Tone::default()), mean(&warm, &auto));
    let (cast, left) = (ciede2000(before, as_it_was), ciede2000(after, as_it_was));
    assert!(left < cast / 3.0, "a cast of {cast:.1} became {left:.1}");
}

/// A wide picture comes into sRGB softly: what lies well inside is untouched, what lies outside ends on its side with its hue.
#[test]
fn wide_colours_come_in_softly() {
    // Green of BT.2020 in ten strengths of colour, at a fifth of the light.
    let sphere = Sphere::of(40, |x, _| {
        let strength = (x % 11) as f32 / 10.0;
        [0.2 * (1.0 - strength), 0.2, 0.2 * (1.0 - strength)]
    });
    let out = finished(&sphere, &Tone::default());
    for x in 0..11 {
        let light = sphere.pixels[x];
        let exact = through(&BT2020_TO_SRGB, light);
        let got = out[x].map(|channel| srgb_to_light(f64::from(channel) / 65535.0) as f32);
        if x <= 4 {
            for (got, exact) in got.into_iter().zip(exact) {
                assert!((got - exact).abs() < 1e-4, "strength {x}: {got}, exactly {exact}");
            }
        }
        // Luminance is kept (BT.2020's weights and sRGB's give the same), and green leads as before.
        let luminance = 0.2627 * light[0] + 0.678 * light[1] + 0.0593 * light[2];
        let after = 0.2126 * got[0] + 0.7152 * got[1] + 0.0722 * got[2];
        assert!((after - luminance).abs() < 2e-4, "strength {x}: luminance {luminance} became {after}");
        if x > 0 {
            assert!(out[x][0] < out[x - 1][0], "strength {x}: {:?} after {:?}", out[x], out[x - 1]);
        }
    }
}

/// Exposure that pushes white beyond white: nothing is cut off, whites stay white, and shades that were apart stay apart.
#[test]
fn a_stop_more_loses_no_highlight() {
    let sphere = ramp(512, 1.0);
    let out = finished(&sphere, &Tone { exposure_ev: 1.0, ..Tone::default() });
    let row: Vec<u16> = out[64 * 512..][..256].iter().map(|rgb| rgb[0]).collect();
    assert!(row.windows(2).all(|pair| pair[1] > pair[0]));
    assert!(row[255] >= 65534);
    // Below the knee it is twice the light and no more.
    let quarter = sphere.pixels[64 * 512 + 130][0];
    let doubled = srgb_to_light(f64::from(row[130]) / 65535.0);
    assert!(quarter < 0.3 && (doubled - 2.0 * f64::from(quarter)).abs() < 1e-4);
}
