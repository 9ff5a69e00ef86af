//! Bicubic interpolation at any position of a padded plane: Keys' cubic convolution with a = −½ (R. Keys, IEEE Trans.
//! ASSP 29(6), 1981), in fixed point.
//!
//! Weights have 11 fractional bits and always sum to one, so that the sum of sixteen products needs no rounding before its
//! end and fits 32 bits. All integers: plain and wide code give the same bytes.

use super::source::Plane;

/// Fractional bits of a weight. Overshoot makes the weights' absolute sum 1.25 at most in each direction: 8 + 2·11 bits and
/// 1.25² stay below 2³¹.
const WEIGHT_BITS: u32 = 11;
const ONE: i32 = 1 << WEIGHT_BITS;
/// Half of what a finished sum is divided by.
const ROUNDING: i32 = 1 << (2 * WEIGHT_BITS - 1);

/// For a position t/256 past the second of four samples, the weights of the four, as the wide code wants them too.
struct Weights {
    /// Four neighbours in a row.
    across: [[i16; 4]; 256],
    /// Four rows, each twice.
    down: [[i32; 8]; 256],
}

static WEIGHTS: Weights = Weights::new();

impl Weights {
    const fn new() -> Weights {
        let mut table = Weights { across: [[0; 4]; 256], down: [[0; 8]; 256] };
        let mut t = 0;
        while t < 256 {
            let weights = keys(t as i32);
            let mut k = 0;
            while k < 4 {
                table.across[t][k] = weights[k] as i16;
                table.down[t][2 * k] = weights[k];
                table.down[t][2 * k + 1] = weights[k];
                k += 1;
            }
            t += 1;
        }
        table
    }
}

/// The four weights for t/256, by Keys' formula; the second takes what rounding leaves.
const fn keys(t: i32) -> [i32; 4] {
    const SHIFT: u32 = 25 - WEIGHT_BITS;
    const HALF: i32 = 1 << (SHIFT - 1);
    let (t2, t3) = (t * t, t * t * t);
    let first = (-t3 + 512 * t2 - 65536 * t + HALF) >> SHIFT;
    let third = (-3 * t3 + 1024 * t2 + 65536 * t + HALF) >> SHIFT;
    let fourth = (t3 - 256 * t2 + HALF) >> SHIFT;
    [first, ONE - first - third - fourth, third, fourth]
}

/// Interpolates some planes of one shape at the same positions, in 1/256 of a pixel (see `Window::columns`), each into its
/// own row. A position outside the plane is taken at its rim.
pub(super) fn sample<const N: usize>(planes: [&Plane; N], columns: &[i32], rows: &[i32], mut outs: [&mut [u8]; N]) {
    let count = outs[0].len();
    assert!(columns.len() >= count && rows.len() >= count, "a position for every pixel");
    for (plane, out) in planes.iter().zip(&outs) {
        assert!(plane.samples.len() == plane.stride * plane.rows() && plane.samples.len() <= i32::MAX as usize);
        assert!(plane.stride == planes[0].stride && plane.height == planes[0].height && out.len() == count);
    }
    #[cfg(target_arch = "x86_64")]
    // SAFETY: the machine has AVX2.
    let done =
        if crate::vectors::has_avx2() { unsafe { eight_at_a_time(planes, columns, rows, &mut outs) } } else { 0 };
    #[cfg(not(target_arch = "x86_64"))]
    let done = 0;
    for (plane, out) in planes.into_iter().zip(outs) {
        sample_plain(plane, &columns[done..], &rows[done..], &mut out[done..]);
    }
}

fn sample_plain(plane: &Plane, columns: &[i32], rows: &[i32], out: &mut [u8]) {
    let (last_column, last_row) = last_corner(plane);
    for ((out, &x), &y) in out.iter_mut().zip(columns).zip(rows) {
        let column = ((x >> 8) - 1).clamp(0, last_column) as usize;
        let row = ((y >> 8) - 1).clamp(0, last_row) as usize;
        let (across, down) = (WEIGHTS.across[(x & 255) as usize], WEIGHTS.down[(y & 255) as usize]);
        let mut sum = ROUNDING;
        for (r, wy) in down.into_iter().step_by(2).enumerate() {
            let line = &plane.samples[(row + r) * plane.stride + column..][..4];
            sum += line.iter().zip(across).map(|(&sample, wx)| i32::from(sample) * i32::from(wx)).sum::<i32>() * wy;
        }
        *out = (sum >> (2 * WEIGHT_BITS)).clamp(0, 255) as u8;
    }
}

/// The last column and row that may be the top left corner of a 4×4 neighbourhood.
fn last_corner(plane: &Plane) -> (i32, i32) {
    (plane.stride as i32 - 4, plane.rows() as i32 - 4)
}

/// As [`sample_plain`] in every plane, eight pixels at a time; returns how many were done.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn eight_at_a_time<const N: usize>(
    planes: [&Plane; N],
    columns: &[i32],
    rows: &[i32],
    outs: &mut [&mut [u8]; N],
) -> usize {
    use std::arch::x86_64::*;
    let (last_column, last_row) = last_corner(planes[0]);
    let stride = _mm256_set1_epi32(planes[0].stride as i32);
    let corner = |position, last| {
        let before = _mm256_sub_epi32(_mm256_srai_epi32::<8>(position), _mm256_set1_epi32(1));
        _mm256_min_epi32(_mm256_max_epi32(before, _mm256_setzero_si256()), _mm256_set1_epi32(last))
    };
    let whole = outs[0].len() / 8 * 8;
    for i in (0..whole).step_by(8) {
        let (x, y) = (&columns[i..i + 8], &rows[i..i + 8]);
        // SAFETY: the slices hold eight numbers each.
        let (wide_x, wide_y) =
            unsafe { (_mm256_loadu_si256(x.as_ptr().cast()), _mm256_loadu_si256(y.as_ptr().cast())) };
        let row_start = _mm256_mullo_epi32(corner(wide_y, last_row), stride);
        let corners = to_array(_mm256_add_epi32(row_start, corner(wide_x, last_column)));
        let mut sums = [[_mm256_setzero_si256(); 8]; N];
        for k in 0..8 {
            let across = i64::from_ne_bytes(to_bytes(WEIGHTS.across[(x[k] & 255) as usize]));
            let across = _mm256_set1_epi64x(across);
            // SAFETY: an entry holds eight numbers.
            let down = unsafe { _mm256_loadu_si256(WEIGHTS.down[(y[k] & 255) as usize].as_ptr().cast()) };
            for (plane, sums) in planes.iter().zip(&mut sums) {
                // SAFETY: row ≤ rows − 4 and column ≤ stride − 4, so that four bytes of each of four rows lie inside
                // `samples`.
                let four = unsafe { four_rows(plane, corners[k] as usize) };
                sums[k] = _mm256_mullo_epi32(_mm256_madd_epi16(_mm256_cvtepu8_epi16(four), across), down);
            }
        }
        for (sums, out) in sums.into_iter().zip(outs.iter_mut()) {
            let sum = _mm256_add_epi32(sums_of_eight(sums), _mm256_set1_epi32(ROUNDING));
            let values = _mm256_srai_epi32::<{ 2 * WEIGHT_BITS as i32 }>(sum);
            // Both packs saturate, which is the clamp to 0..=255.
            let words = _mm256_packs_epi32(values, values);
            let bytes = _mm256_packus_epi16(words, words);
            out[i..i + 4].copy_from_slice(&_mm256_extract_epi32::<0>(bytes).to_ne_bytes());
            out[i + 4..i + 8].copy_from_slice(&_mm256_extract_epi32::<4>(bytes).to_ne_bytes());
        }
    }
    whole
}

/// Four bytes of each of four rows.
///
/// # Safety
/// `corner + 3·stride + 4` must not lie beyond the samples.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
#[inline]
unsafe fn four_rows(plane: &Plane, corner: usize) -> std::arch::x86_64::__m128i {
    let row = |r: usize| {
        // SAFETY: as this function's own condition says.
        unsafe { plane.samples.as_ptr().add(corner + r * plane.stride).cast::<i32>().read_unaligned() }
    };
    std::arch::x86_64::_mm_setr_epi32(row(0), row(1), row(2), row(3))
}

/// The sum of the eight lanes of each vector.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
#[inline]
fn sums_of_eight(v: [std::arch::x86_64::__m256i; 8]) -> std::arch::x86_64::__m256i {
    use std::arch::x86_64::*;
    let pairs = |k: usize| _mm256_hadd_epi32(v[k], v[k + 1]);
    let (first, second) = (_mm256_hadd_epi32(pairs(0), pairs(2)), _mm256_hadd_epi32(pairs(4), pairs(6)));
    _mm256_add_epi32(_mm256_permute2x128_si256::<0x20>(first, second), _mm256_permute2x128_si256::<0x31>(first, second))
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
#[inline]
fn to_array(v: std::arch::x86_64::__m256i) -> [i32; 8] {
    let mut array = [0; 8];
    // SAFETY: the array has room for eight numbers.
    unsafe { std::arch::x86_64::_mm256_storeu_si256(array.as_mut_ptr().cast(), v) };
    array
}

/// Four 16-bit numbers as they lie in memory.
#[cfg(target_arch = "x86_64")]
#[inline(always)]
fn to_bytes(weights: [i16; 4]) -> [u8; 8] {
    let [a, b, c, d] = weights.map(i16::to_ne_bytes);
    [a[0], a[1], b[0], b[1], c[0], c[1], d[0], d[1]]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tiles::source::PAD;

    /// Keys 1981, equation for a = −½, in double precision.
    fn exact(s: f64) -> f64 {
        let s = s.abs();
        if s < 1.0 {
            1.5 * s * s * s - 2.5 * s * s + 1.0
        } else if s < 2.0 {
            -0.5 * s * s * s + 2.5 * s * s - 4.0 * s + 2.0
        } else {
            0.0
        }
    }

    #[test]
    fn weights_are_keys_cubic() {
        for t in 0..256 {
            let w = keys(t);
            assert_eq!(w.iter().sum::<i32>(), ONE);
            for (k, w) in w.into_iter().enumerate() {
                let exact = exact(f64::from(t) / 256.0 + 1.0 - k as f64) * f64::from(ONE);
                assert!((f64::from(w) - exact).abs() <= 1.5, "t {t}, weight {k}: {w} against {exact}");
            }
        }
    }

    #[test]
    fn wide_and_plain_give_the_same_bytes() {
        let (width, height) = (64, 32);
        let samples: Vec<u8> = (0..width * height).map(|i| (i * 7919 % 251) as u8).collect();
        let plane = Plane::new(width, height, &samples);
        let count = 1003;
        let columns: Vec<i32> = (0..count).map(|i| (i * 37) % ((width as i32 + 9) * 256) - 300).collect();
        let rows: Vec<i32> = (0..count).map(|i| (i * 53) % ((height as i32 + 9) * 256) - 300).collect();
        let (mut wide, mut plain) = (vec![0; count as usize], vec![0; count as usize]);
        sample([&plane], &columns, &rows, [&mut wide]);
        sample_plain(&plane, &columns, &rows, &mut plain);
        assert_eq!(wide, plain);
        let (mut one, mut other) = (vec![0; count as usize], vec![0; count as usize]);
        sample([&plane, &plane], &columns, &rows, [&mut one, &mut other]);
        assert!(one == plain && other == plain);
    }

    #[test]
    fn a_position_on_a_sample_gives_the_sample() {
        let samples: Vec<u8> = (0..16 * 8).map(|i| (i * 31 % 256) as u8).collect();
        let plane = Plane::new(16, 8, &samples);
        for (index, &expected) in samples.iter().enumerate() {
            let position = |i: usize| ((i + PAD) * 256) as i32;
            let mut out = [0];
            sample([&plane], &[position(index % 16)], &[position(index / 16)], [&mut out]);
            assert_eq!(out[0], expected);
        }
    }
}
