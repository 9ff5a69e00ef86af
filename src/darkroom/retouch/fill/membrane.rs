//! One light over all pieces: what was filled keeps the detail of where it was copied from, and takes its brightness from the rim.
//!
//! The differences between neighbouring pixels are those of their sources; from them and from the pixels around the hole follows the filling that
//! fits both best (Pérez, Gangnet and Blake, "Poisson Image Editing", ACM Trans. Graphics 22(3), 2003). Solved on logarithms of light,
//! in which a shadow is the same step for every colour.

use super::Window;
use super::field::Field;
use super::level::{Level, State};
use super::poisson::{Equations, Kind};
use rayon::prelude::*;

/// Beyond this part of the window's side, pieces keep their own light: small errors of many differences add up to stains otherwise.
const HOLD: f32 = 0.1;

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
    let equations = Equations { width: part.width, height: part.height, kinds: &kinds, hold };
    let values = equations.solved(&before, &wanted);
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

/// Neighbours inside the picture, and how far they are in the list of pixels.
fn neighbours(index: usize, width: usize, height: usize) -> impl Iterator<Item = (usize, isize)> {
    let (x, y) = (index % width, index / width);
    let row = width as isize;
    [(x > 0, -1), (x + 1 < width, 1), (y > 0, -row), (y + 1 < height, row)]
        .into_iter()
        .filter(|(inside, _)| *inside)
        .map(move |(_, step)| ((index as isize + step) as usize, step))
}
