//! Finding the tripod below the camera.
//!
//! Seen straight down, a tripod is unlike the floor around it, begins at the nadir, and reaches outwards in a few straight legs. What is
//! unlike every colour that the floor shows further out, and hangs together with the nadir, is taken for it; along each ray everything
//! between the nadir and the furthest of it belongs to it too, bright tubes and highlights among it. Anything else is not sure.

use super::flat::FlatView;
use super::flat_light::FlatLight;
use crate::picture::linear::LinearRows;
use crate::sphere::Direction;
use rayon::prelude::*;

/// Half of the angle that is looked at.
const LOOKED_AT_DEG: f64 = 38.0;
/// Columns and rows of the view: a leg is some pixels wide.
const SIDE_PX: usize = 320;
/// From here outwards lies floor, and no tripod.
const FLOOR_FROM_DEG: f64 = 29.0;
/// The head covers at least this much around the nadir.
const HEAD_DEG: f64 = 2.5;
/// Colours of the floor that each pixel is compared with, and how many of them must be nearer than a stranger.
const COLOURS: usize = 1200;
const NEAREST: usize = 5;
/// The least difference from the floor that counts, in logarithms of light.
const LEAST_UNLIKE: f32 = 0.32;
/// Rays on which the furthest pixel is looked for.
const RAYS: usize = 1440;
/// Rays are looked along in steps of so many degrees; so much of a ray must be covered as far as it belongs to a leg.
const STEP_DEG: f64 = 0.25;
const LEAST_COVERED: f64 = 0.35;
/// No leg reaches further: tripods stand in a cone of 15 to 25 degrees below the camera. Common practice, no source.
const LONGEST_DEG: f64 = 25.0;
/// A tube of a leg that looks like the floor is no longer than this; what goes on beyond it lies on the same ray, or so many beside it.
const TUBE_DEG: f64 = 6.0;
const BESIDE: usize = 8;
/// Around what was found, for soft edges and for sampling.
const MARGIN_DEG: f64 = 1.5;
/// A tripod covers no more of the looked-at floor than this, and no more of the rays reach so far out.
const MOST_COVERED: f64 = 0.22;
const FAR_DEG: f64 = 20.0;
const MOST_FAR_RAYS: f64 = 0.35;
/// A shadow is darker than the floor by this, and has nearly its colour.
const SHADOW: f32 = 0.30;
const SHADOW_TINT: f32 = 0.25;

/// Why no tripod was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unsure {
    /// The floor's own colours go through below the camera.
    #[error("nothing below the camera differs from the floor around it")]
    NothingStandsOut,
    /// What differs is no tripod, or the floor has no colours of its own.
    #[error("what lies below the camera is too large, or too little like legs, for a tripod")]
    NoLegs,
}

/// What a tripod covers.
#[derive(Clone, Debug)]
pub struct Tripod {
    view: FlatView,
    covered: Vec<bool>,
    /// The angle from the nadir to what lies furthest from it.
    pub reach_deg: f64,
}

impl Tripod {
    /// How much of a direction is covered, 0 to 1, between the view's pixels.
    pub fn cover(&self, direction: Direction) -> f32 {
        let Some([x, y]) = self.view.pixel(direction) else { return 0.0 };
        let (left, top) = (x.floor(), y.floor());
        let at = |column: f64, row: f64| {
            let inside = (0.0..SIDE_PX as f64).contains(&column) && (0.0..SIDE_PX as f64).contains(&row);
            if inside && self.covered[row as usize * SIDE_PX + column as usize] { 1.0 } else { 0.0 }
        };
        let (right, down) = ((x - left) as f32, (y - top) as f32);
        let upper = at(left, top) + right * (at(left + 1.0, top) - at(left, top));
        let lower = at(left, top + 1.0) + right * (at(left + 1.0, top + 1.0) - at(left, top + 1.0));
        upper + down * (lower - upper)
    }
}

/// Finds the tripod at a sphere's own nadir.
///
/// # Errors
/// Why it is not sure that there is one, or what belongs to it.
pub fn find(sphere: &dyn LinearRows, with_shadow: bool) -> Result<Tripod, Unsure> {
    let nadir = Direction { right: 0.0, up: -1.0, ahead: 0.0 };
    let view = FlatView::new(nadir, LOOKED_AT_DEG, SIDE_PX);
    let seen = Seen::of(&view.look(sphere), &view);
    let floor = seen.floor();
    let strange = seen.strange(&floor);
    let connected = seen.connected(&strange);
    let head = seen.share(HEAD_DEG, &connected);
    if head < 0.5 {
        return Err(Unsure::NothingStandsOut);
    }
    let mut covered = seen.hull(&connected);
    let far = covered.iter().filter(|reach| **reach > FAR_DEG).count() as f64 / RAYS as f64;
    let mut pixels = seen.within(&mut covered);
    let all = pixels.iter().filter(|covered| **covered).count() as f64 / pixels.len() as f64;
    if far > MOST_FAR_RAYS || all > MOST_COVERED {
        return Err(Unsure::NoLegs);
    }
    if with_shadow {
        seen.add_shadow(&floor, &mut pixels);
    }
    let covered = seen.widened(&pixels);
    let reach_deg =
        (0..covered.len()).filter(|index| covered[*index]).map(|index| seen.away_deg[index]).fold(0.0, f64::max);
    Ok(Tripod { view, covered, reach_deg })
}

/// A colour as it is compared: logarithms of light.
type Colour = [f32; 3];

struct Seen {
    colours: Vec<Colour>,
    /// From the nadir.
    away_deg: Vec<f64>,
    /// Pixels to a degree, near the nadir.
    px_deg: f64,
}

impl Seen {
    fn of(light: &FlatLight, view: &FlatView) -> Seen {
        // A shot that is too dark is as good as another.
        let mut greens: Vec<f32> = light.pixels.iter().map(|light| light[1]).collect();
        greens.sort_by(f32::total_cmp);
        let gain = 0.2 / greens[greens.len() / 2].max(1e-4);
        let even = |light: &[f32; 3]| light.map(|light| libm::logf(gain * light.max(0.0) + 0.01));
        let colours = light.pixels.par_iter().map(even).collect();
        let nadir = view.middle();
        let away_deg = (0..light.pixels.len()).map(|index| {
            let [right, up, ahead] = view.ray((index % SIDE_PX) as f64, (index / SIDE_PX) as f64);
            nadir.angle_to(Direction::normalized(right, up, ahead))
        });
        Seen { colours, away_deg: away_deg.collect(), px_deg: view.pixels_to_a_radian().to_radians() }
    }

    /// Colours from all around, where no tripod reaches.
    fn floor(&self) -> Vec<Colour> {
        let floor: Vec<usize> =
            (0..self.colours.len()).filter(|index| self.away_deg[*index] > FLOOR_FROM_DEG).collect();
        let step = (floor.len() / COLOURS).max(1);
        floor.iter().step_by(step).map(|index| self.colours[*index]).collect()
    }

    /// How far a colour is from the floor's.
    fn unlike(floor: &[Colour], colour: Colour) -> f32 {
        let mut nearest = [f32::INFINITY; NEAREST];
        for other in floor {
            let away = (0..3)
                .map(|channel| (colour[channel] - other[channel]) * (colour[channel] - other[channel]))
                .sum::<f32>();
            if away < nearest[NEAREST - 1] {
                let place = nearest.iter().position(|known| away < *known).unwrap_or(NEAREST - 1);
                nearest[place..].rotate_right(1);
                nearest[place] = away;
            }
        }
        nearest[NEAREST - 1].sqrt()
    }

    /// Pixels unlike the floor, by more than its own colours are unlike one another.
    fn strange(&self, floor: &[Colour]) -> Vec<bool> {
        let mut own: Vec<f32> = floor.par_iter().map(|colour| Self::unlike(floor, *colour)).collect();
        own.sort_by(f32::total_cmp);
        let usual = own.get(own.len() * 97 / 100).copied().unwrap_or(0.0);
        let limit = LEAST_UNLIKE.max(1.3 * usual);
        let is_strange =
            |index: usize| self.away_deg[index] < FLOOR_FROM_DEG && Self::unlike(floor, self.colours[index]) > limit;
        (0..self.colours.len()).into_par_iter().map(is_strange).collect()
    }

    /// Those that hang together with the head: over gaps of a pixel, and outwards along a leg over a tube that looks like the floor.
    fn connected(&self, strange: &[bool]) -> Vec<bool> {
        let mut connected = vec![false; strange.len()];
        let mut open: Vec<usize> =
            (0..strange.len()).filter(|index| strange[*index] && self.away_deg[*index] < 1.6 * HEAD_DEG).collect();
        while !open.is_empty() {
            open.iter().for_each(|index| connected[*index] = true);
            while let Some(index) = open.pop() {
                for near in around(index, 2) {
                    if strange[near] && !connected[near] {
                        connected[near] = true;
                        open.push(near);
                    }
                }
            }
            let reach = self.furthest(&connected);
            let goes_on = |index: usize| {
                let gap = self.away_deg[index] - reach[ray_of(index)];
                strange[index] && !connected[index] && gap > 0.0 && gap < TUBE_DEG && self.away_deg[index] < LONGEST_DEG
            };
            open = (0..strange.len()).filter(|index| goes_on(*index)).collect();
        }
        connected
    }

    /// For each ray, the angle to the furthest pixel of a kind on it or on the rays beside it, but for those that are no further out than the head.
    fn furthest(&self, kind: &[bool]) -> Vec<f64> {
        let mut own = vec![0.0f64; RAYS];
        for index in (0..kind.len()).filter(|index| kind[*index] && self.away_deg[*index] > 1.6 * HEAD_DEG) {
            let ray = &mut own[ray_of(index)];
            *ray = ray.max(self.away_deg[index]);
        }
        let beside =
            |ray: usize| (0..=2 * BESIDE).map(|step| own[(ray + RAYS + step - BESIDE) % RAYS]).fold(0.0, f64::max);
        let reach = (0..RAYS).map(beside);
        reach.map(|reach| if reach > 0.0 { reach } else { f64::NEG_INFINITY }).collect()
    }

    /// Of what lies within an angle of the nadir, how much is of a kind.
    fn share(&self, within_deg: f64, kind: &[bool]) -> f64 {
        let inside: Vec<usize> = (0..kind.len()).filter(|index| self.away_deg[*index] < within_deg).collect();
        inside.iter().filter(|index| kind[**index]).count() as f64 / inside.len().max(1) as f64
    }

    /// For each ray, the angle to the furthest pixel on it, as far as enough of the ray is covered up to there: a leg is, a stripe of the floor that
    /// happens to touch one is not.
    fn hull(&self, connected: &[bool]) -> Vec<f64> {
        let steps = (FLOOR_FROM_DEG / STEP_DEG) as usize + 1;
        let mut counts = vec![[0u32; 2]; RAYS * steps];
        for index in (0..connected.len()).filter(|index| self.away_deg[*index] < FLOOR_FROM_DEG) {
            let step = (self.away_deg[index] / STEP_DEG) as usize;
            // A ray is narrower than a pixel near the nadir: its neighbours count as well.
            for ray in [RAYS - 1, 0, 1].map(|beside| (ray_of(index) + beside) % RAYS) {
                counts[ray * steps + step][usize::from(connected[index])] += 1;
            }
        }
        let longest = (LONGEST_DEG / STEP_DEG) as usize;
        let reach = |ray: usize| {
            let (mut free, mut covered, mut furthest) = (0, 0, HEAD_DEG);
            for (step, count) in counts[ray * steps..][..steps.min(longest)].iter().enumerate() {
                (free, covered) = (free + count[0], covered + count[1]);
                if count[1] > 0 && f64::from(covered) >= LEAST_COVERED * f64::from(free + covered) {
                    furthest = f64::max(furthest, (step + 1) as f64 * STEP_DEG);
                }
            }
            furthest
        };
        (0..RAYS).map(reach).collect()
    }

    /// Pixels nearer to the nadir than the furthest on their ray or the rays beside it.
    fn within(&self, reach: &mut [f64]) -> Vec<bool> {
        let beside = |ray: usize| (0..3).map(|step| reach[(ray + RAYS + step - 1) % RAYS]).fold(0.0, f64::max);
        (0..self.away_deg.len()).map(|index| self.away_deg[index] <= beside(ray_of(index))).collect()
    }

    /// Adds what is darker than the floor, of its colour, and hangs together with what was found.
    fn add_shadow(&self, floor: &[Colour], covered: &mut [bool]) {
        let middle = |channel: usize| {
            let mut values: Vec<f32> = floor.iter().map(|colour| colour[channel]).collect();
            values.sort_by(f32::total_cmp);
            values.get(values.len() / 2).copied().unwrap_or(0.0)
        };
        let usual = [middle(0), middle(1), middle(2)];
        let is_shadow = |colour: Colour| {
            let off = [0, 1, 2].map(|channel| colour[channel] - usual[channel]);
            let (least, most) = (off[0].min(off[1]).min(off[2]), off[0].max(off[1]).max(off[2]));
            most < -SHADOW && most - least < SHADOW_TINT
        };
        // A floor that is often so dark has no shadows that could be told from it.
        if floor.iter().filter(|colour| is_shadow(**colour)).count() * 10 > floor.len() {
            return;
        }
        let mut open: Vec<usize> = (0..covered.len()).filter(|index| covered[*index]).collect();
        while let Some(index) = open.pop() {
            for near in around(index, 1) {
                if !covered[near] && self.away_deg[near] < FLOOR_FROM_DEG && is_shadow(self.colours[near]) {
                    covered[near] = true;
                    open.push(near);
                }
            }
        }
    }

    /// The same and what lies close to it.
    fn widened(&self, covered: &[bool]) -> Vec<bool> {
        let reach = (MARGIN_DEG * self.px_deg).ceil() as isize;
        let mut wide = covered.to_vec();
        for index in (0..covered.len()).filter(|index| covered[*index]) {
            let (x, y) = ((index % SIDE_PX) as isize, (index / SIDE_PX) as isize);
            for row in (y - reach).max(0)..=(y + reach).min(SIDE_PX as isize - 1) {
                for column in (x - reach).max(0)..=(x + reach).min(SIDE_PX as isize - 1) {
                    if (row - y) * (row - y) + (column - x) * (column - x) <= reach * reach {
                        wide[row as usize * SIDE_PX + column as usize] = true;
                    }
                }
            }
        }
        wide
    }
}

/// Which ray a pixel lies on.
fn ray_of(index: usize) -> usize {
    let middle = (SIDE_PX as f64 - 1.0) / 2.0;
    let (x, y) = ((index % SIDE_PX) as f64 - middle, (index / SIDE_PX) as f64 - middle);
    let turn = libm::atan2(y, x) / std::f64::consts::TAU + 0.5;
    ((turn * RAYS as f64) as usize).min(RAYS - 1)
}

/// Pixels at most so far away, each way.
fn around(index: usize, reach: usize) -> impl Iterator<Item = usize> {
    let (x, y) = (index % SIDE_PX, index / SIDE_PX);
    let rows = y.saturating_sub(reach)..=(y + reach).min(SIDE_PX - 1);
    rows.flat_map(move |row| {
        (x.saturating_sub(reach)..=(x + reach).min(SIDE_PX - 1)).map(move |column| row * SIDE_PX + column)
    })
}
