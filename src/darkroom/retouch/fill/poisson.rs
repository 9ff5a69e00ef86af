//! Solving for what fits given differences between neighbours, in a region of any shape.
//!
//! Conjugate gradients (Hestenes and Stiefel, "Methods of Conjugate Gradients for Solving Linear Systems", J. Research of the National Bureau of Standards
//! 49(6), 1952), which come nearer with every step whatever the region looks like, each step guided by smaller and smaller grids (after Brandt, "Multi-Level
//! Adaptive Solutions to Boundary-Value Problems", Mathematics of Computation 31, 1977), so that a few steps do. In sweeps in which every pixel
//! depends on the others' values before it, and sums row by row: the same bytes on any number of cores.

use rayon::prelude::*;

/// Three colours, each solved for itself.
type Values = Vec<[f32; 3]>;

/// Steps, each from the picture's own size to the smallest grid and back.
const STEPS: usize = 8;
/// How far a sweep moves a pixel to where its neighbours want it: what is best against the ripples that a smaller grid cannot see.
const DAMPING: f32 = 0.8;
/// Sweeps on the smallest grid, and how small it is.
const SWEEPS_AT_LAST: usize = 60;
const SMALLEST_SIDE: usize = 8;
/// Four pixels that move as one are twice as stiff as a smooth surface is.
const STIFFNESS: f32 = 0.5;

/// What a pixel is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// To be found.
    Open,
    /// Known.
    Fixed,
    /// Says nothing.
    Wall,
}

/// One equation for each open pixel: the sum over its neighbours, walls left out, of (pixel − neighbour), and `hold` times the pixel, is what is wanted.
pub struct Equations<'a> {
    pub width: usize,
    pub height: usize,
    pub kinds: &'a [Kind],
    /// Above 0.
    pub hold: f32,
}

impl Equations<'_> {
    /// Values near to the solution, from a guess that holds the known ones; only open ones differ from it.
    pub fn solved(&self, guess: &[[f32; 3]], wanted: &[[f32; 3]]) -> Values {
        let grids = self.grids();
        let mut rooms: Vec<Room> = grids.iter().map(Room::of).collect();
        let grid = &grids[0];
        let mut values = guess.to_vec();
        let known = |index: usize| {
            let fixed = neighbours(index, self.width, self.height).filter(|near| self.kinds[*near] == Kind::Fixed);
            fixed.fold(wanted[index], |sum, near| plus(sum, guess[near]))
        };
        let (mut rest, mut along, mut moved) = (grid.nothing(), grid.nothing(), grid.nothing());
        grid.each(&mut along, |index, _| guess[index]);
        grid.apply(&along, &mut moved);
        grid.each(&mut rest, |index, _| minus(known(index), moved[index]));
        let mut former = [0.0f64; 3];
        for step in 0..STEPS {
            down_and_up(&grids, &mut rooms, &rest);
            let guided = &rooms[0].values;
            let length = grid.product(&rest, guided);
            let ratio = |over: f64, under: f64| if under > 0.0 { (over / under) as f32 } else { 0.0 };
            let turn: [f32; 3] = std::array::from_fn(|c| if step > 0 { ratio(length[c], former[c]) } else { 0.0 });
            grid.each(&mut along, |index, along| std::array::from_fn(|c| guided[index][c] + turn[c] * along[c]));
            grid.apply(&along, &mut moved);
            let steep = grid.product(&along, &moved);
            let far: [f32; 3] = std::array::from_fn(|c| ratio(length[c], steep[c]));
            grid.each(&mut values, |index, value| std::array::from_fn(|c| value[c] + far[c] * along[index][c]));
            grid.each(&mut rest, |index, rest| std::array::from_fn(|c| rest[c] - far[c] * moved[index][c]));
            former = length;
        }
        values
    }

    fn grids(&self) -> Vec<Grid> {
        let mut grids = vec![self.grid()];
        while let Some(last) = grids.last().filter(|last| last.width.min(last.height) >= 2 * SMALLEST_SIDE) {
            grids.push(last.smaller());
        }
        grids
    }

    fn grid(&self) -> Grid {
        let (width, height) = (self.width, self.height);
        let is_open = |index: usize| self.kinds[index] == Kind::Open;
        let link = |from: usize, to: Option<usize>| match to {
            Some(to) if is_open(from) && is_open(to) => 1.0,
            _ => 0.0,
        };
        let right = |index: usize| link(index, (index % width + 1 < width).then_some(index + 1));
        let down = |index: usize| link(index, (index + width < width * height).then_some(index + width));
        let own = |index: usize| {
            let fixed = neighbours(index, width, height).filter(|near| self.kinds[*near] == Kind::Fixed).count();
            if is_open(index) { fixed as f32 + self.hold } else { 0.0 }
        };
        let all = || (0..width * height).into_par_iter();
        Grid::new(width, height, all().map(right).collect(), all().map(down).collect(), all().map(own).collect())
    }
}

fn neighbours(index: usize, width: usize, height: usize) -> impl Iterator<Item = usize> {
    let (x, y) = (index % width, index / width);
    let all = [
        (x > 0, index.wrapping_sub(1)),
        (x + 1 < width, index + 1),
        (y > 0, index.wrapping_sub(width)),
        (y + 1 < height, index + width),
    ];
    all.into_iter().filter(|(inside, _)| *inside).map(|(_, near)| near)
}

fn plus(a: [f32; 3], b: [f32; 3]) -> [f32; 3] {
    std::array::from_fn(|c| a[c] + b[c])
}

fn minus(a: [f32; 3], b: [f32; 3]) -> [f32; 3] {
    std::array::from_fn(|c| a[c] - b[c])
}

/// Pixels that pull at each other.
struct Grid {
    width: usize,
    height: usize,
    /// How strongly each pixel is held by its right and its lower neighbour.
    right: Vec<f32>,
    down: Vec<f32>,
    /// By all together, and by what does not move; 0 where there is nothing to find.
    all: Vec<f32>,
    own: Vec<f32>,
}

impl Grid {
    fn new(width: usize, height: usize, right: Vec<f32>, down: Vec<f32>, own: Vec<f32>) -> Grid {
        let all = (0..own.len())
            .map(|index| {
                let left = if index % width > 0 { right[index - 1] } else { 0.0 };
                let above = if index >= width { down[index - width] } else { 0.0 };
                own[index] + left + right[index] + above + down[index]
            })
            .collect();
        Grid { width, height, right, down, all, own }
    }

    /// Four pixels in one. What pulls at them pulls at all of it.
    fn smaller(&self) -> Grid {
        // An odd last column or row stays a cell of its own.
        let (width, height) = (self.width.div_ceil(2), self.height.div_ceil(2));
        let sum = |cell: usize, of: &dyn Fn(usize, usize, usize) -> f32| {
            let (left, top) = (cell % width * 2, cell / width * 2);
            let rows = top..(top + 2).min(self.height);
            rows.map(|y| {
                (left..(left + 2).min(self.width)).map(|x| of(y * self.width + x, x - left, y - top)).sum::<f32>()
            })
            .sum()
        };
        let cells = || 0..width * height;
        let right =
            cells().map(|cell| STIFFNESS * sum(cell, &|index, x, _| if x == 1 { self.right[index] } else { 0.0 }));
        let down =
            cells().map(|cell| STIFFNESS * sum(cell, &|index, _, y| if y == 1 { self.down[index] } else { 0.0 }));
        let own = cells().map(|cell| sum(cell, &|index, _, _| self.own[index]));
        Grid::new(width, height, right.collect(), down.collect(), own.collect())
    }

    fn nothing(&self) -> Values {
        vec![[0.0; 3]; self.all.len()]
    }

    /// Sets each pixel that is to be found, from what it was.
    fn each(&self, values: &mut Values, value: impl Fn(usize, [f32; 3]) -> [f32; 3] + Sync) {
        values.par_chunks_mut(self.width).enumerate().for_each(|(y, row)| {
            for (x, to) in row.iter_mut().enumerate().filter(|(x, _)| self.all[y * self.width + x] > 0.0) {
                *to = value(y * self.width + x, *to);
            }
        });
    }

    /// The left side of the equations.
    fn apply(&self, values: &[[f32; 3]], to: &mut Values) {
        self.each(to, |index, _| minus(values[index].map(|value| value * self.all[index]), self.pull(values, index)));
    }

    /// What the neighbours want of a pixel.
    #[inline(always)]
    fn pull(&self, values: &[[f32; 3]], index: usize) -> [f32; 3] {
        let mut sum = [0.0; 3];
        let mut add = |near: usize, strength: f32| (0..3).for_each(|c| sum[c] += strength * values[near][c]);
        if !index.is_multiple_of(self.width) {
            add(index - 1, self.right[index - 1]);
        }
        if index % self.width + 1 < self.width {
            add(index + 1, self.right[index]);
        }
        if index >= self.width {
            add(index - self.width, self.down[index - self.width]);
        }
        if index + self.width < values.len() {
            add(index + self.width, self.down[index]);
        }
        sum
    }

    /// Row by row, so that it is the same in whatever order the rows are done.
    fn product(&self, a: &[[f32; 3]], b: &[[f32; 3]]) -> [f64; 3] {
        let rows: Vec<[f64; 3]> = a
            .par_chunks(self.width)
            .zip(b.par_chunks(self.width))
            .map(|(a, b)| {
                a.iter()
                    .zip(b)
                    .fold([0.0; 3], |sum, (a, b)| std::array::from_fn(|c| sum[c] + f64::from(a[c]) * f64::from(b[c])))
            })
            .collect();
        rows.into_iter().fold([0.0; 3], |sum, row| std::array::from_fn(|c| sum[c] + row[c]))
    }

    /// Brings every pixel nearer to what is wanted of it.
    fn sweep(&self, room: &mut Room, wanted: &[[f32; 3]]) {
        let Room { values, scratch } = room;
        self.each(scratch, |index, _| {
            let pull = plus(wanted[index], self.pull(values, index));
            let value = values[index];
            std::array::from_fn(|c| value[c] + DAMPING * (pull[c] / self.all[index] - value[c]))
        });
        std::mem::swap(values, scratch);
    }
}

/// What a grid's steps need, kept from one to the next.
struct Room {
    values: Values,
    scratch: Values,
}

impl Room {
    fn of(grid: &Grid) -> Room {
        Room { values: grid.nothing(), scratch: grid.nothing() }
    }
}

/// What roughly solves for `wanted`, into the first room: ripples by sweeps, everything wider on smaller grids.
fn down_and_up(grids: &[Grid], rooms: &mut [Room], wanted: &[[f32; 3]]) {
    let (grid, room) = (&grids[0], &mut rooms[0]);
    grid.each(&mut room.values, |index, _| wanted[index].map(|wanted| DAMPING * wanted / grid.all[index]));
    let Some(next) = grids.get(1) else {
        return (0..SWEEPS_AT_LAST).for_each(|_| grid.sweep(room, wanted));
    };
    grid.apply(&room.values, &mut room.scratch);
    let moved = &room.scratch;
    let mut rest = next.nothing();
    rest.par_chunks_mut(next.width).enumerate().for_each(|(row, rest)| {
        for y in 2 * row..(2 * row + 2).min(grid.height) {
            for index in y * grid.width..(y + 1) * grid.width {
                if grid.all[index] > 0.0 {
                    let cell = index % grid.width / 2;
                    rest[cell] = plus(rest[cell], minus(wanted[index], moved[index]));
                }
            }
        }
    });
    down_and_up(&grids[1..], &mut rooms[1..], &rest);
    let (room, smaller) = rooms.split_at_mut(1);
    let (room, wide) = (&mut room[0], &smaller[0].values);
    let cell = |index: usize| index / grid.width / 2 * next.width + index % grid.width / 2;
    grid.each(&mut room.values, |index, value| plus(value, wide[cell(index)]));
    grid.sweep(room, wanted);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A region with thin arms, some of whose rim is known and some a wall, and a surface that fits the differences it is asked for.
    #[test]
    fn what_fits_the_differences_is_found_in_a_region_of_any_shape() {
        let (width, height) = (151, 130);
        let kind = |index: usize| {
            let (x, y) = (index % width, index / width);
            let arm = y.abs_diff(65) < 4 || x.abs_diff(40) < 3 || x.abs_diff(y) < 5;
            let disc = x.abs_diff(75).pow(2) + y.abs_diff(65).pow(2) < 900;
            let edge = x == 0 || y == 0 || x + 1 == width || y + 1 == height;
            match (edge, arm || disc) {
                (false, true) => Kind::Open,
                _ if x > 100 => Kind::Wall,
                _ => Kind::Fixed,
            }
        };
        let kinds: Vec<Kind> = (0..width * height).map(kind).collect();
        let surface = |index: usize| {
            let (x, y) = ((index % width) as f32, (index / width) as f32);
            [0.01 * x, 0.3 * (0.1 * y).sin(), 0.0001 * x * y]
        };
        let hold = 1e-4;
        let wanted: Values = (0..kinds.len())
            .map(|index| {
                let near = neighbours(index, width, height).filter(|near| kinds[*near] != Kind::Wall);
                let own = surface(index);
                near.fold(own.map(|own| hold * own), |sum, near| plus(sum, minus(own, surface(near))))
            })
            .collect();
        let guess: Values =
            (0..kinds.len()).map(|index| if kinds[index] == Kind::Open { [1.0; 3] } else { surface(index) }).collect();
        let solved = Equations { width, height, kinds: &kinds, hold }.solved(&guess, &wanted);
        let worst = (0..kinds.len())
            .flat_map(|index| minus(solved[index], surface(index)).map(f32::abs))
            .zip((0..kinds.len()).flat_map(|index| [kinds[index]; 3]))
            .filter(|(_, kind)| *kind == Kind::Open)
            .map(|(off, _)| off)
            .fold(0.0, f32::max);
        assert!(worst < 0.01, "{worst}");
        assert!((0..kinds.len()).all(|index| kinds[index] == Kind::Open || solved[index] == guess[index]));
    }
}
