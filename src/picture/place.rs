//! A part of a sphere, laid into the whole: everything around it is plain.

use super::SphereFrame;
use super::linear::Row;

/// What stands where nothing was recorded: mid grey, in every channel. It draws no eye, and looks like no ceiling.
pub(super) const PLAIN: u8 = 128;

/// The light of that (IEC 61966-2-1).
pub(super) const PLAIN_LIGHT: f32 = 0.215_860_5;

impl SphereFrame {
    /// Whether a picture of that size fills the whole sphere.
    pub fn is_whole(&self, (width, height): (u32, u32)) -> bool {
        (self.full_width, self.full_height) == (width, height)
    }

    /// Makes row `y` of the whole sphere, in RGB. Where the part of `width` × `height` pixels has pixels in it, `fill`
    /// writes that row of the part; the rest becomes plain.
    pub(super) fn lay(&self, (width, height): (u32, u32), y: u32, row: &mut [u8], fill: impl FnOnce(usize, &mut [u8])) {
        let Some(part_y) = y.checked_sub(self.top).filter(|&part_y| part_y < height) else {
            return row.fill(PLAIN);
        };
        let (start, end) = (3 * self.left as usize, 3 * (self.left + width) as usize);
        row[..start].fill(PLAIN);
        row[end..].fill(PLAIN);
        fill(part_y as usize, &mut row[start..end]);
    }

    /// The same in linear light: `fill` writes a row of the part, one plane a channel.
    pub(super) fn lay_light(
        &self,
        (width, height): (u32, u32),
        y: u32,
        row: &mut Row,
        fill: impl FnOnce(usize, [&mut [f32]; 3]),
    ) {
        row.iter_mut().for_each(|channel| channel.fill(PLAIN_LIGHT));
        if let Some(part_y) = y.checked_sub(self.top).filter(|&part_y| part_y < height) {
            let (start, end) = (self.left as usize, (self.left + width) as usize);
            fill(part_y as usize, row.each_mut().map(|channel| &mut channel[start..end]));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::linear::{empty_row, srgb_to_light};

    #[test]
    fn plain_light_is_the_light_of_plain() {
        assert_eq!(PLAIN_LIGHT, srgb_to_light(f64::from(PLAIN) / 255.0) as f32);
        let frame = SphereFrame { full_width: 8, full_height: 4, left: 3, top: 1 };
        let mut row = empty_row(8);
        frame.lay_light((2, 2), 2, &mut row, |part_y, planes| {
            planes.into_iter().for_each(|plane| plane.fill(part_y as f32));
        });
        assert_eq!(row[2], [PLAIN_LIGHT, PLAIN_LIGHT, PLAIN_LIGHT, 1.0, 1.0, PLAIN_LIGHT, PLAIN_LIGHT, PLAIN_LIGHT]);
    }

    #[test]
    fn a_part_lands_on_its_pixels_and_nowhere_else() {
        let frame = SphereFrame { full_width: 8, full_height: 4, left: 3, top: 1 };
        for y in 0..4 {
            let mut row = [7; 24];
            frame.lay((2, 2), y, &mut row, |part_y, pixels| pixels.fill(part_y as u8 + 1));
            let expected: Vec<u8> = (0..8)
                .flat_map(|x| [if (3..5).contains(&x) && (1..3).contains(&y) { y as u8 } else { PLAIN }; 3])
                .collect();
            assert_eq!(row.to_vec(), expected, "row {y}");
        }
    }
}
