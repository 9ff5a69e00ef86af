//! What counts as neutral: the colour of a light, and the matrix that takes it out.

use crate::darkroom::colour_difference::bt2020_to_xyz;
use crate::darkroom::matrix::{self, Matrix};

/// A light's colour as CIE 1931 x and y.
pub type Chromaticity = [f64; 2];

/// Below this the light is a glowing body's, above [`DAYLIGHT_K`] the sky's, and in between it goes evenly from one to the other:
/// the two loci lie side by side there.
const GLOW_K: f64 = 4000.0;
const DAYLIGHT_K: f64 = 5000.0;
/// The temperature of D65, at which nothing changes.
const NEUTRAL_K: f64 = 6504.0;

/// The matrix in linear BT.2020 that makes neutral what a light of that temperature (2000..=25000) and tint (in 1/1000 of
/// CIE 1960 u and v, green side above 0) has lit. The identity at 6504 K and tint 0.
pub fn adapt_from_light(temperature_k: f64, tint: f64) -> Matrix {
    adapt(chromaticity(temperature_k, tint), chromaticity(NEUTRAL_K, 0.0))
}

/// The matrix in linear BT.2020 that makes a colour of linear BT.2020 neutral and keeps its luminance. A colour that is no
/// light (black, negative, not a number) changes nothing.
pub fn adapt_from_colour(colour: [f64; 3]) -> Matrix {
    let usable = colour.iter().all(|channel| channel.is_finite() && *channel > 0.0);
    if !usable {
        return matrix::diagonal([1.0; 3]);
    }
    let of_xyz = |colour: [f64; 3]| {
        let [x, y, z] = matrix::apply(&bt2020_to_xyz(), colour);
        [x / (x + y + z), y / (x + y + z)]
    };
    adapt(of_xyz(colour), of_xyz([1.0; 3]))
}

/// Chromatic adaptation by Bradford's cone responses (ICC.1:2022 annex E.3), between two whites of the same luminance, in
/// linear BT.2020.
fn adapt(from: Chromaticity, to: Chromaticity) -> Matrix {
    let to_xyz = bt2020_to_xyz();
    let inner = matrix::multiply(&bradford(from, to), &to_xyz);
    matrix::multiply(&matrix::inverse(&to_xyz), &inner)
}

/// The same in CIE XYZ.
fn bradford(from: Chromaticity, to: Chromaticity) -> Matrix {
    const CONES: Matrix = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];
    let responses = |[x, y]: Chromaticity| matrix::apply(&CONES, [x / y, 1.0, (1.0 - x - y) / y]);
    let (from, to) = (responses(from), responses(to));
    let gains = matrix::diagonal(std::array::from_fn(|cone| to[cone] / from[cone]));
    matrix::multiply(&matrix::inverse(&CONES), &matrix::multiply(&gains, &CONES))
}

/// The light of a temperature and a tint.
fn chromaticity(temperature_k: f64, tint: f64) -> Chromaticity {
    let at = locus(temperature_k);
    // Across the locus: a quarter turn from the way along it, which is taken from a kelvin's step on either side.
    let (before, after) = (locus(temperature_k - 1.0), locus(temperature_k + 1.0));
    let (along_u, along_v) = (before[0] - after[0], before[1] - after[1]);
    let length = libm::hypot(along_u, along_v);
    // Towards red u grows, and v grows on the green side.
    let distance = tint / 1000.0;
    from_uv([at[0] - distance * along_v / length, at[1] + distance * along_u / length])
}

/// CIE 1960 u and v of a light of that temperature.
fn locus(temperature_k: f64) -> [f64; 2] {
    let share = ((temperature_k - GLOW_K) / (DAYLIGHT_K - GLOW_K)).clamp(0.0, 1.0);
    let (glow, daylight) = (glow(temperature_k), to_uv(daylight(temperature_k)));
    [0, 1].map(|axis| glow[axis] + share * (daylight[axis] - glow[axis]))
}

/// A glowing body: the rational approximation of M. Krystek, Color Research and Application 10(1), 38–40 (1985), for 1000 to
/// 15000 K, within 8·10⁻⁵ in u and 9·10⁻⁵ in v. (Coefficients and bounds from memory; the tests hold it to the published
/// illuminant A.)
fn glow(t: f64) -> [f64; 2] {
    let u = (0.860_117_757 + 1.541_182_54e-4 * t + 1.286_412_12e-7 * t * t)
        / (1.0 + 8.424_202_35e-4 * t + 7.081_451_63e-7 * t * t);
    let v = (0.317_398_726 + 4.228_062_45e-5 * t + 4.204_816_91e-8 * t * t)
        / (1.0 - 2.897_418_16e-5 * t + 1.614_560_53e-7 * t * t);
    [u, v]
}

/// Daylight by its temperature, 4000 to 25000 K: CIE 15:2004 section 3.1, equations 3.2 to 3.4. (Coefficients from memory;
/// the tests hold them to the published D illuminants.)
fn daylight(temperature_k: f64) -> Chromaticity {
    let t = temperature_k.clamp(GLOW_K, 25_000.0);
    let x = if t <= 7000.0 {
        -4.607e9 / (t * t * t) + 2.9678e6 / (t * t) + 0.099_11e3 / t + 0.244_063
    } else {
        -2.0064e9 / (t * t * t) + 1.9018e6 / (t * t) + 0.247_48e3 / t + 0.237_04
    };
    [x, -3.0 * x * x + 2.87 * x - 0.275]
}

fn to_uv([x, y]: Chromaticity) -> [f64; 2] {
    let sum = -2.0 * x + 12.0 * y + 3.0;
    [4.0 * x / sum, 6.0 * y / sum]
}

fn from_uv([u, v]: [f64; 2]) -> Chromaticity {
    let sum = 2.0 * u - 8.0 * v + 4.0;
    [3.0 * u / sum, 2.0 * v / sum]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// CIE illuminants: A is a body of 2856 K at (0.44757, 0.40745); D50, D55, D65 and D75 have the correlated temperatures 5003,
    /// 5503, 6504 and 7504 K (ISO 11664-2; CIE 15:2004 tables T.1 and T.3; values from memory).
    #[test]
    fn lights_have_the_colours_of_the_published_illuminants() {
        let illuminants = [
            (2856.0, [0.447_57, 0.407_45]),
            (5003.0, [0.345_67, 0.358_50]),
            (5503.0, [0.332_42, 0.347_43]),
            (6504.0, [0.312_72, 0.329_03]),
            (7504.0, [0.299_02, 0.314_85]),
        ];
        for (temperature_k, published) in illuminants {
            let (got, published) = (locus(temperature_k), to_uv(published));
            let off = (got[0] - published[0]).abs().max((got[1] - published[1]).abs());
            assert!(off < 1e-4, "{temperature_k} K: {got:?}, published {published:?}");
        }
    }

    /// Distance and side in CIE 1960 u and v, as CIE 15 defines correlated colour temperature.
    #[test]
    fn tint_is_a_distance_across_the_locus() {
        for temperature_k in [2000.0, 3200.0, 4500.0, 6504.0, 20_000.0] {
            let on = locus(temperature_k);
            for tint in [-50.0, -5.0, 5.0, 50.0] {
                let off = to_uv(chromaticity(temperature_k, tint));
                let distance = libm::hypot(off[0] - on[0], off[1] - on[1]);
                assert!((distance - tint.abs() / 1000.0).abs() < 1e-9, "{temperature_k} K {tint}");
                assert_eq!(off[1] > on[1], tint > 0.0, "{temperature_k} K {tint}");
            }
        }
    }

    /// Warmer light, bluer correction; without a jump where the two loci meet.
    #[test]
    fn correction_is_monotone_in_temperature() {
        let blue_to_red = |temperature_k: f64| {
            let white = matrix::apply(&adapt_from_light(temperature_k, 0.0), [1.0; 3]);
            white[2] / white[0]
        };
        let ratios: Vec<f64> = (40..=500).map(|step| blue_to_red(f64::from(step) * 50.0)).collect();
        for (step, pair) in ratios.windows(2).enumerate() {
            assert!(pair[0] > pair[1] && pair[0] / pair[1] < 1.2, "at {} K: {pair:?}", (step + 40) * 50);
        }
    }

    #[test]
    fn daylight_of_6504_kelvin_changes_nothing() {
        for (row, values) in adapt_from_light(6504.0, 0.0).iter().enumerate() {
            for (column, value) in values.iter().enumerate() {
                assert!((value - f64::from(u8::from(row == column))).abs() < 1e-12);
            }
        }
    }

    /// Against the colour-management crate's own adaptation from D50 to D65.
    #[test]
    fn adaptation_is_that_of_colour_management() {
        let xyz = |[x, y]: Chromaticity| moxcms::Xyz { x: (x / y) as f32, y: 1.0, z: ((1.0 - x - y) / y) as f32 };
        let (d50, d65) = ([0.345_67, 0.358_50], [0.312_72, 0.329_03]);
        let outside = moxcms::adaption_matrix(xyz(d50), xyz(d65));
        for (row, outside) in bradford(d50, d65).iter().zip(outside.v) {
            for (value, outside) in row.iter().zip(outside) {
                assert!((value - f64::from(outside)).abs() < 1e-5, "{value} {outside}");
            }
        }
    }

    #[test]
    fn what_a_light_lit_becomes_neutral_and_stays_as_bright() {
        for colour in [[0.5, 0.3, 0.1], [0.2, 0.4, 0.3], [0.1, 0.2, 0.9]] {
            let [r, g, b] = matrix::apply(&adapt_from_colour(colour), colour);
            let luminance = matrix::apply(&bt2020_to_xyz(), colour)[1];
            assert!([r, g, b].iter().all(|channel| (channel - luminance).abs() < 1e-9), "{r} {g} {b} {luminance}");
        }
        for nothing in [[0.0; 3], [-1.0, 1.0, 1.0], [f64::NAN, 1.0, 1.0]] {
            assert_eq!(adapt_from_colour(nothing), matrix::diagonal([1.0; 3]));
        }
    }
}
