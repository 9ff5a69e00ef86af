//! Quantisation tables: how finely a file keeps each spatial frequency.
//!
//! A table has 64 steps, row by row, from the mean of a block (the first) to its finest checks (the last). Tables are
//! given for quality 50 and scaled as JPEG writers customarily do.

/// Steps for the 64 frequencies of a block, in rows.
pub(super) type Table = [u16; 64];

/// A table for luma and one for chroma.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Tables {
    pub luma: Table,
    pub chroma: Table,
}

/// ITU-T T.81 (1992), Annex K, Table K.1: luminance, but for the mean and the two slowest waves (16, 11 and 12 there).
///
/// Where the picture is smooth, these three decide whether neighbouring blocks meet. At quality 85 they leave steps below
/// half a count, so that no line shows where two tiles or two faces meet, whose blocks do not coincide.
#[rustfmt::skip]
const LUMA: Table = [
    10, 10, 10, 16,  24,  40,  51,  61,
    10, 12, 14, 19,  26,  58,  60,  55,
    14, 13, 16, 24,  40,  57,  69,  56,
    14, 17, 22, 29,  51,  87,  80,  62,
    18, 22, 37, 56,  68, 109, 103,  77,
    24, 35, 55, 64,  81, 104, 113,  92,
    49, 64, 78, 87, 103, 121, 120, 101,
    72, 92, 95, 98, 112, 100, 103,  99,
];

/// Table K.2 there: chrominance, but for the same three (17, 18 and 18 there), finer than for luma: blue has 1.77 counts
/// for each of chroma's.
#[rustfmt::skip]
const CHROMA: Table = [
     6,  6, 24, 47, 99, 99, 99, 99,
     6, 21, 26, 66, 99, 99, 99, 99,
    24, 26, 56, 99, 99, 99, 99, 99,
    47, 66, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99,
];

/// Luma for small files: found by search for the highest SSIMULACRA2 at a size, with trellis quantisation, on photographs and
/// on noise of every scale. Flatter than Annex K: the measure minds lost fine detail more than waves of a middling size.
#[rustfmt::skip]
const SMALL_LUMA: Table = [
     11,  12,  26,  32,  38,  44,  50,  50,
     12,  17,  27,  33,  39,  45,  50,  50,
     26,  27,  31,  36,  41,  46,  50,  50,
     32,  33,  36,  39,  44,  49,  50,  50,
     38,  39,  41,  44,  48,  50,  50,  50,
     44,  45,  46,  49,  50,  50,  50,  50,
     50,  50,  50,  50,  50,  50,  50,  50,
     50,  50,  50,  50,  50,  50,  50,  50,
];

/// Chroma for small files, found in the same search.
#[rustfmt::skip]
const SMALL_CHROMA: Table = [
      8,  10,  18,  26,  30,  36,  46,  60,
     10,  13,  20,  27,  31,  37,  47,  62,
     18,  20,  25,  28,  33,  40,  51,  67,
     26,  27,  28,  31,  36,  44,  56,  75,
     30,  31,  33,  36,  43,  52,  65,  88,
     36,  37,  40,  44,  52,  62,  79, 121,
     46,  47,  51,  56,  65,  79, 114, 158,
     60,  62,  67,  75,  88, 121, 158, 200,
];

/// How much coarser than usual a busy tile's tables become, in percent, and how much finer a plain tile's.
const COARSEST_PERCENT: u32 = 127;
const FINEST_PERCENT: u32 = 75;
/// Hundredths of a count from a pixel to the next, on average, at which a tile's tables stay as they are.
const USUAL_ACTIVITY: u32 = 300;

impl Tables {
    /// The standard's tables with finer slow waves. `quality` is 1..=100.
    pub fn usual(quality: u8) -> Tables {
        Tables { luma: LUMA, chroma: CHROMA }.scaled(percent(quality), 100)
    }

    /// Tables for small files, by how busy the tile is: where neighbours differ much, coarse steps hide; where there is
    /// little but grain, they would wipe it out. `activity` is the mean difference of neighbouring pixels in hundredths of
    /// a count.
    pub fn small(quality: u8, activity: u32) -> Tables {
        let strength = (activity.min(10 * USUAL_ACTIVITY) * 100 / USUAL_ACTIVITY).clamp(FINEST_PERCENT, COARSEST_PERCENT);
        Tables { luma: SMALL_LUMA, chroma: SMALL_CHROMA }.scaled(percent(quality), strength)
    }

    fn scaled(&self, percent: u32, strength: u32) -> Tables {
        let step = |&base: &u16| ((u32::from(base) * percent * strength + 5000) / 10_000).clamp(1, 255) as u16;
        Tables { luma: self.luma.each_ref().map(step), chroma: self.chroma.each_ref().map(step) }
    }
}

/// The customary meaning of quality (the Independent JPEG Group's; common practice): the tables themselves at 50, half
/// of them at 75, ones at 100.
fn percent(quality: u8) -> u32 {
    match u32::from(quality.clamp(1, 100)) {
        quality @ ..50 => 5000 / quality,
        quality => 200 - 2 * quality,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mozjpeg_rs::QuantTableIdx::JpegAnnexK;
    use mozjpeg_rs::consts::{STD_CHROMINANCE_QUANT_TBL, STD_LUMINANCE_QUANT_TBL};

    /// Against the encoder's own copy of ITU-T T.81, Tables K.1 and K.2.
    #[test]
    fn all_but_the_slowest_waves_are_annex_k() {
        let published = (&STD_LUMINANCE_QUANT_TBL[JpegAnnexK as usize], &STD_CHROMINANCE_QUANT_TBL[JpegAnnexK as usize]);
        for (ours, published) in [(LUMA, published.0), (CHROMA, published.1)] {
            for (frequency, (ours, &published)) in ours.into_iter().zip(published).enumerate() {
                if [0, 1, 8].contains(&frequency) {
                    assert!(ours < published, "frequency {frequency}");
                } else {
                    assert_eq!(ours, published, "frequency {frequency}");
                }
            }
        }
    }

    #[test]
    fn quality_has_its_customary_meaning() {
        assert_eq!([1, 10, 25, 50, 75, 85, 100].map(percent), [5000, 500, 200, 100, 50, 30, 0]);
        assert_eq!(Tables::usual(50), Tables { luma: LUMA, chroma: CHROMA });
        // At 85: no step of the mean or the slowest waves reaches half a count in the picture (4 in the block's sum).
        let usual = Tables::usual(85);
        assert_eq!((usual.luma[0], usual.luma[1], usual.luma[8], usual.luma[63]), (3, 3, 3, 30));
        assert_eq!((usual.chroma[0], usual.chroma[1], usual.chroma[8], usual.chroma[63]), (2, 2, 2, 30));
    }

    #[test]
    fn steps_shrink_as_quality_rises_and_fit_a_byte() {
        let all: [fn(u8) -> Tables; 3] = [Tables::usual, |q| Tables::small(q, 0), |q| Tables::small(q, u32::MAX)];
        for tables in all {
            let steps = |quality| {
                let Tables { luma, chroma } = tables(quality);
                [luma, chroma].concat()
            };
            assert!(steps(100).iter().all(|&step| step == 1));
            assert!(steps(1).iter().all(|&step| (200..=255).contains(&step)));
            for quality in 1..100 {
                assert!(steps(quality).iter().zip(steps(quality + 1)).all(|(&coarse, fine)| coarse >= fine));
            }
        }
    }

    #[test]
    fn busy_tiles_get_coarser_steps_within_bounds() {
        let mean_step = |activity| Tables::small(50, activity).luma.iter().map(|&step| f64::from(step)).sum::<f64>();
        let plain = mean_step(USUAL_ACTIVITY);
        assert_eq!(Tables::small(50, USUAL_ACTIVITY).luma, SMALL_LUMA);
        assert!((mean_step(0) / plain - 0.75).abs() < 0.02 && (mean_step(u32::MAX) / plain - 1.27).abs() < 0.02);
        for activity in (0..1000).step_by(10) {
            assert!(mean_step(activity) <= mean_step(activity + 10));
        }
    }
}
