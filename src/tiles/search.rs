//! Which quantisation tables make a tile small and lose no more than the usual ones.
//!
//! A draft is encoded and compared, and the strength corrected by what it lost: over all pictures tried, loss grows nearly in
//! proportion to the steps (power 0.9 ± 0.2). So one draft is enough where the first guess was near, and two elsewhere.
//!
//! Numbers here were fitted to SSIMULACRA2 on every eleventh tile of three detailed noise pictures with sensor grain (what
//! `benches/make_pictures.py` makes with seeds 0 to 2) and of two rendered rooms (the hall and the bedroom of the sample
//! tour). The power below was settled with four more pictures in sight (seeds 3 and 7, the kitchen and the terrace), and
//! with whole pictures of seed 10 too: none of these is an independent check of it. No camera's photograph was among them.

use super::loss::Loss;
use super::quantisation::Strength;

/// The loss aimed at is the usual one to this power. So tiles that lose more than 1 may lose a little more still and the
/// others have to lose a little less: detail that is dear to keep pays for a good middle.
const AIM_POWER: f64 = 1.03;
/// What the measure gives away: the loss is a part of SSIMULACRA2, and at equal loss its score comes out a little higher.
const AIM_FACTOR: f64 = 1.006;

/// Where colour has more than this share of the usual loss, finer steps for it cost least.
const COLOUR_SHARE: f64 = 0.22;
/// Steps of chroma by those of luma there.
const FINE_CHROMA: f64 = 0.8;

/// By how much tables end up coarser than guessed, on average.
const COARSER_THAN_GUESSED: f64 = 1.06;
/// A strength this near the draft's own needs no draft of its own: its loss is foreseen to about two per cent.
const NEAR: f64 = 0.12;
const MOST_DRAFTS: usize = 2;

/// Bounds in percent that keep an odd tile from extremes.
const STRENGTHS: std::ops::RangeInclusive<f64> = 50.0..=300.0;

/// The strength at which a tile loses about as much as with the usual tables, from one or two drafts, the first near a guess.
pub(super) fn strength(guess: Strength, usual: Loss, draft: impl Fn(Strength) -> Loss) -> Strength {
    let whole = usual.whole();
    if whole <= 0.0 {
        // Plain black, or too small to be seen.
        return guess;
    }
    let aim = AIM_FACTOR * libm::pow(whole, AIM_POWER);
    let chroma = if usual.colour > COLOUR_SHARE * whole { FINE_CHROMA } else { 1.0 };
    let strength = |luma: f64| Strength { luma: bounded(luma), chroma: bounded(luma * chroma) };
    let mut best = strength(f64::from(guess.luma) * COARSER_THAN_GUESSED);
    for _ in 0..MOST_DRAFTS {
        let loss = draft(best).whole();
        if loss <= 0.0 {
            break;
        }
        let coarser = aim / loss;
        best = strength(f64::from(best.luma) * coarser);
        if (coarser - 1.0).abs() <= NEAR {
            break;
        }
    }
    best
}

fn bounded(percent: f64) -> u32 {
    percent.clamp(*STRENGTHS.start(), *STRENGTHS.end()).round() as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    const GUESS: Strength = Strength { luma: 120, chroma: 120 };

    /// A tile that loses in proportion to its steps, but for a power.
    fn tile(brightness: f64, colour: f64, power: f64) -> impl Fn(Strength) -> Loss {
        let part = move |weight: f64, steps: u32| weight * libm::pow(f64::from(steps) / 100.0, power);
        move |strength| Loss { brightness: part(brightness, strength.luma), colour: part(colour, strength.chroma) }
    }

    /// All of it in brightness.
    fn usual(brightness: f64) -> Loss {
        Loss { brightness, colour: 0.0 }
    }

    #[test]
    fn the_usual_loss_is_met() {
        for power in [0.8, 0.9, 1.1] {
            for (brightness, colour) in [(0.5, 0.05), (0.5, 0.3)] {
                for whole in [0.55, 0.7, 0.9, 1.2] {
                    let draft = tile(brightness, colour, power);
                    let loss = draft(strength(GUESS, usual(whole), &draft)).whole();
                    let off = loss / (AIM_FACTOR * libm::pow(whole, AIM_POWER)) - 1.0;
                    assert!(off.abs() < 0.05, "{power} {brightness} {colour}: {loss} for {whole}");
                }
            }
        }
    }

    #[test]
    fn one_draft_is_enough_near_the_guess() {
        let drafts = |whole: f64| {
            let (count, draft) = (Cell::new(0), tile(0.5, 0.1, 0.9));
            strength(GUESS, usual(whole), |strength| {
                count.set(count.get() + 1);
                draft(strength)
            });
            count.get()
        };
        assert_eq!([0.5, 0.75, 1.0].map(drafts), [2, 1, 2]);
    }

    #[test]
    fn colour_that_loses_much_gets_finer_steps() {
        let chroma_by_luma = |colour: f64| {
            let found = strength(GUESS, Loss { brightness: 0.6, colour }, tile(0.5, colour, 1.0));
            f64::from(found.chroma) / f64::from(found.luma)
        };
        assert!((chroma_by_luma(0.2) - FINE_CHROMA).abs() < 0.01);
        assert_eq!(chroma_by_luma(0.1), 1.0);
    }

    #[test]
    fn odd_tiles_are_kept_from_extremes() {
        assert_eq!(strength(GUESS, Loss::default(), tile(0.5, 0.1, 1.0)), GUESS);
        assert_eq!(strength(GUESS, usual(1.0), |_| Loss::default()).luma, 127);
        assert_eq!(strength(GUESS, usual(1.0), tile(1e-9, 0.0, 1.0)).luma, 300);
        assert_eq!(strength(GUESS, usual(1.0), tile(1e9, 0.0, 1.0)).luma, 50);
    }
}
