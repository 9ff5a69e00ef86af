//! Which quantisation tables make a tile small and lose no more than the usual ones.
//!
//! A draft is encoded and compared, and the strength corrected by what it lost: over all pictures tried, loss grows nearly in
//! proportion to the steps (power 0.96 ± 0.1), so that one or two drafts come close.

use super::loss::Loss;
use super::quantisation::Strength;

/// Share of the usual loss that is aimed at: a twentieth of a point of SSIMULACRA2 in hand.
const AIM: f64 = 0.99;
/// Drafts that are made at most.
const MOST_DRAFTS: usize = 2;
/// A draft whose loss is this near to its aim needs no other.
const NEAR: f64 = 0.06;

/// Where colour has more than this share of the loss, finer steps for it cost least.
const COLOUR_SHARE: f64 = 0.19;
/// Steps of chroma by those of luma, in percent, above and below that share.
const FINE_CHROMA_PERCENT: f64 = 80.0;
const COARSE_CHROMA_PERCENT: f64 = 120.0;

/// Bounds that keep an odd tile from extremes.
const STRENGTHS: std::ops::RangeInclusive<f64> = 50.0..=300.0;

/// The strength at which a tile loses about as much as with the usual tables, by drafts that begin with a guess.
pub(super) fn strength(guess: Strength, usual: Loss, draft: impl Fn(Strength) -> Loss) -> Strength {
    let aim = AIM * usual.whole();
    let first = draft(guess);
    if aim <= 0.0 || first.whole() <= 0.0 {
        // Plain black, or too small to be seen.
        return guess;
    }
    let chroma_percent =
        if first.colour > COLOUR_SHARE * first.whole() { FINE_CHROMA_PERCENT } else { COARSE_CHROMA_PERCENT };
    let strength = |luma: f64| Strength { luma: bounded(luma), chroma: bounded(luma * chroma_percent / 100.0) };
    let mut luma = f64::from(guess.luma) * aim / (first.brightness + first.colour * chroma_percent / 100.0);
    for _ in 1..MOST_DRAFTS {
        let correction = aim / draft(strength(luma)).whole();
        luma *= correction;
        if (correction - 1.0).abs() < NEAR {
            break;
        }
    }
    strength(luma)
}

fn bounded(percent: f64) -> u32 {
    percent.clamp(*STRENGTHS.start(), *STRENGTHS.end()).round() as u32
}
