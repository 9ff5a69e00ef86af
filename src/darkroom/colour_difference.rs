//! How different two colours look: CIELAB and CIEDE2000.

use super::matrix::{self, Matrix};

/// L*, a*, b*.
pub type Lab = [f64; 3];

/// From linear BT.2020 to CIE XYZ, from the primaries and the white (D65: x 0.3127, y 0.3290) of ITU-R BT.2020-2.
pub fn bt2020_to_xyz() -> Matrix {
    let xyz = |[x, y]: [f64; 2]| [x / y, 1.0, (1.0 - x - y) / y];
    let [red, green, blue] = [[0.708, 0.292], [0.170, 0.797], [0.131, 0.046]].map(xyz);
    let primaries = std::array::from_fn(|axis| [red[axis], green[axis], blue[axis]]);
    let amounts = matrix::apply(&matrix::inverse(&primaries), xyz([0.3127, 0.3290]));
    matrix::multiply(&primaries, &matrix::diagonal(amounts))
}

/// CIELAB of a linear BT.2020 colour, D65 being its white (CIE 15:2004 section 8.2.1).
pub fn lab_of_light(colour: [f64; 3]) -> Lab {
    let to_xyz = bt2020_to_xyz();
    let white = matrix::apply(&to_xyz, [1.0; 3]);
    let xyz = matrix::apply(&to_xyz, colour);
    let f = |axis: usize| {
        let ratio = xyz[axis] / white[axis];
        const BREAK: f64 = 216.0 / 24389.0;
        if ratio > BREAK { libm::cbrt(ratio) } else { (24389.0 / 27.0 * ratio + 16.0) / 116.0 }
    };
    let [x, y, z] = [f(0), f(1), f(2)];
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// CIEDE2000 with all three parametric factors 1, after G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference
/// formula", Color Research and Application 30(1), 21–30 (2005), equations 2 to 22.
pub fn ciede2000(first: Lab, second: Lab) -> f64 {
    let chroma = |[_, a, b]: Lab| libm::hypot(a, b);
    let mean_chroma = (chroma(first) + chroma(second)) / 2.0;
    let g = 0.5 * (1.0 - saturating(mean_chroma));
    let [one, two] = [first, second].map(|[lightness, a, b]| Lch::new(lightness, (1.0 + g) * a, b));

    let lightness_step = two.lightness - one.lightness;
    let chroma_step = two.chroma - one.chroma;
    let product = one.chroma * two.chroma;
    let turn = if product == 0.0 { 0.0 } else { shorter_way(two.hue_deg - one.hue_deg) };
    let hue_step = 2.0 * product.sqrt() * sine(turn / 2.0);

    let lightness = (one.lightness + two.lightness) / 2.0;
    let chroma = (one.chroma + two.chroma) / 2.0;
    let hue = mean_hue(&one, &two);
    let off_middle = (lightness - 50.0) * (lightness - 50.0);
    let weight_lightness = 1.0 + 0.015 * off_middle / (20.0 + off_middle).sqrt();
    let weight_chroma = 1.0 + 0.045 * chroma;
    let t = 1.0 - 0.17 * cosine(hue - 30.0) + 0.24 * cosine(2.0 * hue) + 0.32 * cosine(3.0 * hue + 6.0)
        - 0.20 * cosine(4.0 * hue - 63.0);
    let weight_hue = 1.0 + 0.015 * chroma * t;
    let bent = (hue - 275.0) / 25.0;
    let rotation = -2.0 * saturating(chroma) * sine(60.0 * libm::exp(-bent * bent));

    let (l, c, h) = (lightness_step / weight_lightness, chroma_step / weight_chroma, hue_step / weight_hue);
    // Rounding may bring the sum below nought where the colours are the same.
    (l * l + c * c + h * h + rotation * c * h).max(0.0).sqrt()
}

/// Equation 10: a difference of hues, −180 up to and with 180.
fn shorter_way(degrees: f64) -> f64 {
    if degrees > 180.0 {
        degrees - 360.0
    } else if degrees < -180.0 {
        degrees + 360.0
    } else {
        degrees
    }
}

/// √(C⁷ / (C⁷ + 25⁷)).
fn saturating(chroma: f64) -> f64 {
    let seventh = libm::pow(chroma, 7.0);
    (seventh / (seventh + 6_103_515_625.0)).sqrt()
}

struct Lch {
    lightness: f64,
    chroma: f64,
    /// 0 up to 360; 0 for a grey.
    hue_deg: f64,
}

impl Lch {
    fn new(lightness: f64, a: f64, b: f64) -> Lch {
        let hue_deg = if a == 0.0 && b == 0.0 { 0.0 } else { libm::atan2(b, a).to_degrees().rem_euclid(360.0) };
        Lch { lightness, chroma: libm::hypot(a, b), hue_deg }
    }
}

/// Equation 14: the mean the shorter way round; where one is grey, the other's hue.
fn mean_hue(one: &Lch, two: &Lch) -> f64 {
    let sum = one.hue_deg + two.hue_deg;
    if one.chroma * two.chroma == 0.0 {
        sum
    } else if (one.hue_deg - two.hue_deg).abs() <= 180.0 {
        sum / 2.0
    } else if sum < 360.0 {
        (sum + 360.0) / 2.0
    } else {
        (sum - 360.0) / 2.0
    }
}

fn sine(degrees: f64) -> f64 {
    libm::sin(degrees.to_radians())
}

fn cosine(degrees: f64) -> f64 {
    libm::cos(degrees.to_radians())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published values: CIE 15 has L* 50 at 18.42 % (from L* = 116 ∛Y − 16); white and black by definition.
    #[test]
    fn greys_have_the_lightness_of_the_standard() {
        for (light, lightness) in [(0.0, 0.0), (1.0, 100.0), (0.184_186_5, 50.0), (0.18, 49.496_1)] {
            let [got, a, b] = lab_of_light([light; 3]);
            assert!((got - lightness).abs() < 1e-3 && a.abs() < 1e-9 && b.abs() < 1e-9, "{light}: {got} {a} {b}");
        }
    }

    /// ITU-R BT.2020-2 gives luminance as 0.2627 R + 0.6780 G + 0.0593 B.
    #[test]
    fn luminance_weights_are_those_of_the_recommendation() {
        let luminance = bt2020_to_xyz()[1];
        for (got, published) in luminance.into_iter().zip([0.2627, 0.6780, 0.0593]) {
            assert!((got - published).abs() < 5e-5, "{luminance:?}");
        }
        for (got, ours) in luminance.into_iter().zip(crate::picture::linear::LUMINANCE) {
            assert!((got - f64::from(ours)).abs() < 1e-7);
        }
    }
}
