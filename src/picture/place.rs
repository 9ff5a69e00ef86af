//! A part of a sphere, laid into the whole: everything around it is plain.

use super::SphereFrame;

/// What stands where nothing was recorded: mid grey, in every channel. It draws no eye, and looks like no ceiling.
pub(super) const PLAIN: u8 = 128;

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
}

#[cfg(test)]
mod tests {
    use super::*;

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
