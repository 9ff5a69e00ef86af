//! A picture seen from afar: small enough to ask it questions.

use crate::picture::linear::{LinearRows, Row, empty_row, finite};
use rayon::prelude::*;

/// Columns of a survey of any larger picture: three cells a degree.
const WIDEST: usize = 1024;

/// The whole sphere in cells of equal width and height in degrees, each the mean of the pixels that it covers.
pub struct Survey {
    /// Columns: those of the picture, or 1024. Even.
    pub width: usize,
    /// Half as many rows.
    pub height: usize,
    /// Mean light, linear BT.2020, one plane a channel.
    pub means: [Vec<f32>; 3],
    /// The largest channel of the brightest pixel.
    pub brightest: Vec<f32>,
}

impl Survey {
    /// Reads the whole picture once. What is not a number counts as black.
    pub fn of(rows: &dyn LinearRows) -> Survey {
        let (picture_width, picture_height) = rows.size();
        let (width, height) = (picture_width.min(WIDEST), picture_height.min(WIDEST / 2));
        let mut means: [Vec<f32>; 3] = std::array::from_fn(|_| vec![0.0; width * height]);
        let mut brightest = vec![0.0; width * height];
        let [red, green, blue] = means.each_mut().map(|plane| plane.par_chunks_mut(width));
        let cells = (red, green, blue, brightest.par_chunks_mut(width)).into_par_iter().enumerate();
        cells.for_each_init(
            || Band::new(picture_width),
            |band, (y, (red, green, blue, brightest))| {
                band.read(rows, Span::of(y, height, picture_height));
                for (plane, sums) in [red, green, blue].into_iter().zip(&band.sums) {
                    gather(sums, plane, picture_width);
                }
                gather_brightest(&band.brightest, brightest, picture_width);
            },
        );
        Survey { width, height, means, brightest }
    }

    /// Mean light of a cell.
    pub fn mean(&self, cell: usize) -> [f64; 3] {
        [0, 1, 2].map(|channel| f64::from(self.means[channel][cell]))
    }

    /// Latitude of the middle of a row of cells, in degrees.
    pub fn latitude_deg(&self, row: usize) -> f64 {
        90.0 - (row as f64 + 0.5) * 180.0 / self.height as f64
    }
}

/// The pixels that a cell covers along one side: `first`, then whole ones, up to `last`, both perhaps in part.
#[derive(Clone, Copy)]
struct Span {
    first: usize,
    last: usize,
    first_share: f32,
    last_share: f32,
}

impl Span {
    /// Of the `index`th of `cells` over `pixels`, at least as many.
    fn of(index: usize, cells: usize, pixels: usize) -> Span {
        let (start, end) = (index * pixels, (index + 1) * pixels);
        let (first, last) = (start / cells, (end - 1) / cells);
        let first_end = ((first + 1) * cells).min(end);
        let last_start = (last * cells).max(start);
        Span {
            first,
            last,
            first_share: (first_end - start) as f32 / cells as f32,
            last_share: (end - last_start) as f32 / cells as f32,
        }
    }

    /// Which pixels, and how much of each.
    fn shares(self) -> impl Iterator<Item = (usize, f32)> {
        (self.first..=self.last).map(move |pixel| {
            let share = if pixel == self.first {
                self.first_share
            } else if pixel == self.last {
                self.last_share
            } else {
                1.0
            };
            (pixel, share)
        })
    }
}

/// The rows of a row of cells, summed up.
struct Band {
    row: Row,
    sums: Row,
    brightest: Vec<f32>,
}

impl Band {
    fn new(width: usize) -> Band {
        Band { row: empty_row(width), sums: empty_row(width), brightest: vec![0.0; width] }
    }

    fn read(&mut self, rows: &dyn LinearRows, span: Span) {
        self.sums.iter_mut().for_each(|channel| channel.fill(0.0));
        self.brightest.fill(0.0);
        for (y, share) in span.shares() {
            rows.read(y, &mut self.row);
            for (sums, channel) in self.sums.iter_mut().zip(&mut self.row) {
                for (sum, value) in sums.iter_mut().zip(channel) {
                    *value = finite(*value);
                    *sum += share * *value;
                }
            }
            let [red, green, blue] = &self.row;
            for (brightest, ((red, green), blue)) in self.brightest.iter_mut().zip(red.iter().zip(green).zip(blue)) {
                *brightest = brightest.max(red.max(*green).max(*blue));
            }
        }
    }
}

/// Means of the cells of a row, from sums of their columns.
fn gather(sums: &[f32], cells: &mut [f32], pixels: usize) {
    let count = cells.len();
    let side = pixels as f32 / count as f32;
    for (x, cell) in cells.iter_mut().enumerate() {
        let sum: f32 = Span::of(x, count, pixels).shares().map(|(pixel, share)| share * sums[pixel]).sum();
        *cell = sum / (side * side);
    }
}

fn gather_brightest(columns: &[f32], cells: &mut [f32], pixels: usize) {
    let count = cells.len();
    for (x, cell) in cells.iter_mut().enumerate() {
        let span = Span::of(x, count, pixels);
        *cell = columns[span.first..=span.last].iter().copied().fold(0.0, f32::max);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::linear::LinearPicture;
    use half::f16;

    #[test]
    fn spans_cover_every_pixel_once() {
        for (cells, pixels) in [(4, 4), (4, 8), (4, 10), (1024, 5760), (512, 3040)] {
            let mut covered = vec![0.0; pixels];
            for cell in 0..cells {
                Span::of(cell, cells, pixels).shares().for_each(|(pixel, share)| covered[pixel] += share);
            }
            assert!(covered.iter().all(|share| (share - 1.0).abs() < 1e-5), "{cells} over {pixels}");
        }
    }

    /// 1500 columns: cells of one pixel and a half.
    #[test]
    fn cells_are_means_of_what_they_cover() {
        let mut picture = LinearPicture::black(1536, 768);
        for (index, value) in picture.planes[1].iter_mut().enumerate() {
            *value = f16::from_f32((index % 1536 % 3) as f32);
        }
        picture.planes[0][5 * 1536 + 9] = f16::NAN;
        let survey = Survey::of(&picture);
        assert_eq!((survey.width, survey.height), (1024, 512));
        // Columns 0 1 2 in three halves: 0 and half of 1; half of 1 and 2.
        for (cell, mean) in survey.means[1].iter().enumerate() {
            let expected = [0.5 / 1.5, 2.5 / 1.5][cell % 2];
            assert!((mean - expected).abs() < 1e-5, "cell {cell}: {mean}");
        }
        assert_eq!(survey.brightest[..2], [1.0, 2.0]);
        assert!(survey.means[0].iter().all(|&mean| mean == 0.0));
    }
}
