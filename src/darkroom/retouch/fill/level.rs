//! One scale of the picture: its colours as they are compared, and what each pixel is.

use super::super::flat_light::FlatLight;
use super::Window;
use rayon::prelude::*;

/// Half a patch: patches are 7 × 7 pixels.
pub const REACH: usize = 3;
/// The hole's depth on the smallest level, in pixels.
const COARSEST_DEPTH: usize = 6;
/// No side of the smallest level is shorter than this.
const SMALLEST_SIDE: usize = 24;

/// What a pixel is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// May be copied.
    Known,
    /// Is to be filled.
    Hole,
    /// May be looked at, not copied.
    Forbidden,
}

/// A colour as it is compared: red, green and blue, 0 to 1023, as even to the eye as square roots of light are; the fourth is 0.
pub type Colour = [i16; 4];

/// One scale.
#[derive(Clone)]
pub struct Level {
    pub width: usize,
    pub height: usize,
    pub colours: Vec<Colour>,
    pub states: Vec<State>,
    /// Whether the whole patch about a pixel may be copied.
    pub is_source: Vec<bool>,
    /// Whether the patch about a pixel lies inside the picture and reaches into the hole, row by row: first and end of each run.
    pub targets: Vec<(usize, std::ops::Range<usize>)>,
    /// Pixels from a pixel of the hole to the nearest one outside.
    pub depths: Vec<u8>,
}

impl Level {
    /// The largest first; each of the others half as wide and high.
    pub fn pyramid(picture: &FlatLight, hole: &[bool], forbidden: &[bool], window: Window) -> Vec<Level> {
        let index = |x: usize, y: usize| (window.top + y) * picture.width + window.left + x;
        let pixels = || (0..window.height).flat_map(|y| (0..window.width).map(move |x| index(x, y)));
        let mut colours = vec![[0; 4]; window.width * window.height];
        colours.par_chunks_mut(window.width).enumerate().for_each(|(y, row)| {
            row.iter_mut().enumerate().for_each(|(x, colour)| *colour = compared(picture.pixels[index(x, y)]));
        });
        let states = pixels().map(|index| state(hole[index], forbidden[index]));
        let mut levels = vec![Level::new(window.width, window.height, colours, states.collect())];
        loop {
            let level = &levels[levels.len() - 1];
            let depth = level.depths.iter().copied().max().unwrap_or(0);
            if usize::from(depth) <= COARSEST_DEPTH || level.width.min(level.height) < 2 * SMALLEST_SIDE {
                return levels;
            }
            let halved = level.halved();
            if !halved.is_source.contains(&true) {
                return levels;
            }
            levels.push(halved);
        }
    }

    /// A whole picture, halved so often, with what is there in the hole, too.
    pub fn as_seen(picture: &FlatLight, hole: &[bool], forbidden: &[bool], halvings: u32) -> Level {
        let (mut width, mut height) = (picture.width, picture.height);
        let mut colours: Vec<Colour> = picture.pixels.par_iter().map(|light| compared(*light)).collect();
        let mut states: Vec<State> =
            hole.iter().zip(forbidden).map(|(hole, forbidden)| state(*hole, *forbidden)).collect();
        for _ in 0..halvings {
            let four = Four { width };
            (width, height) = (width / 2, height / 2);
            let pixels = || (0..width * height).into_par_iter().map(|index| four.of(index));
            states = pixels().map(|four| halved_state(four.map(|pixel| states[pixel]))).collect();
            colours = pixels().map(|four| mean(four.into_iter().map(|pixel| colours[pixel]))).collect();
        }
        Level::new(width, height, colours, states)
    }

    fn new(width: usize, height: usize, colours: Vec<Colour>, states: Vec<State>) -> Level {
        let mut level = Level {
            width,
            height,
            colours,
            states,
            is_source: vec![false; width * height],
            targets: Vec::new(),
            depths: Vec::new(),
        };
        level.depths = level.measure_depths();
        let unusable = level.counted(|state| state != State::Known);
        let open = level.counted(|state| state == State::Hole);
        for y in REACH..height.saturating_sub(REACH) {
            let mut start = None;
            for x in REACH..width.saturating_sub(REACH) {
                level.is_source[y * width + x] = unusable[y * width + x] == 0;
                match (open[y * width + x] > 0, start) {
                    (true, None) => start = Some(x),
                    (false, Some(first)) => {
                        level.targets.push((y, first..x));
                        start = None;
                    }
                    _ => {}
                }
            }
            if let Some(first) = start {
                level.targets.push((y, first..width - REACH));
            }
        }
        level
    }

    /// How many pixels of the patch about each pixel are of a kind; nothing is said of patches that lie partly outside.
    fn counted(&self, is_one: impl Fn(State) -> bool + Sync) -> Vec<u8> {
        let (width, height) = (self.width, self.height);
        let mut across = vec![0u8; width * height];
        across.par_chunks_mut(width).zip(self.states.par_chunks(width)).for_each(|(sums, states)| {
            for x in REACH..width.saturating_sub(REACH) {
                sums[x] = states[x - REACH..=x + REACH].iter().filter(|state| is_one(**state)).count() as u8;
            }
        });
        let mut both = vec![0u8; width * height];
        both.par_chunks_mut(width).enumerate().for_each(|(y, sums)| {
            if (REACH..height.saturating_sub(REACH)).contains(&y) {
                for row in y - REACH..=y + REACH {
                    sums.iter_mut().zip(&across[row * width..][..width]).for_each(|(sum, more)| *sum += more);
                }
            }
        });
        both
    }

    /// How many pixels are to be filled.
    pub fn hole_count(&self) -> usize {
        self.states.iter().filter(|state| **state == State::Hole).count()
    }

    fn halved(&self) -> Level {
        let (width, height, four) = (self.width / 2, self.height / 2, Four { width: self.width });
        let pixels = || (0..width * height).into_par_iter().map(|index| four.of(index));
        let states = pixels().map(|four| halved_state(four.map(|pixel| self.states[pixel]))).collect();
        let known = |pixel: &usize| self.states[*pixel] != State::Hole;
        let colours = pixels().map(|four| mean(four.into_iter().filter(known).map(|pixel| self.colours[pixel])));
        Level::new(width, height, colours.collect(), states)
    }

    /// A first guess of the hole: what lies around it, spread inwards ring by ring.
    pub fn spread(&mut self) {
        let deepest = self.depths.iter().copied().max().unwrap_or(0);
        for depth in 1..=deepest {
            for index in 0..self.colours.len() {
                if self.depths[index] != depth {
                    continue;
                }
                let (x, y) = (index % self.width, index / self.width);
                let (mut sum, mut count) = ([0i32; 4], 0);
                for row in y.saturating_sub(1)..=(y + 1).min(self.height - 1) {
                    for column in x.saturating_sub(1)..=(x + 1).min(self.width - 1) {
                        let near = row * self.width + column;
                        if self.depths[near] < depth {
                            let colour = self.colours[near];
                            sum = [0, 1, 2, 3].map(|channel| sum[channel] + i32::from(colour[channel]));
                            count += 1;
                        }
                    }
                }
                self.colours[index] = sum.map(|sum| (sum / count.max(1)) as i16);
            }
        }
    }

    /// In steps to the eight neighbours; 0 outside the hole, 255 at most.
    fn measure_depths(&self) -> Vec<u8> {
        let (width, height) = (self.width, self.height);
        let mut depths: Vec<u8> = self.states.iter().map(|state| if *state == State::Hole { 255 } else { 0 }).collect();
        let nearer = |depths: &[u8], index: usize, steps: [(isize, isize); 4]| {
            let (x, y) = ((index % width) as isize, (index / width) as isize);
            let near = steps.iter().filter_map(|(dx, dy)| {
                let (x, y) = (x + dx, y + dy);
                let inside = (0..width as isize).contains(&x) && (0..height as isize).contains(&y);
                inside.then(|| depths[y as usize * width + x as usize])
            });
            near.min().unwrap_or(255).saturating_add(1).min(depths[index])
        };
        // Elsewhere it is 0.
        let (first, last) = (depths.iter().position(|depth| *depth > 0), depths.iter().rposition(|depth| *depth > 0));
        let (Some(first), Some(last)) = (first, last) else { return depths };
        for index in first..=last {
            if depths[index] > 0 {
                depths[index] = nearer(&depths, index, [(-1, 0), (-1, -1), (0, -1), (1, -1)]);
            }
        }
        for index in (first..=last).rev() {
            if depths[index] > 0 {
                depths[index] = nearer(&depths, index, [(1, 0), (1, 1), (0, 1), (-1, 1)]);
            }
        }
        depths
    }

    /// Sum of squared differences of two patches, given up once it is above `most`.
    #[inline(always)]
    pub fn distance(&self, a: usize, b: usize, most: u32) -> u32 {
        let mut sum = 0u32;
        let (a, b) = (a - REACH * self.width - REACH, b - REACH * self.width - REACH);
        for row in 0..2 * REACH + 1 {
            let left = &self.colours[a + row * self.width..][..2 * REACH + 1];
            let right = &self.colours[b + row * self.width..][..2 * REACH + 1];
            let mut of_row = 0i32;
            for (left, right) in left.as_flattened().iter().zip(right.as_flattened()) {
                let difference = i32::from(left - right);
                of_row += difference * difference;
            }
            sum += of_row as u32;
            if sum > most {
                return u32::MAX;
            }
        }
        sum
    }
}

/// Which pixels of a picture become one of its half.
#[derive(Clone, Copy)]
struct Four {
    /// Columns of the whole.
    width: usize,
}

impl Four {
    /// For a pixel of the half.
    fn of(self, index: usize) -> [usize; 4] {
        let half = self.width / 2;
        let (x, y) = (index % half * 2, index / half * 2);
        [0, 1, self.width, self.width + 1].map(|offset| y * self.width + x + offset)
    }
}

fn state(hole: bool, forbidden: bool) -> State {
    match (hole, forbidden) {
        (true, _) => State::Hole,
        (_, true) => State::Forbidden,
        _ => State::Known,
    }
}

fn halved_state(states: [State; 4]) -> State {
    state(states.contains(&State::Hole), states.contains(&State::Forbidden))
}

/// The mean of some colours; 0 of none.
fn mean(colours: impl Iterator<Item = Colour>) -> Colour {
    let (sum, count) = colours.fold(([0i32; 4], 0), |(sum, count), colour| {
        ([0, 1, 2, 3].map(|channel| sum[channel] + i32::from(colour[channel])), count + 1)
    });
    sum.map(|sum| ((sum + count / 2) / count.max(1)) as i16)
}

/// A colour as it is compared.
pub fn compared(light: [f32; 3]) -> Colour {
    // Twice white still differs from white.
    let even = |light: f32| ((light.clamp(0.0, 2.0) * 0.5).sqrt() * 1023.0 + 0.5) as i16;
    [even(light[0]), even(light[1]), even(light[2]), 0]
}
