//! Half the size without aliasing: a separable low-pass filter of eight taps.
//!
//! The taps (−2, −3, 10, 27, 27, 10, −3, −2)/64 were chosen here among all small whole numbers: waves up to half the new
//! sampling limit keep their contrast within 3 %, and what is a quarter or more beyond that limit, and would come back as
//! false patterns, keeps less than an eighth of it. They are even in number, so that a face halves onto itself with no
//! shift.

use super::wide;

/// Taps on each side beyond the two pixels that become one.
pub(super) const REACH: usize = 3;

const TAPS: [i16; 8] = [-2, -3, 10, 27, 27, 10, -3, -2];

/// A square plane of bytes whose content is surrounded by a margin on each side.
#[derive(Clone, Debug)]
pub(super) struct Square {
    /// Pixels of content in a row.
    pub content: usize,
    /// Further pixels on each side.
    pub margin: usize,
    /// Rows of `content + 2·margin` bytes, and one more row that nobody reads the value of: a tile at the lower edge may be
    /// handed to an encoder as a slice of whole strides.
    pub samples: Vec<u8>,
}

impl Square {
    /// An empty one.
    pub fn new(content: usize, margin: usize) -> Square {
        let stride = content + 2 * margin;
        Square { content, margin, samples: vec![0; stride * (stride + 1)] }
    }

    /// Pixels in a row, and rows, with the margin.
    pub fn stride(&self) -> usize {
        self.content + 2 * self.margin
    }

    /// All rows that hold something.
    pub fn rows_mut(&mut self) -> &mut [u8] {
        let stride = self.stride();
        &mut self.samples[..stride * stride]
    }

    /// The margin that is needed so that halving leaves `margin`.
    pub fn margin_before(margin: usize) -> usize {
        2 * margin + REACH
    }

    /// Half as large. The margin must be [`Square::margin_before`] of what is to remain.
    pub fn halved(&self) -> Square {
        assert!(self.content.is_multiple_of(2) && self.margin >= REACH && (self.margin - REACH).is_multiple_of(2));
        let mut half = Square::new(self.content / 2, (self.margin - REACH) / 2);
        let (stride, half_stride) = (self.stride(), half.stride());
        let mut summed = vec![0; stride];
        for (row, out) in half.samples.chunks_exact_mut(half_stride).take(half_stride).enumerate() {
            let rows: [&[u8]; 8] = std::array::from_fn(|k| &self.samples[(2 * row + k) * stride..][..stride]);
            wide::dispatch!(sum_rows, sum_rows_avx2, (&rows, &mut summed));
            wide::dispatch!(sum_pairs, sum_pairs_avx2, (&summed, out));
        }
        half
    }
}

wide::widened! {
    // Down the columns: eight rows become one, in 1/64.
    fn sum_rows / sum_rows_avx2 (rows: &[&[u8]; 8], out: &mut [i16]) {
        let rows: [&[u8]; 8] = std::array::from_fn(|k| &rows[k][..out.len()]);
        for (i, out) in out.iter_mut().enumerate() {
            let pair = |k: usize| (i16::from(rows[k][i]) + i16::from(rows[7 - k][i])) * TAPS[k];
            *out = pair(0) + pair(1) + pair(2) + pair(3);
        }
    }
}

wide::widened! {
    // Along the row: each pixel from eight, starting at twice its own place.
    fn sum_pairs / sum_pairs_avx2 (summed: &[i16], out: &mut [u8]) {
        let summed = &summed[..2 * out.len() + 2 * REACH];
        for (i, out) in out.iter_mut().enumerate() {
            let mut sum = 1 << 11;
            for k in 0..8 {
                sum += i32::from(summed[2 * i + k]) * i32::from(TAPS[k]);
            }
            *out = (sum >> 12).clamp(0, 255) as u8;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(content: usize, margin: usize, at: impl Fn(f64, f64) -> f64) -> Square {
        let mut square = Square::new(content, margin);
        let stride = square.stride();
        for (index, sample) in square.samples.iter_mut().enumerate().take(stride * stride) {
            let place = |i: usize| i as f64 + 0.5 - margin as f64;
            *sample = at(place(index % stride), place(index / stride)).round() as u8;
        }
        square
    }

    #[test]
    fn flat_stays_flat_and_a_ramp_a_ramp() {
        for value in [0.0, 1.0, 127.0, 254.0, 255.0] {
            let half = square(32, 7, |_, _| value).halved();
            assert_eq!((half.content, half.margin), (16, 2));
            assert!(half.samples[..20 * 20].iter().all(|&s| f64::from(s) == value));
        }
        let half = square(64, 7, |x, y| 60.0 + x + 0.5 * y).halved();
        for row in 0..half.stride() {
            for column in 0..half.stride() {
                let place = |i: usize| 2.0 * (i as f64 + 0.5 - half.margin as f64);
                let exact = 60.0 + place(column) + 0.5 * place(row);
                let found = f64::from(half.samples[row * half.stride() + column]);
                assert!((found - exact).abs() <= 1.0, "({column}, {row}): {found} against {exact}");
            }
        }
    }

    /// What is too fine for the half size must vanish, what is coarse must stay: measured on waves.
    #[test]
    fn fine_waves_vanish_and_coarse_ones_stay() {
        let contrast = |cycles_per_pixel: f64| {
            let wave = |x: f64| 128.0 + 100.0 * (std::f64::consts::TAU * cycles_per_pixel * x).cos();
            let half = square(256, 7, |x, _| wave(x)).halved();
            let row = &half.samples[half.stride() * 20..][..half.stride()];
            let mean = row.iter().map(|&s| f64::from(s)).sum::<f64>() / row.len() as f64;
            let power = row.iter().map(|&s| (f64::from(s) - mean).powi(2)).sum::<f64>() / row.len() as f64;
            (2.0 * power).sqrt() / 100.0
        };
        for cycles in [0.3125, 0.35, 0.4, 0.45] {
            assert!(contrast(cycles) < 0.125, "{cycles}: {}", contrast(cycles));
        }
        for cycles in [0.02, 0.05, 0.1, 0.125] {
            assert!((contrast(cycles) - 1.0).abs() < 0.03, "{cycles}: {}", contrast(cycles));
        }
    }

    #[test]
    fn wide_and_plain_give_the_same_bytes() {
        let square = square(98, 5, |x, y| (x * 37.0 + y * 91.0).rem_euclid(256.0).floor());
        let stride = square.stride();
        let rows: [&[u8]; 8] = std::array::from_fn(|k| &square.samples[k * stride..][..stride]);
        let (mut wide, mut plain) = (vec![0; stride], vec![0; stride]);
        wide::dispatch!(sum_rows, sum_rows_avx2, (&rows, &mut wide));
        sum_rows(&rows, &mut plain);
        assert_eq!(wide, plain);
        let (mut wide, mut narrow) = (vec![0; (stride - 6) / 2], vec![0; (stride - 6) / 2]);
        wide::dispatch!(sum_pairs, sum_pairs_avx2, (&plain, &mut wide));
        sum_pairs(&plain, &mut narrow);
        assert_eq!(wide, narrow);
    }
}
