//! The picture that the search for verticals looks at: brightness alone, and no more pixels than accuracy needs.

use crate::picture::YccPicture;
use crate::picture::linear::{LUMINANCE, LinearRows, empty_row, light_to_srgb};
use rayon::prelude::*;

/// Columns that are enough: an edge is placed to a tenth of a pixel, and many edges are averaged.
const LARGEST_WIDTH: usize = 2048;

/// An equirectangular picture's brightness, 0 to about 255 and even to the eye, at most 2048 columns wide.
#[derive(Clone, Debug, PartialEq)]
pub struct Grey {
    width: usize,
    height: usize,
    values: Vec<f32>,
}

impl Grey {
    /// The luma of an 8-bit picture.
    pub fn of_luma(picture: &YccPicture) -> Self {
        let width = picture.width;
        Grey::averaged((width, picture.height), |y, row| {
            for (to, from) in row.iter_mut().zip(&picture.y[y * width..][..width]) {
                *to = f32::from(*from);
            }
        })
    }

    /// The luminance of a picture in linear light, encoded as sRGB encodes it: an edge counts by how strongly it is seen,
    /// in light and in shade. What is brighter than white counts as white, so that a window of a merged bracket does not drown the room.
    pub fn of_light(picture: &dyn LinearRows) -> Self {
        let (width, height) = picture.size();
        let encoded = encoding_table();
        Grey::averaged_with(
            (width, height),
            || empty_row(width),
            |y, light, row| {
                picture.read(y, light);
                let [red, green, blue] = light;
                for (x, to) in row.iter_mut().enumerate() {
                    let light = LUMINANCE[0] * red[x] + LUMINANCE[1] * green[x] + LUMINANCE[2] * blue[x];
                    // A number that is none becomes 0 by this cast.
                    *to = encoded[(light.clamp(0.0, 1.0) * TABLE_STEPS as f32 + 0.5) as usize];
                }
            },
        )
    }

    /// Columns, at most 2048.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    pub fn height(&self) -> usize {
        self.height
    }

    /// Row `y` from the top.
    pub(super) fn row(&self, y: usize) -> &[f32] {
        &self.values[y * self.width..][..self.width]
    }

    fn averaged(size: (usize, usize), read: impl Fn(usize, &mut [f32]) + Sync) -> Self {
        Grey::averaged_with(size, || (), |y, (), row| read(y, row))
    }

    /// Averages a picture down over exact areas: a pixel that two samples share counts for each by its part. `scratch`
    /// makes what `read` needs besides the row it fills.
    fn averaged_with<S>(
        (width, height): (usize, usize),
        scratch: impl Fn() -> S + Sync,
        read: impl Fn(usize, &mut S, &mut [f32]) + Sync,
    ) -> Self {
        let to_width = width.min(LARGEST_WIDTH);
        let to_height = (height * to_width).checked_div(width).unwrap_or(0);
        let (columns, rows) = (Areas::new(width, to_width), Areas::new(height, to_height));
        let mut values = vec![0.0f32; to_width * to_height];
        values.par_chunks_mut(to_width.max(1)).enumerate().for_each_init(
            || (scratch(), vec![0.0f32; width], vec![0.0f32; width]),
            |(scratch, row, sum), (to_y, to)| {
                sum.fill(0.0);
                for (y, part) in rows.of(to_y) {
                    read(y, scratch, row);
                    sum.iter_mut().zip(row.iter()).for_each(|(sum, value)| *sum += part * value);
                }
                for (to_x, to) in to.iter_mut().enumerate() {
                    *to = columns.of(to_x).fold(0.0, |mean, (x, part)| mean + part * sum[x]);
                }
            },
        );
        Grey { width: to_width, height: to_height, values }
    }
}

const TABLE_STEPS: usize = 1 << 14;

/// Encoded brightness, 0 to 255, of light 0 to 1.
fn encoding_table() -> Vec<f32> {
    (0..=TABLE_STEPS).map(|step| (255.0 * light_to_srgb(step as f64 / TABLE_STEPS as f64)) as f32).collect()
}

/// Which of `from` pixels in a row lie under each of `to` fewer samples, and by what part of the sample.
#[derive(Clone, Copy)]
struct Areas {
    from: usize,
    to: usize,
}

impl Areas {
    fn new(from: usize, to: usize) -> Self {
        Areas { from, to }
    }

    /// Pixels under sample `index`, each with its part; the parts add up to 1. In units of 1/`to` of a pixel a sample is `from` long.
    fn of(self, index: usize) -> impl Iterator<Item = (usize, f32)> {
        let (start, end) = (index * self.from, (index + 1) * self.from);
        (start / self.to..end.div_ceil(self.to)).map(move |pixel| {
            let covered = end.min((pixel + 1) * self.to) - start.max(pixel * self.to);
            (pixel, covered as f32 / self.from as f32)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{Chroma, YccPicture};

    fn ramp(width: usize) -> YccPicture {
        let height = width / 2;
        let y = (0..width * height).map(|i| (i % width * 200 / width) as u8).collect();
        YccPicture {
            width,
            height,
            chroma: Chroma::Full,
            y,
            cb: vec![128; width * height],
            cr: vec![128; width * height],
        }
    }

    #[test]
    fn every_pixel_counts_the_same() {
        for (from, to) in [(8192, 2048), (7680, 2048), (6080, 2048), (2050, 2048), (2048, 2048), (5, 3)] {
            let mut counted = vec![0.0f64; from];
            for index in 0..to {
                let parts: Vec<_> = Areas::new(from, to).of(index).collect();
                let whole: f32 = parts.iter().map(|(_, part)| part).sum();
                assert!((whole - 1.0).abs() < 1e-5, "{from} to {to}: sample {index} adds up to {whole}");
                parts.iter().for_each(|&(pixel, part)| counted[pixel] += f64::from(part));
            }
            let each = to as f64 / from as f64;
            assert!(counted.iter().all(|&sum| (sum - each).abs() < 1e-6), "{from} to {to}");
        }
    }

    #[test]
    fn small_pictures_are_taken_as_they_are_and_large_ones_keep_their_mean() {
        let small = ramp(64);
        let grey = Grey::of_luma(&small);
        assert_eq!((grey.width(), grey.height()), (64, 32));
        assert!(grey.values.iter().zip(&small.y).all(|(&a, &b)| a == f32::from(b)));
        let large = ramp(3000);
        let grey = Grey::of_luma(&large);
        assert_eq!((grey.width(), grey.height()), (2048, 1024));
        let mean = |sum: f64, count: usize| sum / count as f64;
        let before = mean(large.y.iter().map(|&v| f64::from(v)).sum(), large.y.len());
        let after = mean(grey.values.iter().map(|&v| f64::from(v)).sum(), grey.values.len());
        assert!((before - after).abs() < 1e-3, "{before} became {after}");
    }

    #[test]
    fn greys_in_light_are_as_bright_as_their_luma() {
        let picture = ramp(64);
        let (luma, light) = (Grey::of_luma(&picture), Grey::of_light(&picture));
        // The table of light is coarsest in the dark: 1/16384 of white is 0.2 counts there.
        assert!(luma.values.iter().zip(&light.values).all(|(a, b)| (a - b).abs() < 0.3));
    }
}
