//! The fast road's working picture: planar 8-bit Y'CbCr, as a JPEG file has it.

/// How finely colour is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Chroma {
    /// One Cb and one Cr for every pixel (4:4:4).
    Full,
    /// One for every block of 2×2 pixels, sited at the block's centre (4:2:0).
    Half,
}

/// An equirectangular picture in sRGB, as full-range Y'CbCr after ITU-T T.871 (BT.601 weights), one plane each,
/// rows without padding. Width is even and twice the height.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct YccPicture {
    /// Columns of the luma plane.
    pub width: usize,
    /// Rows of the luma plane.
    pub height: usize,
    /// How the two chroma planes are kept.
    pub chroma: Chroma,
    /// `width × height` luma.
    pub y: Vec<u8>,
    /// Chroma blue: `width × height`, or half of each.
    pub cb: Vec<u8>,
    /// Chroma red, the same size.
    pub cr: Vec<u8>,
}

impl YccPicture {
    /// Columns and rows of a chroma plane.
    pub fn chroma_size(&self) -> (usize, usize) {
        match self.chroma {
            Chroma::Full => (self.width, self.height),
            Chroma::Half => (self.width.div_ceil(2), self.height.div_ceil(2)),
        }
    }
}

/// Sorts interleaved Y'CbCr samples (three bytes a pixel) into planes. A halved plane holds the rounded mean of each
/// block; where the height is odd the last row of blocks has one row only, which counts twice.
///
/// The luma plane takes over the samples' own memory, so no more is ever held than the samples and the chroma planes.
pub(super) fn split(mut samples: Vec<u8>, (width, height): (usize, usize), chroma: Chroma) -> YccPicture {
    let mut picture = YccPicture { width, height, chroma, y: Vec::new(), cb: Vec::new(), cr: Vec::new() };
    let (chroma_width, chroma_height) = picture.chroma_size();
    picture.cb = vec![0; chroma_width * chroma_height];
    picture.cr = vec![0; chroma_width * chroma_height];
    let rows_together = if chroma == Chroma::Half { 2 } else { 1 };
    let mut bands = Bands::new(width);
    for row in (0..height).step_by(rows_together) {
        let rows = rows_together.min(height - row);
        let at = row / rows_together * chroma_width..(row / rows_together + 1) * chroma_width;
        let from = &samples[3 * row * width..3 * (row + rows) * width];
        bands.split(from, chroma, &mut picture.cb[at.clone()], &mut picture.cr[at]);
        // Luma ends up before all that is still to be read: a row is a third of its samples.
        for (index, luma) in bands.y.iter().take(rows).enumerate() {
            samples[(row + index) * width..(row + index + 1) * width].copy_from_slice(luma);
        }
    }
    samples.truncate(width * height);
    samples.shrink_to_fit();
    picture.y = samples;
    picture
}

/// Two rows on their way from samples to planes; small enough to stay in the nearest cache.
struct Bands {
    y: [Vec<u8>; 2],
    cb: [Vec<u8>; 2],
    cr: [Vec<u8>; 2],
    wide_vectors: bool,
}

impl Bands {
    fn new(width: usize) -> Self {
        let pair = || [vec![0; width], vec![0; width]];
        Bands { y: pair(), cb: pair(), cr: pair(), wide_vectors: crate::vectors::has_avx2() }
    }

    /// Sorts one row or two. Luma stays in `self.y`; chroma goes to `cb` and `cr`.
    fn split(&mut self, from: &[u8], chroma: Chroma, cb: &mut [u8], cr: &mut [u8]) {
        #[cfg(target_arch = "x86_64")]
        if self.wide_vectors {
            // SAFETY: the processor was asked for these instructions.
            return unsafe { self.split_avx2(from, chroma, cb, cr) };
        }
        self.split_plainly(from, chroma, cb, cr);
    }

    /// The same code, compiled for wider vectors: integers only, so the same bytes.
    #[cfg(target_arch = "x86_64")]
    #[target_feature(enable = "avx2")]
    fn split_avx2(&mut self, from: &[u8], chroma: Chroma, cb: &mut [u8], cr: &mut [u8]) {
        self.split_plainly(from, chroma, cb, cr);
    }

    #[inline(always)]
    fn split_plainly(&mut self, from: &[u8], chroma: Chroma, cb: &mut [u8], cr: &mut [u8]) {
        let width = self.y[0].len();
        let (upper, lower) = from.split_at(3 * width);
        if chroma == Chroma::Full {
            return separate(upper, &mut self.y[0], cb, cr);
        }
        let lower = if lower.is_empty() { upper } else { lower };
        separate(upper, &mut self.y[0], &mut self.cb[0], &mut self.cr[0]);
        separate(lower, &mut self.y[1], &mut self.cb[1], &mut self.cr[1]);
        halve(&self.cb, cb);
        halve(&self.cr, cr);
    }
}

#[inline(always)]
fn separate(from: &[u8], y: &mut [u8], cb: &mut [u8], cr: &mut [u8]) {
    for (((pixel, y), cb), cr) in from.chunks_exact(3).zip(y).zip(cb).zip(cr) {
        (*y, *cb, *cr) = (pixel[0], pixel[1], pixel[2]);
    }
}

/// The mean of each block of 2×2, rounded half up. An odd width cannot occur: a sphere is twice as wide as high.
#[inline(always)]
fn halve(rows: &[Vec<u8>; 2], to: &mut [u8]) {
    for ((upper, lower), mean) in rows[0].chunks_exact(2).zip(rows[1].chunks_exact(2)).zip(to) {
        let sum = u16::from(upper[0]) + u16::from(upper[1]) + u16::from(lower[0]) + u16::from(lower[1]);
        *mean = ((sum + 2) >> 2) as u8;
    }
}

/// A picture in 8-bit sRGB, interleaved, rows without padding.
#[derive(Clone, Copy, Debug)]
pub struct Rgb8Rows<'a> {
    /// Columns; even where chroma is to be halved.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// `3 × width × height`.
    pub samples: &'a [u8],
}

impl Rgb8Rows<'_> {
    /// The same as planes of full-range Y'CbCr.
    pub fn to_ycc(self, chroma: Chroma) -> YccPicture {
        let mut writer = YccWriter::new((self.width, self.height), chroma);
        let row = |y: usize| &self.samples[3 * self.width * y.min(self.height - 1)..][..3 * self.width];
        (0..self.height).step_by(2).for_each(|y| writer.push(row(y), row(y + 1)));
        writer.finish()
    }
}

/// Makes a picture from rows of RGB, from the top down.
pub(super) struct YccWriter {
    picture: YccPicture,
}

impl YccWriter {
    /// For a picture of that size; the width is even.
    pub fn new((width, height): (usize, usize), chroma: Chroma) -> Self {
        let mut picture = YccPicture { width, height, chroma, y: Vec::new(), cb: Vec::new(), cr: Vec::new() };
        let (chroma_width, chroma_height) = picture.chroma_size();
        picture.y.reserve_exact(width * height);
        picture.cb.reserve_exact(chroma_width * chroma_height);
        picture.cr.reserve_exact(chroma_width * chroma_height);
        YccWriter { picture }
    }

    /// Adds two rows of RGB triples. Where only one row is left, `lower` repeats it and is not added.
    pub fn push(&mut self, upper: &[u8], lower: &[u8]) {
        let picture = &mut self.picture;
        let rows_left = picture.height - picture.y.len() / picture.width;
        let rows = &[upper, lower][..rows_left.min(2)];
        for row in rows {
            picture.y.extend(row.chunks_exact(3).map(luma));
        }
        match picture.chroma {
            Chroma::Full => {
                for row in rows {
                    let sums = || row.chunks_exact(3).map(|pixel| [0, 1, 2].map(|channel| i32::from(pixel[channel])));
                    picture.cb.extend(sums().map(|sum| weigh::<0>(CB, sum)));
                    picture.cr.extend(sums().map(|sum| weigh::<0>(CR, sum)));
                }
            }
            Chroma::Half => {
                let blocks = || upper.chunks_exact(6).zip(lower.chunks_exact(6));
                let sum = |(upper, lower): (&[u8], &[u8])| {
                    [0, 1, 2]
                        .map(|channel| [upper[channel], upper[channel + 3], lower[channel], lower[channel + 3]])
                        .map(|four| four.into_iter().map(i32::from).sum())
                };
                picture.cb.extend(blocks().map(|block| weigh::<2>(CB, sum(block))));
                picture.cr.extend(blocks().map(|block| weigh::<2>(CR, sum(block))));
            }
        }
    }

    /// The picture, once every row has been added.
    pub fn finish(self) -> YccPicture {
        self.picture
    }
}

/// Weights of red, green and blue after ITU-T T.871 section 7, in 1/65536. Those of luma add up to 1 and those of
/// chroma to 0, so that every grey stays exactly grey.
const Y: [i32; 3] = [19595, 38470, 7471];
const CB: [i32; 3] = [-11059, -21709, 32768];
const CR: [i32; 3] = [32768, -27439, -5329];

fn luma(pixel: &[u8]) -> u8 {
    let sum: i32 = Y.iter().zip(pixel).map(|(weight, &value)| weight * i32::from(value)).sum();
    ((sum + (1 << 15)) >> 16) as u8
}

/// Chroma from the sum of 2^`SHIFT` pixels, rounded once. Full blue and full red would round to 256.
fn weigh<const SHIFT: u32>(weights: [i32; 3], sum: [i32; 3]) -> u8 {
    let weighted: i32 = weights.iter().zip(sum).map(|(weight, value)| weight * value).sum();
    let shift = 16 + SHIFT;
    (((128 << shift) + weighted + (1 << (shift - 1))) >> shift).min(255) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    /// T.871 section 7 in floating point.
    fn exact([r, g, b]: [u8; 3]) -> [f64; 3] {
        let [r, g, b] = [r, g, b].map(f64::from);
        let y = 0.299 * r + 0.587 * g + 0.114 * b;
        [y, (b - y) / 1.772 + 128.0, (r - y) / 1.402 + 128.0]
    }

    #[test]
    fn rgb_to_ycc_is_the_published_formula() {
        let steps = || (0..=255u8).step_by(3).chain([1, 127, 128, 254]);
        for r in steps() {
            let colours: Vec<[u8; 3]> = steps().flat_map(|g| steps().map(move |b| [r, g, b])).collect();
            let row: Vec<u8> = colours.iter().flatten().copied().collect();
            let mut writer = YccWriter::new((colours.len(), 1), Chroma::Full);
            writer.push(&row, &row);
            let picture = writer.finish();
            for (index, &colour) in colours.iter().enumerate() {
                let got = [picture.y[index], picture.cb[index], picture.cr[index]];
                for (got, exact) in got.into_iter().zip(exact(colour)) {
                    assert!((f64::from(got) - exact.min(255.0)).abs() <= 0.51, "{colour:?}: {got}, exactly {exact}");
                }
            }
        }
    }

    #[test]
    fn every_grey_stays_exactly_grey() {
        let row: Vec<u8> = (0..=255).flat_map(|grey| [grey; 3]).collect();
        for chroma in [Chroma::Full, Chroma::Half] {
            let mut writer = YccWriter::new((256, 2), chroma);
            writer.push(&row, &row);
            let picture = writer.finish();
            assert_eq!(picture.y[..256], (0..=255).collect::<Vec<u8>>());
            assert!(picture.cb.iter().chain(&picture.cr).all(|&value| value == 128));
            assert_eq!(picture.cb.len(), picture.chroma_size().0 * picture.chroma_size().1);
        }
    }

    #[test]
    fn half_chroma_is_the_mean_of_its_block() {
        let (upper, lower) = ([255, 0, 0, 0, 255, 0], [0, 0, 255, 255, 255, 255]);
        let mut writer = YccWriter::new((2, 2), Chroma::Half);
        writer.push(&upper, &lower);
        let picture = writer.finish();
        let blocks = [[255, 0, 0], [0, 255, 0], [0, 0, 255], [255, 255, 255]];
        for (got, channel) in [(picture.cb[0], 1), (picture.cr[0], 2)] {
            let mean = blocks.iter().map(|&colour| exact(colour)[channel]).sum::<f64>() / 4.0;
            assert!((f64::from(got) - mean).abs() <= 0.51, "{got}, exactly {mean}");
        }
    }

    fn noise(length: usize) -> Vec<u8> {
        let mut state = 12345u32;
        let next = || {
            state = state.wrapping_mul(1664525).wrapping_add(1013904223);
            (state >> 24) as u8
        };
        std::iter::repeat_with(next).take(length).collect()
    }

    /// Sizes around those of a vector, an odd height among them.
    #[test]
    fn splitting_sorts_every_sample() {
        for (width, height) in [(2, 1), (6, 3), (62, 31), (64, 32), (130, 65)] {
            let samples = noise(3 * width * height);
            let plane = |channel: usize| samples.iter().skip(channel).step_by(3).copied().collect::<Vec<u8>>();
            let full = split(samples.clone(), (width, height), Chroma::Full);
            assert_eq!((full.y, full.cb, full.cr), (plane(0), plane(1), plane(2)));
            let half = split(samples.clone(), (width, height), Chroma::Half);
            assert_eq!(half.y, plane(0));
            for (got, plane) in [(&half.cb, plane(1)), (&half.cr, plane(2))] {
                for (index, &got) in got.iter().enumerate() {
                    let (x, y) = (index % (width / 2) * 2, index / (width / 2) * 2);
                    let below = (y + 1).min(height - 1);
                    let four = [(x, y), (x + 1, y), (x, below), (x + 1, below)];
                    let sum: u32 = four.iter().map(|&(x, y)| u32::from(plane[y * width + x])).sum();
                    assert_eq!(u32::from(got), (sum + 2) / 4, "{width}×{height}, block {index}");
                }
            }
        }
    }

    /// Every machine must get the same bytes.
    #[test]
    fn wide_vectors_change_no_byte() {
        let (width, samples) = (130, noise(3 * 130 * 2));
        let run = |wide_vectors: bool| {
            let mut bands = Bands::new(width);
            bands.wide_vectors &= wide_vectors;
            let (mut cb, mut cr) = (vec![0; 65], vec![0; 65]);
            bands.split(&samples, Chroma::Half, &mut cb, &mut cr);
            (bands.y, cb, cr)
        };
        assert_eq!(run(true), run(false));
    }
}
