//! What is done to every pixel, worked out once from the controls and from what the picture holds.

use super::balance::Balance;
use super::colour::{Gamut, Saturation};
use super::light::{FLOOR, LightCurves, Shoulder};
use super::logarithm::log2;
use super::surroundings::Surroundings;
use super::survey::Survey;
use crate::darkroom::Tone;
use crate::darkroom::doorway::Match;
use crate::picture::linear::{BT2020_TO_SRGB, LUMINANCE, LightMatrix, LinearRows};

pub(super) const TO_SRGB: LightMatrix = LightMatrix::keeping_white(&BT2020_TO_SRGB);

/// The same for all pixels.
#[derive(Clone, Copy)]
pub(super) struct Steps {
    pub balance: Balance,
    pub curves: Option<LightCurves>,
    pub shoulder: Option<Shoulder>,
    pub saturation: Option<Saturation>,
    pub gamut: Gamut,
}

/// Steps, and what differs from place to place.
pub(super) struct Plan {
    pub steps: Steps,
    /// There if the steps have curves.
    pub surroundings: Option<Surroundings>,
    /// 0..=1.
    pub sharpening: f32,
}

impl Plan {
    pub fn of(rows: &dyn LinearRows, tone: &Tone, matched: Option<&Match>) -> Plan {
        let survey = Survey::of(rows);
        let balance = Balance::of(rows, &survey, tone, matched);
        let curves = LightCurves::of(tone);
        let lights: Vec<CellLight> =
            (0..survey.brightest.len()).map(|cell| CellLight::of(&survey, cell, &balance)).collect();
        let surroundings = curves.map(|_| {
            let stops: Vec<f32> = lights.iter().map(|cell| log2(cell.luminance.max(0.0) + FLOOR)).collect();
            Surroundings::of(&stops, survey.width)
        });
        let local = curves.as_ref().zip(surroundings.as_ref());
        let peak = lights.iter().enumerate().map(|(index, cell)| cell.peak(index, local)).fold(0.0, f32::max);
        let saturation = Saturation::of(tone.saturation);
        let strength = |cell: &CellLight| {
            let colour = TO_SRGB.apply(cell.colour);
            Gamut::strength(saturation.map_or(colour, |saturation| saturation.apply(colour)))
        };
        let strongest = lights.iter().map(strength).fold(0.0, f32::max);
        Plan {
            steps: Steps {
                balance,
                curves,
                shoulder: Shoulder::to(peak),
                saturation,
                gamut: Gamut::for_colours_to(strongest),
            },
            surroundings,
            sharpening: tone.sharpening.clamp(0.0, 1.0) as f32,
        }
    }
}

/// What a cell of the survey becomes by white balance and exposure.
struct CellLight {
    colour: [f32; 3],
    luminance: f32,
    /// The largest channel of its brightest pixel, if that is a white.
    brightest: f32,
}

impl CellLight {
    fn of(survey: &Survey, cell: usize, balance: &Balance) -> CellLight {
        let colour = balance.apply([0, 1, 2].map(|channel| survey.means[channel][cell]));
        let white = balance.apply([survey.brightest[cell]; 3]);
        CellLight { colour, luminance: luminance(colour), brightest: white[0].max(white[1]).max(white[2]) }
    }

    /// The same once highlights, shadows and contrasts have been at it.
    fn peak(&self, index: usize, local: Option<(&LightCurves, &Surroundings)>) -> f32 {
        let Some((curves, surroundings)) = local else { return self.brightest };
        let (slope, offset) = surroundings.of_cell(index);
        let of_mean = curves.gain(self.luminance, slope, offset);
        self.brightest * of_mean.max(curves.gain(self.brightest, slope, offset))
    }
}

/// Luminance of linear BT.2020; exactly a grey's own number.
#[inline(always)]
pub(super) fn luminance([r, g, b]: [f32; 3]) -> f32 {
    g + (LUMINANCE[0] * (r - g) + LUMINANCE[2] * (b - g))
}
