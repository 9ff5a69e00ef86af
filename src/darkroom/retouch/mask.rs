//! Parts of flat views, pixel by pixel.

/// A part of a flat view, pixel by pixel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mask {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// `width × height`, row by row from the top; true for a pixel that belongs to the part.
    pub inside: Vec<bool>,
}

impl Mask {
    /// The pixels for which `belongs` says so, asked by column and row.
    pub fn of(width: usize, height: usize, belongs: impl Fn(usize, usize) -> bool) -> Mask {
        let inside = (0..width * height).map(|i| belongs(i % width, i / width)).collect();
        Mask { width, height, inside }
    }

    /// No pixel at all.
    pub fn none(width: usize, height: usize) -> Mask {
        Mask { width, height, inside: vec![false; width * height] }
    }

    /// How many pixels belong to it.
    pub fn area(&self) -> usize {
        self.inside.iter().filter(|&&inside| inside).count()
    }

    /// The part and all that lies at most `radius` pixels beside it, measured along rows and columns (a square).
    pub fn grown(&self, radius: usize) -> Mask {
        let across = spread_along(&self.inside, self.width, 1, radius, |i| i % self.width);
        let inside = spread_along(&across, self.height, self.width, radius, |i| i / self.width);
        Mask { inside, ..*self }
    }

    /// The part with its gaps closed that are narrower than twice `radius` pixels.
    pub fn closed(&self, radius: usize) -> Mask {
        self.grown(radius).opposite().grown(radius).opposite()
    }

    /// The part with all that it surrounds: what does not hang together with the picture's edge outside of it.
    pub fn filled(&self) -> Mask {
        let outside = self.opposite();
        let edge = |x: usize, y: usize| x == 0 || y == 0 || x + 1 == self.width || y + 1 == self.height;
        let mut reached = Mask::of(self.width, self.height, |x, y| edge(x, y) && outside.inside[y * self.width + x]);
        reached.take_in(&outside);
        reached.opposite()
    }

    /// Every pixel that does not belong to the part.
    pub fn opposite(&self) -> Mask {
        Mask { inside: self.inside.iter().map(|inside| !inside).collect(), ..*self }
    }

    /// Adds all of `more` that hangs together with the part along rows and columns. Both have one size.
    pub fn take_in(&mut self, more: &Mask) {
        let mut open: Vec<usize> = (0..self.inside.len()).filter(|&i| self.inside[i]).collect();
        while let Some(i) = open.pop() {
            let (x, width) = (i % self.width, self.width);
            let beside =
                [(x > 0).then(|| i - 1), (x + 1 < width).then_some(i + 1), i.checked_sub(width), Some(i + width)];
            for j in beside.into_iter().flatten().filter(|&j| j < more.inside.len()) {
                if more.inside[j] && !self.inside[j] {
                    self.inside[j] = true;
                    open.push(j);
                }
            }
        }
    }
}

/// Grows along one direction: `step` leads to the next cell of a line that is `length` long, `place` says where on it a cell lies.
fn spread_along(
    cells: &[bool],
    length: usize,
    step: usize,
    radius: usize,
    place: impl Fn(usize) -> usize,
) -> Vec<bool> {
    let mut reach = vec![0usize; cells.len()];
    for i in 0..cells.len() {
        let before = if place(i) > 0 { reach[i - step].saturating_sub(1) } else { 0 };
        reach[i] = if cells[i] { radius + 1 } else { before };
    }
    for i in (0..cells.len()).rev() {
        let after = if place(i) + 1 < length { reach[i + step].saturating_sub(1) } else { 0 };
        reach[i] = reach[i].max(after);
    }
    reach.into_iter().map(|left| left > 0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mask_grows_to_a_square_and_not_round_the_edge() {
        let one = Mask::of(9, 7, |x, y| (x, y) == (1, 3));
        let grown = one.grown(2);
        assert_eq!(grown, Mask::of(9, 7, |x, y| x <= 3 && (1..=5).contains(&y)));
        assert_eq!((grown.area(), one.grown(0)), (20, one));
    }

    #[test]
    fn gaps_close_and_what_is_surrounded_is_filled() {
        let ring = |x: usize, y: usize| {
            let (x, y) = (x.abs_diff(10), y.abs_diff(10));
            (5..=6).contains(&x.max(y))
        };
        let broken = Mask::of(21, 21, |x, y| ring(x, y) && y != 10);
        assert_eq!(broken.filled(), broken, "the middle hangs together with the edge");
        let whole = Mask::of(21, 21, ring);
        assert_eq!(broken.closed(1), whole);
        assert_eq!(whole.filled(), Mask::of(21, 21, |x, y| x.abs_diff(10).max(y.abs_diff(10)) <= 6));
    }

    #[test]
    fn only_what_hangs_together_is_taken_in() {
        let more = Mask::of(9, 3, |x, _| x != 4);
        let mut part = Mask::of(9, 3, |x, y| (x, y) == (1, 1));
        part.take_in(&more);
        assert_eq!(part, Mask::of(9, 3, |x, _| x < 4));
    }
}
