//! A shot turned into place on the sphere.

use super::align::angle_deg;
use super::stack::{over_the_pole, turn_half};
use crate::picture::linear::LinearPicture;
use crate::picture::linear::{LinearRows, Row, empty_row, finite};
use crate::sphere::{Direction, Rotation};
use half::slice::HalfFloatSliceExt;
use rayon::prelude::*;

/// Rows that are made at once.
const STRIP_ROWS: usize = 64;

/// The shot as the reference's frame has it: what is seen in direction d lies in the shot in direction `rotation`·d. Sampled
/// with Catmull and Rom's cubic (Keys, "Cubic convolution interpolation for digital image processing", IEEE Trans. ASSP 29(6), 1981, a = −½) around the
/// seam and over the poles. Sets aside a picture of half floats, six bytes a pixel.
pub(super) fn turned(shot: &dyn LinearRows, rotation: Rotation) -> LinearPicture {
    let (width, height) = shot.size();
    let mut picture = LinearPicture::black(width, height);
    let [red, green, blue] = &mut picture.planes;
    let length = STRIP_ROWS * width;
    red.par_chunks_mut(length).zip(green.par_chunks_mut(length)).zip(blue.par_chunks_mut(length)).enumerate().for_each(
        |(index, ((red, green), blue))| {
            let first = index * STRIP_ROWS;
            let window = Window::read(shot, (first, red.len() / width), rotation);
            let (mut row, mut places) = (empty_row(width), vec![[0.0; 2]; width]);
            let rows = red.chunks_exact_mut(width).zip(green.chunks_exact_mut(width)).zip(blue.chunks_exact_mut(width));
            for (index, ((red, green), blue)) in rows.enumerate() {
                find_places(first + index, (width, height), rotation, &mut places);
                window.sample(&places, &mut row);
                for (kept, made) in [red, green, blue].into_iter().zip(&row) {
                    kept.convert_from_f32_slice(made);
                }
            }
        },
    );
    picture
}

/// Rows of a shot, enough for a strip that is turned.
struct Window {
    first: isize,
    width: usize,
    rows: Vec<Row>,
}

impl Window {
    fn read(shot: &dyn LinearRows, (first, count): (usize, usize), rotation: Rotation) -> Window {
        let (width, height) = shot.size();
        // A rotation moves no direction further than its own angle; cubic sampling wants two rows more.
        let reach = (angle_deg(rotation) / 180.0 * height as f64).ceil() as isize + 3;
        let first = first as isize - reach;
        let rows = first..first + count as isize + 2 * reach;
        let read = |y| {
            let (y, opposite) = over_the_pole(y, height);
            let mut row = empty_row(width);
            shot.read(y, &mut row);
            for channel in &mut row {
                channel.iter_mut().for_each(|value| *value = finite(*value));
                if opposite {
                    turn_half(channel, width);
                }
            }
            row
        };
        Window { first, width, rows: rows.map(read).collect() }
    }

    /// The colours at places given as column and row, counted from pixel centres.
    fn sample(&self, places: &[[f64; 2]], row: &mut Row) {
        for (index, &[x, y]) in places.iter().enumerate() {
            let (column, line) = (x.floor(), y.floor());
            let (across, down) = (cubic((x - column) as f32), cubic((y - line) as f32));
            let columns: [usize; 4] = std::array::from_fn(|tap| {
                (column as isize + tap as isize - 1).rem_euclid(self.width as isize) as usize
            });
            let top = line as isize - 1 - self.first;
            let top = top.clamp(0, self.rows.len() as isize - 4) as usize;
            for (channel, made) in row.iter_mut().enumerate() {
                let line = |tap: usize| {
                    let row = &self.rows[top + tap][channel];
                    (across[0] * row[columns[0]] + across[1] * row[columns[1]])
                        + (across[2] * row[columns[2]] + across[3] * row[columns[3]])
                };
                made[index] = finite((down[0] * line(0) + down[1] * line(1)) + (down[2] * line(2) + down[3] * line(3)));
            }
        }
    }
}

/// Keys' weights, a = −½, of the four pixels about a place `t` after the second.
fn cubic(t: f32) -> [f32; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [-0.5 * t + t2 - 0.5 * t3, 1.0 - 2.5 * t2 + 1.5 * t3, 0.5 * t + 2.0 * t2 - 1.5 * t3, -0.5 * t2 + 0.5 * t3]
}

/// Between how many columns places are exact; the ones between lie on a line, which is true to less than a hundredth of a pixel.
const EXACT_EVERY: usize = 8;
/// Nearer to a pole than this every place is exact.
const POLE_DEG: f64 = 12.0;

fn find_places(y: usize, (width, height): (usize, usize), rotation: Rotation, places: &mut [[f64; 2]]) {
    let latitude = std::f64::consts::PI * (0.5 - (y as f64 + 0.5) / height as f64);
    let (up, around) = (libm::sin(latitude), libm::cos(latitude));
    let turn = std::f64::consts::TAU;
    let exact = |x: usize| {
        let longitude = turn * ((x as f64 + 0.5) / width as f64 - 0.5);
        let direction = Direction { right: around * libm::sin(longitude), up, ahead: around * libm::cos(longitude) };
        let to = rotation.apply(direction);
        let column = (libm::atan2(to.right, to.ahead) / turn + 0.5) * width as f64 - 0.5;
        let row = (0.5 - libm::asin(to.up.clamp(-1.0, 1.0)) * 2.0 / turn) * height as f64 - 0.5;
        // As near to its own column as it can be said, so that places along a row can be interpolated.
        let whole_turns = ((x as f64 - column) / width as f64).round();
        [column + whole_turns * width as f64, row]
    };
    let step = if 90.0 - latitude.to_degrees().abs() < POLE_DEG { 1 } else { EXACT_EVERY };
    let mut start = exact(0);
    for (index, chunk) in places.chunks_mut(step).enumerate() {
        let end = exact((index + 1) * step);
        for (x, place) in chunk.iter_mut().enumerate() {
            let t = x as f64 / step as f64;
            *place = [start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1])];
        }
        start = end;
    }
}
