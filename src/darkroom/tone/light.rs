//! Highlights, shadows, contrast and local contrast: how much lighter or darker a pixel becomes, from its own light and its
//! surroundings'. All three channels get the same factor, so no colour changes its hue and a grey stays grey.

use super::logarithm::{exp2, log2};
use crate::darkroom::Tone;

/// Added to light before it is counted in stops, so that black is the finite number of −10 stops and grain in the dark is no
/// detail.
pub const FLOOR: f32 = 1.0 / 1024.0;
/// Black in stops.
const BLACK: f32 = -10.0;
/// Middle grey, 18 % (L* 49.5), in stops with the floor added: log2(0.18 + 1/1024).
const MIDDLE: f32 = -2.466_125;
/// White in stops with the floor added: log2(1 + 1/1024).
const WHITE: f32 = 0.001_408_2;

/// Stops by which the deepest shadows become lighter at 1.
const SHADOWS: f32 = 2.0;
/// Stops below middle grey where shadows have their full effect.
const SHADOWS_REACH: f32 = 5.0;
/// Stops by which the brightest highlights become brighter at 1.
const HIGHLIGHTS: f32 = 1.8;
/// Stops above middle grey where highlights have their full effect: two above white.
const HIGHLIGHTS_REACH: f32 = 4.47;

/// The four controls, ready to be used on pixels.
///
/// With ℓ a pixel's light and β its surroundings', in stops:
/// * surroundings: T(β) = β + 2 · shadows · s((middle − β)/5) + 1.8 · highlights · s((β − middle)/4.47), where s is the
///   smooth step 3t² − 2t³, 0 below 0 and 1 above 1;
/// * detail: ℓ − β, times 2 to the power of local contrast;
/// * contrast: their sum u, as a share of the way from middle grey to white or to black, becomes γu / (1 + (γ − 1)u) with
///   γ = 2 to the power of contrast: γ times as steep at middle grey, white and black where they were; straight on above white.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LightCurves {
    shadows: f32,
    highlights: f32,
    detail: f32,
    steepness: f32,
}

impl LightCurves {
    /// `None` where the four controls are 0.
    pub fn of(tone: &Tone) -> Option<LightCurves> {
        let controls = [tone.shadows, tone.highlights, tone.local_contrast, tone.contrast];
        if controls.iter().all(|&control| control == 0.0) {
            return None;
        }
        let [shadows, highlights, local_contrast, contrast] = controls.map(|control| control.clamp(-1.0, 1.0) as f32);
        Some(LightCurves {
            shadows: SHADOWS * shadows,
            highlights: HIGHLIGHTS * highlights,
            detail: exp2(local_contrast),
            steepness: exp2(contrast),
        })
    }

    /// The factor for a pixel of that luminance whose surroundings have `slope · own + offset` stops.
    #[inline(always)]
    pub fn gain(&self, luminance: f32, slope: f32, offset: f32) -> f32 {
        let own = log2(luminance.max(0.0) + FLOOR);
        let around = slope * own + offset;
        let moved = self.surroundings(around) + self.detail * (own - around);
        exp2(self.contrast(moved) - own)
    }

    #[inline(always)]
    fn surroundings(&self, around: f32) -> f32 {
        around
            + self.shadows * smooth_step((MIDDLE - around) * (1.0 / SHADOWS_REACH))
            + self.highlights * smooth_step((around - MIDDLE) * (1.0 / HIGHLIGHTS_REACH))
    }

    #[inline(always)]
    fn contrast(&self, stops: f32) -> f32 {
        let whole = if stops > MIDDLE { WHITE - MIDDLE } else { BLACK - MIDDLE };
        let share = (stops - MIDDLE) / whole;
        let bent = self.steepness * share / (1.0 + (self.steepness - 1.0) * share.min(1.0));
        let straight = 1.0 + (share - 1.0) / self.steepness;
        MIDDLE + whole * if share > 1.0 { straight } else { bent }
    }
}

#[inline(always)]
fn smooth_step(t: f32) -> f32 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Brings what the controls pushed above white back below it, softly.
///
/// Up to the knee, 0.6, nothing changes. Above it, with t = (m − 0.6)/0.4 for the largest channel m and P the same for the
/// brightest pixel of the picture, m becomes 0.6 + 0.4 · t(1 + t/P²)/(1 + t): the curve of E. Reinhard et al., "Photographic Tone
/// Reproduction for Digital Images", ACM TOG 21(3), 267–276 (2002), equation 4, which takes P to white. At P = 1, a picture
/// that does not reach beyond white, it is a straight line: nothing changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shoulder {
    inverse_square: f32,
}

/// Where a shoulder begins.
const KNEE: f32 = 0.6;

impl Shoulder {
    /// For a picture whose largest channel is `peak`; `None` where that is no more than white.
    pub fn to(peak: f32) -> Option<Shoulder> {
        // A half float's rounding above white.
        const SLACK: f32 = 1.0 / 2048.0;
        let reach = (peak - KNEE) / (1.0 - KNEE);
        (peak > 1.0 + SLACK).then(|| Shoulder { inverse_square: 1.0 / (reach * reach) })
    }

    /// The factor for a pixel with that largest channel.
    #[inline(always)]
    pub fn gain(&self, largest: f32) -> f32 {
        let t = (largest - KNEE).max(0.0) * (1.0 / (1.0 - KNEE));
        let bent = KNEE + (1.0 - KNEE) * (t * (1.0 + t * self.inverse_square) / (1.0 + t));
        if largest > KNEE { bent.min(1.0) / largest } else { 1.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(change: impl Fn(&mut Tone)) -> LightCurves {
        let mut tone = Tone::default();
        change(&mut tone);
        LightCurves::of(&tone).unwrap()
    }

    /// A wide plane of that light: its surroundings are itself.
    fn plane(curves: &LightCurves, light: f32) -> f32 {
        light * curves.gain(light, 1.0, 0.0)
    }

    fn lights() -> impl Iterator<Item = f32> {
        (0..=4000).map(|step| exp2(step as f32 / 200.0 - 16.0))
    }

    fn steps() -> impl Iterator<Item = f64> {
        (-4..=4).map(|step| f64::from(step) / 4.0)
    }

    #[test]
    fn every_combination_is_monotone_along_a_grey_ramp() {
        for (shadows, highlights, contrast) in
            steps().flat_map(|a| steps().flat_map(move |b| steps().map(move |c| (a, b, c))))
        {
            let tone = Tone { shadows, highlights, contrast, local_contrast: 0.1, ..Tone::default() };
            let curves = LightCurves::of(&tone).unwrap();
            let values: Vec<f32> = lights().map(|light| plane(&curves, light)).collect();
            for (before, after) in values.iter().zip(&values[1..]) {
                assert!(after > before, "{shadows} {highlights} {contrast}: {before} then {after}");
            }
        }
    }

    /// Shadows, highlights: more is lighter everywhere. Contrast, local contrast: what is lighter than middle grey or than its
    /// surroundings gets lighter, what is darker gets darker.
    #[test]
    fn every_control_is_monotone() {
        for light in lights() {
            let rises = |values: Vec<f32>, sign: f32| {
                values.windows(2).all(|pair| sign * (pair[1] - pair[0]) >= -1e-6 * pair[0])
            };
            assert!(rises(
                steps()
                    .map(|s| plane(&with(|t| (t.shadows, t.exposure_ev, t.contrast) = (s, 0.0, 1e-9)), light))
                    .collect(),
                1.0
            ));
            assert!(rises(
                steps().map(|s| plane(&with(|t| (t.highlights, t.contrast) = (s, 1e-9)), light)).collect(),
                1.0
            ));
            let side = if light > 0.18 { 1.0 } else { -1.0 };
            if light <= 1.0 {
                assert!(rises(
                    steps().map(|s| plane(&with(|t| (t.contrast, t.shadows) = (s, 1e-9)), light)).collect(),
                    side
                ));
            }
            for around in [-6.0f32, -2.0] {
                let side = if log2(light + FLOOR) > around { 1.0 } else { -1.0 };
                let local =
                    |s: f64| light * with(|t| (t.local_contrast, t.contrast) = (s, 1e-9)).gain(light, 0.0, around);
                assert!(rises(steps().map(local).collect(), side), "{light} in {around}");
            }
        }
    }

    /// The formulas of the doc comment, written out in double precision.
    #[test]
    fn gains_are_those_of_the_formulas() {
        let tone = Tone { shadows: 0.7, highlights: -0.8, contrast: 0.3, local_contrast: 0.4, ..Tone::default() };
        let curves = LightCurves::of(&tone).unwrap();
        for light in lights().step_by(50) {
            for around in [-9.0f64, -5.0, -3.0, -1.0, 0.5, 3.0] {
                let stop = |light: f64| (light + 1.0 / 1024.0).log2();
                let s = |t: f64| {
                    let t = t.clamp(0.0, 1.0);
                    3.0 * t * t - 2.0 * t * t * t
                };
                let (middle, white) = (stop(0.18), stop(1.0));
                let moved = around + 2.0 * 0.7 * s((middle - around) / 5.0) - 1.8 * 0.8 * s((around - middle) / 4.47)
                    + 2f64.powf(0.4) * (stop(f64::from(light)) - around);
                let whole = if moved > middle { white - middle } else { -10.0 - middle };
                let (u, steep) = ((moved - middle) / whole, 2f64.powf(0.3));
                let bent = if u > 1.0 { 1.0 + (u - 1.0) / steep } else { steep * u / (1.0 + (steep - 1.0) * u) };
                let expected = (middle + whole * bent - stop(f64::from(light))).exp2();
                let got = f64::from(curves.gain(light, 0.0, around as f32));
                assert!((got / expected - 1.0).abs() < 2e-5, "{light} in {around}: {got}, expected {expected}");
            }
        }
    }

    #[test]
    fn middle_grey_white_and_black_stay_under_contrast() {
        for contrast in steps().filter(|step| *step != 0.0) {
            let curves = with(|tone| tone.contrast = contrast);
            for light in [0.0, 0.18, 1.0] {
                assert!((plane(&curves, light) - light).abs() < 2e-6, "{contrast}: {light}");
            }
            // Twice as steep at 1: 1 % more light becomes 2 % more.
            let slope = (plane(&curves, 0.1818) / plane(&curves, 0.1782)).ln() / (0.1818f32 / 0.1782).ln();
            let expected = 2f64.powf(contrast) as f32;
            assert!((slope / expected - 1.0).abs() < 0.02, "{contrast}: {slope}");
        }
    }

    #[test]
    fn a_shoulder_takes_the_peak_to_white_and_leaves_what_is_below_its_knee() {
        for peak in [1.001, 1.2, 2.0, 8.0, 60_000.0] {
            let shoulder = Shoulder::to(peak).unwrap();
            assert!((peak * shoulder.gain(peak) - 1.0).abs() < 1e-5);
            assert!([0.0, 0.1, 0.6].iter().all(|&light| shoulder.gain(light) == 1.0));
            let values: Vec<f32> =
                (0..1000).map(|step| peak * step as f32 / 999.0).map(|m| m * shoulder.gain(m)).collect();
            assert!(values.windows(2).all(|pair| pair[1] >= pair[0] - 1e-6) && *values.last().unwrap() <= 1.0 + 1e-6);
        }
        assert!(Shoulder::to(1.0).is_none() && Shoulder::to(0.3).is_none());
        // Barely above white it barely does anything.
        let gentle = Shoulder::to(1.001).unwrap();
        assert!((0..=100).map(|step| step as f32 / 100.0).all(|m| (m * gentle.gain(m) - m).abs() < 1e-3));
    }

    /// A grey in a picture whose white follows exposure: more exposure, more light.
    #[test]
    fn exposure_is_monotone_through_the_shoulder() {
        for grey in [0.01f32, 0.18, 0.5, 0.8, 0.95, 1.0] {
            let exposed = |step: i32| {
                let gain = exp2(step as f32 / 40.0);
                let m = grey * gain;
                m * Shoulder::to(gain).map_or(1.0, |shoulder| shoulder.gain(m))
            };
            assert!((-200..200).all(|step| exposed(step + 1) >= exposed(step) - 1e-6), "{grey}");
        }
    }
}
