//! Planes that belong together, kept row by row: row y of every plane lies in one piece, so that strips of rows can be
//! worked on at the same time without sharing anything.

use half::f16;
use half::slice::HalfFloatSliceExt;
use rayon::prelude::*;

/// How a number is kept.
pub(super) trait Sample: Copy + Default + Send + Sync {
    /// Rounds a row for keeping.
    fn keep(row: &[f32], kept: &mut [Self]);
    /// The row as it was kept.
    fn give(kept: &[Self], row: &mut [f32]);
}

impl Sample for f16 {
    fn keep(row: &[f32], kept: &mut [f16]) {
        kept.convert_from_f32_slice(row);
    }
    fn give(kept: &[f16], row: &mut [f32]) {
        kept.convert_to_f32_slice(row);
    }
}

impl Sample for f32 {
    fn keep(row: &[f32], kept: &mut [f32]) {
        kept.copy_from_slice(row);
    }
    fn give(kept: &[f32], row: &mut [f32]) {
        row.copy_from_slice(kept);
    }
}

/// Planes of one size on the whole sphere.
pub(super) struct Stack<T> {
    pub width: usize,
    pub height: usize,
    pub planes: usize,
    samples: Vec<T>,
}

impl<T: Sample> Stack<T> {
    /// Makes every row by itself, in parallel. `scratch` makes what a worker needs for its rows; `row` fills row y of all
    /// planes, `planes × width` numbers.
    pub fn of_rows<S>(
        (width, height, planes): (usize, usize, usize),
        scratch: impl Fn() -> S + Sync,
        row: impl Fn(&mut S, usize, &mut [f32]) + Sync,
    ) -> Self {
        let mut samples = vec![T::default(); width * height * planes];
        samples.par_chunks_mut(width * planes).enumerate().for_each_init(
            || (scratch(), vec![0.0; width * planes]),
            |(scratch, made), (y, kept)| {
                row(scratch, y, made);
                T::keep(made, kept);
            },
        );
        Stack { width, height, planes, samples }
    }

    /// The same in strips of `strip_rows` rows, for rows that share what is costly to make.
    pub fn of_strips(
        (width, height, planes): (usize, usize, usize),
        strip_rows: usize,
        strip: impl Fn(usize, &mut [T]) + Sync,
    ) -> Self {
        let mut samples = vec![T::default(); width * height * planes];
        samples
            .par_chunks_mut(width * planes * strip_rows)
            .enumerate()
            .for_each(|(index, kept)| strip(index * strip_rows, kept));
        Stack { width, height, planes, samples }
    }

    /// Row `y` of the first planes, as many as `row` has room for. Rows beyond a pole go on down the other side.
    pub fn read(&self, y: isize, row: &mut [f32]) {
        let (y, opposite) = over_the_pole(y, self.height);
        T::give(&self.samples[y * self.width * self.planes..][..row.len()], row);
        if opposite {
            turn_half(row, self.width);
        }
    }
}

/// Which row a row number means when it may lie beyond a pole, and whether it is met on the opposite side of the sphere.
pub(super) fn over_the_pole(mut y: isize, height: usize) -> (usize, bool) {
    let height = height as isize;
    let mut opposite = false;
    while !(0..height).contains(&y) {
        y = if y < 0 { -1 - y } else { 2 * height - 1 - y };
        opposite = !opposite;
    }
    (y as usize, opposite)
}

/// Turns rows of `width` numbers by half a turn.
pub(super) fn turn_half(rows: &mut [f32], width: usize) {
    rows.chunks_exact_mut(width).for_each(|row| row.rotate_left(width / 2));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beyond_a_pole_lies_the_other_side() {
        let stack = Stack::<f32>::of_rows(
            (4, 2, 1),
            || (),
            |_, y, row| {
                row.iter_mut().enumerate().for_each(|(x, value)| *value = (10 * y + x) as f32);
            },
        );
        let row = |y| {
            let mut row = [0.0; 4];
            stack.read(y, &mut row);
            row
        };
        assert_eq!(row(1), [10.0, 11.0, 12.0, 13.0]);
        assert_eq!(row(-1), [2.0, 3.0, 0.0, 1.0]);
        assert_eq!(row(2), [12.0, 13.0, 10.0, 11.0]);
        // Once around.
        assert_eq!(row(4), row(0));
        assert_eq!(row(-4), row(0));
    }
}
