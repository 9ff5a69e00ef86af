//! How much each shot counts at each pixel: contrast, saturation and how well it is exposed.
//!
//! Mertens, Kautz and Van Reeth, "Exposure Fusion", Pacific Graphics 2007, section 3.1, on display-encoded values 0 to 1:
//!
//! * contrast C: the size of the Laplacian (four neighbours) of the grey picture, grey after ITU-R BT.601;
//! * saturation S: the deviation of red, green and blue from their mean, √Σ(v − m)²;
//! * exposedness E: Π exp(−(v − ½)² / 2σ²), σ = 0.2;
//! * weight: C^a · S^b · E^c, made to add up to 1 over the shots.
//!
//! On a plain white wall C and S are 0, and with them every weight: the shots would be plainly averaged there. So ours are
//! (C + floor)^a · (S + floor)^b · E^c: where there is neither detail nor colour, exposedness alone decides.

use super::curve::exp2;

/// What makes a shot count, and how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FusionSettings {
    /// Exponent of contrast, 0..=4; 0 leaves it out.
    pub contrast: f32,
    /// Exponent of saturation, 0..=4.
    pub saturation: f32,
    /// Exponent of exposedness, 0..=4.
    pub exposedness: f32,
    /// What contrast and saturation count as least, 0..=1: the value that they have on a lightly textured, slightly
    /// coloured surface is about 0.05.
    pub floor: f32,
    /// Turn shots that lie differently on the sphere into place.
    pub align: bool,
    /// Take what moved between the shots from one of them.
    pub suppress_ghosts: bool,
}

impl Default for FusionSettings {
    fn default() -> Self {
        FusionSettings { floor: 0.05, align: true, suppress_ghosts: true, ..FusionSettings::paper() }
    }
}

impl FusionSettings {
    /// The paper's three exponents, no floor, and the shots as they lie.
    pub fn paper() -> Self {
        FusionSettings {
            contrast: 1.0,
            saturation: 1.0,
            exposedness: 1.0,
            floor: 0.0,
            align: false,
            suppress_ghosts: false,
        }
    }
}

/// Least weight: without it there would be nothing to divide by where every weight vanishes.
const LEAST: f32 = 1e-12;

/// Three grey rows about the one that is weighed, and its colours, all encoded.
pub(super) struct Around<'a> {
    pub above: &'a [f32],
    pub grey: &'a [f32],
    pub below: &'a [f32],
    pub colours: [&'a [f32]; 3],
}

/// Grey after ITU-R BT.601.
#[inline(always)]
pub(super) fn grey([red, green, blue]: [&[f32]; 3], grey: &mut [f32]) {
    let count = grey.len();
    let (red, green, blue) = (&red[..count], &green[..count], &blue[..count]);
    for x in 0..count {
        grey[x] = 0.299 * red[x] + 0.587 * green[x] + 0.114 * blue[x];
    }
}

/// One shot's weights along a row, before they are made to add up to 1.
pub(super) fn weigh(around: &Around<'_>, settings: &FusionSettings, weights: &mut [f32]) {
    #[cfg(target_arch = "x86_64")]
    if crate::vectors::has_avx2() {
        // SAFETY: the processor was asked for these instructions.
        return unsafe { weigh_avx2(around, settings, weights) };
    }
    weigh_plainly(around, settings, weights);
}

/// The same code, compiled for wider vectors: by itself, since as a closure it was too long to be compiled into
/// [`super::wide::widest`]. Nothing is fused or reordered: the same bits.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn weigh_avx2(around: &Around<'_>, settings: &FusionSettings, weights: &mut [f32]) {
    weigh_plainly(around, settings, weights);
}

#[inline(always)]
fn weigh_plainly(around: &Around<'_>, settings: &FusionSettings, weights: &mut [f32]) {
    contrast(around, weights);
    raise(weights, settings.floor, settings.contrast);
    if settings.saturation == 1.0 {
        weigh_colours(around, settings, weights, |saturation| saturation);
    } else {
        weigh_colours(around, settings, weights, |saturation| power(saturation, settings.saturation));
    }
}

/// Multiplies by what saturation, raised by `raised`, and exposedness say.
#[inline(always)]
fn weigh_colours(around: &Around<'_>, settings: &FusionSettings, weights: &mut [f32], raised: impl Fn(f32) -> f32) {
    // −1/(2σ²), to base 2.
    let fall = -settings.exposedness * std::f32::consts::LOG2_E / (2.0 * 0.2 * 0.2);
    let count = weights.len();
    let [red, green, blue] = around.colours.map(|channel| &channel[..count]);
    for x in 0..count {
        let colour = [red[x], green[x], blue[x]];
        let mean = (colour[0] + colour[1] + colour[2]) * (1.0 / 3.0);
        let squares = |about: f32| {
            let [r, g, b] = colour.map(|value| (value - about) * (value - about));
            r + g + b
        };
        let saturation = raised(squares(mean).sqrt() + settings.floor);
        weights[x] = weights[x] * saturation * exp2(fall * squares(0.5)) + LEAST;
    }
}

#[inline(always)]
fn contrast(around: &Around<'_>, contrast: &mut [f32]) {
    let count = contrast.len();
    let (above, grey, below) = (&around.above[..count], &around.grey[..count], &around.below[..count]);
    let at = |left: f32, x: usize, right: f32| (left + right + above[x] + below[x] - 4.0 * grey[x]).abs();
    for x in 1..count - 1 {
        contrast[x] = at(grey[x - 1], x, grey[x + 1]);
    }
    contrast[0] = at(grey[count - 1], 0, grey[1]);
    contrast[count - 1] = at(grey[count - 2], count - 1, grey[0]);
}

/// (value + floor) to the power of `exponent`, 1 for the power 0.
#[inline(always)]
fn raise(values: &mut [f32], floor: f32, exponent: f32) {
    values.iter_mut().for_each(|value| *value += floor);
    if exponent != 1.0 {
        values.iter_mut().for_each(|value| *value = power(*value, exponent));
    }
}

fn power(value: f32, exponent: f32) -> f32 {
    if exponent == 0.0 { 1.0 } else { libm::powf(value, exponent) }
}

/// Makes the shots' weights add up to 1 at every pixel; `weights` holds a row a shot.
#[inline(always)]
pub(super) fn normalise(weights: &mut [f32], width: usize, sums: &mut [f32]) {
    sums.fill(0.0);
    for row in weights.chunks_exact(width) {
        sums.iter_mut().zip(row).for_each(|(sum, weight)| *sum += weight);
    }
    for row in weights.chunks_exact_mut(width) {
        row.iter_mut().zip(&*sums).for_each(|(weight, sum)| *weight /= sum);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(value: f32, settings: &FusionSettings) -> f32 {
        let row = [value; 8];
        let around = Around { above: &row, grey: &row, below: &row, colours: [&row; 3] };
        let mut weights = [0.0; 8];
        weigh(&around, settings, &mut weights);
        assert!(weights.iter().all(|weight| *weight == weights[0]));
        weights[0]
    }

    /// The weights 0.0120901, 0.9998558 and 0.0071948 are the paper's formula on 40, 128 and 220 of 255 (own arithmetic).
    #[test]
    fn exposedness_is_the_papers() {
        let settings = FusionSettings { contrast: 0.0, saturation: 0.0, ..FusionSettings::paper() };
        for (value, expected) in [(40.0, 0.012_090_09), (128.0, 0.999_855_8), (220.0, 0.007_194_775)] {
            let weight = flat(value / 255.0, &settings);
            assert!((weight - expected).abs() < 1e-6, "{value}: {weight}");
        }
    }

    #[test]
    fn a_plain_wall_counts_only_with_a_floor() {
        assert_eq!(flat(0.5, &FusionSettings::paper()), LEAST);
        let ours = FusionSettings::default();
        assert!(flat(0.5, &ours) > 20.0 * flat(0.9, &ours), "the well exposed wall wins");
    }

    #[test]
    fn wide_vectors_change_no_bit() {
        let rows: [Vec<f32>; 5] =
            std::array::from_fn(|row| (0..101).map(|x| libm::sinf((x * (row + 3)) as f32) * 0.5 + 0.5).collect());
        let around =
            Around { above: &rows[0], grey: &rows[1], below: &rows[2], colours: [&rows[1], &rows[3], &rows[4]] };
        for settings in
            [FusionSettings::default(), FusionSettings { saturation: 0.5, contrast: 2.0, ..Default::default() }]
        {
            let (mut wide, mut plain) = (vec![0.0; 101], vec![0.0; 101]);
            weigh(&around, &settings, &mut wide);
            weigh_plainly(&around, &settings, &mut plain);
            assert_eq!(wide, plain);
        }
    }

    /// The worked example of fusion.json, made with OpenCV (its header names the versions): the four inner pixels, whose contrast
    /// no border decides.
    #[test]
    fn weights_are_those_of_the_worked_example() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/reference/fusion.json");
        let example: serde_json::Value = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
        let example = &example["bracket_4x4"];
        let number = |value: &serde_json::Value| value.as_f64().unwrap() as f32;
        let frames = example["frames_rgb8"].as_array().unwrap();
        for case in example["cases"].as_array().unwrap() {
            let exponent = |index: usize| number(&case["exponents"][index]);
            let settings = FusionSettings {
                contrast: exponent(0),
                saturation: exponent(1),
                exposedness: exponent(2),
                ..FusionSettings::paper()
            };
            for y in 1..3 {
                let mut weights: Vec<f32> =
                    frames.iter().flat_map(|frame| row_of_weights(frame, y, &settings)).collect();
                normalise(&mut weights, 4, &mut [0.0; 4]);
                for (shot, x) in (0..3).flat_map(|shot| [(shot, 1), (shot, 2)]) {
                    let expected = number(&case["normalised_weights"][shot][y][x]);
                    let found = weights[4 * shot + x];
                    assert!(
                        (found - expected).abs() < 2e-5,
                        "{settings:?}: shot {shot} at {x}, {y}: {found} for {expected}"
                    );
                }
            }
        }
    }

    fn row_of_weights(frame: &serde_json::Value, y: usize, settings: &FusionSettings) -> [f32; 4] {
        let channel = |y: usize, channel: usize| -> [f32; 4] {
            std::array::from_fn(|x| frame[y][x][channel].as_f64().unwrap() as f32 / 255.0)
        };
        let grey_row = |y: usize| {
            let colours = [channel(y, 0), channel(y, 1), channel(y, 2)];
            let mut row = [0.0; 4];
            grey([&colours[0], &colours[1], &colours[2]], &mut row);
            row
        };
        let (above, middle, below) = (grey_row(y - 1), grey_row(y), grey_row(y + 1));
        let colours = [channel(y, 0), channel(y, 1), channel(y, 2)];
        let colours = [&colours[0][..], &colours[1], &colours[2]];
        let mut weights = [0.0; 4];
        weigh(&Around { above: &above, grey: &middle, below: &below, colours }, settings, &mut weights);
        weights
    }
}
