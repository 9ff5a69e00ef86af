//! Base-2 logarithm and power in single precision, written so that a compiler can do several at a time.
//!
//! Additions, multiplications and one division in a fixed order: the same bits on every machine and with any vector width.

/// Error at most 3·10⁻⁷ for positive normal numbers. Nought and what is below it gives a large negative number, never
/// an infinity.
///
/// The exponent is read off; for the significand m between √½ and √2, with s = (m − 1)/(m + 1),
/// log2 m = 2/ln 2 · (s + s³/3 + s⁵/5 + …), the series of the inverse hyperbolic tangent.
#[inline(always)]
pub fn log2(x: f32) -> f32 {
    const HALF_ROOT: i32 = 0x3F35_04F3; // √½
    const TWO_OVER_LN_2: f32 = 2.885_39;
    let bits = x.max(f32::MIN_POSITIVE).to_bits() as i32;
    let exponent = (bits - HALF_ROOT) >> 23;
    let m = f32::from_bits((bits - (exponent << 23)) as u32);
    let s = (m - 1.0) / (m + 1.0);
    let square = s * s;
    let series = 1.0 + square * (0.333_333_34 + square * (0.2 + square * (0.142_857_15 + square * 0.111_111_11)));
    exponent as f32 + TWO_OVER_LN_2 * (s * series)
}

/// Relative error at most 2·10⁻⁷ for −126 ≤ x ≤ 126; x is clamped to that.
///
/// x = i + f with f between −½ and ½; 2ⁱ is written as an exponent, 2ᶠ is the Taylor series of e^(f ln 2) to its seventh
/// power.
#[inline(always)]
pub fn exp2(x: f32) -> f32 {
    // 1.5 · 2²³: adding it leaves no room for a fraction, and its own bits stay out of the way of negative numbers.
    const ROUND: f32 = 12_582_912.0;
    let x = x.clamp(-126.0, 126.0);
    let rounded = x + ROUND;
    let power = (rounded.to_bits() as i32).wrapping_sub(ROUND.to_bits() as i32);
    let f = x - (rounded - ROUND);
    let series = 1.0
        + f * (std::f32::consts::LN_2
            + f * (0.240_226_5
                + f * (0.055_504_11
                    + f * (9.618_129e-3 + f * (1.333_355_8e-3 + f * (1.540_353e-4 + f * 1.525_273_4e-5))))));
    f32::from_bits(((power + 127) << 23) as u32) * series
}

/// The sRGB value, 0 to 1, of linear light, which is clamped to 0 to 1 (IEC 61966-2-1). Error at most 4·10⁻⁷: a fortieth
/// of a count of 16 bits.
#[inline(always)]
pub fn encode_srgb(light: f32) -> f32 {
    let light = light.clamp(0.0, 1.0);
    let curved = 1.055 * exp2(log2(light) * (1.0 / 2.4)) - 0.055;
    if light <= 0.003_130_8 { 12.92 * light } else { curved }
}

/// The cube root; of a negative number the negative root.
#[inline(always)]
pub fn cube_root(x: f32) -> f32 {
    let root = exp2(log2(x.abs()) * (1.0 / 3.0)).copysign(x);
    if x.abs() < 1e-30 { 0.0 } else { root }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::linear::light_to_srgb;

    /// Against libm in double precision, over many powers of two and close to them.
    #[test]
    fn logarithm_and_power_are_close_to_exact() {
        let steps = (-120_000..=120_000).map(|step| f64::from(step) / 1000.0);
        for x in steps.chain((-30..=30).flat_map(|i| [f64::from(i) - 1e-6, f64::from(i), f64::from(i) + 1e-6])) {
            let power = exp2(x as f32);
            let exact = libm::exp2(f64::from(x as f32));
            assert!((f64::from(power) - exact).abs() <= 2e-7 * exact, "2^{x}: {power}");
            let exact = libm::log2(f64::from(power));
            // Beyond 1 the sum itself has no more than 24 bits.
            let allowed = 3e-7_f64.max(6e-8 * exact.abs());
            assert!((f64::from(log2(power)) - exact).abs() <= allowed, "log2 {power}: {}", log2(power));
        }
        assert_eq!((exp2(0.0), log2(1.0)), (1.0, 0.0));
        assert!([0.0, -1.0, f32::NAN].map(log2).iter().all(|value| (-127.0..=-125.0).contains(value)));
    }

    #[test]
    fn the_curve_of_srgb_is_that_of_the_standard() {
        for step in 0..=65535 {
            let x = f64::from(step) / 65535.0;
            assert!((f64::from(encode_srgb(x as f32)) - light_to_srgb(x)).abs() < 4e-7, "{x}");
        }
        for (light, value) in [(-1.0, 0.0), (f32::NEG_INFINITY, 0.0), (9.0, 1.0), (f32::INFINITY, 1.0)] {
            assert!((encode_srgb(light) - value).abs() < 4e-7, "{light}");
        }
    }

    #[test]
    fn cube_roots_cube_back() {
        for x in [0.0f32, 1e-6, 0.001, 0.18, 1.0, 2.0, -0.3] {
            assert!((cube_root(x).powi(3) - x).abs() <= 1e-6 * x.abs(), "{x}");
        }
    }
}
