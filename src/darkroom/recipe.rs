//! What is to be done to a station's picture, as data.

use crate::sphere::Spot;

/// The steps of one station, in the order of the road.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Recipe {
    /// Last of all, so that every repair outlives a change of it.
    pub tone: Tone,
}

/// How light, dark, warm, strong and crisp a picture is. All zero: as it came.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tone {
    /// Stops: one more doubles the light. −5..=5.
    pub exposure_ev: f64,
    /// What counts as neutral.
    pub white_balance: WhiteBalance,
    /// Bright parts darker (below 0, down to −1) or brighter (up to 1), what surrounds a pixel deciding.
    pub highlights: f64,
    /// Dark parts darker (down to −1) or brighter (up to 1), what surrounds a pixel deciding.
    pub shadows: f64,
    /// Light and dark further apart (up to 1) or closer (down to −1) about middle grey.
    pub contrast: f64,
    /// The same for a pixel against its surroundings: −1..=1.
    pub local_contrast: f64,
    /// Stronger (up to 1) or weaker colours; −1 is grey.
    pub saturation: f64,
    /// Finest detail stronger, 0..=1.
    pub sharpening: f64,
}

/// What counts as neutral.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum WhiteBalance {
    /// As the camera saw it.
    #[default]
    AsShot,
    /// Worked out from the picture.
    Auto,
    /// The light's own colour: what it lit becomes neutral. 6504 K and no tint change nothing in a picture whose white is D65.
    Light {
        /// Correlated colour temperature, 2000..=25000.
        temperature_k: f64,
        /// Distance from the locus of daylight or glow in 1/1000 of CIE 1960 v and u, green side above 0: −50..=50.
        tint: f64,
    },
    /// A place in the picture that is grey in truth.
    Neutral(Spot),
}

impl Recipe {
    /// Nothing to be done: the picture goes the fast road.
    pub fn is_plain(&self) -> bool {
        self.tone == Tone::default()
    }
}
