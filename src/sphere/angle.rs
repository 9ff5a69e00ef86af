//! Angles that cannot hold a wrong value.

/// Compass angle in degrees clockwise from north, 0 ≤ heading < 360.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Heading(f64);

/// Degrees above the horizon, −90 (nadir) to +90 (zenith).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Elevation(f64);

/// A number outside the range of its type.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{value} is outside {low}..{high}")]
pub struct RangeError {
    /// What was given.
    pub value: f64,
    /// Lowest value allowed.
    pub low: f64,
    /// Highest value allowed.
    pub high: f64,
}

impl Heading {
    /// `degrees` in 0..=360; 360 is the same as 0.
    ///
    /// # Errors
    /// Outside that range, or not a number.
    pub fn new(degrees: f64) -> Result<Self, RangeError> {
        if (0.0..=360.0).contains(&degrees) {
            Ok(Heading(if degrees == 360.0 { 0.0 } else { degrees }))
        } else {
            Err(RangeError { value: degrees, low: 0.0, high: 360.0 })
        }
    }

    /// Any finite angle, brought into 0..360.
    pub fn wrapping(degrees: f64) -> Self {
        let wrapped = degrees.rem_euclid(360.0);
        // rem_euclid of a tiny negative number rounds up to 360 itself.
        Heading(if wrapped >= 360.0 { 0.0 } else { wrapped })
    }

    /// Degrees, 0 ≤ heading < 360.
    pub fn degrees(self) -> f64 {
        self.0
    }
}

impl Elevation {
    /// `degrees` in −90..=90.
    ///
    /// # Errors
    /// Outside that range, or not a number.
    pub fn new(degrees: f64) -> Result<Self, RangeError> {
        if (-90.0..=90.0).contains(&degrees) {
            Ok(Elevation(degrees))
        } else {
            Err(RangeError { value: degrees, low: -90.0, high: 90.0 })
        }
    }

    /// Degrees, −90 to +90.
    pub fn degrees(self) -> f64 {
        self.0
    }
}

/// Any finite angle brought into −180 ≤ angle < 180.
pub fn wrap_degrees(degrees: f64) -> f64 {
    Heading::wrapping(degrees + 180.0).degrees() - 180.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_wrap_into_one_turn() {
        assert_eq!(Heading::wrapping(-10.0).degrees(), 350.0);
        assert_eq!(Heading::wrapping(720.0).degrees(), 0.0);
        assert_eq!(Heading::wrapping(-1e-18).degrees(), 0.0);
        assert_eq!(Heading::new(360.0).unwrap().degrees(), 0.0);
        assert!(Heading::new(360.5).is_err());
        assert!(Heading::new(f64::NAN).is_err());
        assert_eq!(wrap_degrees(180.0), -180.0);
        assert_eq!(wrap_degrees(-190.0), 170.0);
    }
}
