//! Filling a hole from what surrounds it.
//!
//! Exemplar-based, over scales: every small patch that reaches into the hole looks for the patch of the surroundings that resembles it
//! most (Barnes, Shechtman, Finkelstein and Goldman, "PatchMatch", ACM Trans. Graphics 28(3), 2009), and each pixel of the hole becomes what
//! the patches over it say (Wexler, Shechtman and Irani, "Space-Time Completion of Video", IEEE Trans. PAMI 29(3), 2007), over and over, from a scale
//! on which the hole is a few pixels wide to the picture's own. So that boards and tiles go on as they are laid, the translations by which the surroundings
//! most often repeat themselves are tried everywhere (He and Sun, "Statistics of Patch Offsets for Image Completion", ECCV 2012).
//!
//! Everything is counted in integers, chance comes from a fixed sequence, and each pixel depends on the step before alone: the same bytes
//! on any number of cores.

mod cut;
mod field;
mod level;
pub(super) mod likeness;
mod membrane;
mod poisson;
mod random;
mod repeats;
mod shifts;
mod vote;

use super::flat_light::FlatLight;
use field::{Effort, Field};
use level::{Level, State};

/// Fills the pixels of `hole`, which is as long as the picture has pixels, from what surrounds them. Nothing is taken from `forbidden`
/// pixels. Outside the hole not one value changes. A hole without surroundings stays as it is.
///
/// # Panics
/// If a mask is not as long as the picture has pixels.
pub fn fill(picture: &mut FlatLight, hole: &[bool], forbidden: &[bool]) {
    assert!(hole.len() == picture.pixels.len() && forbidden.len() == hole.len());
    let Some(window) = Window::around(hole, picture.width, picture.height) else { return };
    let levels = Level::pyramid(picture, hole, forbidden, window);
    let Some(filled) = synthesise(levels) else { return };
    let part = filled.part();
    for (index, light) in filled.light(picture, window, part).into_iter().enumerate() {
        let index = part.outer(index, window.width);
        if hole[window.outer(index, picture.width)] {
            picture.pixels[window.outer(index, picture.width)] = light;
        }
    }
}

/// A part of a picture.
#[derive(Clone, Copy, Debug)]
struct Window {
    left: usize,
    top: usize,
    width: usize,
    height: usize,
}

/// How far around a hole one looks for what may fill it, by the hole's longer side; and at least, in pixels.
const SURROUNDINGS: f64 = 0.75;
const LEAST_SURROUNDINGS_PX: usize = 24;

impl Window {
    /// A pixel of this part as a pixel of the whole, which is so wide.
    #[inline(always)]
    fn outer(self, index: usize, whole_width: usize) -> usize {
        (self.top + index / self.width) * whole_width + self.left + index % self.width
    }

    fn around(hole: &[bool], width: usize, height: usize) -> Option<Window> {
        let columns = |x: usize| (0..height).any(|y| hole[y * width + x]);
        let rows = |y: usize| hole[y * width..][..width].contains(&true);
        let (first_column, last_column) = ((0..width).find(|x| columns(*x))?, (0..width).rfind(|x| columns(*x))?);
        let (first_row, last_row) = ((0..height).find(|y| rows(*y))?, (0..height).rfind(|y| rows(*y))?);
        let longer = (last_column - first_column).max(last_row - first_row) + 1;
        let margin = ((longer as f64 * SURROUNDINGS) as usize).max(LEAST_SURROUNDINGS_PX);
        let (left, top) = (first_column.saturating_sub(margin), first_row.saturating_sub(margin));
        let (right, bottom) = ((last_column + margin + 1).min(width), (last_row + margin + 1).min(height));
        Some(Window { left, top, width: right - left, height: bottom - top })
    }
}

/// A finished level with the field that says where each patch comes from.
struct Filled {
    level: Level,
    field: Field,
}

impl Filled {
    /// The hole and what lies close around it, in the level.
    fn part(&self) -> Window {
        let Level { width, height, ref states, .. } = self.level;
        let open: Vec<usize> = (0..states.len()).filter(|index| states[*index] == State::Hole).collect();
        let columns = || open.iter().map(|index| index % width);
        let rows = || open.iter().map(|index| index / width);
        let (left, top) = (columns().min().unwrap_or(0), rows().min().unwrap_or(0));
        let (right, bottom) = (columns().max().unwrap_or(0), rows().max().unwrap_or(0));
        let (left, top) = (left.saturating_sub(1), top.saturating_sub(1));
        Window { left, top, width: (right + 2).min(width) - left, height: (bottom + 2).min(height) - top }
    }

    /// Light of a part of the window: what was there outside the hole, what the patches say inside.
    fn light(&self, picture: &FlatLight, window: Window, part: Window) -> Vec<[f32; 3]> {
        let original = |index: usize| picture.pixels[window.outer(index, picture.width)];
        let mut filled = vote::light(&self.level, &self.field, part, &original);
        membrane::even_out(&self.level, &self.field, part, &original, &mut filled);
        filled
    }
}

/// The first filling is made where the hole has at most so many pixels.
const MOST_FOR_SHIFTS: usize = 45000;

/// From the level on which large pieces are put together to the largest.
fn synthesise(levels: Vec<Level>) -> Option<Filled> {
    let last = levels.len() - 1;
    let repeats = repeats::of(&levels);
    let start = levels.iter().position(|level| level.hole_count() <= MOST_FOR_SHIFTS).unwrap_or(last);
    let mut levels: Vec<Option<Level>> = levels.into_iter().map(Some).collect();
    let mut level = levels[start].take()?;
    level.spread();
    let shifts = repeats.fitted(&level, start);
    let mut field = Field::scattered(&level)?;
    if let Some(chosen) = shifts::choose(&level, &shifts) {
        shifts::fill(&mut level, &chosen, &shifts);
        field = field.shifted(&level, &chosen, &shifts);
    }
    for index in (0..=start).rev() {
        if index < start {
            let mut finer = levels[index].take()?;
            field = field.finer(&finer)?;
            vote::vote(&mut finer, &field);
            level = finer;
        }
        let effort = Effort::at(index, level.hole_count());
        let here = repeats.at(index);
        for round in 0..effort.rounds {
            field.improve(&level, &here, &effort, round as u32);
            if index > 0 || round + 1 < effort.rounds {
                vote::vote(&mut level, &field);
            }
        }
    }
    Some(Filled { level, field })
}
