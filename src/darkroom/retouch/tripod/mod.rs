//! Finds the tripod in the view straight down: a head over the nadir, and legs that run from it to their feet.
//!
//! The lens stands over the tripod's axis, so every leg lies on a straight line through the nadir, whatever its length and spread.
//! What is unlike the floor and lies on such lines is the tripod; what is merely unlike the floor (a rug's corner, a shadow) is not.

mod legs;
mod lighting;
mod shadow;
mod unlike;

use super::flat::FlatView;
use super::flat_light::FlatLight;
use super::mask::Mask;
use crate::picture::linear::LinearRows;
use crate::sphere::Direction;
use legs::{Legs, Polar};
use shadow::Floor;
use unlike::{Unlike, unlike};

/// Half of the angle that is looked at.
const LOOKED_AT_DEG: f64 = 40.0;
/// No view that is looked at needs more pixels.
const MOST_SIDE_PX: usize = 2400;

/// Legs end nearer to the nadir than this, as the tangent of the angle from it: 25°.
const REACH: f64 = 0.466;
/// The floor that it is told from ends here: 35°, or 30° where something further off is as dark as a tripod's head.
const SURROUNDINGS: [f64; 2] = [0.7, 0.58];
/// The head covers the nadir itself to at least this far: 1.4°.
const LEAST_HEAD: f64 = 0.025;
/// A head that is larger than this is none; 9°.
const LARGEST_HEAD: f64 = 0.16;
/// About so many pixels a tangent unit are looked at.
const SCALE: f64 = 240.0;
/// With fewer, legs are lines too thin to be told from the floor's own.
const LEAST_SCALE: f64 = 60.0;
/// Differences below this are never strange.
const LEAST_DIFFERENCE: f64 = 14.0;
/// What is strange is more unlike than the floor's usual difference by this factor; a lively floor needs the later ones.
const STRANGE: [f64; 3] = [2.5, 4.0, 6.0];
/// Half the width, as a tangent, of gaps in what is strange: a leg's shine may look like something else in the room.
const GAP: f64 = 0.012;
/// Half the width, as a tangent, of gaps in what was found that belong to it.
const BETWEEN: f64 = 0.015;
/// The margin that is taken away with the tripod, as a tangent: 0.6°.
const MARGIN: f64 = 0.0105;

/// Why there is no telling where the tripod is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unsure {
    /// The view is too small or too narrow.
    #[error("the view straight down is too small")]
    TooSmall,
    /// Nothing at the nadir stands out from the floor.
    #[error("nothing at the nadir stands out from the floor")]
    NoHead,
    /// Fewer than two or more than five legs.
    #[error("what stands out at the nadir has no legs that run outwards from it")]
    NoLegs,
    /// Much of the floor is as unlike its surroundings as a tripod would be.
    #[error("too much of the floor around the nadir looks unlike the rest")]
    Restless,
}

/// What a tripod covers.
#[derive(Clone, Debug)]
pub struct Tripod {
    view: FlatView,
    covered: Mask,
    /// The angle from the nadir to what lies furthest from it.
    pub reach_deg: f64,
}

impl Tripod {
    fn new(view: FlatView, covered: Mask) -> Tripod {
        let middle = (view.side_px as f64 - 1.0) / 2.0;
        let from_middle =
            |index: usize| ((index % view.side_px) as f64 - middle).hypot((index / view.side_px) as f64 - middle);
        let furthest = (0..covered.inside.len()).filter(|index| covered.inside[*index]).map(from_middle);
        let reach = furthest.fold(0.0, f64::max) + 1.0;
        Tripod { view, covered, reach_deg: libm::atan(reach / view.pixels_to_a_radian()).to_degrees() }
    }

    /// How much of a direction is covered, 0 to 1, between the view's pixels.
    pub fn cover(&self, direction: Direction) -> f32 {
        let Some([x, y]) = self.view.pixel(direction) else { return 0.0 };
        let (left, top, side) = (x.floor(), y.floor(), self.view.side_px);
        let at = |column: f64, row: f64| {
            let inside = (0.0..side as f64).contains(&column) && (0.0..side as f64).contains(&row);
            if inside && self.covered.inside[row as usize * side + column as usize] { 1.0 } else { 0.0 }
        };
        let (right, down) = ((x - left) as f32, (y - top) as f32);
        let upper = at(left, top) + right * (at(left + 1.0, top) - at(left, top));
        let lower = at(left, top + 1.0) + right * (at(left + 1.0, top + 1.0) - at(left, top + 1.0));
        upper + down * (lower - upper)
    }
}

/// Finds the tripod at a sphere's own nadir. `with_shadow` takes in what else is darker than the floor and hangs together with it.
///
/// # Errors
/// Why it is not sure that there is one, or what belongs to it.
pub fn find(sphere: &dyn LinearRows, with_shadow: bool) -> Result<Tripod, Unsure> {
    let nadir = Direction { right: 0.0, up: -1.0, ahead: 0.0 };
    let view = FlatView::without_loss(nadir, LOOKED_AT_DEG, sphere.size().0).at_most(MOST_SIDE_PX);
    let covered = find_below(&view.look(sphere), view.pixels_to_a_radian(), with_shadow)?;
    Ok(Tripod::new(view, covered))
}

/// The same in a view straight down whose middle is the picture's own nadir. `scale` is pixels a tangent unit: the length on the view of
/// what is as far from the nadir as the view's plane is from the lens. The view has to reach to 30°, and should to 35° or more.
///
/// # Errors
/// As [`find`].
pub fn find_below(view: &FlatLight, scale: f64, with_shadow: bool) -> Result<Mask, Unsure> {
    let half = view.width.min(view.height) as f64 / 2.0;
    if scale * (REACH + 0.1) > half || scale < LEAST_SCALE {
        return Err(Unsure::TooSmall);
    }
    let mut doubt = None;
    for surroundings in SURROUNDINGS {
        match told_from(view, scale, surroundings, with_shadow) {
            Ok(found) => return Ok(found),
            Err(unsure) => doubt = doubt.or(Some(unsure)),
        }
    }
    Err(doubt.unwrap_or(Unsure::NoHead))
}

/// The tripod as it differs from the floor out to a tangent of `surroundings`.
fn told_from(view: &FlatLight, scale: f64, surroundings: f64, with_shadow: bool) -> Result<Mask, Unsure> {
    let region = disc(view, scale * REACH);
    let halvings = (scale / SCALE).max(1.0).log2().round() as u32;
    let unlike = unlike(view, &region, &disc(view, scale * surroundings).opposite(), halvings);
    let small_scale = scale / unlike.side as f64;
    let mut doubt = None;
    for factor in STRANGE {
        let found = strange(&unlike, small_scale, factor)
            .and_then(|strange| judged(&strange, &unlike, small_scale, with_shadow));
        match found {
            Ok(small) => return Ok(enlarged(&small, view, unlike.side, (scale * MARGIN).ceil() as usize)),
            Err(unsure) => doubt = doubt.or(Some(unsure)),
        }
    }
    Err(doubt.unwrap_or(Unsure::NoHead))
}

fn judged(strange: &Mask, unlike: &Unlike, scale: f64, with_shadow: bool) -> Result<Mask, Unsure> {
    let polar = Polar::of(strange, scale, REACH);
    let head = polar.head();
    if !(LEAST_HEAD..LARGEST_HEAD).contains(&head) {
        return Err(Unsure::NoHead);
    }
    let legs = Legs::of(&polar, head).ok_or(Unsure::NoLegs)?;
    // What lies between a leg and its foot, or between two parts of a leg, is leg as well.
    let mut mask = legs.mask(strange, scale).closed((scale * BETWEEN).ceil() as usize).filled();
    if with_shadow {
        let inside = strange.inside.iter().zip(&unlike.darker).map(|(strange, darker)| strange & darker).collect();
        mask.take_in(&Mask { inside, ..*strange });
        let (width, height) = (unlike.width, unlike.height);
        let floor = Floor { width, height, brightness: &unlike.brightness, scale };
        let shadow = shadow::of_legs(&floor, &legs.feet(), &mask.grown((scale * MARGIN).ceil() as usize));
        mask.inside.iter_mut().zip(&shadow.inside).for_each(|(inside, shadow)| *inside |= shadow);
    }
    Ok(mask)
}

/// What differs from anything in the surroundings by more than the floor itself does.
fn strange(unlike: &Unlike, scale: f64, factor: f64) -> Result<Mask, Unsure> {
    let from_nadir = |i: usize| {
        let (x, y) = (i % unlike.width, i / unlike.width);
        let [x, y] = [(x, unlike.width), (y, unlike.height)].map(|(k, length)| k as f64 + 0.5 - length as f64 / 2.0);
        x.hypot(y) / scale
    };
    let mut usual: Vec<u8> = (0..unlike.differences.len())
        .filter(|&i| (0.3..REACH).contains(&from_nadir(i)))
        .map(|i| unlike.differences[i])
        .collect();
    let place = usual.len() * 3 / 4;
    let usual = usual.select_nth_unstable(place).1;
    let threshold = LEAST_DIFFERENCE.max(factor * f64::from(*usual)) as u8;
    let strange = Mask::of(unlike.width, unlike.height, |x, y| unlike.differences[y * unlike.width + x] > threshold);
    let inner = (0..strange.inside.len()).filter(|&i| from_nadir(i) < REACH).count();
    let mut strange = strange.closed((scale * GAP).ceil() as usize);
    let surrounded = strange.filled();
    (0..strange.inside.len())
        .filter(|&i| from_nadir(i) < LARGEST_HEAD)
        .for_each(|i| strange.inside[i] = surrounded.inside[i]);
    if strange.area() * 4 > inner { Err(Unsure::Restless) } else { Ok(strange) }
}

fn disc(view: &FlatLight, radius: f64) -> Mask {
    let (middle_x, middle_y) = (view.width as f64 / 2.0, view.height as f64 / 2.0);
    Mask::of(view.width, view.height, |x, y| (x as f64 + 0.5 - middle_x).hypot(y as f64 + 0.5 - middle_y) < radius)
}

fn enlarged(small: &Mask, view: &FlatLight, side: usize, margin: usize) -> Mask {
    Mask::of(view.width, view.height, |x, y| {
        let (x, y) = ((x / side).min(small.width - 1), (y / side).min(small.height - 1));
        small.inside[y * small.width + x]
    })
    .grown(margin)
}
