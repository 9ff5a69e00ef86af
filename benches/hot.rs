//! The hot parts, one by one: `cargo bench`. For whole-process figures against the yardstick see `benches/compare`.

use enfilade::darkroom::merge::{Exposed, FusionSettings, fuse};
use enfilade::darkroom::retouch::{Repair, RepairKind, retouch, tripod};
use enfilade::darkroom::tone::develop;
use enfilade::darkroom::upright::{Grey, upright};
use enfilade::darkroom::{Tone, WhiteBalance};
use enfilade::picture::linear::LinearRows;
use enfilade::picture::{Chroma, YccPicture};
use enfilade::sphere::{Region, Rotation, Spot};
use enfilade::tiles::{Encoding, Layout, Source, StillView, cut, first_light, still};

fn main() {
    divan::main();
}

/// A picture with detail at every scale, in sum about as hard to encode as an interior.
fn picture(width: usize) -> YccPicture {
    let mut state = 1u32;
    let mut plane = |width: usize| -> Vec<u8> {
        let height = width / 2;
        (0..width * height)
            .map(|i| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let (x, y) = (i % width, i / width);
                let blocks = (x / 97 * 31 + y / 61 * 17) % 160;
                (blocks + x % 97 / 4 + (state >> 28) as usize) as u8
            })
            .collect()
    };
    let (y, cb, cr) = (plane(width), plane(width / 2), plane(width / 2));
    YccPicture { width, height: width / 2, chroma: Chroma::Half, y, cb, cr }
}

const WIDTHS: [usize; 2] = [4096, 8192];

#[divan::bench(args = WIDTHS, sample_count = 10)]
fn lay_out_the_source(bencher: divan::Bencher<'_, '_>, width: usize) {
    bencher.with_inputs(|| picture(width)).bench_values(Source::new);
}

#[divan::bench(args = WIDTHS, sample_count = 10)]
fn cut_a_pyramid(bencher: divan::Bencher<'_, '_>, width: usize) {
    let source = Source::new(picture(width));
    let layout = Layout::for_width(width as u32);
    bencher.bench_local(|| cut(&source, Rotation::IDENTITY, &layout, Encoding { quality: 85, small: false }));
}

#[divan::bench(args = WIDTHS, sample_count = 5)]
fn cut_a_small_pyramid(bencher: divan::Bencher<'_, '_>, width: usize) {
    let source = Source::new(picture(width));
    let layout = Layout::for_width(width as u32);
    bencher.bench_local(|| cut(&source, Rotation::IDENTITY, &layout, Encoding { quality: 85, small: true }));
}

#[divan::bench(args = WIDTHS, sample_count = 10)]
fn render_first_light(bencher: divan::Bencher<'_, '_>, width: usize) {
    let source = Source::new(picture(width));
    bencher.bench_local(|| first_light(&source, Rotation::from_tilt(1.0, 2.0)));
}

#[divan::bench(args = WIDTHS, sample_count = 10)]
fn render_a_still(bencher: divan::Bencher<'_, '_>, width: usize) {
    let source = Source::new(picture(width));
    let view = StillView { longitude_deg: 30.0, elevation_deg: 0.0, field_of_view_deg: 90.0, width: 1200, height: 800 };
    bencher.bench_local(|| still(&source, Rotation::IDENTITY, view));
}

/// Three exposures of one picture, aligned, with a look for what moved.
#[divan::bench(args = WIDTHS, sample_count = 5)]
fn merge_a_bracket(bencher: divan::Bencher<'_, '_>, width: usize) {
    let shots = [0.5, 1.0, 2.0].map(|gain| {
        let shot = picture(width);
        let y = shot.y.iter().map(|&value| (f32::from(value) * gain).min(255.0) as u8).collect();
        YccPicture { y, ..shot }
    });
    let exposed: Vec<Exposed<'_>> =
        shots.iter().map(|rows| Exposed { rows: rows as &dyn LinearRows, ev100: None }).collect();
    // The noise of the picture is the same in all three: they lie on each other.
    bencher.bench_local(|| fuse(&exposed, &FusionSettings::default()).expect("the shots lie on each other"));
}

/// Every control of tone, from 8 bits of full chroma to 8 bits of halved chroma.
#[divan::bench(args = WIDTHS, sample_count = 10)]
fn set_the_tone(bencher: divan::Bencher<'_, '_>, width: usize) {
    let half = picture(width);
    let doubled = |plane: &[u8]| -> Vec<u8> {
        (0..width * width / 2).map(|i| plane[i / width / 2 * (width / 2) + i % width / 2]).collect()
    };
    let (cb, cr) = (doubled(&half.cb), doubled(&half.cr));
    let full = YccPicture { chroma: Chroma::Full, cb, cr, ..half };
    let tone = Tone {
        exposure_ev: 0.3,
        white_balance: WhiteBalance::Light { temperature_k: 5000.0, tint: 3.0 },
        highlights: -0.4,
        shadows: 0.3,
        contrast: 0.1,
        local_contrast: 0.2,
        saturation: 0.1,
        sharpening: 0.3,
    };
    bencher.bench_local(|| develop(&full, &tone, None).ycc(Chroma::Half));
}

#[divan::bench(args = WIDTHS, sample_count = 10)]
fn find_the_upright(bencher: divan::Bencher<'_, '_>, width: usize) {
    let picture = picture(width);
    bencher.bench_local(|| upright(&Grey::of_luma(&picture)));
}

/// A disc of 24° across its whole at the nadir, from looking at the floor to laying the filling back.
#[divan::bench(args = WIDTHS, sample_count = 5)]
fn fill_24_degrees(bencher: divan::Bencher<'_, '_>, width: usize) {
    let picture = picture(width);
    let nadir = Spot::new(0.0, -90.0).expect("the nadir is a spot");
    let fill = [Repair { kind: RepairKind::Fill(Region::disc(nadir, 12.0)), is_private: false }];
    bencher.bench_local(|| retouch(&picture, &fill, &[]).expect("it needs no file"));
}

/// The same with a radius of 24°, four times as large: the usual cone of a tripod.
#[divan::bench(args = WIDTHS, sample_count = 5)]
fn fill_a_radius_of_24_degrees(bencher: divan::Bencher<'_, '_>, width: usize) {
    let picture = picture(width);
    let fill =
        [Repair { kind: RepairKind::FillTripod { radius_deg: Some(24.0), with_shadow: false }, is_private: false }];
    bencher.bench_local(|| retouch(&picture, &fill, &[]).expect("it needs no file"));
}

#[divan::bench(args = WIDTHS, sample_count = 5)]
fn look_for_a_tripod(bencher: divan::Bencher<'_, '_>, width: usize) {
    let picture = picture(width);
    bencher.bench_local(|| tripod::find(&picture, true));
}
