//! One light over all pieces: what was filled keeps the detail of where it was copied from, and takes its brightness from the rim.
//!
//! The differences between neighbouring pixels are those of their sources; from them and from the pixels around the hole follows the filling that
//! fits both best (Pérez, Gangnet and Blake, "Poisson Image Editing", ACM Trans. Graphics 22(3), 2003). Solved on logarithms of light,
//! in which a shadow is the same step for every colour, by multigrid (Brandt, "Multi-Level Adaptive Solutions to Boundary-Value Problems", Mathematics of
//! Computation 31, 1977), in sweeps in which every pixel depends on the others' values before it.

use super::Window;
use super::field::Field;
use super::level::{Level, State};
use rayon::prelude::*;

/// From the picture's own size to the smallest and back, so many times.
const CYCLES: usize = 3;
/// Sweeps before and after each smaller grid.
const SWEEPS: usize = 3;
/// On the smallest grid.
const SWEEPS_AT_LAST: usize = 120;
const SMALLEST_SIDE: usize = 8;
/// Beyond this part of the window's side, pieces keep their own light: small errors of many differences add up to stains otherwise.
const HOLD: f32 = 0.1;
/// How far a pixel is moved to where its neighbours want it: what is best against the ripples that a smaller grid cannot see.
const DAMPING: f32 = 0.8;

/// Evens out what was filled, in a part of the level that holds the hole and what lies close around it. `filled` is the part's light; `picture` gives the light
/// of any pixel of the level.
pub fn even_out(
    level: &Level,
    field: &Field,
    part: Window,
    picture: &(dyn Fn(usize) -> [f32; 3] + Sync),
    filled: &mut [[f32; 3]],
) {
    let sources: Vec<[f32; 3]> = (0..level.states.len()).into_par_iter().map(|index| even(picture(index))).collect();
    let before: Vec<[f32; 3]> = filled.par_iter().map(|light| even(*light)).collect();
    let seams = Seams { level, field, sources: &sources };
    let kinds: Vec<Kind> =
        (0..filled.len()).into_par_iter().map(|index| seams.kind(part.outer(index, level.width))).collect();
    let far = part.width.max(part.height) as f32 * HOLD;
    let hold = 1.0 / (far * far);
    let wanted: Vec<[f32; 3]> = (0..filled.len())
        .into_par_iter()
        .map(|index| {
            let differences = seams.differences(part.outer(index, level.width));
            [0, 1, 2].map(|channel| differences[channel] + hold * before[index][channel])
        })
        .collect();
    let grids = Grid { width: part.width, height: part.height, kinds, hold }.smaller_ones();
    let mut values = before.clone();
    for _ in 0..CYCLES {
        cycle(&grids, &mut values, &wanted);
    }
    filled.par_iter_mut().zip(&values).zip(&before).enumerate().for_each(|(index, ((light, value), before))| {
        if level.states[part.outer(index, level.width)] == State::Hole {
            let change = [0, 1, 2].map(|channel| value[channel] - before[channel]);
            let mean = (change[0] + change[1] + change[2]) / 3.0;
            for channel in 0..3 {
                let tint = (change[channel] - mean).clamp(-MOST_TINT, MOST_TINT);
                light[channel] = (light[channel] + DARK) * libm::expf(mean.clamp(-MOST, MOST) + tint) - DARK;
            }
        }
    });
}

/// Light that is lost in noise.
const DARK: f32 = 0.01;
/// How much brighter or darker a piece is made at most, as a natural logarithm, and how much a colour of it more than the others: a
/// floor's light changes, its colour hardly.
const MOST: f32 = 0.6;
const MOST_TINT: f32 = 0.06;

/// Logarithms, in which sun and shade differ by the same for every colour.
fn even(light: [f32; 3]) -> [f32; 3] {
    light.map(|light| libm::logf(light.max(0.0) + DARK))
}

/// What the sources say of the differences between neighbours.
struct Seams<'a> {
    level: &'a Level,
    field: &'a Field,
    /// Logarithms of light.
    sources: &'a [[f32; 3]],
}

/// A rim that differs from what was expected by more than this, in any colour, shows something else than the same floor in another light.
const ANOTHER_THING: f32 = 0.6;
/// The same for differences between colours.
const ANOTHER_COLOUR: f32 = 0.2;

impl Seams<'_> {
    fn source(&self, index: usize) -> Option<usize> {
        let [column, row] = self.field.matches[index].source;
        let is_open = self.level.states[index] == State::Hole && column >= 0;
        is_open.then(|| row as usize * self.level.width + column as usize)
    }

    fn difference(&self, a: usize, b: usize) -> [f32; 3] {
        [0, 1, 2].map(|channel| self.sources[a][channel] - self.sources[b][channel])
    }

    /// The rim is known where it shows what the pieces beside it would go on with, and says nothing elsewhere: a light is taken over from
    /// the same floor only.
    fn kind(&self, index: usize) -> Kind {
        match self.level.states[index] {
            State::Hole => return Kind::Open,
            State::Forbidden => return Kind::Wall,
            State::Known => {}
        }
        let unexpected = neighbours(index, self.level.width, self.level.height).any(|(near, step)| {
            let Some(source) = self.source(near) else { return false };
            let off = self.difference(index, (source as isize - step) as usize);
            let (least, most) = (off[0].min(off[1]).min(off[2]), off[0].max(off[1]).max(off[2]));
            most.max(-least) > ANOTHER_THING || most - least > ANOTHER_COLOUR
        });
        if unexpected { Kind::Wall } else { Kind::Fixed }
    }

    /// For a pixel of the hole, the sum over its four neighbours of (pixel − neighbour) as the sources have it.
    fn differences(&self, index: usize) -> [f32; 3] {
        let mut sum = [0.0; 3];
        let Some(own) = self.source(index) else { return sum };
        for (near, step) in neighbours(index, self.level.width, self.level.height) {
            if self.level.states[near] != State::Hole && self.kind(near) == Kind::Wall {
                continue;
            }
            // Both sides' sources know the difference; where they come from the same piece, they know the same.
            let beside = (own as isize + step) as usize;
            let mine = self.difference(own, beside);
            let other = self.source(near).filter(|other| *other != beside);
            let theirs = other.map_or(mine, |other| self.difference((other as isize - step) as usize, other));
            (0..3).for_each(|channel| sum[channel] += 0.5 * (mine[channel] + theirs[channel]));
        }
        sum
    }
}

/// What a pixel is to the solver.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// To be found.
    Open,
    /// Known.
    Fixed,
    /// Says nothing.
    Wall,
}

struct Grid {
    width: usize,
    height: usize,
    kinds: Vec<Kind>,
    /// How much a pixel holds on to what it was, by one of its neighbours.
    hold: f32,
}

/// Neighbours inside the picture, and how far they are in the list of pixels.
fn neighbours(index: usize, width: usize, height: usize) -> impl Iterator<Item = (usize, isize)> {
    let (x, y) = (index % width, index / width);
    let row = width as isize;
    [(x > 0, -1), (x + 1 < width, 1), (y > 0, -row), (y + 1 < height, row)]
        .into_iter()
        .filter(|(inside, _)| *inside)
        .map(move |(_, step)| ((index as isize + step) as usize, step))
}

impl Grid {
    /// This one and smaller ones: a pixel is to be found where one of the four that it stands for is, and known where all are.
    fn smaller_ones(self) -> Vec<Grid> {
        let mut grids = vec![self];
        while let Some(last) = grids.last().filter(|last| last.width.min(last.height) >= 2 * SMALLEST_SIDE) {
            let (width, height) = (last.width / 2, last.height / 2);
            let kind = |index: usize| {
                let corner = index / width * 2 * last.width + index % width * 2;
                let four = [0, 1, last.width, last.width + 1].map(|offset| last.kinds[corner + offset]);
                let open = four.iter().filter(|kind| **kind == Kind::Open).count();
                match open {
                    0 if four.contains(&Kind::Fixed) => Kind::Fixed,
                    0 => Kind::Wall,
                    _ if open >= 2 => Kind::Open,
                    _ => Kind::Fixed,
                }
            };
            let kinds = (0..width * height).map(kind).collect();
            // A step is twice as long, so its differences count a quarter.
            let hold = 4.0 * last.hold;
            grids.push(Grid { width, height, kinds, hold });
        }
        grids
    }

    /// Brings every pixel to be found nearer to what its neighbours and the wanted differences say.
    fn sweep(&self, values: &mut Vec<[f32; 3]>, wanted: &[[f32; 3]], scratch: &mut Vec<[f32; 3]>) {
        scratch.resize(values.len(), [0.0; 3]);
        scratch.par_chunks_mut(self.width).enumerate().for_each(|(y, row)| {
            let first = y * self.width;
            row.iter_mut().enumerate().for_each(|(x, value)| *value = self.relaxed(first + x, values, wanted));
        });
        std::mem::swap(values, scratch);
    }

    #[inline(always)]
    fn relaxed(&self, index: usize, values: &[[f32; 3]], wanted: &[[f32; 3]]) -> [f32; 3] {
        let value = values[index];
        if self.kinds[index] != Kind::Open {
            return value;
        }
        let (mut sum, mut count) = (wanted[index], 0.0f32);
        for (near, _) in neighbours(index, self.width, self.height) {
            if self.kinds[near] != Kind::Wall {
                (0..3).for_each(|channel| sum[channel] += values[near][channel]);
                count += 1.0;
            }
        }
        let all = count + self.hold;
        [0, 1, 2].map(|channel| value[channel] + DAMPING * (sum[channel] / all - value[channel]))
    }

    /// By how much each pixel's neighbours miss what is wanted.
    fn residual(&self, values: &[[f32; 3]], wanted: &[[f32; 3]]) -> Vec<[f32; 3]> {
        (0..values.len())
            .into_par_iter()
            .map(|index| {
                if self.kinds[index] != Kind::Open {
                    return [0.0; 3];
                }
                let mut rest = [0, 1, 2].map(|channel| wanted[index][channel] - self.hold * values[index][channel]);
                for (near, _) in neighbours(index, self.width, self.height) {
                    if self.kinds[near] != Kind::Wall {
                        for channel in 0..3 {
                            rest[channel] += values[near][channel] - values[index][channel];
                        }
                    }
                }
                rest
            })
            .collect()
    }
}

/// Once down to the smallest grid and back.
fn cycle(grids: &[Grid], values: &mut Vec<[f32; 3]>, wanted: &[[f32; 3]]) {
    let (grid, smaller) = (&grids[0], &grids[1..]);
    let mut scratch = Vec::new();
    let sweeps = if smaller.is_empty() { SWEEPS_AT_LAST } else { SWEEPS };
    (0..sweeps).for_each(|_| grid.sweep(values, wanted, &mut scratch));
    let Some(next) = smaller.first() else { return };
    let rest = grid.residual(values, wanted);
    // A step on the smaller grid is twice as long: the sum of four residuals is what it wants there.
    let coarse: Vec<[f32; 3]> = (0..next.kinds.len())
        .into_par_iter()
        .map(|index| {
            let corner = index / next.width * 2 * grid.width + index % next.width * 2;
            let mut sum = [0.0; 3];
            for offset in [0, 1, grid.width, grid.width + 1] {
                (0..3).for_each(|channel| sum[channel] += rest[corner + offset][channel]);
            }
            sum
        })
        .collect();
    let mut correction = vec![[0.0; 3]; coarse.len()];
    cycle(smaller, &mut correction, &coarse);
    values.par_iter_mut().enumerate().for_each(|(index, value)| {
        if grid.kinds[index] == Kind::Open {
            let (x, y) = (index % grid.width, index / grid.width);
            let correction = between(&correction, next, x, y);
            (0..3).for_each(|channel| value[channel] += correction[channel]);
        }
    });
    (0..sweeps).for_each(|_| grid.sweep(values, wanted, &mut scratch));
}

/// A correction between the pixels of the smaller grid.
fn between(values: &[[f32; 3]], grid: &Grid, x: usize, y: usize) -> [f32; 3] {
    let along = |at: usize, count: usize| {
        let near = (at / 2).min(count - 1);
        let far = if at % 2 == 1 { (near + 1).min(count - 1) } else { near.saturating_sub(1) };
        [(near, 0.75f32), (far, 0.25)]
    };
    let mut sum = [0.0; 3];
    for (row, down) in along(y, grid.height) {
        for (column, across) in along(x, grid.width) {
            let value = values[row * grid.width + column];
            (0..3).for_each(|channel| sum[channel] += down * across * value[channel]);
        }
    }
    sum
}
