//! An 8-bit picture as light: worked out a row at a time, so that no second picture has to be held.

use super::YccPicture;
use super::linear::{LightMatrix, LinearRows, Row, SRGB_TO_BT2020, srgb_to_light};

/// Steps of the table for one count of 8-bit sRGB; finer than any rounding that follows.
const STEPS_PER_COUNT: usize = 16;
/// Pixels that are worked on together: what they need stays in the nearest cache.
const RUN: usize = 256;

/// Full chroma is wanted here; of halved chroma each sample serves its four pixels.
impl LinearRows for YccPicture {
    fn size(&self) -> (usize, usize) {
        (self.width, self.height)
    }

    fn read(&self, y: usize, row: &mut Row) {
        let (chroma_width, _) = self.chroma_size();
        let shift = usize::from(chroma_width != self.width);
        let luma = &self.y[y * self.width..][..self.width];
        let cb = &self.cb[(y >> shift) * chroma_width..][..chroma_width];
        let cr = &self.cr[(y >> shift) * chroma_width..][..chroma_width];
        if shift == 0 {
            return to_light([luma, cb, cr], row);
        }
        let doubled = |plane: &[u8]| plane.iter().flat_map(|&value| [value; 2]).take(self.width).collect::<Vec<u8>>();
        to_light([luma, &doubled(cb), &doubled(cr)], row);
    }

    fn full_scale(&self) -> Option<[[f64; 3]; 3]> {
        Some(SRGB_TO_BT2020.map(|row| row.map(f64::from)))
    }
}

fn to_light(planes: [&[u8]; 3], row: &mut Row) {
    #[cfg(target_arch = "x86_64")]
    if crate::vectors::has_avx2() {
        // SAFETY: the processor was asked for these instructions.
        return unsafe { to_light_avx2(planes, row) };
    }
    to_light_plainly(planes, row);
}

/// The same code, compiled for wider vectors. Nothing is fused or reordered: the same bits.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn to_light_avx2(planes: [&[u8]; 3], row: &mut Row) {
    to_light_plainly(planes, row);
}

#[inline(always)]
fn to_light_plainly([luma, cb, cr]: [&[u8]; 3], row: &mut Row) {
    const MATRIX: LightMatrix = LightMatrix::keeping_white(&SRGB_TO_BT2020);
    let table = light_of_srgb();
    let [red, green, blue] = row;
    let outs = red.chunks_mut(RUN).zip(green.chunks_mut(RUN)).zip(blue.chunks_mut(RUN));
    let ins = luma.chunks(RUN).zip(cb.chunks(RUN)).zip(cr.chunks(RUN));
    let mut steps = [[0u32; RUN]; 3];
    for (((red, green), blue), ((luma, cb), cr)) in outs.zip(ins) {
        let length = luma.len();
        find_steps([luma, cb, cr], &mut steps);
        // Lookups apart from arithmetic: the arithmetic around them can then go several pixels at a time.
        for (channel, steps) in [&mut *red, &mut *green, &mut *blue].into_iter().zip(&steps) {
            // The table's length as a mask: no step lies beyond it.
            channel.iter_mut().zip(steps).for_each(|(to, &step)| *to = table[step as usize & (TABLE - 1)]);
        }
        let (red, green, blue) = (&mut red[..length], &mut green[..length], &mut blue[..length]);
        for x in 0..length {
            [red[x], green[x], blue[x]] = MATRIX.apply([red[x], green[x], blue[x]]);
        }
    }
}

/// sRGB red, green and blue in steps of the table, after ITU-T T.871 section 7.
#[inline(always)]
fn find_steps([luma, cb, cr]: [&[u8]; 3], steps: &mut [[u32; RUN]; 3]) {
    let [red, green, blue] = steps;
    for x in 0..luma.len().min(RUN).min(cb.len()).min(cr.len()) {
        let (y, cb, cr) = (f32::from(luma[x]), f32::from(cb[x]) - 128.0, f32::from(cr[x]) - 128.0);
        red[x] = step(y + 1.402 * cr);
        green[x] = step(y - 0.344_136_3 * cb - 0.714_136_3 * cr);
        blue[x] = step(y + 1.772 * cb);
    }
}

/// Rounds by adding 2²³, which leaves no room for a fraction in a 24-bit significand.
#[inline(always)]
fn step(value: f32) -> u32 {
    (value.clamp(0.0, 255.0) * STEPS_PER_COUNT as f32 + 8_388_608.0).to_bits() & 0x7F_FFFF
}

/// Entries of the table: the next power of two above 255 · 16.
const TABLE: usize = 4096;

/// Linear light of sRGB values 0 to 255 in steps of 1/16 (IEC 61966-2-1); the last is repeated.
fn light_of_srgb() -> &'static [f32; TABLE] {
    static LIGHT: std::sync::OnceLock<Box<[f32; TABLE]>> = std::sync::OnceLock::new();
    LIGHT.get_or_init(|| {
        let last = 255 * STEPS_PER_COUNT;
        Box::new(std::array::from_fn(|step| srgb_to_light(step.min(last) as f64 / last as f64) as f32))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::Chroma;
    use crate::picture::linear::empty_row;

    fn colours(width: usize) -> [Vec<u8>; 3] {
        [7, 13, 29].map(|step| (0..width).map(|x| (x * step % 256) as u8).collect())
    }

    #[test]
    fn wide_vectors_change_no_bit() {
        let planes = colours(1000);
        let planes = [&planes[0][..], &planes[1], &planes[2]];
        let (mut plain, mut chosen) = (empty_row(1000), empty_row(1000));
        to_light_plainly(planes, &mut plain);
        to_light(planes, &mut chosen);
        assert_eq!(plain, chosen);
    }

    /// Against T.871, IEC 61966-2-1 and the matrix in double precision.
    #[test]
    fn light_is_that_of_the_standards() {
        let planes = colours(997);
        let mut row = empty_row(997);
        to_light([&planes[0], &planes[1], &planes[2]], &mut row);
        for x in 0..997 {
            let [y, cb, cr] = [0, 1, 2].map(|plane| f64::from(planes[plane][x]));
            let (cb, cr) = (cb - 128.0, cr - 128.0);
            let green = y - (0.114 * 1.772 * cb + 0.299 * 1.402 * cr) / 0.587;
            let light =
                [y + 1.402 * cr, green, y + 1.772 * cb].map(|value| srgb_to_light(value.clamp(0.0, 255.0) / 255.0));
            for (channel, weights) in row.iter().zip(SRGB_TO_BT2020) {
                let exact: f64 = weights.iter().zip(light).map(|(&weight, light)| f64::from(weight) * light).sum();
                // Half a step of the table where the curve is steepest: 2.3 a unit at white.
                assert!((f64::from(channel[x]) - exact).abs() < 2.3 / 255.0 / 32.0 + 1e-6, "column {x}");
            }
        }
    }

    #[test]
    fn halved_chroma_serves_four_pixels() {
        let picture = YccPicture {
            width: 4,
            height: 2,
            chroma: Chroma::Half,
            y: vec![100; 8],
            cb: vec![90, 160],
            cr: vec![140, 120],
        };
        let (mut upper, mut lower) = (empty_row(4), empty_row(4));
        picture.read(0, &mut upper);
        picture.read(1, &mut lower);
        assert_eq!(upper, lower);
        assert!(upper.iter().all(|channel| channel[0] == channel[1] && channel[2] == channel[3]));
        assert_ne!(upper[0][1], upper[0][2]);
    }
}
