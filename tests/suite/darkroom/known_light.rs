//! Merging against the light that was there: the sample tour's sitting room, rendered, with its bracket made from known light.
//!
//! `tests/fixtures/house/` holds three frames at −2, 0 and +2 stops, and the linear light that the renderer worked out (its README
//! says how they were made). 1 is full white of the middle frame, ¼ that of the lightest, and the darkest holds everything. The frames have grain
//! and a JPEG's losses, as a camera's have. Each measure is taken of the single frames, too: merging must do what none of them does.

use enfilade::darkroom::merge::{Exposed, FusionSettings, fuse, radiance};
use enfilade::picture::linear::{BT2020_TO_SRGB, LinearPicture, LinearRows, empty_row, light_to_srgb, through};
use enfilade::picture::open_linear;
use std::ops::Range;

const STOPS: [f64; 3] = [-2.0, 0.0, 2.0];
const WIDTH: usize = 512;
const HEIGHT: usize = 256;

fn path(name: &str) -> String {
    format!("{}/tests/fixtures/house/sitting-room-door-end-bracket-{name}", env!("CARGO_MANIFEST_DIR"))
}

fn frames() -> [LinearPicture; 3] {
    let read = |name| LinearPicture::of(&*open_linear(&std::fs::read(path(name)).unwrap()).unwrap());
    ["1.jpg", "2.jpg", "3.jpg"].map(read)
}

fn bracket(frames: &[LinearPicture; 3]) -> Vec<Exposed<'_>> {
    frames.iter().zip(STOPS).map(|(rows, stops)| Exposed { rows, ev100: Some(8.0 - stops) }).collect()
}

/// A colour a pixel, linear sRGB: 8·(value/65535)².
fn truth() -> Vec<[f64; 3]> {
    let kept = image::open(path("light.png")).unwrap().into_rgb16();
    kept.pixels().map(|pixel| pixel.0.map(|value| 8.0 * (f64::from(value) / 65535.0).powi(2))).collect()
}

/// A picture's colours, linear sRGB.
fn colours(picture: &LinearPicture) -> Vec<[f64; 3]> {
    let mut row = empty_row(WIDTH);
    let mut colours = Vec::new();
    for y in 0..HEIGHT {
        picture.read(y, &mut row);
        let colour = |x: usize| through(&BT2020_TO_SRGB, [row[0][x], row[1][x], row[2][x]]).map(f64::from);
        colours.extend((0..WIDTH).map(colour));
    }
    colours
}

/// Weights of ITU-R BT.709-6 item 3.2.
fn luminance([r, g, b]: [f64; 3]) -> f64 {
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// What a display shows of it, 0 to 255.
fn shown(picture: &LinearPicture) -> Vec<f64> {
    let code = |colour: [f64; 3]| luminance(colour.map(|channel| 255.0 * light_to_srgb(channel.clamp(0.0, 1.0))));
    colours(picture).into_iter().map(code).collect()
}

/// The true light in stops; its floor lies below what the lightest frame tells from black.
fn stops() -> Vec<f64> {
    truth().into_iter().map(|colour| (luminance(colour) + 1.0 / 4096.0).log2()).collect()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// The median relative error of every channel whose true light lies in a range.
fn error(truth: &[[f64; 3]], got: &[[f64; 3]], range: &Range<f64>) -> f64 {
    let channels = truth.as_flattened().iter().zip(got.as_flattened()).filter(|(truth, _)| range.contains(truth));
    median(channels.map(|(truth, got)| (got / truth - 1.0).abs()).collect())
}

/// Within 5 % where the middle frame is grainy, 2 % where it is good, 4 % beyond its white; where it is at its limits, far better than
/// it.
#[test]
fn radiance_is_the_light_of_the_room() {
    let (frames, truth) = (frames(), truth());
    let merged = colours(&radiance(&bracket(&frames), &FusionSettings::default()).unwrap());
    let middle = colours(&frames[1]);
    for (range, most, share_of_middle) in [(0.005..0.02, 0.05, 0.65), (0.02..1.0, 0.02, 1.0), (1.0..3.9, 0.04, 0.2)] {
        let (got, alone) = (error(&truth, &merged, &range), error(&truth, &middle, &range));
        assert!(got <= most, "light of {range:?} of white: {got:.3}");
        assert!(got <= share_of_middle * alone, "light of {range:?} of white: {got:.3}, the middle frame {alone:.3}");
    }
}

/// Ranks, equal ones with the mean of theirs.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let (mut ranks, mut first) = (vec![0.0; values.len()], 0);
    for equal in order.chunk_by(|&a, &b| values[a] == values[b]) {
        equal.iter().for_each(|&index| ranks[index] = first as f64 + (equal.len() - 1) as f64 / 2.0);
        first += equal.len();
    }
    ranks
}

/// Pearson's correlation.
fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let ((mean_a, spread_a), (mean_b, spread_b)) = (mean_and_spread(a), mean_and_spread(b));
    let both: f64 = a.iter().zip(b).map(|(a, b)| (a - mean_a) * (b - mean_b)).sum::<f64>() / a.len() as f64;
    both / (spread_a * spread_b).max(1e-9)
}

fn mean_and_spread(values: &[f64]) -> (f64, f64) {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    (mean, (values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / values.len() as f64).sqrt())
}

/// The part of all pairs four pixels apart, a quarter of a stop or more from each other, of which the picture shows the right one lighter.
fn right_way_round(stops: &[f64], shown: &[f64]) -> f64 {
    let firsts = (0..HEIGHT - 4).flat_map(|y| (0..WIDTH - 4).map(move |x| y * WIDTH + x));
    let pairs = firsts.flat_map(|first| [(first, first + 4), (first, first + 4 * WIDTH)]);
    let (mut right, mut all) = (0.0, 0.0);
    for (one, other) in pairs.filter(|&(one, other)| (stops[one] - stops[other]).abs() > 0.25) {
        all += 1.0;
        right += f64::from((shown[one] - shown[other]) * (stops[one] - stops[other]) > 0.0);
    }
    right / all
}

/// Lighter is lighter: over the whole picture by Spearman's rank correlation, which no curve of tones can change, and between neighbours, where
/// a halo would turn it round. Single frames lose it in what they clip and in their grain.
#[test]
fn the_fused_picture_keeps_the_order_of_light() {
    let (frames, stops) = (frames(), stops());
    let fused = shown(&fuse(&bracket(&frames), &FusionSettings::default()).unwrap());
    let order = correlation(&ranks(&stops), &ranks(&fused));
    assert!(order >= 0.99, "rank correlation {order:.4}");
    let near = right_way_round(&stops, &fused);
    assert!(near >= 0.995, "{near:.4} of neighbours are the right way round");
    for frame in &frames {
        let alone = right_way_round(&stops, &shown(frame));
        assert!(alone < near, "a single frame has {alone:.4}, the fused picture {near:.4}");
    }
}

/// What a picture shows of the details in one range of light.
#[derive(Debug)]
struct Detail {
    /// Mean standard deviation of what is shown within windows of 8×8, in counts of 255.
    contrast: f64,
    /// Mean correlation there with the true light in stops.
    likeness: f64,
}

/// Of all windows whose mean light lies in a range of stops and that hold a detail of a twentieth of a stop or more.
fn detail(stops: &[f64], shown: &[f64], range: &Range<f64>) -> Detail {
    let window = |values: &[f64], top: usize, left: usize| -> Vec<f64> {
        (0..64).map(|index| values[(top + index / 8) * WIDTH + left + index % 8]).collect()
    };
    let (mut contrast, mut likeness, mut count) = (0.0, 0.0, 0.0);
    for (top, left) in (0..HEIGHT).step_by(8).flat_map(|top| (0..WIDTH).step_by(8).map(move |left| (top, left))) {
        let (light, seen) = (window(stops, top, left), window(shown, top, left));
        let (mean, spread) = mean_and_spread(&light);
        if range.contains(&mean) && spread > 0.05 {
            contrast += mean_and_spread(&seen).1;
            likeness += correlation(&light, &seen);
            count += 1.0;
        }
    }
    assert!(count > 200.0, "only {count} windows in {range:?}");
    Detail { contrast: contrast / count, likeness: likeness / count }
}

/// Corners four stops and more below white, and all that is brighter than two stops below it: windows, lamps, sun. In both the fused picture shows
/// at least four fifths of the contrast that the best frame shows, and what it shows is what was there. No frame does so in both.
#[test]
fn the_fused_picture_shows_what_no_single_frame_shows() {
    let (frames, stops) = (frames(), stops());
    let fused = shown(&fuse(&bracket(&frames), &FusionSettings::default()).unwrap());
    let frames = frames.each_ref().map(shown);
    let ranges = [-12.0..-4.0, -2.0..2.0];
    let best = ranges
        .each_ref()
        .map(|range| frames.iter().map(|frame| detail(&stops, frame, range).contrast).fold(0.0, f64::max));
    let shows = |picture: &[f64], index: usize| {
        let detail = detail(&stops, picture, &ranges[index]);
        (detail.contrast >= 0.8 * best[index] && detail.likeness >= 0.95, detail)
    };
    for index in 0..2 {
        let (enough, detail) = shows(&fused, index);
        assert!(enough, "{:?} stops: {detail:?}, the best frame has {}", ranges[index], best[index]);
    }
    for (number, frame) in frames.iter().enumerate() {
        assert!(!(shows(frame, 0).0 && shows(frame, 1).0), "frame {} shows all by itself", number + 1);
    }
}
