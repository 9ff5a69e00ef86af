//! One room brought to the look of the next.

/// What is to be done to a room's light so that it looks as it does from next door.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Match {
    /// Stops.
    pub exposure_ev: f64,
    /// Factors of red, green and blue in linear BT.2020; a white keeps its luminance.
    pub gains: [f64; 3],
}

impl Match {
    /// Exposure and gains as one factor a channel.
    pub fn factors(&self) -> [f64; 3] {
        self.gains.map(|gain| gain * libm::exp2(self.exposure_ev))
    }
}
