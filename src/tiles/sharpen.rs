//! Halved chroma at luma's size, as sharp as its samples allow.
//!
//! A decoder spreads halved chroma softly, so two files compared with one another never show what halving took. Compared
//! with the sharper colour that probably was there, they do: where hard edges of colour hide how finely a tile is kept,
//! the tile need not be kept finer.

use super::encode::Rectangle;
use crate::picture::Chroma;

/// A tile as interleaved Y', Cb, Cr at luma's size.
///
/// Each sample of halved chroma is the mean of 2×2 pixels. Along each axis, the parabola that has the means of a sample and of
/// both its neighbours gives the means of the sample's halves: (8·b ± (a − c)) / 8. Beyond the edge, samples repeat.
pub(super) fn interleaved(r: &Rectangle<'_>, chroma: Chroma) -> Vec<u8> {
    let [cb, cr] = [r.cb, r.cr].map(|plane| match chroma {
        Chroma::Full => rows(plane, r.width, r.height).flatten().copied().collect(),
        Chroma::Half => doubled(plane, r.width / 2, r.height / 2),
    });
    let luma = rows(r.y, r.width, r.height).flatten();
    luma.zip(&cb).zip(&cr).flat_map(|((&y, &cb), &cr)| [y, cb, cr]).collect()
}

fn rows((samples, stride): (&[u8], usize), width: usize, height: usize) -> impl Iterator<Item = &[u8]> {
    (0..height).map(move |y| &samples[y * stride..][..width])
}

/// A plane of 2·width × 2·height samples.
fn doubled(plane: (&[u8], usize), width: usize, height: usize) -> Vec<u8> {
    let wide: Vec<Vec<i32>> = rows(plane, width, height).map(doubled_row).collect();
    let mut doubled = Vec::with_capacity(4 * width * height);
    for y in 0..height {
        let (above, here, below) = (&wide[y.saturating_sub(1)], &wide[y], &wide[(y + 1).min(height - 1)]);
        for down in [1, -1] {
            let halves = above.iter().zip(here).zip(below).map(|((a, b), c)| 8 * b + down * (a - c));
            doubled.extend(halves.map(|value| ((value + 32) >> 6).clamp(0, 255) as u8));
        }
    }
    doubled
}

/// Twice as many samples as there were, in eighths.
fn doubled_row(row: &[u8]) -> Vec<i32> {
    let at = |x: usize| i32::from(row[x.min(row.len() - 1)]);
    (0..row.len())
        .flat_map(|x| {
            let (middle, slope) = (8 * at(x), at(x.saturating_sub(1)) - at(x + 1));
            [middle + slope, middle - slope]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Means of 2×2 pixels of a parabola, cut from wider rows.
    const SIDE: usize = 12;
    const STRIDE: usize = 2 * SIDE + 3;

    fn parabola(x: usize, y: usize) -> f64 {
        let (x, y) = (x as f64 - 9.0, y as f64 - 14.0);
        110.0 + 0.5 * x * x - 0.25 * y * y + 0.125 * x * y
    }

    fn halved(x: usize, y: usize) -> f64 {
        [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(i, j)| parabola(2 * x + i, 2 * y + j)).iter().sum::<f64>() / 4.0
    }

    #[test]
    fn parabolas_come_back_from_their_means() {
        let plane: Vec<u8> =
            (0..SIDE * STRIDE).map(|i| halved(i % STRIDE, i / STRIDE).round().clamp(0.0, 255.0) as u8).collect();
        let doubled = doubled((&plane, STRIDE), SIDE, SIDE);
        for y in 2..2 * SIDE - 2 {
            for x in 2..2 * SIDE - 2 {
                let value = f64::from(doubled[y * 2 * SIDE + x]);
                // Rounding to whole counts moves a sample by up to a half, its halves by up to 1.5 of that along each axis.
                assert!((value - parabola(x, y)).abs() <= 1.7, "{x}, {y}: {value}, {}", parabola(x, y));
            }
        }
    }

    #[test]
    fn samples_stay_the_means_of_their_halves() {
        let plane: Vec<u8> = (0..64u32).map(|i| (60 + i * i * 37 % 130) as u8).collect();
        let doubled = doubled((&plane, 8), 8, 8);
        for (i, &sample) in plane.iter().enumerate() {
            let corner = i / 8 * 32 + i % 8 * 2;
            let sum: i32 = [0, 1, 16, 17].iter().map(|offset| i32::from(doubled[corner + offset])).sum();
            assert!((sum - 4 * i32::from(sample)).abs() <= 2, "{i}: {sum}, {sample}");
        }
    }

    #[test]
    fn pixels_keep_their_luma_and_whole_chroma() {
        let luma: Vec<u8> = (0..20).collect();
        let (cb, cr): (Vec<u8>, Vec<u8>) = ((40..60).collect(), (80..100).collect());
        let r = Rectangle { y: (&luma, 5), cb: (&cb, 5), cr: (&cr, 5), width: 4, height: 4 };
        let pixels = interleaved(&r, Chroma::Full);
        assert_eq!(pixels[..6], [0, 40, 80, 1, 41, 81]);
        assert_eq!(pixels[12..15], [5, 45, 85]);
        assert_eq!(pixels.len(), 48);
        let half = interleaved(&Rectangle { cb: (&[70; 4], 2), cr: (&[90; 4], 2), ..r }, Chroma::Half);
        assert_eq!(half[..6], [0, 70, 90, 1, 70, 90]);
        assert_eq!(half.len(), 48);
    }
}
