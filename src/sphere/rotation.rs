//! Rotations of the sphere, and tilt as GPano's pose fields mean it.

use super::Direction;

/// A rotation as a matrix over (right, up, ahead): `to = matrix · from`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rotation(pub [[f64; 3]; 3]);

impl Rotation {
    /// Leaves everything where it is.
    pub const IDENTITY: Rotation = Rotation([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);

    /// From the camera's frame to the level frame, for a camera that pitched its centre up by `pitch` and then
    /// rolled its right side down by `roll` (degrees).
    ///
    /// The intrinsic order is heading, pitch, roll, as GPano's pose fields have it; heading is left out here.
    /// In axes East, North, Up that is `Rx(pitch)·Ry(roll)`; rows and columns here are right, up, ahead.
    pub fn from_tilt(pitch: f64, roll: f64) -> Self {
        let (p, r) = (pitch.to_radians(), roll.to_radians());
        let (sp, cp, sr, cr) = (libm::sin(p), libm::cos(p), libm::sin(r), libm::cos(r));
        Rotation([[cr, sr, 0.0], [-cp * sr, cp * cr, sp], [sp * sr, -sp * cr, cp]])
    }

    /// The rotation that undoes this one.
    pub fn inverse(self) -> Self {
        let m = self.0;
        Rotation([[m[0][0], m[1][0], m[2][0]], [m[0][1], m[1][1], m[2][1]], [m[0][2], m[1][2], m[2][2]]])
    }

    /// Where a direction goes.
    pub fn apply(self, d: Direction) -> Direction {
        let m = self.0;
        Direction {
            right: m[0][0] * d.right + m[0][1] * d.up + m[0][2] * d.ahead,
            up: m[1][0] * d.right + m[1][1] * d.up + m[1][2] * d.ahead,
            ahead: m[2][0] * d.right + m[2][1] * d.up + m[2][2] * d.ahead,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sign checks of the intrinsic heading, pitch, roll order; the published matrices are tested in `tests/suite`.
    #[test]
    fn pitch_and_roll_have_gpanos_signs() {
        // Pitch +10: the horizon ahead is seen at latitude −10 of the picture.
        let seen = Rotation::from_tilt(10.0, 0.0).inverse().apply(Direction::from_degrees(0.0, 0.0));
        assert!((seen.latitude() + 10.0).abs() < 1e-9);
        // Roll +10 (right side down): a level horizon is seen at +10 on the right.
        let seen = Rotation::from_tilt(0.0, 10.0).inverse().apply(Direction::from_degrees(90.0, 0.0));
        assert!((seen.latitude() - 10.0).abs() < 1e-9);
    }
}
