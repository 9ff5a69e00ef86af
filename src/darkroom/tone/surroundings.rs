//! What surrounds a pixel: how light the place is that it lies in, edges kept.

use super::spread::spread;

/// How far the surroundings reach.
const RADIUS_DEG: f64 = 6.0;
/// Differences of light, in stops squared, that count as detail; what differs by much more is an edge between two places.
const DETAIL: f32 = 0.1;

/// For every pixel its surroundings' light as a line through the pixel's own: `slope · own + offset`, all in stops. The
/// guided filter of K. He, J. Sun, X. Tang, "Guided Image Filtering", IEEE TPAMI 35(6), 1397–1409 (2013), guided by the
/// picture itself, with the lines worked out on a small picture (K. He, J. Sun, "Fast Guided Filter", arXiv:1505.00996): beside a
/// window's frame the slope is near 1, so that the frame's surroundings are the frame and the window's are the window.
pub struct Surroundings {
    width: usize,
    height: usize,
    slopes: Vec<f32>,
    offsets: Vec<f32>,
}

impl Surroundings {
    /// From the light of a small sphere's cells in stops.
    pub fn of(stops: &[f32], width: usize) -> Surroundings {
        let squares: Vec<f32> = stops.iter().map(|stop| stop * stop).collect();
        let (means, squares) = (spread(stops, width, RADIUS_DEG), spread(&squares, width, RADIUS_DEG));
        let slope = |(mean, square): (&f32, &f32)| {
            let variance = (square - mean * mean).max(0.0);
            variance / (variance + DETAIL)
        };
        let slopes: Vec<f32> = means.iter().zip(&squares).map(slope).collect();
        let offsets: Vec<f32> = means.iter().zip(&slopes).map(|(mean, slope)| mean - slope * mean).collect();
        Surroundings {
            width,
            height: stops.len() / width,
            slopes: spread(&slopes, width, RADIUS_DEG),
            offsets: spread(&offsets, width, RADIUS_DEG),
        }
    }

    /// Slope and offset of a cell.
    pub fn of_cell(&self, cell: usize) -> (f32, f32) {
        (self.slopes[cell], self.offsets[cell])
    }
}

/// The lines of a picture's rows, between those of the cells.
pub struct Lines {
    /// Columns of cells, twice the first at the end.
    upper_lower: [Vec<f32>; 2],
    /// For every column of the picture the share of the next cell.
    shares: Vec<f32>,
    /// For every column of cells where its stretch of the picture starts, and where the last one ends.
    starts: Vec<usize>,
    /// The picture's size.
    size: (usize, usize),
    /// Slopes of the row that was read.
    pub slopes: Vec<f32>,
    /// Offsets of the row that was read.
    pub offsets: Vec<f32>,
}

impl Lines {
    /// For a picture of that size.
    pub fn new(surroundings: &Surroundings, size: (usize, usize)) -> Lines {
        let (width, cells) = (size.0, surroundings.width);
        // Twice as many steps as cells and columns, so that halves are whole: a column's middle lies at (2x + 1) · cells,
        // a cell's middle at (2i + 1) · width.
        let place = |x: usize| (2 * x + 1) * cells + width;
        let cell = |x: usize| place(x) / (2 * width);
        let shares = (0..width).map(|x| (place(x) % (2 * width)) as f32 / (2 * width) as f32).collect();
        let mut starts: Vec<usize> = Vec::with_capacity(cells + 2);
        (0..width).for_each(|x| {
            while starts.len() <= cell(x) {
                starts.push(x);
            }
        });
        starts.resize(cells + 2, width);
        let plane = || vec![0.0; width];
        let cells = || vec![0.0; cells];
        Lines { upper_lower: [cells(), cells()], shares, starts, size, slopes: plane(), offsets: plane() }
    }

    /// Works out slopes and offsets of the picture's row `y`.
    pub fn read(&mut self, surroundings: &Surroundings, y: usize) {
        let height = self.size.1;
        let place = (2 * y + 1) * surroundings.height + height;
        // Cell `below` lies below the row's middle; before the first and behind the last row the sphere goes on beyond the pole.
        let below = place / (2 * height);
        let share = (place % (2 * height)) as f32 / (2 * height) as f32;
        let mut slopes = std::mem::take(&mut self.slopes);
        let mut offsets = std::mem::take(&mut self.offsets);
        for (cells, to) in [(&surroundings.slopes, &mut slopes), (&surroundings.offsets, &mut offsets)] {
            let [upper, lower] = &mut self.upper_lower;
            copy_row(cells, surroundings, below as isize - 1, upper);
            copy_row(cells, surroundings, below as isize, lower);
            upper.iter_mut().zip(lower).for_each(|(upper, lower)| *upper += share * (*lower - *upper));
            self.stretch(to);
        }
        (self.slopes, self.offsets) = (slopes, offsets);
    }

    /// Between the cells of the first row of `upper_lower`, which is a circle.
    fn stretch(&self, to: &mut [f32]) {
        let cells = &self.upper_lower[0];
        for (next, ends) in self.starts.windows(2).enumerate() {
            let (start, end) = (ends[0], ends[1]);
            let here = cells[(next + cells.len() - 1) % cells.len()];
            let step = cells[next % cells.len()] - here;
            for (to, share) in to[start..end].iter_mut().zip(&self.shares[start..end]) {
                *to = here + share * step;
            }
        }
    }
}

/// A row of cells; beyond a pole it is the row on this side of it, half a turn on.
fn copy_row(cells: &[f32], Surroundings { width, height, .. }: &Surroundings, y: isize, to: &mut [f32]) {
    let (width, height) = (*width, *height as isize);
    let beyond = y < 0 || y >= height;
    let inside = if y < 0 {
        -1 - y
    } else if beyond {
        2 * height - 1 - y
    } else {
        y
    };
    let row = &cells[inside as usize * width..][..width];
    to.copy_from_slice(row);
    if beyond {
        to.rotate_left(width / 2);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cells whose offsets are a smooth function of the direction; the lines between them follow it everywhere, over the seam
    /// and the poles too.
    #[test]
    fn lines_follow_a_smooth_sphere_everywhere() {
        let value = |x: f64, y: f64, width: f64| {
            let direction = crate::sphere::Direction::from_degrees((x / width - 0.5) * 360.0, 90.0 - y / width * 360.0);
            0.3 * direction.right + 0.5 * direction.up - 0.2 * direction.ahead
        };
        for (width, cells) in [(64, 64), (128, 64), (150, 64), (640, 64)] {
            let offsets: Vec<f32> = (0..cells * cells / 2)
                .map(|cell| value((cell % cells) as f64 + 0.5, (cell / cells) as f64 + 0.5, cells as f64) as f32)
                .collect();
            let surroundings =
                Surroundings { width: cells, height: cells / 2, slopes: vec![0.5; offsets.len()], offsets };
            let mut lines = Lines::new(&surroundings, (width, width / 2));
            for y in 0..width / 2 {
                lines.read(&surroundings, y);
                for x in 0..width {
                    let expected = value(x as f64 + 0.5, y as f64 + 0.5, width as f64);
                    let off = (f64::from(lines.offsets[x]) - expected).abs();
                    assert!(off < 2e-3, "{width} over {cells}: column {x}, row {y}: off by {off}");
                    assert!((lines.slopes[x] - 0.5).abs() < 1e-6);
                }
            }
        }
    }

    /// A bright window in a dark wall: on either side of its edge the surroundings are those of that side.
    #[test]
    fn surroundings_keep_an_edge_and_flatten_detail() {
        let width = 360;
        let stops: Vec<f32> = (0..width * width / 2)
            .map(|cell| {
                let (x, y) = (cell % width, cell / width);
                let grain = if (x + y) % 2 == 0 { 0.1 } else { -0.1 };
                grain + if (100..130).contains(&x) && (70..110).contains(&y) { 0.0 } else { -5.0 }
            })
            .collect();
        let surroundings = Surroundings::of(&stops, width);
        let at = |x: usize, y: usize| {
            let (slope, offset) = surroundings.of_cell(y * width + x);
            slope * stops[y * width + x] + offset
        };
        for (x, side) in [(97, -5.0), (99, -5.0), (100, 0.0), (102, 0.0), (115, 0.0), (150, -5.0)] {
            assert!((at(x, 90) - side).abs() < 0.5, "column {x}: {}", at(x, 90));
        }
        // Far from any edge the grain is detail: a tenth of it is left.
        assert!((at(20, 90) - at(21, 90)).abs() < 0.02);
    }
}
