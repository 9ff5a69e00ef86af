//! Tone and colour: the last step of the road, from light to what is seen.
//!
//! In this order, on every pixel: match, white balance and exposure (one matrix, and care for what is clipped), highlights, shadows, local contrast and contrast (one factor
//! for all three channels, from the pixel's own light and its surroundings'), a shoulder for what that pushed above
//! white, saturation, a soft way into sRGB, its curve; sharpening of the finished luma last. A control at 0 does nothing at
//! all, and a grey stays exactly grey under every control but white balance.
//!
//! Two things are found out from the picture first, on a survey of 1024 columns: what surrounds each place,
//! and how far the brightest light and the strongest colour reach. All that differs from place to place is worked out on
//! the sphere: it goes on over ±180° and over the poles.

mod balance;
mod colour;
mod finish;
mod light;
mod logarithm;
mod neutral;
mod plan;
mod sharpen;
mod spread;
mod surroundings;
pub(super) mod survey;
mod white;

pub use finish::Finished;

use super::Tone;
use super::doorway::Match;
use crate::picture::linear::LinearRows;
use neutral::Light;

/// Gives a picture its tone. `matched` is done to its light before everything else: what brings it to the look of the
/// room next door. Controls outside their ranges count as the end of the range.
///
/// Reads the picture once for its survey; what comes out is made when it is asked for.
pub fn develop<'a>(rows: &'a dyn LinearRows, tone: &Tone, matched: Option<&Match>) -> Finished<'a> {
    develop_like(rows, rows, tone, matched)
}

/// The same, with everything that is found out from a picture found out from `model`, another one of the same size.
pub fn develop_like<'a>(
    rows: &'a dyn LinearRows,
    model: &dyn LinearRows,
    tone: &Tone,
    matched: Option<&Match>,
) -> Finished<'a> {
    Finished { rows, plan: plan::Plan::of(model, tone, matched) }
}
