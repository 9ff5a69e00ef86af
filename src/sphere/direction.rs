//! Directions as unit vectors, and spots as the photographer writes them.

use super::{Elevation, Heading, RangeError, wrap_degrees};

/// A direction as a unit vector: right, up, ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction {
    /// To the right of the centre column.
    pub right: f64,
    /// Towards the zenith.
    pub up: f64,
    /// Towards the centre column.
    pub ahead: f64,
}

/// A direction in a picture's own frame: longitude −180..=180 to the right of the centre column, latitude −90..=90 up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    longitude: f64,
    latitude: f64,
}

impl Spot {
    /// Degrees.
    ///
    /// # Errors
    /// The number that lies outside its range.
    pub fn new(longitude: f64, latitude: f64) -> Result<Self, RangeError> {
        if !(-180.0..=180.0).contains(&longitude) {
            return Err(RangeError { value: longitude, low: -180.0, high: 180.0 });
        }
        Elevation::new(latitude)?;
        Ok(Spot { longitude, latitude })
    }

    /// Degrees to the right of the centre column, −180..=180.
    pub fn longitude(self) -> f64 {
        self.longitude
    }

    /// Degrees above the picture's equator, −90..=90.
    pub fn latitude(self) -> f64 {
        self.latitude
    }

    /// The same as a vector.
    pub fn direction(self) -> Direction {
        Direction::from_degrees(self.longitude, self.latitude)
    }
}

impl Direction {
    /// From longitude and latitude in degrees. `(cos lat sin lon, sin lat, cos lat cos lon)`.
    pub fn from_degrees(longitude: f64, latitude: f64) -> Self {
        let (lon, lat) = (longitude.to_radians(), latitude.to_radians());
        Direction { right: libm::cos(lat) * libm::sin(lon), up: libm::sin(lat), ahead: libm::cos(lat) * libm::cos(lon) }
    }

    /// The vector brought to length 1. A vector of no length becomes "ahead".
    pub fn normalized(right: f64, up: f64, ahead: f64) -> Self {
        let length = libm::sqrt(right * right + up * up + ahead * ahead);
        if length > 0.0 {
            Direction { right: right / length, up: up / length, ahead: ahead / length }
        } else {
            Direction { right: 0.0, up: 0.0, ahead: 1.0 }
        }
    }

    /// Degrees to the right of "ahead", −180 ≤ longitude < 180; 0 at a pole.
    pub fn longitude(self) -> f64 {
        wrap_degrees(libm::atan2(self.right, self.ahead).to_degrees())
    }

    /// Degrees above the horizon, −90..=90.
    pub fn latitude(self) -> f64 {
        libm::atan2(self.up, libm::hypot(self.right, self.ahead)).to_degrees()
    }

    /// The compass angle, where "ahead" faces `centre`.
    pub fn heading(self, centre: Heading) -> Heading {
        Heading::wrapping(self.longitude() + centre.degrees())
    }

    /// Angle between two directions in degrees, 0..=180, by the Vincenty form (exact for tiny angles too).
    pub fn angle_to(self, other: Direction) -> f64 {
        let cross = (
            self.up * other.ahead - self.ahead * other.up,
            self.ahead * other.right - self.right * other.ahead,
            self.right * other.up - self.up * other.right,
        );
        let sine = libm::sqrt(cross.0 * cross.0 + cross.1 * cross.1 + cross.2 * cross.2);
        let cosine = self.right * other.right + self.up * other.up + self.ahead * other.ahead;
        libm::atan2(sine, cosine).to_degrees()
    }
}

/// Right, up, ahead.
impl From<Direction> for [f64; 3] {
    fn from(direction: Direction) -> Self {
        [direction.right, direction.up, direction.ahead]
    }
}
