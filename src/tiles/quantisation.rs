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
      7,   8,  18,  23,  29,  35,  40,  42,
      8,  12,  19,  23,  30,  36,  40,  42,
     18,  19,  22,  26,  32,  37,  41,  42,
     23,  23,  26,  31,  35,  39,  41,  42,
     29,  30,  32,  35,  38,  41,  42,  42,
     35,  36,  37,  39,  41,  42,  42,  42,
     40,  40,  41,  41,  42,  42,  42,  42,
     42,  42,  42,  42,  42,  42,  42,  42,
];

/// Chroma for small files, found in the same search.
#[rustfmt::skip]
const SMALL_CHROMA: Table = [
      5,   9,  14,  20,  22,  25,  33,  42,
      9,  13,  15,  20,  22,  25,  33,  44,
     14,  15,  19,  21,  23,  27,  36,  47,
     20,  20,  21,  22,  25,  31,  39,  53,
     22,  22,  23,  25,  29,  37,  46,  61,
     25,  25,  27,  31,  37,  44,  57,  75,
     33,  33,  36,  39,  46,  57,  69, 113,
     42,  44,  47,  53,  61,  75, 113, 154,
];

/// How coarse the tables for small files are, in percent of those above.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Strength {
    pub luma: u32,
    pub chroma: u32,
}

impl Strength {
    /// From what a tile looks like, without trying.
    pub fn guess(busyness: Busyness) -> Strength {
        let both = 100 + COARSER_PERCENT * busyness.0 / 100;
        Strength { luma: both, chroma: both }
    }
}

/// How much coarser the tables of a busy tile are than a plain one's, in percent.
const COARSER_PERCENT: u32 = 68;

/// How busy a tile is, from 0 (plain but for grain) to 100: coarse steps hide where neighbours differ much, but would wipe
/// out grain where there is little else.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Busyness(u32);

impl Busyness {
    /// From mean differences between neighbours, in hundredths of a count: of luma beyond grain (0.32 is plain, 1.25 busy)
    /// and of chroma at two pixels' distance (0.65 and 2.2). The lesser counts: where only luma is busy, its edges stand on
    /// plain ground, and where only chroma is, luma shows the loss.
    ///
    /// Fitted to the coarseness at which tiles have the SSIMULACRA2 of the usual tables.
    pub fn of(luma: u32, chroma: u32) -> Busyness {
        let share = |value: u32, plain: u32, busy: u32| (value.clamp(plain, busy) - plain) * 100 / (busy - plain);
        Busyness(share(luma, 32, 125).min(share(chroma, 65, 220)))
    }
}

impl Tables {
    /// The standard's tables with finer slow waves. `quality` is 1..=100.
    pub fn usual(quality: u8) -> Tables {
        let percent = percent(quality);
        Tables { luma: scaled(&LUMA, percent, 100), chroma: scaled(&CHROMA, percent, 100) }
    }

    /// Tables for small files.
    pub fn small(quality: u8, strength: Strength) -> Tables {
        let percent = percent(quality);
        Tables {
            luma: scaled(&SMALL_LUMA, percent, strength.luma),
            chroma: scaled(&SMALL_CHROMA, percent, strength.chroma),
        }
    }
}

fn scaled(table: &Table, percent: u32, strength: u32) -> Table {
    table.map(|base| ((u32::from(base) * percent * strength + 5000) / 10_000).clamp(1, 255) as u16)
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
        let published =
            (&STD_LUMINANCE_QUANT_TBL[JpegAnnexK as usize], &STD_CHROMINANCE_QUANT_TBL[JpegAnnexK as usize]);
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

    fn guessed(quality: u8, luma: u32, chroma: u32) -> Tables {
        Tables::small(quality, Strength::guess(Busyness::of(luma, chroma)))
    }

    #[test]
    fn steps_shrink_as_quality_rises_and_fit_a_byte() {
        let all: [fn(u8) -> Tables; 3] = [Tables::usual, |q| guessed(q, 0, 0), |q| guessed(q, u32::MAX, u32::MAX)];
        for tables in all {
            let steps = |quality| {
                let Tables { luma, chroma } = tables(quality);
                [luma, chroma].concat()
            };
            assert!(steps(100).iter().all(|&step| step == 1));
            assert!(steps(1).iter().all(|&step| (100..=255).contains(&step)));
            for quality in 1..100 {
                assert!(steps(quality).iter().zip(steps(quality + 1)).all(|(&coarse, fine)| coarse >= fine));
            }
        }
    }

    #[test]
    fn busy_tiles_get_coarser_steps_within_bounds() {
        let sum = |luma, chroma| -> f64 { guessed(50, luma, chroma).luma.iter().map(|&step| f64::from(step)).sum() };
        assert_eq!(guessed(50, 32, 900).luma, SMALL_LUMA);
        assert_eq!(guessed(50, 900, 65).luma, SMALL_LUMA);
        assert!((sum(u32::MAX, u32::MAX) / sum(0, 0) - 1.68).abs() < 0.02);
        assert!(
            (0..1000).all(|value| sum(value, 1000) <= sum(value + 1, 1000) && sum(1000, value) <= sum(1000, value + 1))
        );
    }
}
