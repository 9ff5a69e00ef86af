//! By how much a copy is made brighter or darker, place by place, so that no edge shows.
//!
//! Around the region the ratio of both pictures' light is known. Inside, its logarithm is stretched like a membrane over that rim: the
//! solution of Laplace's equation, the smoothest that there is (after Pérez, Gangnet and Blake, "Poisson image editing", 2003,
//! section 2, with the gradient of the logarithm of light for that of the picture).

use super::area::shrunk;
use super::flat_light::FlatLight;
use rayon::prelude::*;

/// Columns and rows of the membrane at most: fine enough for light, too coarse for what is a pattern.
const CELLS: usize = 64;
/// How much brighter or darker a copy is made at most, each channel.
const MOST_GAIN: f32 = 16.0;
/// Light below this share of the brightest channel's mean says nothing of a ratio.
const DARK: f32 = 1e-4;
/// A share of a cell that is all of it but for rounding.
const WHOLE: f32 = 0.999;
/// Times that the membrane is smoothed out: with over-relaxation its error falls below a thousandth in about three times as many as it has cells in
/// a row.
const SWEEPS: usize = 5 * CELLS;

/// Gains for a square view.
pub(super) struct Membrane {
    cells: usize,
    side: usize,
    /// Logarithms of the gains of all three channels.
    logarithms: Vec<[f32; 3]>,
}

impl Membrane {
    /// Stretches gains over two square views of one size, so that `copied` times them is as bright as `around`. `is_known` tells of each pixel
    /// whether it is outside of what is covered; only those count.
    pub fn over(around: &FlatLight, copied: &FlatLight, is_known: impl Fn(usize) -> bool + Sync) -> Membrane {
        let side = around.width;
        let cells = side.min(CELLS);
        let known: Vec<f32> =
            (0..side * side).into_par_iter().map(|index| f32::from(u8::from(is_known(index)))).collect();
        let [around, copied] = [around, copied].map(|view| cell_means(&view.pixels, &known, side, cells));
        let channels: [Vec<f32>; 3] =
            std::array::from_fn(|channel| stretched(&ratios(&around, &copied, channel), cells));
        let logarithms = (0..cells * cells).map(|cell| [0, 1, 2].map(|channel| channels[channel][cell])).collect();
        Membrane { cells, side, logarithms }
    }

    /// The gains at a pixel, counted from the first one's centre.
    pub fn gains(&self, [x, y]: [f64; 2]) -> [f32; 3] {
        let at = |pixel: f64| {
            let at = (pixel + 0.5) * self.cells as f64 / self.side as f64 - 0.5;
            at.clamp(0.0, (self.cells - 1) as f64)
        };
        let (x, y) = (at(x), at(y));
        let (left, top) = (x as usize, y as usize);
        let (right, below) = ((left + 1).min(self.cells - 1), (top + 1).min(self.cells - 1));
        let (across, down) = ((x - left as f64) as f32, (y - top as f64) as f32);
        [0, 1, 2].map(|channel| {
            let cell = |row: usize, column: usize| self.logarithms[row * self.cells + column][channel];
            let line = |row: usize| cell(row, left) + across * (cell(row, right) - cell(row, left));
            libm::expf(line(top) + down * (line(below) - line(top)))
        })
    }
}

/// Mean light of what is known of each cell, and how much of the cell that is.
fn cell_means(pixels: &[[f32; 3]], known: &[f32], side: usize, cells: usize) -> Vec<[f32; 4]> {
    let weighed = |(&[red, green, blue], &known): (&[f32; 3], &f32)| {
        [red.max(0.0) * known, green.max(0.0) * known, blue.max(0.0) * known, known]
    };
    let weighed: Vec<[f32; 4]> = pixels.iter().zip(known).map(weighed).collect();
    shrunk(&weighed, (side, side), (cells, cells))
}

/// Logarithms of the ratio of both in one channel, where they tell one. A cell that is known in part has its light beside its middle
/// and would be taken for what it is not, so it counts for nothing.
fn ratios(around: &[[f32; 4]], copied: &[[f32; 4]], channel: usize) -> Vec<Option<f32>> {
    let total = |cells: &[[f32; 4]]| cells.iter().map(|cell| cell[0].max(cell[1]).max(cell[2])).sum::<f32>();
    let weight: f32 = around.iter().map(|cell| cell[3]).sum();
    let dark = |cells: &[[f32; 4]]| DARK * total(cells) / weight.max(1.0);
    let (dark_around, dark_copied) = (dark(around), dark(copied));
    let most = libm::logf(MOST_GAIN);
    let ratio = |(around, copied): (&[f32; 4], &[f32; 4])| {
        let is_lit = around[channel] > dark_around && copied[channel] > dark_copied;
        (around[3] > WHOLE && is_lit).then(|| libm::logf(around[channel] / copied[channel]).clamp(-most, most))
    };
    around.iter().zip(copied).map(ratio).collect()
}

/// Laplace's equation with what is known held, by successive over-relaxation in a fixed order; nothing known makes nothing brighter.
fn stretched(known: &[Option<f32>], cells: usize) -> Vec<f32> {
    let (sum, count) = known.iter().flatten().fold((0.0, 0), |(sum, count), value| (sum + value, count + 1));
    let mean = if count == 0 { 0.0 } else { sum / count as f32 };
    let mut values: Vec<f32> = known.iter().map(|value| value.unwrap_or(mean)).collect();
    // The best there is for a square of that many cells (Young, 1954).
    let relaxation = (2.0 / (1.0 + libm::sin(std::f64::consts::PI / cells as f64))) as f32;
    for _ in 0..SWEEPS {
        for (index, _) in known.iter().enumerate().filter(|(_, value)| value.is_none()) {
            let (x, y) = (index % cells, index / cells);
            // Beyond the edge the same value goes on.
            let near = [
                if x > 0 { index - 1 } else { index },
                if x + 1 < cells { index + 1 } else { index },
                if y > 0 { index - cells } else { index },
                if y + 1 < cells { index + cells } else { index },
            ];
            let mean = near.iter().map(|&near| values[near]).sum::<f32>() / 4.0;
            values[index] += relaxation * (mean - values[index]);
        }
    }
    values
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_two_walls_the_membrane_is_straight() {
        // Known on the left and right edge only: the one solution is the straight line between them.
        let cells = 32;
        let known: Vec<Option<f32>> = (0..cells * cells)
            .map(|index| match index % cells {
                0 => Some(0.0),
                31 => Some(1.0),
                _ => None,
            })
            .collect();
        for (index, value) in stretched(&known, cells).into_iter().enumerate() {
            assert!((value - (index % cells) as f32 / 31.0).abs() < 1e-3, "{index}: {value}");
        }
    }

    #[test]
    fn nothing_known_leaves_the_copy_as_it_is() {
        let view = FlatLight { width: 16, height: 16, pixels: vec![[0.5; 3]; 256] };
        let membrane = Membrane::over(&view, &view, |_| false);
        assert_eq!(membrane.gains([7.3, 2.0]), [1.0; 3]);
    }
}
