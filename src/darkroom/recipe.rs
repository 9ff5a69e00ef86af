//! What is to be done to a station's picture, as data.

use super::doorway::Match;
use super::retouch::Repair;
pub use crate::tour::{Tone, WhiteBalance};

/// The steps of one station, in the order of the road.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Recipe {
    /// What is altered, in this order.
    pub retouch: Vec<Repair>,
    /// What brings the picture to the look of the room next door, before `tone`.
    pub matched: Option<Match>,
    /// Last of all, so that every repair outlives a change of it.
    pub tone: Tone,
}

impl Recipe {
    /// Nothing to be done: the picture goes the fast road.
    pub fn is_plain(&self) -> bool {
        self.retouch.is_empty() && self.keeps_tone()
    }

    /// Whether light and colour stay as they came, whatever is altered.
    pub fn keeps_tone(&self) -> bool {
        self.matched.is_none() && self.tone == Tone::default()
    }

    /// Adds everything that decides what comes out to a name. Every part has a fixed length, so no two recipes run into each other.
    pub fn name(&self, key: &mut blake3::Hasher) {
        let Tone { exposure_ev, white_balance, highlights, shadows, contrast, local_contrast, saturation, sharpening } =
            self.tone;
        let (kind, first, second) = match white_balance {
            WhiteBalance::AsShot => (0, 0.0, 0.0),
            WhiteBalance::Auto => (1, 0.0, 0.0),
            WhiteBalance::Light { temperature_k, tint } => (2, temperature_k, tint),
            WhiteBalance::Neutral(spot) => (3, spot.longitude(), spot.latitude()),
        };
        key.update(&(self.retouch.len() as u64).to_le_bytes());
        self.retouch.iter().for_each(|repair| repair.name(key));
        key.update(&[kind, u8::from(self.matched.is_some())]);
        let tone = [first, second, exposure_ev, highlights, shadows, contrast, local_contrast, saturation, sharpening];
        let [red, green, blue] = self.matched.map_or([0.0; 3], |matched| matched.factors());
        for number in tone.into_iter().chain([red, green, blue]) {
            // One zero only.
            key.update(&(number + 0.0).to_bits().to_le_bytes());
        }
    }
}
