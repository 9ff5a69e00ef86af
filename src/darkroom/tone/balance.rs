//! White balance and exposure, and what becomes of light whose colour the file no longer says.
//!
//! A channel that has reached the end of its numbers says only "at least this much". Multiplied as if it said how much, it
//! colours lamps and patches of sun: whoever takes a warm light out of a picture turns every lamp that fills all three
//! channels blue. So the channels near their end are given more, as far as that leads towards white. In the file's own primaries,
//! with f its light (1 the end of its numbers), b the same after match, white balance and exposure, and g the largest channel of
//! a white after them,
//!
//! ```text
//! out = b + s((f − 0.4)/0.6) · max(0, min(largest b, g·f) − b)       in each channel, s(t) = 3t² − 2t³ from 0 to 1
//! ```
//!
//! * Only ever more light, since there was at least as much; and never more than the largest channel. A white becomes white. A strong
//!   colour stays as it is where its largest channel is the one that is clipped.
//! * A channel below 0.4 (sRGB 170) is as it was. Most cameras bend the last stop before white, each channel by itself, so that
//!   colours fade well before the end; hence so long a way.
//! * Never more than g·f, the file's own colours: a picture whose white balance is hardly changed is hardly touched,
//!   and one whose balance is as shot not at all.
//! * More light in the file never makes less here where every channel has its own gain (b, g·f and s rise with f). Bradford's
//!   matrices come close to that.
//! * It looks at nothing but the pixel: no seam, no edge, no halo.
//!
//! Where numbers go on beyond white, in floating point, nothing is clipped and nothing is done. (The method is ours.)

use super::survey::Survey;
use super::{Light, neutral, white};
use crate::darkroom::doorway::Match;
use crate::darkroom::matrix::{self, Matrix};
use crate::darkroom::{Tone, WhiteBalance};
use crate::picture::linear::{LightMatrix, LinearRows};

/// Match, white balance and exposure, in that order, on linear BT.2020.
#[derive(Clone, Copy)]
pub(super) enum Balance {
    /// For light that is not clipped, or whose colour stays as it was.
    Plain(LightMatrix),
    /// For a file whose numbers end.
    Guarded(Guarded),
}

impl Balance {
    pub fn of(rows: &dyn LinearRows, survey: &Survey, tone: &Tone, matched: Option<&Match>) -> Balance {
        let first = matched.map_or([1.0; 3], Match::factors);
        let white_balance = white_balance(rows, survey, tone.white_balance, first);
        let keeps_colours = white_balance.is_none() && first.iter().all(|factor| *factor == first[0]);
        let exposure = libm::exp2(tone.exposure_ev.clamp(-5.0, 5.0));
        let first = matrix::diagonal(first.map(|factor| factor * exposure));
        let whole = white_balance.map_or(first, |white_balance| matrix::multiply(&white_balance, &first));
        let guarded = rows.full_scale().filter(|_| !keeps_colours).and_then(|own| Guarded::of(&whole, &own));
        guarded.map_or(Balance::Plain(LightMatrix::new(whole)), Balance::Guarded)
    }

    /// One colour, for the few that a survey has; rows of pixels choose once.
    pub fn apply(&self, colour: [f32; 3]) -> [f32; 3] {
        match self {
            Balance::Plain(matrix) => matrix.apply(colour),
            Balance::Guarded(guarded) => guarded.apply(colour),
        }
    }
}

/// The matrix that takes the light's colour out of what was matched by the factors `first`; `None` where it stays.
fn white_balance(rows: &dyn LinearRows, survey: &Survey, wanted: WhiteBalance, first: Light) -> Option<Matrix> {
    let after_first = |light: Light| std::array::from_fn(|channel| first[channel] * light[channel]);
    match wanted {
        WhiteBalance::AsShot => None,
        WhiteBalance::Light { temperature_k, tint } => {
            Some(white::adapt_from_light(temperature_k.clamp(2000.0, 25_000.0), tint.clamp(-50.0, 50.0)))
        }
        WhiteBalance::Neutral(spot) => {
            neutral::around(rows, spot).map(|light| white::adapt_from_colour(after_first(light)))
        }
        WhiteBalance::Auto => neutral::of_the_whole(survey, after_first).map(white::adapt_from_colour),
    }
}

/// The balance of a file whose numbers end at full scale.
#[derive(Clone, Copy)]
pub(super) struct Guarded {
    /// From linear BT.2020 to the file's own red, green and blue.
    to_own: LightMatrix,
    /// Match, white balance and exposure there.
    balance: LightMatrix,
    /// From there to linear BT.2020.
    from_own: LightMatrix,
    /// The largest channel of a balanced white.
    white: f32,
}

/// Below this a channel is taken at its word.
const KNEE: f32 = 0.4;

impl Guarded {
    /// A balance of linear BT.2020 for a file with primaries `own`; `None` where these are none.
    fn of(balance: &Matrix, own: &Matrix) -> Option<Guarded> {
        let inverse = matrix::inverse(own);
        let balance = matrix::multiply(&inverse, &matrix::multiply(balance, own));
        let sound = balance.iter().chain(&inverse).flatten().all(|value| value.is_finite());
        let white = matrix::apply(&balance, [1.0; 3]).into_iter().fold(0.0, f64::max) as f32;
        let [to_own, balance, from_own] = [inverse, balance, *own].map(LightMatrix::new);
        sound.then_some(Guarded { to_own, balance, from_own, white })
    }

    /// One colour of linear BT.2020.
    #[inline(always)]
    pub fn apply(&self, colour: [f32; 3]) -> [f32; 3] {
        let file = self.to_own.apply(colour);
        let balanced = self.balance.apply(file);
        let largest = balanced[0].max(balanced[1]).max(balanced[2]);
        let channel = |c: usize| {
            let t = ((file[c] - KNEE) * (1.0 / (1.0 - KNEE))).clamp(0.0, 1.0);
            let share = t * t * (3.0 - 2.0 * t);
            balanced[c] + share * (largest.min(self.white * file[c]) - balanced[c]).max(0.0)
        };
        self.from_own.apply([channel(0), channel(1), channel(2)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::linear::{LinearPicture, SRGB_TO_BT2020, through};
    use half::f16;

    /// What a white lamp looks like to a camera set for another light: red first to end, blue last.
    const WARM: [f32; 3] = [1.34, 1.0, 0.58];

    fn own() -> Matrix {
        SRGB_TO_BT2020.map(|row| row.map(f64::from))
    }

    /// What takes a light of that colour, linear sRGB, out.
    fn without(light: [f32; 3]) -> Matrix {
        white::adapt_from_colour(through(&SRGB_TO_BT2020, light).map(f64::from))
    }

    fn guarded(balance: &Matrix) -> Guarded {
        Guarded::of(balance, &own()).unwrap()
    }

    /// A colour of the file, and what it becomes in the file's own primaries.
    fn balanced(guarded: &Guarded, file: [f32; 3]) -> [f32; 3] {
        guarded.to_own.apply(guarded.apply(through(&SRGB_TO_BT2020, file)))
    }

    fn plainly(balance: &Matrix, file: [f32; 3]) -> [f32; 3] {
        let inverse = matrix::inverse(&own()).map(|row| row.map(|value| value as f32));
        through(&inverse, LightMatrix::new(*balance).apply(through(&SRGB_TO_BT2020, file)))
    }

    fn spread([r, g, b]: [f32; 3]) -> f32 {
        r.max(g).max(b) / r.min(g).min(b)
    }

    /// From a dim one that the file holds to one that fills all three channels; grey to two hundredths all the way.
    #[test]
    fn a_white_lamp_is_white_however_bright() {
        let balance = without(WARM);
        let guarded = guarded(&balance);
        let (mut last, mut worst) = (0.0, 1.0f32);
        for step in 1..=400 {
            let file = WARM.map(|channel| (channel * step as f32 / 100.0).min(1.0));
            let lamp = balanced(&guarded, file);
            assert!(spread(lamp) < 1.02, "{file:?} became {lamp:?}");
            assert!(lamp[1] >= last - 1e-4, "brighter became darker at {file:?}: {lamp:?}");
            (last, worst) = (lamp[1], worst.max(spread(plainly(&balance, file))));
        }
        assert!(worst > 2.0, "there was nothing to be done: {worst}");
    }

    /// Strong colours, some of them with the one channel clipped that stays the largest.
    #[test]
    fn strong_colours_and_all_that_is_well_below_the_end_stay_as_balanced() {
        for balance in [without(WARM), without([0.8, 1.0, 1.3])] {
            let guarded = guarded(&balance);
            let strong = [[1.0, 0.12, 0.04], [0.05, 0.9, 0.1], [0.03, 0.1, 1.0], [0.7, 0.3, 0.02]];
            for file in strong.into_iter().chain([[0.4, 0.4, 0.4], [0.4, 0.2, 0.1], [0.1, 0.2, 0.4], [0.0; 3]]) {
                for (got, expected) in balanced(&guarded, file).into_iter().zip(plainly(&balance, file)) {
                    assert!((got - expected).abs() < 2e-6, "{file:?}: {got}, expected {expected}");
                }
            }
        }
    }

    /// Every hue from black to the end of the first channel, and on with that channel clipped: never less, never a jump, with gains
    /// such as `match` has.
    #[test]
    fn a_ramp_into_clipping_is_monotone_and_without_a_step() {
        const STEP: f32 = 1.0 / 500.0;
        for gains in [[0.7, 1.0, 1.7], [1.4, 1.0, 0.8], [1.0, 1.3, 1.0]] {
            let identity = matrix::diagonal([1.0; 3]);
            let guarded = Guarded::of(&matrix::diagonal(gains), &identity).unwrap();
            let most = gains.into_iter().fold(0.0, f64::max) as f32;
            for hue in 0..125 {
                let colour = [hue % 5, hue / 5 % 5, hue / 25].map(|share| share as f32 / 4.0);
                let mut last = [0.0; 3];
                for step in 0..=1000 {
                    let file = colour.map(|channel| (channel * step as f32 * STEP).min(1.0));
                    let now = guarded.apply(file);
                    for (now, last) in now.into_iter().zip(last) {
                        assert!(now >= last - 1e-6, "{gains:?}: {file:?} fell from {last} to {now}");
                        // Steeper than a straight line only by the smooth step's own slope, 1.5/0.6.
                        assert!(
                            now - last <= 4.5 * most * STEP + 1e-6,
                            "{gains:?}: {file:?} leapt from {last} to {now}"
                        );
                    }
                    last = now;
                }
            }
        }
    }

    #[test]
    fn what_is_balanced_as_shot_or_does_not_end_is_not_guarded() {
        let tone = Tone { exposure_ev: 1.0, ..Tone::default() };
        let warmer = Tone { white_balance: WhiteBalance::Light { temperature_k: 3000.0, tint: 0.0 }, ..tone };
        let gains = |gains| Some(Match { exposure_ev: 0.5, gains });
        let mut picture = LinearPicture::black(8, 4);
        picture.planes.iter_mut().for_each(|plane| plane.fill(f16::ONE));
        let kind = |picture: &LinearPicture, tone: &Tone, matched: Option<Match>| {
            matches!(Balance::of(picture, &Survey::of(picture), tone, matched.as_ref()), Balance::Guarded(_))
        };
        assert!(!kind(&picture, &warmer, gains([1.1, 1.0, 0.9])), "its numbers go on");
        picture.full_scale = Some(own());
        assert!(!kind(&picture, &tone, None) && !kind(&picture, &tone, gains([1.0; 3])), "no colour changes");
        assert!(kind(&picture, &warmer, None) && kind(&picture, &tone, gains([1.1, 1.0, 0.9])));
        picture.full_scale = Some([[0.0; 3]; 3]);
        assert!(!kind(&picture, &warmer, None), "these are no primaries");
    }

    /// The nearer the balance to as shot, the less is done.
    #[test]
    fn a_balance_that_is_hardly_changed_hardly_touches_what_is_clipped() {
        for strength in [0.1f32, 0.01, 0.0] {
            let balance = without([1.0 + strength, 1.0, 1.0 - strength]);
            let guarded = guarded(&balance);
            for file in [[1.0, 0.97, 0.9], [0.8, 1.0, 0.5], [1.0, 1.0, 0.6], [0.99, 0.7, 0.95]] {
                for (got, before) in balanced(&guarded, file).into_iter().zip(file) {
                    assert!((got - before).abs() <= 2.0 * strength + 2e-6, "{strength}: {file:?}: {got} for {before}");
                }
            }
        }
    }
}
