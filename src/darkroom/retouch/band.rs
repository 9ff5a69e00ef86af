//! A part of a sphere, read once and held for sampling.

use super::flat_light::{cubic, weighed};
use crate::picture::linear::{LinearRows, empty_row, finite};
use crate::sphere::Direction;
use rayon::prelude::*;

/// Rows and columns beyond what is looked at, for sampling.
const MARGIN_PX: f64 = 4.0;

/// Pixels of a sphere around a direction.
pub(super) struct Band {
    /// Of the sphere.
    width: usize,
    height: usize,
    first_row: usize,
    rows: usize,
    /// Counted around the seam.
    first_column: usize,
    columns: usize,
    pixels: Vec<[f32; 3]>,
}

/// Which rows and columns of a sphere of that size lie within an angle of a direction. Columns are counted around the seam:
/// the last may be beyond the width.
pub(super) fn extent(
    (width, height): (usize, usize),
    middle: Direction,
    reach_deg: f64,
) -> (std::ops::Range<usize>, std::ops::Range<usize>) {
    let to_a_degree = width as f64 / 360.0;
    let reach_deg = reach_deg + MARGIN_PX / to_a_degree;
    let latitude = middle.latitude();
    let row = |latitude: f64| (90.0 - latitude.clamp(-90.0, 90.0)) / 180.0 * height as f64;
    let rows = row(latitude + reach_deg).floor() as usize..(row(latitude - reach_deg).ceil() as usize).min(height);
    let sine = libm::sin(reach_deg.to_radians()) / libm::cos(latitude.to_radians());
    if latitude.abs() + reach_deg >= 89.5 || sine >= 1.0 {
        return (rows, 0..width);
    }
    let half = libm::asin(sine).to_degrees();
    let first = ((middle.longitude() - half + 180.0) * to_a_degree).floor();
    let count = ((2.0 * half * to_a_degree).ceil() as usize + 2).min(width);
    let first = first.rem_euclid(width as f64) as usize;
    (rows, first..first + count)
}

impl Band {
    /// What lies within an angle of a direction.
    pub fn around(sphere: &dyn LinearRows, middle: Direction, reach_deg: f64) -> Band {
        let (width, height) = sphere.size();
        let (rows, columns) = extent((width, height), middle, reach_deg);
        let mut pixels = vec![[0.0; 3]; rows.len() * columns.len()];
        pixels.par_chunks_mut(columns.len()).enumerate().for_each_init(
            || empty_row(width),
            |row, (index, kept)| {
                sphere.read(rows.start + index, row);
                for (column, pixel) in columns.clone().zip(kept) {
                    *pixel = [0, 1, 2].map(|channel| finite(row[channel][column % width]));
                }
            },
        );
        Band {
            width,
            height,
            first_row: rows.start,
            rows: rows.len(),
            first_column: columns.start,
            columns: columns.len(),
            pixels,
        }
    }

    /// Light in a direction, given by right, up and ahead of any length. Over a pole the sphere goes on half a turn away. Outside
    /// of what is held, the nearest that is held.
    pub fn sample(&self, [right, up, ahead]: [f64; 3]) -> [f32; 3] {
        let (right, up, ahead) = (right as f32, up as f32, ahead as f32);
        let turn = std::f32::consts::TAU;
        let x = (libm::atan2f(right, ahead) / turn + 0.5) * self.width as f32 - 0.5;
        let around = libm::sqrtf(right * right + ahead * ahead);
        let y = (0.5 - libm::atan2f(up, around) * 2.0 / turn) * self.height as f32 - 0.5;
        let (left, top) = (x.floor(), y.floor());
        let (across, down) = (cubic(x - left), cubic(y - top));
        let (left, top) = (left as isize - 1, top as isize - 1);
        weighed(across, down, |row, column| self.at(top + row as isize, left + column as isize))
    }

    #[inline(always)]
    fn at(&self, row: isize, column: isize) -> [f32; 3] {
        let (height, width) = (self.height as isize, self.width as isize);
        let (row, column) = match row {
            row if row < 0 => (-1 - row, column + width / 2),
            row if row >= height => (2 * height - 1 - row, column + width / 2),
            row => (row, column),
        };
        let row = (row - self.first_row as isize).clamp(0, self.rows as isize - 1) as usize;
        let column = (column - self.first_column as isize).rem_euclid(width) as usize;
        // What lies left of the first column comes out as nearly a whole turn.
        let column = match column {
            column if column < self.columns => column,
            column if column > (self.columns + self.width) / 2 => 0,
            _ => self.columns - 1,
        };
        self.pixels[row * self.columns + column]
    }
}
