//! Finest detail made stronger, as wide along a parallel as along a meridian.

use super::spread::cosine_of_row;

/// Rows above and below that a row's blur looks at.
pub const REACH: usize = 2;

/// Weights of the rows around a row: a box of two rows twice over, which spreads by 0.82 rows.
const WEIGHTS: [f32; 3] = [0.375, 0.25, 0.0625];
/// Rows and, on the equator, columns of the box.
const BOX: f64 = 2.0;
/// Luma is counted in steps so fine that sums of them are exact and the place where a row starts makes no difference.
const STEPS: f32 = 1_048_576.0;

/// Unsharp masking of luma: own + amount · (own − blurred), where blurred is a mean over two boxes of two rows, and along the
/// parallel over two boxes of 2/cos(latitude) columns, which is the same arc. (Common practice, no source; the widths are ours.)
pub struct Sharpener {
    amount: f32,
    height: usize,
    blurred: Circle,
}

impl Sharpener {
    /// `amount` 0..=1, for pictures of that size.
    pub fn new(amount: f32, (width, height): (usize, usize)) -> Sharpener {
        Sharpener { amount, height, blurred: Circle::new(width) }
    }

    /// Sharpens row `y`: `around` are its luma (0..=1) in the middle and that of the [`REACH`] rows above and below, beyond a pole those of the
    /// other side. The result is within 0..=1.
    pub fn sharpen(&mut self, y: usize, around: [&[f32]; 2 * REACH + 1], out: &mut [f32]) {
        let columns = BOX / cosine_of_row(y, self.height);
        self.blurred.fill(around);
        self.blurred.box_mean(columns);
        self.blurred.box_mean(columns);
        for ((out, own), blurred) in out.iter_mut().zip(around[REACH]).zip(&self.blurred.values) {
            *out = (own + self.amount * (own - *blurred as f32 * (1.0 / STEPS))).clamp(0.0, 1.0);
        }
    }
}

/// A row as whole numbers, closed to a circle.
struct Circle {
    values: Vec<i32>,
    sums: Vec<i64>,
    /// The row once more before and behind itself, as far as the box reaches.
    extended: Vec<i32>,
}

impl Circle {
    fn new(width: usize) -> Circle {
        Circle { values: vec![0; width], sums: Vec::new(), extended: Vec::new() }
    }

    /// The weighted mean of five rows.
    fn fill(&mut self, [a, b, c, d, e]: [&[f32]; 2 * REACH + 1]) {
        for (x, value) in self.values.iter_mut().enumerate() {
            let mean = WEIGHTS[0] * c[x] + WEIGHTS[1] * (b[x] + d[x]) + WEIGHTS[2] * (a[x] + e[x]);
            *value = (mean * STEPS + 0.5) as i32;
        }
    }

    /// The mean of a box `columns` wide around each value; of all where it is wider than the circle.
    fn box_mean(&mut self, columns: f64) {
        let width = self.values.len();
        if columns >= width as f64 {
            let total: i64 = self.values.iter().map(|&value| i64::from(value)).sum();
            let mean = (total as f64 / width as f64 + 0.5) as i32;
            return self.values.fill(mean);
        }
        let reach = (columns / 2.0 + 0.5).ceil() as usize;
        self.extend(reach);
        let (below, above) = (0.5 - columns / 2.0, 0.5 + columns / 2.0);
        let (below_floor, above_floor) = (below.floor(), above.floor());
        let (below_share, above_share) = ((below - below_floor) as f32, (above - above_floor) as f32);
        // In the extended row, value x stands at x + reach.
        let first = (reach as isize + below_floor as isize) as usize;
        let last = reach + above_floor as usize;
        let inverse = (1.0 / columns) as f32;
        for x in 0..width {
            let (from, to) = (x + first, x + last);
            // Whole numbers first: their difference is exact wherever the row starts.
            let whole = (self.sums[to] - self.sums[from]) as f32;
            let ends = above_share * self.extended[to] as f32 - below_share * self.extended[from] as f32;
            self.values[x] = ((whole + ends) * inverse + 0.5) as i32;
        }
    }

    fn extend(&mut self, reach: usize) {
        let width = self.values.len();
        self.extended.clear();
        let before = (0..reach).rev().map(|step| self.values[width - 1 - step % width]);
        self.extended.extend(before);
        self.extended.extend_from_slice(&self.values);
        self.extended.extend((0..=reach).map(|step| self.values[step % width]));
        self.sums.clear();
        let mut sum = 0;
        self.sums.push(0);
        self.sums.extend(self.extended.iter().map(|&value| {
            sum += i64::from(value);
            sum
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sharpened(amount: f32, y: usize, height: usize, row: &[f32]) -> Vec<f32> {
        let mut out = vec![0.0; row.len()];
        Sharpener::new(amount, (row.len(), height)).sharpen(y, [row; 5], &mut out);
        out
    }

    /// The blur of a single bright column, by hand: two boxes of two columns have the weights 1/16, 1/4, 3/8, 1/4, 1/16.
    #[test]
    fn a_line_is_blurred_by_the_boxes_weights() {
        let mut row = vec![0.25; 1000];
        row[1] = 0.5;
        let out = sharpened(0.5, 250, 500, &row);
        for (x, weight) in [(999, 0.0625), (0, 0.25), (1, 0.375), (2, 0.25), (3, 0.0625), (4, 0.0)] {
            let own = row[x];
            let expected = own + 0.5 * (own - (0.25 + 0.25 * weight));
            assert!((out[x] - expected).abs() < 1e-5, "column {x}: {}, expected {expected}", out[x]);
        }
    }

    #[test]
    fn plain_rows_stay_and_results_stay_in_range() {
        for y in [0, 1, 7, 100, 249, 499] {
            assert!(sharpened(1.0, y, 500, &vec![0.7; 1000]).iter().all(|value| (value - 0.7).abs() < 2e-6), "row {y}");
            let stripes: Vec<f32> = (0..1000).map(|x| f32::from(u8::from(x / 2 % 2 == 0))).collect();
            assert!(sharpened(1.0, y, 500, &stripes).iter().all(|value| (0.0..=1.0).contains(value)));
        }
    }

    #[test]
    fn rolling_a_row_rolls_the_result_to_the_last_bit() {
        let row: Vec<f32> = (0..1000).map(|x| (x * 7919 % 1009) as f32 / 1009.0).collect();
        for y in [0, 3, 40, 250] {
            let mut expected = sharpened(0.8, y, 500, &row);
            let mut rolled = row.clone();
            rolled.rotate_left(137);
            expected.rotate_left(137);
            assert_eq!(sharpened(0.8, y, 500, &rolled), expected, "row {y}");
        }
    }

    /// Close to a pole a column is a thin sliver: a bright one is nearly all detail, and what surrounds it loses a little over
    /// many columns instead of a lot in two.
    #[test]
    fn near_a_pole_the_box_is_as_wide_in_arc() {
        let mut row = vec![0.25; 1000];
        row[500] = 0.5;
        // 1.98° from the pole two rows' arc is 58 columns: a triangle of 116, with 1/58 at its tip.
        let out = sharpened(1.0, 5, 500, &row);
        assert!((out[500] - (0.5 + 0.25 * (1.0 - 1.0 / 58.0))).abs() < 1e-3, "{}", out[500]);
        assert!((out[471] - (0.25 - 0.25 / 58.0 / 2.0)).abs() < 3e-4, "{}", out[471]);
        assert!((out[430] - 0.25).abs() < 1e-5);
    }
}
