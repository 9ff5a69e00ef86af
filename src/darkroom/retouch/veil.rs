//! A flat picture that is transparent in places.

use super::area::shrunk;
use super::flat_light::{FlatLight, cubic};
use crate::picture::FlatPicture;

/// Light times opacity, and opacity, so that the colour of what is transparent counts for nothing. Beyond its edges it is transparent.
pub(super) struct Veil {
    pub width: usize,
    pub height: usize,
    pixels: Vec<[f32; 4]>,
}

impl Veil {
    pub fn of(picture: &FlatPicture) -> Veil {
        let opacity = |index: usize| picture.alpha.as_ref().map_or(1.0, |alpha| alpha[index]);
        let pixel = |(index, &[red, green, blue]): (usize, &[f32; 3])| {
            let opacity = opacity(index);
            [red * opacity, green * opacity, blue * opacity, opacity]
        };
        let pixels = picture.pixels.iter().enumerate().map(pixel).collect();
        Veil { width: picture.width, height: picture.height, pixels }
    }

    /// The same with no more pixels than `longest` on its longer side, so that it can be sampled that coarsely.
    pub fn no_finer_than(self, longest: usize) -> Veil {
        let (width, height) = (self.width, self.height);
        let side = width.max(height);
        if side <= longest {
            return self;
        }
        let small = |length: usize| (length * longest).div_ceil(side).max(1);
        let size = (small(width), small(height));
        Veil { width: size.0, height: size.1, pixels: shrunk(&self.pixels, (width, height), size) }
    }

    /// Light and opacity between pixel centres, counted from the first pixel's.
    pub fn sample(&self, [x, y]: [f64; 2]) -> Option<([f32; 3], f32)> {
        let (left, top) = (x.floor(), y.floor());
        let (across, down) = (cubic((x - left) as f32), cubic((y - top) as f32));
        let (left, top) = (left as isize - 1, top as isize - 1);
        let mut sum = [0.0f32; 4];
        for (row, of_row) in (top..).zip(down) {
            for (column, of_column) in (left..).zip(across) {
                let pixel = self.at(row, column);
                sum.iter_mut().zip(pixel).for_each(|(sum, value)| *sum += of_row * of_column * value);
            }
        }
        let [red, green, blue, opacity] = sum;
        // Less than half a step of 8 bits is nothing.
        (opacity > 0.5 / 255.0).then(|| ([red, green, blue].map(|light| light / opacity), opacity.min(1.0)))
    }

    fn at(&self, row: isize, column: isize) -> [f32; 4] {
        let inside = (0..self.height as isize).contains(&row) && (0..self.width as isize).contains(&column);
        if inside { self.pixels[row as usize * self.width + column as usize] } else { [0.0; 4] }
    }
}

/// A flat picture with no more pixels than `side` in a row.
pub(super) fn no_finer_than(picture: FlatLight, side: usize) -> FlatLight {
    if picture.width <= side {
        return picture;
    }
    let rows = (picture.height * side).div_ceil(picture.width).max(1);
    let pixels = shrunk(&picture.pixels, (picture.width, picture.height), (side, rows));
    FlatLight { width: side, height: rows, pixels }
}
