//! By which translations the surroundings repeat themselves.

use super::level::{Level, REACH, State};
use super::random::{hash, within};
use rayon::prelude::*;

/// The level that is looked at has at most so many pixels: repeats are counted there and scaled to the others.
const MOST_PIXELS: usize = 90_000;
/// Translations shorter than this part of the window are no repeats: everything resembles itself next door.
const SHORTEST: i32 = 15;
/// How many translations are kept; how many of them are multiplied, and how often; and how many there are then at most.
const KEPT: usize = 48;
const MULTIPLIED: usize = 12;
const MOST_TIMES: i32 = 4;
const MOST_TRANSLATIONS: usize = 96;

/// Translations on the level that was looked at.
pub struct Repeats {
    index: usize,
    translations: Vec<[i16; 2]>,
}

impl Repeats {
    /// The same on another level, as well as they can be said there.
    pub fn at(&self, index: usize) -> Vec<[i16; 2]> {
        let scaled = |along: i16| match index <= self.index {
            true => i32::from(along) << (self.index - index),
            false => i32::from(along) >> (index - self.index),
        };
        self.translations.iter().map(|translation| translation.map(|along| scaled(along) as i16)).collect()
    }

    /// The same, moved to where that level's own surroundings agree best.
    pub fn fitted(&self, level: &Level, index: usize) -> Vec<[i16; 2]> {
        let scaled = self.at(index);
        if index >= self.index {
            scaled
        } else {
            scaled.par_iter().map(|translation| refined(level, *translation)).collect()
        }
    }
}

/// Finds the commonest translations from each patch of the surroundings to the one that resembles it most.
pub fn of(levels: &[Level]) -> Repeats {
    let index = levels.iter().position(|level| level.width * level.height <= MOST_PIXELS).unwrap_or(levels.len() - 1);
    let level = &levels[index];
    let found = matches(level);
    let (across, down) = (level.width as i32, level.height as i32);
    let side = (2 * across + 1) as usize;
    let mut counts = vec![0u32; side * (2 * down + 1) as usize];
    for [dx, dy] in found {
        counts[(i32::from(dy) + down) as usize * side + (i32::from(dx) + across) as usize] += 1;
        // As far the other way: what repeats, repeats both ways.
        counts[(down - i32::from(dy)) as usize * side + (across - i32::from(dx)) as usize] += 1;
    }
    let smooth: Vec<u32> = (0..counts.len())
        .map(|at| {
            let (x, y) = (at % side, at / side);
            let mut sum = 0;
            for row in y.saturating_sub(1)..=(y + 1).min(counts.len() / side - 1) {
                for column in x.saturating_sub(1)..=(x + 1).min(side - 1) {
                    sum += counts[row * side + column];
                }
            }
            sum
        })
        .collect();
    let mut peaks: Vec<usize> = (0..smooth.len()).filter(|at| smooth[*at] > 3 && counts[*at] > 0).collect();
    peaks.sort_by_key(|at| (std::cmp::Reverse(smooth[*at]), *at));
    let mut kept: Vec<[i16; 2]> = Vec::new();
    for at in peaks {
        let translation = [(at % side) as i32 - across, (at / side) as i32 - down];
        let is_new = kept
            .iter()
            .all(|[dx, dy]| (translation[0] - i32::from(*dx)).abs().max((translation[1] - i32::from(*dy)).abs()) > 1);
        if is_new {
            kept.push(translation.map(|along| along as i16));
        }
        if kept.len() == KEPT {
            break;
        }
    }
    Repeats { index, translations: with_multiples(level, kept) }
}

/// The strongest translations again and again, up to the window's size: what repeats once repeats on. A repeat is no whole number of pixels, so
/// each is moved to where the surroundings agree best.
fn with_multiples(level: &Level, kept: Vec<[i16; 2]>) -> Vec<[i16; 2]> {
    let most = level.width.max(level.height) as i32;
    let further = kept.iter().take(MULTIPLIED).flat_map(|translation| {
        let longest = i32::from(translation[0].abs().max(translation[1].abs()));
        (2..=(most * 2 / 3 / longest).min(MOST_TIMES)).map(|times| translation.map(|along| along * times as i16))
    });
    let candidates: Vec<[i16; 2]> = kept.iter().copied().chain(further).take(MOST_TRANSLATIONS).collect();
    let refined: Vec<[i16; 2]> = candidates.par_iter().map(|translation| refined(level, *translation)).collect();
    let mut all: Vec<[i16; 2]> = Vec::new();
    for translation in refined {
        if all.iter().all(|other| *other != translation) {
            all.push(translation);
        }
    }
    all
}

/// The translation near another by which the surroundings differ least from themselves.
fn refined(level: &Level, [dx, dy]: [i16; 2]) -> [i16; 2] {
    let near = (-NEAR..=NEAR).flat_map(|down| (-NEAR..=NEAR).map(move |across| [dx + across, dy + down]));
    near.min_by_key(|to| (disagreement(level, *to), (to[0] - dx).abs() + (to[1] - dy).abs())).unwrap_or([dx, dy])
}

/// How far a repeat may lie beside its whole number.
const NEAR: i16 = 2;
/// Every so many pixels are compared, each way.
const SPARSE: usize = 3;
/// Colours that differ by more than this differ: by how much does not matter.
const PLAINLY_DIFFERENT: u64 = 240;

/// The mean difference between the surroundings and themselves, moved.
fn disagreement(level: &Level, [dx, dy]: [i16; 2]) -> u64 {
    let (mut sum, mut count) = (0u64, 0u64);
    for y in (0..level.height).step_by(SPARSE) {
        let row = y as isize + dy as isize;
        if !(0..level.height as isize).contains(&row) {
            continue;
        }
        for x in (0..level.width).step_by(SPARSE) {
            let column = x as isize + dx as isize;
            if !(0..level.width as isize).contains(&column) {
                continue;
            }
            let (here, there) = (y * level.width + x, row as usize * level.width + column as usize);
            if level.states[here] == State::Known && level.states[there] == State::Known {
                let (a, b) = (level.colours[here], level.colours[there]);
                let difference: u64 = (0..3).map(|channel| u64::from((a[channel] - b[channel]).unsigned_abs())).sum();
                sum += difference.min(PLAINLY_DIFFERENT);
                count += 1;
            }
        }
    }
    (sum * 1024).checked_div(count).unwrap_or(u64::MAX)
}

/// For every second patch of the surroundings, the translation to another that resembles it most.
fn matches(level: &Level) -> Vec<[i16; 2]> {
    let (width, height) = (level.width as i32, level.height as i32);
    let shortest = (width.max(height) / SHORTEST).max(2 * REACH as i32 + 1);
    let mut field: Vec<([i16; 2], u32)> = vec![([0, 0], u32::MAX); level.colours.len()];
    for round in 0..6u32 {
        field = (0..field.len())
            .into_par_iter()
            .map(|at| {
                if !level.is_source[at] {
                    return field[at];
                }
                let (x, y) = ((at % level.width) as i32, (at / level.width) as i32);
                let mut best = field[at];
                let mut attempt = |dx: i32, dy: i32| {
                    let (column, row) = (x + dx, y + dy);
                    let inside = (0..width).contains(&column) && (0..height).contains(&row);
                    if !inside || dx.abs().max(dy.abs()) < shortest {
                        return;
                    }
                    let source = (row * width + column) as usize;
                    if level.is_source[source] {
                        let distance = level.distance(at, source, best.1);
                        if distance < best.1 {
                            best = ([dx as i16, dy as i16], distance);
                        }
                    }
                };
                for [dx, dy] in [[-1, 0], [1, 0], [0, -1], [0, 1], [-6, 0], [6, 0], [0, -6], [0, 6]] {
                    let (column, row) = (x + dx, y + dy);
                    if (0..width).contains(&column) && (0..height).contains(&row) {
                        let near = field[(row * width + column) as usize];
                        if near.1 != u32::MAX {
                            attempt(i32::from(near.0[0]), i32::from(near.0[1]));
                        }
                    }
                }
                let [dx, dy] = best_or(field[at]);
                let mut reach = width.max(height);
                while reach >= 1 {
                    let across = within(hash(at as u32, round, reach as u32), reach);
                    let down = within(hash(at as u32, round, 0x4000_0000 | reach as u32), reach);
                    attempt(dx + across, dy + down);
                    reach /= 2;
                }
                best
            })
            .collect();
    }
    field.into_iter().filter(|(_, distance)| *distance != u32::MAX).map(|(translation, _)| translation).collect()
}

fn best_or((translation, _): ([i16; 2], u32)) -> [i32; 2] {
    translation.map(i32::from)
}
