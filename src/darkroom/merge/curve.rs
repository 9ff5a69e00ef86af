//! The display's curve there and back, and the exponential of the weights: fast, and the same on every machine.

use crate::picture::linear::{light_to_srgb, srgb_to_light};
use std::sync::OnceLock;

/// Steps of both tables. Linear interpolation between them is exact to 2 in a million.
const STEPS: usize = 4096;
/// Slope of the encoding at 1: 1.055 / 2.4. Beyond white both curves go on straight, so that nothing is lost.
const SLOPE_AT_WHITE: f32 = 1.055 / 2.4;

/// Room of a table: a power of two, so that a masked index needs no check.
const TABLE: usize = 2 * STEPS;
/// Numbers that are worked on together: what they need stays in the nearest cache.
const RUN: usize = 256;

/// sRGB's curve (IEC 61966-2-1), odd about 0, straight beyond 1.
pub(super) struct Curve {
    /// Encoded values at light (step / STEPS)²: steps even in the root keep the dark end exact.
    encoded: Box<[f32; TABLE]>,
    /// Light at encoded value step / STEPS.
    light: Box<[f32; TABLE]>,
}

impl Curve {
    /// The one curve there is.
    pub fn srgb() -> &'static Curve {
        static CURVE: OnceLock<Curve> = OnceLock::new();
        CURVE.get_or_init(|| {
            // Interpolation at 1 looks at its neighbour; what lies further is only room.
            let at = |step: usize| step as f64 / STEPS as f64;
            Curve {
                encoded: Box::new(std::array::from_fn(|step| light_to_srgb(at(step) * at(step)) as f32)),
                light: Box::new(std::array::from_fn(|step| srgb_to_light(at(step)) as f32)),
            }
        })
    }

    /// Encoded value of linear light.
    #[inline(always)]
    pub fn encode(&self, light: f32) -> f32 {
        let size = light.abs();
        let inside = interpolate(&self.encoded, size.min(1.0).sqrt());
        (inside + (size - 1.0).max(0.0) * SLOPE_AT_WHITE).copysign(light)
    }

    /// [`Curve::encode`] on every number, to the same last bit, with all that is not a look at the table in wide vectors.
    #[inline(always)]
    pub fn encode_all(&self, numbers: &mut [f32]) {
        for run in numbers.chunks_mut(RUN) {
            let mut inside = [0.0; RUN];
            let inside = &mut inside[..run.len()];
            inside.iter_mut().zip(&*run).for_each(|(at, light)| *at = light.abs().min(1.0).sqrt());
            interpolate_all(&self.encoded, inside);
            for (light, inside) in run.iter_mut().zip(&*inside) {
                *light = (inside + (light.abs() - 1.0).max(0.0) * SLOPE_AT_WHITE).copysign(*light);
            }
        }
    }

    /// Linear light of encoded values, as [`Curve::encode_all`].
    #[inline(always)]
    pub fn decode_all(&self, numbers: &mut [f32]) {
        for run in numbers.chunks_mut(RUN) {
            let mut inside = [0.0; RUN];
            let inside = &mut inside[..run.len()];
            inside.iter_mut().zip(&*run).for_each(|(at, value)| *at = value.abs().min(1.0));
            interpolate_all(&self.light, inside);
            for (value, inside) in run.iter_mut().zip(&*inside) {
                *value = (inside + (value.abs() - 1.0).max(0.0) / SLOPE_AT_WHITE).copysign(*value);
            }
        }
    }
}

/// `table` at `at`, 0 to 1.
#[inline(always)]
fn interpolate(table: &[f32; TABLE], at: f32) -> f32 {
    let at = at * STEPS as f32;
    let step = at as usize % TABLE;
    let (low, high) = (table[step], table[(step + 1) % TABLE]);
    low + (high - low) * (at - step as f32)
}

/// `table` at each of at most [`RUN`] places, 0 to 1.
#[inline(always)]
fn interpolate_all(table: &[f32; TABLE], places: &mut [f32]) {
    let (mut steps, mut low, mut high) = ([0i32; RUN], [0.0f32; RUN], [0.0f32; RUN]);
    let count = places.len().min(RUN);
    let places = &mut places[..count];
    for x in 0..count {
        places[x] *= STEPS as f32;
        steps[x] = places[x] as i32;
    }
    for x in 0..count {
        let step = steps[x] as usize % TABLE;
        (low[x], high[x]) = (table[step], table[(step + 1) % TABLE]);
    }
    for x in 0..count {
        places[x] = low[x] + (high[x] - low[x]) * (places[x] - steps[x] as f32);
    }
}

/// 2 to the power of `x` for −126 ≤ x ≤ 126 (beyond: that of the bound), to 3 in ten million: the whole part goes into the
/// exponent's bits, the rest into the Taylor series of 2^x about 0.
#[inline(always)]
pub(super) fn exp2(x: f32) -> f32 {
    // Adding and taking away 1.5·2²³ rounds to the nearest whole number.
    const ROUNDING: f32 = 12_582_912.0;
    let x = x.clamp(-126.0, 126.0);
    let whole = (x + ROUNDING) - ROUNDING;
    let t = (x - whole) * std::f32::consts::LN_2;
    let series = 1.0 + t * (1.0 + t * (0.5 + t * (1.0 / 6.0 + t * (1.0 / 24.0 + t * (1.0 / 120.0 + t / 720.0)))));
    series * f32::from_bits(((whole as i32 + 127) as u32) << 23)
}

/// Logarithm to base 2 of a normal number above 0, to 3 in ten million: the exponent's bits, and the series of the area
/// tangent of (m − 1) / (m + 1) for the rest.
#[inline(always)]
pub(super) fn log2(x: f32) -> f32 {
    let bits = x.max(f32::MIN_POSITIVE).to_bits();
    // The mantissa lies between √½ and √2.
    let shifted = bits.wrapping_sub(std::f32::consts::FRAC_1_SQRT_2.to_bits()) as i32 >> 23;
    let mantissa = f32::from_bits(bits.wrapping_sub((shifted << 23) as u32));
    let s = (mantissa - 1.0) / (mantissa + 1.0);
    let square = s * s;
    let series = 1.0 + square * (1.0 / 3.0 + square * (1.0 / 5.0 + square * (1.0 / 7.0 + square / 9.0)));
    shifted as f32 + s * series * (2.0 * std::f32::consts::LOG2_E)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decoded(value: f32) -> f32 {
        let mut one = [value];
        Curve::srgb().decode_all(&mut one);
        one[0]
    }

    #[test]
    fn the_curve_is_srgbs_and_undoes_itself() {
        let curve = Curve::srgb();
        for step in 0..=20_000 {
            let light = step as f32 / 20_000.0;
            let exact = light_to_srgb(f64::from(light)) as f32;
            assert!((curve.encode(light) - exact).abs() < 2e-6, "{light}: {} for {exact}", curve.encode(light));
        }
        for light in [-3.0, -0.2, 0.0, 1e-6, 0.003, 0.18, 1.0, 1.5, 60_000.0] {
            let back = decoded(curve.encode(light));
            assert!((back - light).abs() <= 4e-6 * (1.0 + light.abs()), "{light} came back as {back}");
        }
    }

    #[test]
    fn many_at_once_are_each_to_the_last_bit() {
        let numbers: Vec<f32> =
            (-700..700).map(|i| i as f32 * 0.003).chain([0.0, -0.0, 1.0, 9e4, f32::INFINITY, f32::NAN]).collect();
        let curve = Curve::srgb();
        let bits = |numbers: &[f32]| numbers.iter().map(|number| number.to_bits()).collect::<Vec<_>>();
        let (mut light, mut shown) = (numbers.clone(), numbers.clone());
        crate::darkroom::merge::wide::widest(|| curve.encode_all(&mut shown));
        crate::darkroom::merge::wide::widest(|| curve.decode_all(&mut light));
        let one_by_one = |of: &dyn Fn(f32) -> f32| numbers.iter().map(|&number| of(number)).collect::<Vec<_>>();
        assert_eq!(bits(&shown), bits(&one_by_one(&|light| curve.encode(light))));
        assert_eq!(bits(&light), bits(&one_by_one(&decoded)));
    }

    #[test]
    fn powers_and_logarithms_are_those_of_the_library() {
        for step in -1200..=1200 {
            let x = step as f32 * 0.1;
            let exact = libm::exp2(f64::from(x));
            assert!((f64::from(exp2(x)) / exact - 1.0).abs() < 3e-7, "2^{x}");
            assert!((f64::from(log2(exact as f32)) - libm::log2(f64::from(exact as f32))).abs() < 1.5e-5, "{x}");
            let near_one = 1.0 + x * 1e-3;
            assert!((f64::from(log2(near_one)) - libm::log2(f64::from(near_one))).abs() < 3e-7, "log2 {near_one}");
        }
    }
}
