//! A smaller picture from a larger one: every new pixel is the mean of what it covers.

use rayon::prelude::*;

/// Shrinks a picture, row by row, from one size (columns and rows) to a smaller one. Pixels that are covered in part count in part.
/// A size that is larger than before gives the nearest pixels.
pub(super) fn shrunk<const N: usize>(
    pixels: &[[f32; N]],
    (width, height): (usize, usize),
    (to_width, to_height): (usize, usize),
) -> Vec<[f32; N]> {
    if (width, height) == (to_width, to_height) {
        return pixels.to_vec();
    }
    let (across, down) = (shares(width, to_width), shares(height, to_height));
    let mut out = vec![[0.0; N]; to_width * to_height];
    out.par_chunks_mut(to_width).zip(&down).for_each(|(row, (top, weights))| {
        let mut line = vec![[0.0; N]; width];
        for (weight, source) in weights.iter().zip(pixels[top * width..].chunks_exact(width)) {
            line.iter_mut().zip(source).for_each(|(sum, pixel)| add(sum, *weight, pixel));
        }
        for (pixel, (left, weights)) in row.iter_mut().zip(&across) {
            weights.iter().zip(&line[*left..]).for_each(|(weight, source)| add(pixel, *weight, source));
        }
    });
    out
}

fn add<const N: usize>(sum: &mut [f32; N], weight: f32, pixel: &[f32; N]) {
    sum.iter_mut().zip(pixel).for_each(|(sum, value)| *sum += weight * value);
}

/// For each new pixel, the first old one that it covers, and how much each of them counts. Counted in whole numbers: an old
/// pixel is `to` long, a new one `from`.
fn shares(from: usize, to: usize) -> Vec<(usize, Vec<f32>)> {
    let share = |new: usize| {
        let (start, end) = (new * from, (new + 1) * from);
        let (first, last) = (start / to, (end - 1) / to);
        let covered = |old: usize| ((old + 1) * to).min(end) - (old * to).max(start);
        (first, (first..=last).map(|old| covered(old) as f32 / from as f32).collect())
    };
    (0..to).map(share).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pixel_is_the_mean_of_what_it_covers() {
        // Five columns become two: each covers two and a half.
        let five = [1.0, 2.0, 3.0, 4.0, 5.0].map(|value| [value]);
        let two = shrunk(&five, (5, 1), (2, 1));
        for ([got], expected) in two.into_iter().zip([(1.0 + 2.0 + 1.5) / 2.5, (1.5 + 4.0 + 5.0) / 2.5]) {
            assert!((got - expected).abs() < 1e-6, "{got} for {expected}");
        }
        assert_eq!(shrunk(&five, (1, 5), (1, 1)), [[3.0]]);
        assert_eq!(shrunk(&five, (5, 1), (5, 1)), five);
    }
}
