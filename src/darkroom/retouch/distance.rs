//! Sets of pixels: how far it is to the nearest, and what follows from that.

use rayon::prelude::*;

/// Pixels of a square picture, row by row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pixels {
    pub side: usize,
    pub is_in: Vec<bool>,
}

impl Pixels {
    pub fn is_empty(&self) -> bool {
        !self.is_in.contains(&true)
    }

    /// The distance of every pixel from the nearest in the set, in pixels, exact up to `most`; what is further away is at infinity.
    pub fn distances(&self, most: usize) -> Vec<f32> {
        let beside: Vec<u32> = self.is_in.par_chunks(self.side).flat_map_iter(|row| along(row, most)).collect();
        let mut distances = vec![f32::INFINITY; self.is_in.len()];
        distances.par_chunks_mut(self.side).enumerate().for_each(|(y, row)| {
            for other in y.saturating_sub(most)..(y + most + 1).min(self.side) {
                let square = (y.abs_diff(other) * y.abs_diff(other)) as f32;
                for (distance, &beside) in row.iter_mut().zip(&beside[other * self.side..]) {
                    let across = if beside == FAR { f32::INFINITY } else { (beside * beside) as f32 };
                    *distance = distance.min(across + square);
                }
            }
            let within = (most * most) as f32;
            row.iter_mut().for_each(|d| *d = if *d > within { f32::INFINITY } else { d.sqrt() });
        });
        distances
    }

    /// Without pixels that have no other of the set beside them, corners counted.
    pub fn without_specks(&self) -> Pixels {
        let side = self.side;
        let is_joined = |index: usize| {
            let (x, y) = (index % side, index / side);
            let near = |at: usize| at.saturating_sub(1)..(at + 2).min(side);
            near(y).any(|row| near(x).any(|column| (column, row) != (x, y) && self.is_in[row * side + column]))
        };
        let is_in = self.is_in.par_iter().enumerate().map(|(index, &is_in)| is_in && is_joined(index)).collect();
        Pixels { side, is_in }
    }

    /// With gaps closed that a disc of this radius cannot enter.
    pub fn closed(&self, radius: usize) -> Pixels {
        let outside = self.distances(radius).iter().map(|distance| distance.is_infinite()).collect();
        let outside = Pixels { side: self.side, is_in: outside };
        let is_in = outside.distances(radius).iter().map(|distance| distance.is_infinite()).collect();
        Pixels { side: self.side, is_in }
    }
}

/// Further than anybody asked for.
const FAR: u32 = u32::MAX;

/// For every pixel of a row, how far it is to the nearest of the set in the same row.
fn along(row: &[bool], most: usize) -> Vec<u32> {
    let mut nearest = vec![FAR; row.len()];
    let mut pass = |order: &mut dyn Iterator<Item = usize>| {
        let mut since = FAR;
        for x in order {
            since = if row[x] { 0 } else { since.saturating_add(1) };
            if since as usize <= most {
                nearest[x] = nearest[x].min(since);
            }
        }
    };
    pass(&mut (0..row.len()));
    pass(&mut (0..row.len()).rev());
    nearest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(side: usize, inside: impl Fn(usize, usize) -> bool) -> Pixels {
        Pixels { side, is_in: (0..side * side).map(|index| inside(index % side, index / side)).collect() }
    }

    #[test]
    fn distances_are_those_of_geometry() {
        let set = of(40, |x, y| (x, y) == (7, 9) || (x, y) == (30, 31));
        for (index, got) in set.distances(12).into_iter().enumerate() {
            let to = |x: f64, y: f64| ((index % 40) as f64 - x).hypot((index / 40) as f64 - y);
            let nearest = to(7.0, 9.0).min(to(30.0, 31.0));
            let expected = if nearest > 12.0 { f32::INFINITY } else { nearest as f32 };
            assert!(got == expected || (got - expected).abs() < 1e-5, "{index}: {got} for {expected}");
        }
    }

    #[test]
    fn specks_go_and_small_gaps_close() {
        let specks = of(20, |x, y| (x, y) == (3, 3) || (x, y) == (10, 10) || (x, y) == (11, 11));
        assert_eq!(specks.without_specks(), of(20, |x, y| (x, y) == (10, 10) || (x, y) == (11, 11)));
        let gap = of(30, |x, y| (5..25).contains(&x) && (5..25).contains(&y) && !((10..13).contains(&x) && y == 12));
        assert_eq!(gap.closed(3), of(30, |x, y| (5..25).contains(&x) && (5..25).contains(&y)));
    }
}
