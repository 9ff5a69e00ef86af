//! Profiles of curves and a matrix, computed with plain arithmetic.
//!
//! The colour-management crate has this too, but with other rounding on other processors. Here every machine gets the
//! same bytes: no fused multiply-add, and powers from the one maths crate.

use moxcms::{ColorProfile, ToneReprCurve};

/// Three curves to linear light, and a matrix from there to linear sRGB.
#[derive(Clone)]
pub(super) struct Curves {
    curves: [ToneReprCurve; 3],
    matrix: [[f64; 3]; 3],
}

impl Curves {
    /// Of a profile with a matrix.
    ///
    /// # Errors
    /// What it lacks.
    pub fn rgb(profile: &ColorProfile) -> Result<Curves, String> {
        if !profile.is_matrix_shaper() {
            return Err("it lacks a curve or a colour".to_owned());
        }
        // Both are relative to the profile connection space's white, so white stays white (relative colorimetric).
        let matrix = profile.transform_matrix(&ColorProfile::new_srgb()).v;
        Curves::new([&profile.red_trc, &profile.green_trc, &profile.blue_trc], matrix)
    }

    /// Of a profile for grey; red, green and blue are the same.
    ///
    /// # Errors
    /// What it lacks.
    pub fn grey(profile: &ColorProfile) -> Result<Curves, String> {
        let identity = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        Curves::new([&profile.gray_trc; 3], identity)
    }

    fn new(curves: [&Option<ToneReprCurve>; 3], matrix: [[f64; 3]; 3]) -> Result<Curves, String> {
        let [Some(red), Some(green), Some(blue)] = curves else { return Err("it lacks a curve".to_owned()) };
        let curves = Curves { curves: [red, green, blue].map(Clone::clone), matrix };
        // Curves bend one way only, and the matrix is linear: where the ends and the middle are numbers, all are.
        let probes = [0.0, 1.0 / 65535.0, 0.5, 1.0].map(|value| curves.convert([value; 3]));
        let sound = probes.iter().flatten().chain(curves.matrix.iter().flatten()).all(|value| value.is_finite());
        if sound { Ok(curves) } else { Err("its curves and colours make no numbers".to_owned()) }
    }

    /// sRGB, 0..=255 and not rounded, of one colour, 0..=1.
    pub fn convert(&self, colour: [f64; 3]) -> [f64; 3] {
        let light: [f64; 3] = std::array::from_fn(|channel| evaluate(&self.curves[channel], colour[channel]));
        self.matrix.map(|row| encode(row[0] * light[0] + row[1] * light[1] + row[2] * light[2]))
    }

    /// Linear light of one channel's value, 0..=1.
    pub fn light(&self, channel: usize, value: f64) -> f64 {
        evaluate(&self.curves[channel], value)
    }

    /// Whether two channels bend alike.
    pub fn same(&self, channel: usize, other: usize) -> bool {
        self.curves[channel] == self.curves[other]
    }

    /// From linear light of the three channels to linear sRGB.
    pub fn matrix(&self) -> [[f64; 3]; 3] {
        self.matrix
    }

    /// Tables for whole pictures. Channels with the same curve share one.
    pub fn tabulate(&self) -> Shaper {
        let mut linear: Vec<Vec<f32>> = Vec::new();
        let of_channel = std::array::from_fn(|channel| {
            let same = (0..channel).find(|&other| self.same(channel, other));
            let table = |input: u16| evaluate(&self.curves[channel], f64::from(input) / 65535.0) as f32;
            match same {
                Some(other) => other,
                None => {
                    linear.push((0..=u16::MAX).map(table).collect());
                    linear.len() - 1
                }
            }
        });
        let encoded = (0..=u16::MAX).map(|step| (encode(f64::from(step) / 65535.0) + 0.5) as u8).collect();
        Shaper { linear, of_channel, matrix: self.matrix.map(|row| row.map(|weight| weight as f32)), encoded }
    }
}

/// [`Curves`], tabulated.
pub(super) struct Shaper {
    /// Linear light for each of 65536 values.
    linear: Vec<Vec<f32>>,
    /// Which of those tables a channel has.
    of_channel: [usize; 3],
    matrix: [[f32; 3]; 3],
    /// 8-bit sRGB for linear light in steps of 1/65535. At its steepest the curve rises 0.05 counts a step.
    encoded: Vec<u8>,
}

impl Shaper {
    /// Brings RGB triples of 16 bits to sRGB of 8 bits; what lies outside sRGB is clipped.
    pub fn convert(&self, samples: &[u16], out: &mut [u8]) {
        let [red, green, blue] = self.of_channel.map(|table| &self.linear[table]);
        for (from, to) in samples.chunks_exact(3).zip(out.chunks_exact_mut(3)) {
            let light = [red[usize::from(from[0])], green[usize::from(from[1])], blue[usize::from(from[2])]];
            for (channel, row) in to.iter_mut().zip(&self.matrix) {
                let sum = row[0] * light[0] + row[1] * light[1] + row[2] * light[2];
                // A cast to an integer type clips what lies outside.
                *channel = self.encoded[usize::from((sum * 65535.0 + 0.5) as u16)];
            }
        }
    }
}

/// ICC.1 sections 10.6 (table: none is the identity, one entry a power in 1/256) and 10.18 (parametric, types 0 to 4
/// by the number of their parameters).
fn evaluate(curve: &ToneReprCurve, x: f64) -> f64 {
    match curve {
        ToneReprCurve::Lut(table) => match table.as_slice() {
            [] => x,
            [power] => libm::pow(x, f64::from(*power) / 256.0),
            table => interpolate(table, x),
        },
        ToneReprCurve::Parametric(parameters) => evaluate_parametric(parameters, x),
    }
}

fn evaluate_parametric(parameters: &[f32], x: f64) -> f64 {
    let p = |index: usize| parameters.get(index).map_or(0.0, |&value| f64::from(value));
    let (power, a, b) = (p(0), p(1), p(2));
    let curved = || libm::pow((a * x + b).max(0.0), power);
    match parameters.len() {
        0 => x,
        1 => libm::pow(x, power),
        3 => {
            if x >= -b / a {
                curved()
            } else {
                0.0
            }
        }
        4 => {
            if x >= -b / a {
                curved() + p(3)
            } else {
                p(3)
            }
        }
        5 => {
            if x >= p(4) {
                curved()
            } else {
                p(3) * x
            }
        }
        _ => {
            if x >= p(4) {
                curved() + p(5)
            } else {
                p(3) * x + p(6)
            }
        }
    }
}

/// Between the entries of a table of at least two.
fn interpolate(table: &[u16], x: f64) -> f64 {
    let place = x * (table.len() - 1) as f64;
    let low = (place as usize).min(table.len() - 2);
    let (here, next) = (f64::from(table[low]), f64::from(table[low + 1]));
    (here + (next - here) * (place - low as f64)) / 65535.0
}

/// The curve of IEC 61966-2-1, from linear light, clipped to 0..=1, to 0..=255.
fn encode(light: f64) -> f64 {
    // Not a number stays what it is, so that it is noticed.
    let light = if light.is_nan() { light } else { light.clamp(0.0, 1.0) };
    255.0 * if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each parametric type of ICC.1 section 10.18 (table 68), written out for values on both sides of its break.
    #[test]
    fn parametric_curves_are_those_of_the_standard() {
        let near = |parameters: &[f32], x: f64, expected: f64| {
            let got = evaluate(&ToneReprCurve::Parametric(parameters.to_vec()), x);
            assert!((got - expected).abs() < 1e-6, "{parameters:?} at {x}: {got}, expected {expected}");
        };
        near(&[2.0], 0.5, 0.25);
        // (aX + b)^g from −b/a up, else 0.
        near(&[2.0, 2.0, -0.5], 0.5, 0.25);
        near(&[2.0, 2.0, -0.5], 0.2, 0.0);
        // (aX + b)^g + c, else c.
        near(&[2.0, 2.0, -0.5, 0.125], 0.5, 0.375);
        near(&[2.0, 2.0, -0.5, 0.125], 0.2, 0.125);
        // (aX + b)^g from d up, else cX.
        near(&[2.0, 1.0, 0.25, 0.5, 0.25], 0.5, 0.5625);
        near(&[2.0, 1.0, 0.25, 0.5, 0.25], 0.125, 0.0625);
        // (aX + b)^g + e from d up, else cX + f.
        near(&[2.0, 1.0, 0.25, 0.5, 0.25, 0.125, 0.0625], 0.5, 0.6875);
        near(&[2.0, 1.0, 0.25, 0.5, 0.25, 0.125, 0.0625], 0.125, 0.125);
    }

    #[test]
    fn table_curves_are_those_of_the_standard() {
        let near = |table: &[u16], x: f64, expected: f64| {
            let got = evaluate(&ToneReprCurve::Lut(table.to_vec()), x);
            assert!((got - expected).abs() < 1e-4, "{table:?} at {x}: {got}, expected {expected}");
        };
        near(&[], 0.3, 0.3);
        near(&[512], 0.5, 0.25);
        near(&[0, 0x8000, 0xFFFF], 0.25, 0.25);
        near(&[0, 0x4000, 0xFFFF], 0.5, 0.25);
        near(&[0, 0x4000, 0xFFFF], 1.0, 1.0);
        near(&[0, 0x4000, 0xFFFF], 0.75, 0.625);
    }

    #[test]
    fn tables_agree_with_the_formula() {
        let curves = Curves::rgb(&ColorProfile::new_adobe_rgb()).unwrap();
        let shaper = curves.tabulate();
        for colour in (0..=u16::MAX).step_by(97).map(|red| [red, red.wrapping_mul(7), red.wrapping_mul(31)]) {
            let mut got = [0; 3];
            shaper.convert(&colour, &mut got);
            let exact = curves.convert(colour.map(|value| f64::from(value) / 65535.0));
            for (got, exact) in got.into_iter().zip(exact) {
                assert!((f64::from(got) - exact).abs() <= 0.55, "{colour:?}: {got}, exactly {exact}");
            }
        }
    }

    #[test]
    fn curves_without_numbers_are_refused() {
        let mut profile = ColorProfile::new_srgb();
        profile.red_trc = Some(ToneReprCurve::Parametric(vec![f32::NAN]));
        assert!(Curves::rgb(&profile).is_err());
        profile.red_trc = None;
        assert!(Curves::rgb(&profile).is_err());
    }
}
