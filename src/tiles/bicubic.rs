//! Bicubic interpolation at any position of a padded plane: Keys' cubic convolution with a = −½ (R. Keys, IEEE Trans.
//! ASSP 29(6), 1981), in fixed point.
//!
//! Weights have 12 fractional bits and always sum to one; the four row sums keep 6 fractional bits. All integers, so
//! plain and wide code give the same bytes.

use super::source::Plane;
use super::wide;

const ONE: i32 = 1 << 12;

/// Interpolates at positions in 1/256 of a pixel (see `Window::positions`) into `out`. A position outside the plane is
/// taken at its rim.
pub(super) fn sample(plane: &Plane, columns: &[i32], rows: &[i32], out: &mut [u8]) {
    assert!(columns.len() >= out.len() && rows.len() >= out.len(), "a position for every pixel");
    assert!(plane.samples.len() == plane.stride * plane.rows() && plane.samples.len() <= i32::MAX as usize);
    #[cfg(target_arch = "x86_64")]
    if wide::has_avx2() {
        // SAFETY: the machine has AVX2.
        let done = unsafe { eight_at_a_time(plane, columns, rows, out) };
        sample_plain(plane, &columns[done..], &rows[done..], &mut out[done..]);
        return;
    }
    sample_plain(plane, columns, rows, out);
}

fn sample_plain(plane: &Plane, columns: &[i32], rows: &[i32], out: &mut [u8]) {
    let (last_column, last_row) = last_corner(plane);
    for ((out, &x), &y) in out.iter_mut().zip(columns).zip(rows) {
        let column = ((x >> 8) - 1).clamp(0, last_column) as usize;
        let row = ((y >> 8) - 1).clamp(0, last_row) as usize;
        let (wx, wy) = (weights(x & 255), weights(y & 255));
        let mut sum = 0;
        for (r, wy) in wy.into_iter().enumerate() {
            let line = &plane.samples[(row + r) * plane.stride + column..][..4];
            let across: i32 = line.iter().zip(wx).map(|(&sample, w)| i32::from(sample) * w).sum();
            sum += ((across + 32) >> 6) * wy;
        }
        *out = ((sum + (1 << 17)) >> 18).clamp(0, 255) as u8;
    }
}

/// The last column and row that may be the top left corner of a 4×4 neighbourhood.
fn last_corner(plane: &Plane) -> (i32, i32) {
    (plane.stride as i32 - 4, plane.rows() as i32 - 4)
}

/// The four weights for a position `t`/256 past the second of four samples.
#[inline(always)]
fn weights(t: i32) -> [i32; 4] {
    let (t2, t3) = (t * t, t * t * t);
    let round = |w: i32| (w + (1 << 12)) >> 13;
    let first = round(-t3 + 512 * t2 - 65536 * t);
    let third = round(-3 * t3 + 1024 * t2 + 65536 * t);
    let fourth = round(t3 - 256 * t2);
    [first, ONE - first - third - fourth, third, fourth]
}

/// As [`sample_plain`], eight pixels at a time; returns how many were done.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn eight_at_a_time(plane: &Plane, columns: &[i32], rows: &[i32], out: &mut [u8]) -> usize {
    use std::arch::x86_64::*;
    let (last_column, last_row) = last_corner(plane);
    let stride = _mm256_set1_epi32(plane.stride as i32);
    let (zero, low_byte, even_bytes) = (_mm256_setzero_si256(), _mm256_set1_epi32(255), _mm256_set1_epi16(255));
    let clamp = |v, last| _mm256_min_epi32(_mm256_max_epi32(v, zero), _mm256_set1_epi32(last));
    let whole = out.len() / 8 * 8;
    for i in (0..whole).step_by(8) {
        let (columns, rows, out) = (&columns[i..i + 8], &rows[i..i + 8], &mut out[i..i + 8]);
        // SAFETY: the slices hold eight numbers each.
        let (x, y) = unsafe { (_mm256_loadu_si256(columns.as_ptr().cast()), _mm256_loadu_si256(rows.as_ptr().cast())) };
        let one = _mm256_set1_epi32(1);
        let column = clamp(_mm256_sub_epi32(_mm256_srai_epi32::<8>(x), one), last_column);
        let row = clamp(_mm256_sub_epi32(_mm256_srai_epi32::<8>(y), one), last_row);
        let mut corner = _mm256_add_epi32(_mm256_mullo_epi32(row, stride), column);
        let [x02, x13] = paired_weights(_mm256_and_si256(x, low_byte), Pairing::Alternate);
        let [y01, y23] = paired_weights(_mm256_and_si256(y, low_byte), Pairing::Neighbours);
        let mut across = [zero; 4];
        for across in &mut across {
            // SAFETY: row ≤ rows − 4 and column ≤ stride − 4, so the four bytes of each of the four rows lie inside
            // `samples`.
            let four = unsafe { _mm256_i32gather_epi32::<1>(plane.samples.as_ptr().cast(), corner) };
            let even = _mm256_madd_epi16(_mm256_and_si256(four, even_bytes), x02);
            let odd = _mm256_madd_epi16(_mm256_srli_epi16::<8>(four), x13);
            let sum = _mm256_add_epi32(_mm256_add_epi32(even, odd), _mm256_set1_epi32(32));
            *across = _mm256_srai_epi32::<6>(sum);
            corner = _mm256_add_epi32(corner, stride);
        }
        let upper = _mm256_madd_epi16(pair(across[0], across[1]), y01);
        let lower = _mm256_madd_epi16(pair(across[2], across[3]), y23);
        let sum = _mm256_add_epi32(_mm256_add_epi32(upper, lower), _mm256_set1_epi32(1 << 17));
        let value = _mm256_srai_epi32::<18>(sum);
        // Both packs saturate, which is the clamp to 0..=255.
        let words = _mm256_packs_epi32(value, value);
        let bytes = _mm256_packus_epi16(words, words);
        let low = _mm256_extract_epi32::<0>(bytes);
        let high = _mm256_extract_epi32::<4>(bytes);
        out[..4].copy_from_slice(&low.to_ne_bytes());
        out[4..].copy_from_slice(&high.to_ne_bytes());
    }
    whole
}

#[cfg(target_arch = "x86_64")]
enum Pairing {
    /// First with third, second with fourth.
    Alternate,
    /// First with second, third with fourth.
    Neighbours,
}

/// Two 32-bit lanes as one of two 16-bit numbers.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
#[inline]
fn pair(low: std::arch::x86_64::__m256i, high: std::arch::x86_64::__m256i) -> std::arch::x86_64::__m256i {
    use std::arch::x86_64::*;
    _mm256_blend_epi16::<0b1010_1010>(low, _mm256_slli_epi32::<16>(high))
}

/// [`weights`] for eight positions, two 16-bit weights in each 32-bit lane.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
#[inline]
fn paired_weights(t: std::arch::x86_64::__m256i, pairing: Pairing) -> [std::arch::x86_64::__m256i; 2] {
    use std::arch::x86_64::*;
    // t < 2^8 and t² < 2^16, so the 16-bit halves of a multiply-add hold them.
    let t2 = _mm256_madd_epi16(t, t);
    let t3 = _mm256_mullo_epi32(t2, t);
    let round = |w| _mm256_srai_epi32::<13>(_mm256_add_epi32(w, _mm256_set1_epi32(1 << 12)));
    let t_scaled = _mm256_slli_epi32::<16>(t);
    let first = round(_mm256_sub_epi32(_mm256_sub_epi32(_mm256_slli_epi32::<9>(t2), t3), t_scaled));
    let three_t3 = _mm256_add_epi32(t3, _mm256_add_epi32(t3, t3));
    let third = round(_mm256_add_epi32(_mm256_sub_epi32(_mm256_slli_epi32::<10>(t2), three_t3), t_scaled));
    let fourth = round(_mm256_sub_epi32(t3, _mm256_slli_epi32::<8>(t2)));
    let others = _mm256_add_epi32(_mm256_add_epi32(first, third), fourth);
    let second = _mm256_sub_epi32(_mm256_set1_epi32(ONE), others);
    match pairing {
        Pairing::Alternate => [pair(first, third), pair(second, fourth)],
        Pairing::Neighbours => [pair(first, second), pair(third, fourth)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tiles::source::PAD;

    /// Keys 1981, equation for a = −½, in double precision.
    fn keys(s: f64) -> f64 {
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
            let w = weights(t);
            assert_eq!(w.iter().sum::<i32>(), ONE);
            for (k, w) in w.into_iter().enumerate() {
                let exact = keys(f64::from(t) / 256.0 + 1.0 - k as f64) * f64::from(ONE);
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
        sample(&plane, &columns, &rows, &mut wide);
        sample_plain(&plane, &columns, &rows, &mut plain);
        assert_eq!(wide, plain);
    }

    #[test]
    fn a_position_on_a_sample_gives_the_sample() {
        let samples: Vec<u8> = (0..16 * 8).map(|i| (i * 31 % 256) as u8).collect();
        let plane = Plane::new(16, 8, &samples);
        for (index, &expected) in samples.iter().enumerate() {
            let position = |i: usize| ((i + PAD) * 256) as i32;
            let mut out = [0];
            sample(&plane, &[position(index % 16)], &[position(index / 16)], &mut out);
            assert_eq!(out[0], expected);
        }
    }
}
