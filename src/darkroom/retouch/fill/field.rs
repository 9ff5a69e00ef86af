//! Where each patch that reaches into the hole comes from.

use super::level::{Level, REACH};
use super::random::{hash, one_of, within};
use rayon::prelude::*;

/// Where a patch comes from, and how far it is from that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Match {
    /// Column and row of the middle of the patch that is copied.
    pub source: [i16; 2],
    pub distance: u32,
}

const NONE: Match = Match { source: [-1, -1], distance: u32::MAX };

/// How much is tried on a level.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Searching and voting by turns.
    pub rounds: usize,
    /// Searches a round.
    pub searches: usize,
    /// Whether chance is tried, too.
    pub wide: bool,
}

impl Effort {
    /// Small levels cost next to nothing; on large ones what the smaller ones found is only mended.
    pub fn at(_index: usize, hole_pixels: usize) -> Effort {
        match hole_pixels {
            0..20_000 => Effort { rounds: 3, searches: 3, wide: true },
            20_000..80_000 => Effort { rounds: 2, searches: 2, wide: true },
            80_000..350_000 => Effort { rounds: 1, searches: 2, wide: false },
            _ => Effort { rounds: 1, searches: 1, wide: false },
        }
    }
}

/// A match for each pixel whose patch reaches into the hole; none elsewhere.
#[derive(Clone)]
pub struct Field {
    pub width: usize,
    pub matches: Vec<Match>,
}

/// Neighbours whose matches are tried, near and further off.
const NEIGHBOURS: [[i32; 2]; 8] = [[-1, 0], [1, 0], [0, -1], [0, 1], [-5, 0], [5, 0], [0, -5], [0, 5]];
/// The near ones among them.
const NEAR: usize = 4;
/// Repeats that are tried each time, out of all that there are.
const REPEATS_AT_ONCE: usize = 4;

impl Field {
    /// Matches by chance. `None` where nothing may be copied.
    pub fn scattered(level: &Level) -> Option<Field> {
        let sources: Vec<usize> = (0..level.is_source.len()).filter(|index| level.is_source[*index]).collect();
        if sources.is_empty() {
            return None;
        }
        let mut field = Field { width: level.width, matches: vec![NONE; level.colours.len()] };
        for (y, columns) in &level.targets {
            for x in columns.clone() {
                let at = y * level.width + x;
                let chance = hash(x as u32, *y as u32, 1);
                let source = sources[one_of(chance, sources.len())];
                field.matches[at] = field.matched(level, at, source);
            }
        }
        Some(field)
    }

    fn matched(&self, level: &Level, at: usize, source: usize) -> Match {
        let place = [(source % self.width) as i16, (source / self.width) as i16];
        Match { source: place, distance: level.distance(at, source, u32::MAX - 1) }
    }

    /// Matches as a first filling has them, as far as their whole patches may be copied.
    pub fn shifted(mut self, level: &Level, chosen: &[Option<u16>], shifts: &[[i16; 2]]) -> Field {
        for (y, columns) in &level.targets {
            for x in columns.clone() {
                let at = y * level.width + x;
                // A patch outside the hole that reaches into it goes with the nearest pixel of the hole.
                let label = (0..=REACH as isize).find_map(|away| {
                    let near = |(dx, dy): (isize, isize)| {
                        let (column, row) = (x as isize + dx, *y as isize + dy);
                        chosen[row as usize * level.width + column as usize]
                    };
                    (-away..=away)
                        .find_map(|d| [(d, -away), (d, away), (-away, d), (away, d)].into_iter().find_map(near))
                });
                let Some([dx, dy]) = label.map(|label| shifts[usize::from(label)]) else { continue };
                let (column, row) = (x as isize + dx as isize, *y as isize + dy as isize);
                let inside = (0..level.width as isize).contains(&column) && (0..level.height as isize).contains(&row);
                if inside && level.is_source[row as usize * level.width + column as usize] {
                    self.matches[at] = Match { source: [column as i16, row as i16], distance: 0 };
                }
            }
        }
        self
    }

    /// The same field on a level twice as large: each patch comes from where its half came from.
    pub fn finer(&self, level: &Level) -> Option<Field> {
        let sources: Vec<usize> = (0..level.is_source.len()).filter(|index| level.is_source[*index]).collect();
        if sources.is_empty() {
            return None;
        }
        let coarse_height = self.matches.len() / self.width;
        let mut field = Field { width: level.width, matches: vec![NONE; level.colours.len()] };
        field.each(level, |_, at| {
            let (x, y) = (at % level.width, at / level.width);
            let coarse = self.matches[(y / 2).min(coarse_height - 1) * self.width + (x / 2).min(self.width - 1)];
            let source = (coarse.distance != u32::MAX).then(|| {
                let [column, row] = coarse.source.map(usize::try_from).map(Result::unwrap_or_default);
                nearest_source(level, 2 * column + x % 2, 2 * row + y % 2)
            });
            let by_chance = || sources[one_of(hash(at as u32, 0, 2), sources.len())];
            let source = source.flatten().unwrap_or_else(by_chance);
            let place = [(source % level.width) as i16, (source / level.width) as i16];
            Match { source: place, distance: 0 }
        });
        Some(field)
    }

    /// Looks for better matches. Distances are measured anew first: the hole may have changed since.
    pub fn improve(&mut self, level: &Level, repeats: &[[i16; 2]], effort: &Effort, round: u32) {
        self.each(level, |field, at| {
            let [column, row] = field.matches[at].source;
            let source = row as usize * level.width + column as usize;
            field.matched(level, at, source)
        });
        for search in 0..effort.searches {
            let chance = round * 16 + search as u32;
            self.each(level, |field, at| field.searched(level, at, repeats, effort.wide, chance));
        }
    }

    /// Makes every match anew from the field as it was.
    fn each(&mut self, level: &Level, made: impl Fn(&Field, usize) -> Match + Sync) {
        let width = self.width;
        let runs: Vec<Vec<Match>> = level
            .targets
            .par_iter()
            .map(|(y, columns)| columns.clone().map(|x| made(self, y * width + x)).collect())
            .collect();
        for ((y, columns), run) in level.targets.iter().zip(runs) {
            self.matches[y * width + columns.start..][..columns.len()].copy_from_slice(&run);
        }
    }

    fn searched(&self, level: &Level, at: usize, repeats: &[[i16; 2]], wide: bool, chance: u32) -> Match {
        let (x, y) = ((at % self.width) as i32, (at / self.width) as i32);
        let mut best = self.matches[at];
        let mut attempt = |column: i32, row: i32| {
            let inside = (0..level.width as i32).contains(&column) && (0..level.height as i32).contains(&row);
            if !inside || [column as i16, row as i16] == best.source {
                return;
            }
            let source = row as usize * level.width + column as usize;
            if level.is_source[source] {
                let distance = level.distance(at, source, best.distance);
                if distance < best.distance {
                    best = Match { source: [column as i16, row as i16], distance };
                }
            }
        };
        let neighbours = if wide { &NEIGHBOURS[..] } else { &NEIGHBOURS[..NEAR] };
        for [dx, dy] in neighbours {
            let (column, row) = (x + dx, y + dy);
            if !(0..level.width as i32).contains(&column) || !(0..level.height as i32).contains(&row) {
                continue;
            }
            let near = self.matches[row as usize * level.width + column as usize];
            if near.source[0] >= 0 {
                attempt(i32::from(near.source[0]) - dx, i32::from(near.source[1]) - dy);
            }
        }
        for index in 0..if wide { REPEATS_AT_ONCE.min(repeats.len()) } else { 0 } {
            let chosen = hash(at as u32, chance, 100 + index as u32);
            let [dx, dy] = repeats[one_of(chosen, repeats.len())];
            attempt(x + i32::from(dx), y + i32::from(dy));
        }
        if wide {
            let [column, row] = self.matches[at].source.map(i32::from);
            let mut reach = level.width.max(level.height) as i32;
            while reach >= 1 {
                let across = within(hash(at as u32, chance, reach as u32), reach);
                let down = within(hash(at as u32, chance, 0x8000_0000 | reach as u32), reach);
                attempt(column + across, row + down);
                reach /= 2;
            }
        }
        best
    }
}

/// A pixel that may be copied with its patch, as near as can be.
fn nearest_source(level: &Level, column: usize, row: usize) -> Option<usize> {
    let is_source = |column: usize, row: usize| {
        let inside = column < level.width && row < level.height;
        (inside && level.is_source[row * level.width + column]).then_some(row * level.width + column)
    };
    (0..=2 * REACH).find_map(|away| {
        let columns = column.saturating_sub(away)..=column + away;
        columns.into_iter().find_map(|x| {
            let rows = row.saturating_sub(away)..=row + away;
            rows.into_iter().filter(|y| x.abs_diff(column).max(y.abs_diff(row)) == away).find_map(|y| is_source(x, y))
        })
    })
}
