//! How the light falls off over a floor: taken out before anything is compared or copied, so that a piece from the bright
//! side of a room can lie on its dark side.

use super::super::flat_light::FlatLight;
use super::super::mask::Mask;

/// The grid on which the falling-off is measured, cells a side at most.
const CELLS: usize = 48;
/// A step between neighbouring cells that is much larger than this (in stops) is an edge of something, not light falling off.
const EDGE_STOPS: f64 = 0.06;
/// Rounds of reweighting.
const ROUNDS: usize = 12;
/// The surface is held to so many stops about its middle.
const MOST_STOPS: f64 = 1.5;

/// A smooth surface of brightness in stops, the same for all three channels: a quadratic in column and row.
#[derive(Clone, Debug, PartialEq)]
pub struct Lighting {
    /// Of x, y, x², xy, y², where x and y run from −1 to 1 over the picture's larger side.
    terms: [f64; 5],
    middle: [f64; 2],
    scale: f64,
}

impl Lighting {
    /// The surface whose slopes agree with most of the known picture's. Slopes are compared, not levels, and by a weight
    /// that large ones lose (iteratively reweighted least squares with Cauchy's weight), so that a rug's edge counts for nothing.
    pub fn of(picture: &FlatLight, unknown: &Mask) -> Lighting {
        let side = picture.width.max(picture.height);
        let cell = side.div_ceil(CELLS).max(1);
        let mut lighting = Lighting {
            terms: [0.0; 5],
            middle: [picture.width as f64 / 2.0, picture.height as f64 / 2.0],
            scale: 2.0 / side as f64,
        };
        let slopes = lighting.slopes(&mean_stops(picture, unknown, cell), picture.width.div_ceil(cell), cell);
        if slopes.len() < 20 {
            return lighting;
        }
        for _ in 0..ROUNDS {
            lighting.refit(&slopes);
        }
        lighting.hold();
        lighting
    }

    /// Stops at a pixel.
    pub fn at(&self, x: usize, y: usize) -> f32 {
        self.stops(self.place(x as f64 + 0.5, y as f64 + 0.5)) as f32
    }

    fn stops(&self, place: [f64; 2]) -> f64 {
        basis(place).iter().zip(&self.terms).map(|(basis, term)| basis * term).sum()
    }

    fn place(&self, x: f64, y: f64) -> [f64; 2] {
        [(x - self.middle[0]) * self.scale, (y - self.middle[1]) * self.scale]
    }

    /// Differences between neighbouring cells: what each term would make of them, and what was seen.
    fn slopes(&self, cells: &[Option<f64>], columns: usize, cell: usize) -> Vec<([f64; 5], f64)> {
        let middle = |i: usize| {
            let (x, y) = (i % columns, i / columns);
            self.place((x as f64 + 0.5) * cell as f64, (y as f64 + 0.5) * cell as f64)
        };
        let difference = |i: usize, j: usize| {
            let (here, there) = (cells[i]?, (*cells.get(j)?)?);
            let (a, b) = (basis(middle(i)), basis(middle(j)));
            Some((std::array::from_fn(|k| b[k] - a[k]), there - here))
        };
        (0..cells.len())
            .flat_map(|i| {
                let right = if (i + 1) % columns != 0 { difference(i, i + 1) } else { None };
                [right, difference(i, i + columns)]
            })
            .flatten()
            .collect()
    }

    fn refit(&mut self, slopes: &[([f64; 5], f64)]) {
        let mut matrix = [[0.0; 6]; 5];
        for (basis, seen) in slopes {
            let made: f64 = basis.iter().zip(&self.terms).map(|(basis, term)| basis * term).sum();
            let surprise = (seen - made) / EDGE_STOPS;
            let weight = 1.0 / (1.0 + surprise * surprise);
            for (row, lead) in matrix.iter_mut().zip(basis) {
                (0..5).for_each(|k| row[k] += weight * lead * basis[k]);
                row[5] += weight * lead * seen;
            }
        }
        (0..5).for_each(|k| matrix[k][k] += 1e-6);
        self.terms = solved(matrix);
    }

    fn hold(&mut self) {
        let corners =
            [[-1.0, -1.0], [1.0, -1.0], [-1.0, 1.0], [1.0, 1.0], [0.0, 1.0], [0.0, -1.0], [1.0, 0.0], [-1.0, 0.0]];
        let largest = corners.into_iter().map(|corner| self.stops(corner).abs()).fold(0.0, f64::max);
        if largest > MOST_STOPS {
            self.terms.iter_mut().for_each(|term| *term *= MOST_STOPS / largest);
        }
    }
}

fn basis([x, y]: [f64; 2]) -> [f64; 5] {
    [x, y, x * x, x * y, y * y]
}

/// The mean brightness of each cell in stops, from what is known of it; nothing where less than half of it is.
fn mean_stops(picture: &FlatLight, unknown: &Mask, cell: usize) -> Vec<Option<f64>> {
    let (columns, rows) = (picture.width.div_ceil(cell), picture.height.div_ceil(cell));
    let mut sums = vec![(0.0f64, 0usize); columns * rows];
    for (i, (pixel, unknown)) in picture.pixels.iter().zip(&unknown.inside).enumerate() {
        if !unknown {
            let (x, y) = (i % picture.width / cell, i / picture.width / cell);
            let (sum, count) = &mut sums[y * columns + x];
            *sum += f64::from(pixel[1].max(0.0));
            *count += 1;
        }
    }
    let half = cell * cell / 2;
    sums.into_iter().map(|(sum, count)| (count > half).then(|| libm::log2(sum / count as f64 + 1e-4))).collect()
}

/// Solves five equations by elimination with pivots on the diagonal; the matrix is positive definite.
fn solved(mut rows: [[f64; 6]; 5]) -> [f64; 5] {
    for pivot in 0..5 {
        for other in 0..5 {
            if other != pivot {
                let share = rows[other][pivot] / rows[pivot][pivot];
                (0..6).for_each(|k| rows[other][k] -= share * rows[pivot][k]);
            }
        }
    }
    std::array::from_fn(|k| rows[k][5] / rows[k][k])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Light that falls off to one side, over a floor of which a third is a darker rug.
    #[test]
    fn the_light_is_told_from_the_things() {
        let (width, height) = (240, 200);
        let stops = |x: usize| -0.8 * x as f64 / 240.0;
        let pixels = (0..width * height).map(|i| {
            let (x, y) = (i % width, i / width);
            let thing = if x > 150 { 0.2 } else { 0.6 };
            let grain = 1.0 + 0.1 * ((x * 7 + y * 13) % 5) as f64;
            [(thing * grain * libm::exp2(stops(x))) as f32; 3]
        });
        let picture = FlatLight { width, height, pixels: pixels.collect() };
        let hole = Mask::of(width, height, |x, y| x.abs_diff(110) < 40 && y.abs_diff(100) < 40);
        let lighting = Lighting::of(&picture, &hole);
        for (x, y) in [(10, 20), (100, 100), (230, 180)] {
            let fallen = f64::from(lighting.at(x, y) - lighting.at(120, 100));
            assert!((fallen - (stops(x) - stops(120))).abs() < 0.06, "{fallen} at {x}, {y}");
        }
    }
}
