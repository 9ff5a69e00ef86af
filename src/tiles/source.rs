//! The sphere's picture laid out so that a 4×4 neighbourhood can be read anywhere without a special case.

use crate::picture::{Chroma, YccPicture};

/// Pixels and rows that repeat beyond each edge of a [`Plane`].
pub(super) const PAD: usize = 4;

/// One plane of an equirectangular picture with an apron: columns repeat around ±180°, rows go on beyond a pole half a
/// turn away.
#[derive(Clone, Debug)]
pub(super) struct Plane {
    /// Columns without the apron.
    pub width: usize,
    /// Rows without the apron.
    pub height: usize,
    /// Bytes from one row to the next.
    pub stride: usize,
    /// `(height + 2·PAD)` rows of `stride` bytes; sample (0, 0) lies at row PAD, column PAD.
    pub samples: Vec<u8>,
}

impl Plane {
    /// Lays one out. `samples` holds `width × height` bytes; both at least 1, the width even or 1.
    pub fn new(width: usize, height: usize, samples: &[u8]) -> Plane {
        assert_eq!(samples.len(), width * height, "a plane's size");
        let stride = width + 2 * PAD;
        let mut padded = vec![0; stride * (height + 2 * PAD)];
        for (row, line) in padded.chunks_exact_mut(stride).enumerate() {
            let (source_row, turn) = beyond_the_pole(row as isize - PAD as isize, height);
            let source = &samples[source_row * width..][..width];
            let shift = if turn { width / 2 } else { 0 };
            let (left, right) = source.split_at(shift);
            line[PAD..PAD + right.len()].copy_from_slice(right);
            line[PAD + right.len()..PAD + width].copy_from_slice(left);
            for column in (0..PAD).chain(PAD + width..stride) {
                line[column] = line[PAD + (column + width * PAD - PAD) % width];
            }
        }
        Plane { width, height, stride, samples: padded }
    }

    /// The columns of the opposite directions, half a turn away, for columns in the padded samples (1/256 of a pixel). Exact
    /// where the width is even.
    pub fn opposite_columns(&self, columns: &[i32], opposite: &mut [i32]) {
        let half_turn = 128 * self.width as i32;
        let middle = half_turn + 256 * PAD as i32 - 128;
        for (&column, opposite) in columns.iter().zip(opposite) {
            *opposite = column + if column < middle { half_turn } else { -half_turn };
        }
    }

    /// Turns rows into those of the opposite directions: as far below the equator as they were above.
    pub fn turn_to_opposite_rows(&self, rows: &mut [i32]) {
        let top_and_bottom = 256 * (self.height + 2 * PAD - 1) as i32;
        rows.iter_mut().for_each(|row| *row = top_and_bottom - *row);
    }

    /// Rows with the apron.
    pub fn rows(&self) -> usize {
        self.height + 2 * PAD
    }
}

/// The row that stands for one beyond the first or last, and whether it lies half a turn away.
fn beyond_the_pole(row: isize, height: usize) -> (usize, bool) {
    let last = height as isize - 1;
    let clamp = |row: isize| row.clamp(0, last) as usize;
    if row < 0 {
        (clamp(-1 - row), true)
    } else if row > last {
        (clamp(2 * last + 1 - row), true)
    } else {
        (row as usize, false)
    }
}

/// A whole picture, ready to be sampled in any direction.
#[derive(Clone, Debug)]
pub struct Source {
    pub(super) y: Plane,
    pub(super) cb: Plane,
    pub(super) cr: Plane,
    pub(super) chroma: Chroma,
}

impl Source {
    /// Lays a picture out for sampling; each plane is freed as soon as it has been copied.
    pub fn new(picture: YccPicture) -> Source {
        let (chroma_width, chroma_height) = picture.chroma_size();
        let YccPicture { width, height, chroma, y, cb, cr } = picture;
        let lay = |width, height, samples: Vec<u8>| Plane::new(width, height, &samples);
        Source {
            y: lay(width, height, y),
            cb: lay(chroma_width, chroma_height, cb),
            cr: lay(chroma_width, chroma_height, cr),
            chroma,
        }
    }

    /// Columns of the picture.
    pub fn width(&self) -> usize {
        self.y.width
    }

    /// Whether colour is kept for every pixel or for every second.
    pub fn chroma(&self) -> Chroma {
        self.chroma
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_apron_goes_round_and_over_the_poles() {
        let samples: Vec<u8> = (0..8 * 4).collect();
        let plane = Plane::new(8, 4, &samples);
        let at = |column: isize, row: isize| {
            plane.samples[(row + PAD as isize) as usize * plane.stride + (column + PAD as isize) as usize]
        };
        assert_eq!(at(0, 0), 0);
        assert_eq!(at(-1, 0), 7, "left of the first column stands the last");
        assert_eq!(at(8, 2), 16, "right of the last column stands the first");
        assert_eq!(at(0, -1), 4, "above the first row: the same row, half a turn away");
        assert_eq!(at(5, -2), 8 + 1);
        assert_eq!(at(0, 4), 24 + 4);
        assert_eq!(at(-1, 5), 16 + 3);
    }

    #[test]
    fn the_smallest_planes_are_laid_out_too() {
        for (width, height) in [(2, 1), (4, 2), (6, 3), (1, 1)] {
            let plane = Plane::new(width, height, &vec![9; width * height]);
            assert!(plane.samples.iter().all(|&sample| sample == 9));
        }
    }
}
