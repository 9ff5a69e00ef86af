//! A flat picture in linear light.

/// A rectilinear picture in linear BT.2020 light, three floats a pixel, row by row.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatLight {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Red, green and blue, `width × height` of them.
    pub pixels: Vec<[f32; 3]>,
}

impl FlatLight {
    /// Light between pixel centres, `x` and `y` counted from the first pixel's centre; beyond the edge the edge goes on. Keys' cubic, a = −½ ("Cubic
    /// convolution interpolation for digital image processing", IEEE Trans. ASSP 29(6), 1981).
    pub fn sample(&self, [x, y]: [f64; 2]) -> [f32; 3] {
        let (left, top) = (x.floor(), y.floor());
        let (across, down) = (cubic((x - left) as f32), cubic((y - top) as f32));
        let (left, top) = (left as isize - 1, top as isize - 1);
        let at = |row: isize, column: isize| {
            let row = row.clamp(0, self.height as isize - 1) as usize;
            self.pixels[row * self.width + column.clamp(0, self.width as isize - 1) as usize]
        };
        weighed(across, down, |row, column| at(top + row as isize, left + column as isize))
    }
}

/// Sixteen pixels by their weights, in a fixed order.
#[inline(always)]
pub(super) fn weighed(across: [f32; 4], down: [f32; 4], at: impl Fn(usize, usize) -> [f32; 3]) -> [f32; 3] {
    let mut sum = [0.0; 3];
    for (row, weight) in down.into_iter().enumerate() {
        let four: [[f32; 3]; 4] = std::array::from_fn(|column| at(row, column));
        for (channel, sum) in sum.iter_mut().enumerate() {
            let line = (across[0] * four[0][channel] + across[1] * four[1][channel])
                + (across[2] * four[2][channel] + across[3] * four[3][channel]);
            *sum += weight * line;
        }
    }
    sum
}

/// Keys' weights, a = −½, of the four pixels about a place `t` after the second.
#[inline(always)]
pub(super) fn cubic(t: f32) -> [f32; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [-0.5 * t + t2 - 0.5 * t3, 1.0 - 2.5 * t2 + 1.5 * t3, 0.5 * t + 2.0 * t2 - 1.5 * t3, -0.5 * t2 + 0.5 * t3]
}
