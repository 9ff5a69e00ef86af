//! The darkroom's working picture: linear light with wide primaries, deep enough that no step's rounding shows.
//!
//! Light adds up, so everything that blends, blurs or weighs works on numbers that are proportional to it. The primaries are
//! those of ITU-R BT.2020, wide enough for what cameras and screens write; a colour beyond them has a negative channel and
//! keeps it. 1 is the white of the file that was read; what is brighter (a merged bracket) lies above.

use half::f16;
use half::slice::HalfFloatSliceExt;
use rayon::prelude::*;

/// From linear sRGB to linear BT.2020, both D65. Computed from the primaries of ITU-R BT.709-6 and BT.2020-2 (items 1.3 and 1.4 of both).
/// Rows add up to 1: a grey stays the same number in all three channels.
pub const SRGB_TO_BT2020: [[f32; 3]; 3] = [
    [0.627_403_9, 0.329_283_04, 0.043_313_067],
    [0.069_097_29, 0.919_540_4, 0.011_362_316],
    [0.016_391_44, 0.088_013_31, 0.895_595_25],
];

/// The way back, its inverse.
pub const BT2020_TO_SRGB: [[f32; 3]; 3] = [
    [1.660_491, -0.587_641_1, -0.072_849_86],
    [-0.124_550_47, 1.132_899_9, -0.008_349_42],
    [-0.018_150_76, -0.100_578_9, 1.118_729_7],
];

/// Weights of linear BT.2020 red, green and blue in luminance (ITU-R BT.2020-2, from its primaries and white).
pub const LUMINANCE: [f32; 3] = [0.262_700_2, 0.677_998_07, 0.059_301_72];

/// One row, a channel each, `width` numbers long.
pub type Row = [Vec<f32>; 3];

/// A whole sphere that can be read row by row as linear BT.2020, however it is kept. Twice as wide as high, width even.
pub trait LinearRows: Sync {
    /// Columns and rows.
    fn size(&self) -> (usize, usize);
    /// Reads row `y` from the top into `row`, whose vectors are as long as the picture is wide.
    fn read(&self, y: usize, row: &mut Row);
    /// For a file whose numbers end: its own primaries, as the matrix from its linear red, green and blue to linear BT.2020. Each of
    /// the three ends at 1, and light that was brighter stands there as 1. `None` where numbers go on.
    fn full_scale(&self) -> Option<[[f64; 3]; 3]> {
        None
    }
}

/// An empty row for a picture of that width.
pub fn empty_row(width: usize) -> Row {
    std::array::from_fn(|_| vec![0.0; width])
}

/// An equirectangular picture in linear BT.2020, half floats, one plane a channel, rows without padding.
/// Six bytes a pixel: 201 MB at 8192×4096. Every number is finite.
#[derive(Clone, Debug, PartialEq)]
pub struct LinearPicture {
    /// Columns, even.
    pub width: usize,
    /// Rows, half as many.
    pub height: usize,
    /// Red, green and blue, `width × height` each.
    pub planes: [Vec<f16>; 3],
    /// As [`LinearRows::full_scale`].
    pub full_scale: Option<[[f64; 3]; 3]>,
}

impl LinearPicture {
    /// All black, of numbers that do not end.
    pub fn black(width: usize, height: usize) -> Self {
        let planes = std::array::from_fn(|_| vec![f16::ZERO; width * height]);
        LinearPicture { width, height, planes, full_scale: None }
    }

    /// Any other picture, kept as half floats. Infinities become the largest number that there is, what is not a number
    /// becomes black.
    pub fn of(rows: &dyn LinearRows) -> Self {
        let (width, height) = rows.size();
        let mut picture = LinearPicture::black(width, height);
        picture.full_scale = rows.full_scale();
        let mut row = empty_row(width);
        for y in 0..height {
            rows.read(y, &mut row);
            picture.set_row(y, &mut row);
        }
        picture
    }

    /// Any other picture with at most so many columns: each pixel is the mean light of a square of whole pixels. Rows and columns
    /// that fill no last square are left out; width and height stay even and in proportion.
    pub fn shrunk(rows: &dyn LinearRows, most_columns: usize) -> Self {
        let (width, height) = rows.size();
        let side = width.div_ceil(most_columns.max(2));
        if side <= 1 {
            return LinearPicture::of(rows);
        }
        let small_height = (height / side).max(1);
        let mut picture = LinearPicture::black(2 * small_height, small_height);
        picture.full_scale = rows.full_scale();
        let strips: Vec<Row> = (0..small_height)
            .into_par_iter()
            .map_init(|| empty_row(width), |row, y| mean_row(rows, row, (y, side), 2 * small_height))
            .collect();
        for (y, mut row) in strips.into_iter().enumerate() {
            picture.set_row(y, &mut row);
        }
        picture
    }

    /// Keeps a row, which is first made finite, as [`LinearPicture::of`] says.
    pub fn set_row(&mut self, y: usize, row: &mut Row) {
        for (plane, channel) in self.planes.iter_mut().zip(row) {
            channel.iter_mut().for_each(|value| *value = finite(*value));
            plane[y * self.width..][..self.width].convert_from_f32_slice(channel);
        }
    }
}

impl LinearRows for LinearPicture {
    fn size(&self) -> (usize, usize) {
        (self.width, self.height)
    }

    fn read(&self, y: usize, row: &mut Row) {
        for (plane, channel) in self.planes.iter().zip(row) {
            plane[y * self.width..][..self.width].convert_to_f32_slice(channel);
        }
    }

    fn full_scale(&self) -> Option<[[f64; 3]; 3]> {
        self.full_scale
    }
}

/// The means of squares of a picture, for row `y` of the smaller one.
fn mean_row(rows: &dyn LinearRows, row: &mut Row, (y, side): (usize, usize), small_width: usize) -> Row {
    let height = rows.size().1;
    let mut means = empty_row(small_width);
    for line in (y * side..(y + 1) * side).map(|line| line.min(height - 1)) {
        rows.read(line, row);
        for (means, channel) in means.iter_mut().zip(row.iter()) {
            for (mean, square) in means.iter_mut().zip(channel.chunks_exact(side)) {
                *mean += square.iter().copied().map(finite).sum::<f32>();
            }
        }
    }
    let share = 1.0 / (side * side) as f32;
    means.iter_mut().flatten().for_each(|mean| *mean *= share);
    means
}

/// A number that a half float can hold.
pub fn finite(value: f32) -> f32 {
    const LARGEST: f32 = 65504.0;
    if value.is_nan() { 0.0 } else { value.clamp(-LARGEST, LARGEST) }
}

/// A matrix times a colour, in a fixed order.
#[inline(always)]
pub fn through(matrix: &[[f32; 3]; 3], [r, g, b]: [f32; 3]) -> [f32; 3] {
    matrix.map(|row| row[0] * r + row[1] * g + row[2] * b)
}

/// A matrix that takes a grey to a grey exactly: equal channels in, equal channels out, to the last bit, as long as the
/// matrix's rows have the same sum. Written about green: `out = sum · g + m₀ · (r − g) + m₂ · (b − g)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LightMatrix {
    sums: [f32; 3],
    of_red: [f32; 3],
    of_blue: [f32; 3],
}

impl LightMatrix {
    /// From rows that are applied to columns of red, green and blue.
    pub fn new(rows: [[f64; 3]; 3]) -> Self {
        LightMatrix {
            sums: rows.map(|row| (row[0] + row[1] + row[2]) as f32),
            of_red: rows.map(|row| row[0] as f32),
            of_blue: rows.map(|row| row[2] as f32),
        }
    }

    /// One of the two matrices above, whose rows add up to 1 but for rounding.
    pub const fn keeping_white(rows: &[[f32; 3]; 3]) -> Self {
        LightMatrix {
            sums: [1.0; 3],
            of_red: [rows[0][0], rows[1][0], rows[2][0]],
            of_blue: [rows[0][2], rows[1][2], rows[2][2]],
        }
    }

    /// The matrix times a colour, in a fixed order.
    #[inline(always)]
    pub fn apply(&self, [r, g, b]: [f32; 3]) -> [f32; 3] {
        let (red, blue) = (r - g, b - g);
        let channel = |c: usize| self.sums[c] * g + (self.of_red[c] * red + self.of_blue[c] * blue);
        [channel(0), channel(1), channel(2)]
    }
}

/// Linear light, 0 to 1, of an sRGB value, 0 to 1 (IEC 61966-2-1).
pub fn srgb_to_light(value: f64) -> f64 {
    if value <= 0.040_45 { value / 12.92 } else { libm::pow((value + 0.055) / 1.055, 2.4) }
}

/// The sRGB value, 0 to 1, of linear light, 0 to 1 (IEC 61966-2-1).
pub fn light_to_srgb(light: f64) -> f64 {
    if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{Chroma, YccPicture};

    fn grey(value: u8) -> YccPicture {
        YccPicture { width: 4, height: 2, chroma: Chroma::Full, y: vec![value; 8], cb: vec![128; 8], cr: vec![128; 8] }
    }

    #[test]
    fn a_grey_is_the_same_light_in_every_channel() {
        let mut row = empty_row(4);
        for value in 0..=255 {
            grey(value).read(1, &mut row);
            let exact = srgb_to_light(f64::from(value) / 255.0) as f32;
            for channel in &row {
                assert!((channel[3] - exact).abs() <= 1e-6, "{value}: {} for {exact}", channel[3]);
            }
            assert!(row[0][3] == row[1][3] && row[1][3] == row[2][3], "{value}: {row:?}");
        }
    }

    #[test]
    fn the_matrices_undo_each_other() {
        for colour in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.3, 0.6, 0.1]] {
            let back = through(&BT2020_TO_SRGB, through(&SRGB_TO_BT2020, colour));
            for (got, expected) in back.into_iter().zip(colour) {
                assert!((got - expected).abs() < 1e-6, "{colour:?} became {back:?}");
            }
        }
    }

    #[test]
    fn both_ways_of_writing_a_matrix_agree() {
        let matrix = LightMatrix::keeping_white(&SRGB_TO_BT2020);
        for colour in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.3, 0.6, 0.1]] {
            for (got, expected) in matrix.apply(colour).into_iter().zip(through(&SRGB_TO_BT2020, colour)) {
                assert!((got - expected).abs() < 1e-6, "{colour:?}");
            }
        }
    }

    #[test]
    fn half_floats_keep_a_picture_and_hold_no_strange_numbers() {
        let kept = LinearPicture::of(&grey(200));
        let (mut before, mut after) = (empty_row(4), empty_row(4));
        grey(200).read(0, &mut before);
        kept.read(0, &mut after);
        for (before, after) in before.iter().flatten().zip(after.iter().flatten()) {
            // Eleven bits of precision.
            assert!((before - after).abs() <= before / 2048.0);
        }
        assert_eq!([f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 1e9].map(finite), [0.0, 65504.0, -65504.0, 65504.0]);
    }

    #[test]
    fn a_smaller_picture_has_the_mean_light_of_its_squares() {
        struct Ramp;
        impl LinearRows for Ramp {
            fn size(&self) -> (usize, usize) {
                (26, 13)
            }
            fn read(&self, y: usize, row: &mut Row) {
                row.iter_mut().for_each(|channel| {
                    channel.iter_mut().enumerate().for_each(|(x, value)| *value = (x + 100 * y) as f32)
                });
            }
        }
        let small = LinearPicture::shrunk(&Ramp, 10);
        assert_eq!((small.width, small.height), (8, 4));
        // Squares of three: the mean of columns 3, 4, 5 and rows 6, 7, 8.
        assert_eq!(small.planes[1][2 * 8 + 1].to_f32(), f16::from_f32(704.0).to_f32());
        assert_eq!(LinearPicture::shrunk(&Ramp, 26), LinearPicture::of(&Ramp));
    }
}
