//! A flat window on the sphere, and where each of its pixels lies in an equirectangular plane.
//!
//! Positions are computed for a row at a time in single precision, with one polynomial for the arctangent, in a fixed
//! order and without fused multiply-add: the same bits on every machine and for every vector width. The error against
//! double precision stays below 1/100 of a pixel up to 32768 columns (tested below).

use super::source::{PAD, Plane};
use super::wide;
use crate::sphere::Rotation;

/// A rectangle of pixels on a plane before the eye: `direction = a·across + b·down + centre`, with
/// `a = (2(i + ½) − width) / unit` for pixel column i, and b alike for rows.
#[derive(Clone, Copy, Debug)]
pub(super) struct Window {
    /// Right, up, ahead of one step across, in the frame of the picture that is sampled.
    pub across: [f64; 3],
    /// The same for one step down.
    pub down: [f64; 3],
    /// Towards the middle of the window.
    pub centre: [f64; 3],
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Columns that make `a` grow by 2.
    pub unit: f64,
}

impl Window {
    /// The same window seen in another frame.
    pub fn turned(self, rotation: Rotation) -> Window {
        let turn = |v: [f64; 3]| {
            let m = rotation.0;
            [0, 1, 2].map(|row| m[row][0] * v[0] + m[row][1] * v[1] + m[row][2] * v[2])
        };
        Window { across: turn(self.across), down: turn(self.down), centre: turn(self.centre), ..self }
    }

    /// Where the pixels of one row lie in `plane`: columns of its padded samples, in 1/256 of a pixel.
    pub fn columns(&self, row: usize, plane: &Plane, columns: &mut [i32]) {
        let scale = 256.0 * plane.width as f64 / std::f64::consts::TAU;
        let offset = 128 * (plane.width + 2 * PAD) as i32 - 128;
        wide::dispatch!(columns_of, columns_of_avx2, (&self.line(row), scale as f32, offset, columns));
    }

    /// The same for rows.
    pub fn rows(&self, row: usize, plane: &Plane, rows: &mut [i32]) {
        let scale = -256.0 * plane.height as f64 / std::f64::consts::PI;
        let offset = 128 * (plane.height + 2 * PAD) as i32 - 128;
        wide::dispatch!(rows_of, rows_of_avx2, (&self.line(row), scale as f32, offset, rows));
    }

    /// Whether every row has the same columns: a window that stands upright, as the four side faces do without tilt.
    pub fn has_steady_columns(&self) -> bool {
        self.down[0] == 0.0 && self.down[2] == 0.0
    }

    fn line(&self, row: usize) -> Line {
        let b = (2.0 * (row as f64 + 0.5) - self.height as f64) / self.unit;
        Line {
            start: [0, 1, 2].map(|i| (self.centre[i] + b * self.down[i]) as f32),
            across: self.across.map(|v| v as f32),
            first: 1.0 - self.width as f32,
            inverse_unit: (1.0 / self.unit) as f32,
        }
    }
}

/// One row of a window in single precision.
struct Line {
    start: [f32; 3],
    across: [f32; 3],
    first: f32,
    inverse_unit: f32,
}

impl Line {
    /// Right, up, ahead of a pixel, not brought to length 1.
    #[inline(always)]
    fn direction(&self, pixel: usize) -> [f32; 3] {
        let a = (self.first + 2.0 * (pixel as i32 as f32)) * self.inverse_unit;
        [0, 1, 2].map(|i| self.start[i] + a * self.across[i])
    }
}

wide::widened! {
    fn columns_of / columns_of_avx2 (line: &Line, scale: f32, offset: i32, columns: &mut [i32]) {
        for (i, column) in columns.iter_mut().enumerate() {
            let [right, _, ahead] = line.direction(i);
            *column = rounded(arctangent(right, ahead) * scale) + offset;
        }
    }
}

wide::widened! {
    fn rows_of / rows_of_avx2 (line: &Line, scale: f32, offset: i32, rows: &mut [i32]) {
        for (i, row) in rows.iter_mut().enumerate() {
            let [right, up, ahead] = line.direction(i);
            *row = rounded(arctangent(up, (right * right + ahead * ahead).sqrt()) * scale) + offset;
        }
    }
}

/// To the nearest whole number, for values up to 2²²: beside 1.5·2²³ a float has no room for a fraction, and its bits count
/// in ones. A conversion that saturates would not be done in vectors.
#[inline(always)]
fn rounded(value: f32) -> i32 {
    const ROOM: f32 = 12_582_912.0;
    ((value + ROOM).to_bits() as i32).wrapping_sub(ROOM.to_bits() as i32)
}

/// The angle of (x, y) from the y axis towards x, −π..=π: a polynomial of degree 15 in the smaller ratio, fitted here to
/// 4·10⁻⁸ by iterated least squares over (0, 1).
#[inline(always)]
fn arctangent(x: f32, y: f32) -> f32 {
    const C: [f32; 8] = [
        0.999_999_34,
        -0.333_298_6,
        0.199_465_65,
        -0.139_086_29,
        0.096_421_94,
        -0.055_912_286,
        0.021_862_93,
        -0.004_054_559,
    ];
    let (ax, ay) = (x.abs(), y.abs());
    // Comparisons instead of `max` and `min`, which would spend instructions on NaN.
    let (smaller, larger) = if ax > ay { (ay, ax) } else { (ax, ay) };
    let ratio = smaller / if larger > f32::MIN_POSITIVE { larger } else { f32::MIN_POSITIVE };
    let s = ratio * ratio;
    let polynomial = C.iter().rev().fold(0.0, |sum, &c| sum * s + c);
    let octant = polynomial * ratio;
    let quadrant = if ax > ay { std::f32::consts::FRAC_PI_2 - octant } else { octant };
    let half = if y < 0.0 { std::f32::consts::PI - quadrant } else { quadrant };
    half.copysign(x)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sphere::{Direction, Face};

    fn plane(width: usize) -> Plane {
        // Only the sizes matter here.
        Plane { width, height: width / 2, stride: width + 2 * PAD, samples: Vec::new() }
    }

    /// Worst distance on the sphere, in pixels of the equator, between single-precision positions and libm's double ones.
    fn worst_error(width: usize, face_px: usize, level: Rotation) -> f64 {
        let plane = plane(width);
        let mut worst: f64 = 0.0;
        for face in Face::ALL {
            let axes = face.axes();
            let window = Window {
                across: axes.across,
                down: axes.down,
                centre: axes.centre,
                width: face_px,
                height: face_px,
                unit: face_px as f64,
            }
            .turned(level.inverse());
            let (mut columns, mut rows) = (vec![0; face_px], vec![0; face_px]);
            for row in (0..face_px).step_by(37).chain([0, face_px / 2, face_px - 1]) {
                window.columns(row, &plane, &mut columns);
                window.rows(row, &plane, &mut rows);
                for column in 0..face_px {
                    let s = (column as f64 + 0.5) / face_px as f64;
                    let t = (row as f64 + 0.5) / face_px as f64;
                    let exact = level.inverse().apply(face.direction(s, t));
                    let at = |position: i32| f64::from(position) / 256.0 - PAD as f64 + 0.5;
                    let found = Direction::from_degrees(
                        (at(columns[column]) / width as f64 - 0.5) * 360.0,
                        (0.5 - at(rows[column]) / plane.height as f64) * 180.0,
                    );
                    worst = worst.max(found.angle_to(exact) / 360.0 * width as f64);
                }
            }
        }
        worst
    }

    #[test]
    fn positions_agree_with_double_precision() {
        // 1/256 of a pixel is the step of a position: half of it in each axis is lost by rounding alone.
        for (width, level) in [
            (512, Rotation::IDENTITY),
            (8192, Rotation::IDENTITY),
            (8192, Rotation::from_tilt(7.0, -11.0)),
            (32768, Rotation::from_tilt(-3.0, 2.0)),
        ] {
            let worst = worst_error(width, width / 8 + 1, level);
            assert!(worst < 0.01, "{width} columns: {worst} pixels");
        }
    }

    #[test]
    fn a_window_turned_past_a_pole_stays_inside_the_plane() {
        let plane = plane(4096);
        let level = Rotation::from_tilt(-90.0, 0.0);
        let axes = Face::Pz.axes();
        let window =
            Window { across: axes.across, down: axes.down, centre: axes.centre, width: 3, height: 3, unit: 1e9 };
        let (mut columns, mut rows) = ([0; 3], [0; 3]);
        for row in 0..3 {
            window.turned(level).columns(row, &plane, &mut columns);
            window.turned(level).rows(row, &plane, &mut rows);
            assert!(columns.iter().all(|&c| (256..=(4096 + 2 * PAD as i32 - 3) * 256).contains(&c)), "{columns:?}");
            assert!(rows.iter().all(|&r| (256..=(2048 + 2 * PAD as i32 - 3) * 256).contains(&r)), "{rows:?}");
        }
    }
}
