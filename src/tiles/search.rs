//! Which quantisation tables make a tile small and lose no more than the usual ones.
//!
//! Two drafts are encoded and compared, and the strength corrected by what they lost: over all pictures tried, loss grows
//! nearly in proportion to the steps (power 0.96 ± 0.1).

use super::loss::Loss;
use super::quantisation::Strength;

/// Share of the usual loss that is aimed at: about a twentieth of a point of SSIMULACRA2 in hand.
const AIM: f64 = 0.99;

/// Where colour has more than this share of the loss, finer steps for it cost least (found by trying all ratios on photographs
/// and on rendered rooms).
const COLOUR_SHARE: f64 = 0.19;
/// Steps of chroma by those of luma, in percent, above and below that share.
const FINE_CHROMA_PERCENT: f64 = 80.0;
const COARSE_CHROMA_PERCENT: f64 = 120.0;

/// Bounds in percent that keep an odd tile from extremes.
const STRENGTHS: std::ops::RangeInclusive<f64> = 50.0..=300.0;

/// The strength at which a tile loses about as much as with the usual tables, from two drafts, the first with a guess.
pub(super) fn strength(guess: Strength, usual: Loss, draft: impl Fn(Strength) -> Loss) -> Strength {
    let aim = AIM * usual.whole();
    let first = draft(guess);
    if aim <= 0.0 || first.whole() <= 0.0 {
        // Plain black, or too small to be seen.
        return guess;
    }
    let fine = first.colour > COLOUR_SHARE * first.whole();
    let chroma_share = if fine { FINE_CHROMA_PERCENT } else { COARSE_CHROMA_PERCENT } / 100.0;
    let strength = |luma: f64| Strength { luma: bounded(luma), chroma: bounded(luma * chroma_share) };
    let second = strength(f64::from(guess.luma) * aim / (first.brightness + first.colour * chroma_share));
    let loss = draft(second).whole();
    if loss <= 0.0 { second } else { strength(f64::from(second.luma) * aim / loss) }
}

fn bounded(percent: f64) -> u32 {
    percent.clamp(*STRENGTHS.start(), *STRENGTHS.end()).round() as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    const GUESS: Strength = Strength { luma: 120, chroma: 120 };

    /// A tile that loses in proportion to its steps, but for a power.
    fn tile(brightness: f64, colour: f64, power: f64) -> impl Fn(Strength) -> Loss {
        let part = move |weight: f64, steps: u32| weight * libm::pow(f64::from(steps) / 100.0, power);
        move |strength| Loss { brightness: part(brightness, strength.luma), colour: part(colour, strength.chroma) }
    }

    #[test]
    fn the_usual_loss_is_met() {
        for power in [0.85, 0.96, 1.1] {
            for (brightness, colour) in [(0.5, 0.05), (0.5, 0.3)] {
                for usual in [0.55, 0.7, 0.9] {
                    let draft = tile(brightness, colour, power);
                    let loss = draft(strength(GUESS, Loss { brightness: usual, colour: 0.0 }, &draft)).whole();
                    assert!(
                        (loss / usual / AIM - 1.0).abs() < 0.02,
                        "{power} {brightness} {colour}: {loss} for {usual}"
                    );
                }
            }
        }
    }

    #[test]
    fn colour_that_loses_much_gets_finer_steps() {
        let usual = Loss { brightness: 0.7, colour: 0.0 };
        let much = strength(GUESS, usual, tile(0.5, 0.2, 1.0));
        let little = strength(GUESS, usual, tile(0.5, 0.05, 1.0));
        assert!(much.chroma < much.luma && little.chroma > little.luma, "{much:?} {little:?}");
    }

    #[test]
    fn odd_tiles_are_kept_from_extremes() {
        let usual = Loss { brightness: 1.0, colour: 0.0 };
        assert_eq!(strength(GUESS, Loss::default(), tile(0.5, 0.1, 1.0)), GUESS);
        assert_eq!(strength(GUESS, usual, |_| Loss::default()), GUESS);
        assert_eq!(strength(GUESS, usual, tile(1e-9, 0.0, 1.0)).luma, 300);
        assert_eq!(strength(GUESS, usual, tile(1e9, 0.0, 1.0)).luma, 50);
    }
}
