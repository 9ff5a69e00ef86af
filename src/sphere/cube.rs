//! The cube, face by face, as the OpenGL cube map has it (ARB_texture_cube_map, table of section 3.8.10).

use super::Direction;

/// One side of the cube. `Px` looks along +X, and so on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Face {
    Px,
    Nx,
    Py,
    Ny,
    Pz,
    Nz,
}

impl Face {
    /// All six, in OpenGL's order.
    pub const ALL: [Face; 6] = [Face::Px, Face::Nx, Face::Py, Face::Ny, Face::Pz, Face::Nz];

    /// `px`, `nx`, `py`, `ny`, `pz` or `nz`.
    pub fn name(self) -> &'static str {
        ["px", "nx", "py", "ny", "pz", "nz"][self as usize]
    }

    /// The three vectors of a face: `direction = a·across + b·down + centre`, with a and b in −1..=1 over the face
    /// (a to the right, b down); beyond that on the face's plane outside it. Each is (right, up, ahead).
    pub fn axes(self) -> FaceAxes {
        let [across, down, centre] = match self {
            Face::Px => [[0., 0., -1.], [0., -1., 0.], [1., 0., 0.]],
            Face::Nx => [[0., 0., 1.], [0., -1., 0.], [-1., 0., 0.]],
            Face::Py => [[1., 0., 0.], [0., 0., 1.], [0., 1., 0.]],
            Face::Ny => [[1., 0., 0.], [0., 0., -1.], [0., -1., 0.]],
            Face::Pz => [[1., 0., 0.], [0., -1., 0.], [0., 0., 1.]],
            Face::Nz => [[-1., 0., 0.], [0., -1., 0.], [0., 0., -1.]],
        };
        FaceAxes { across, down, centre }
    }

    /// The direction of a point of the face, `s` and `t` in 0..=1 from its top left corner.
    pub fn direction(self, s: f64, t: f64) -> Direction {
        let FaceAxes { across, down, centre } = self.axes();
        let (a, b) = (2.0 * s - 1.0, 2.0 * t - 1.0);
        let at = |i: usize| a * across[i] + b * down[i] + centre[i];
        Direction::normalized(at(0), at(1), at(2))
    }

    /// The face that a direction falls on, and its `s` and `t` there. On an edge the earlier of [`Face::ALL`].
    pub fn of(direction: Direction) -> (Face, f64, f64) {
        let d = [direction.right, direction.up, direction.ahead];
        let axis = (0..3).fold(0, |best, i| if d[i].abs() > d[best].abs() { i } else { best });
        let face = Face::ALL[2 * axis + usize::from(d[axis] < 0.0)];
        let FaceAxes { across, down, .. } = face.axes();
        let dot = |v: [f64; 3]| (v[0] * d[0] + v[1] * d[1] + v[2] * d[2]) / d[axis].abs();
        (face, (dot(across) + 1.0) / 2.0, (dot(down) + 1.0) / 2.0)
    }
}

/// See [`Face::axes`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct FaceAxes {
    pub across: [f64; 3],
    pub down: [f64; 3],
    pub centre: [f64; 3],
}
