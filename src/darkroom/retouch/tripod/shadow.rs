//! The shadow that the sun throws of a tripod.
//!
//! In a view straight down the floor is seen without distortion, so shadows of straight legs are straight: each begins at its leg's foot, and all of them
//! run to one point, where the shadow of the tripod's head lies or would lie. That point is looked for; two lines that end in it are no joints of a floor.

use super::super::mask::Mask;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// A line of shadow is so much darker than both of its sides, on the scale of square roots of light.
const DARKER: f32 = 0.82;
/// What counts as its sides lies so far from its middle, as a tangent: 1.9°.
const SIDE: f64 = 0.033;
/// A line is looked for so far beside where it should run.
const ASTRAY: f64 = 0.009;
/// Half of a line's width, as a tangent, with its soft edge.
const HALF_WIDTH: f64 = 0.02;
/// Next to the foot the leg itself is dark.
const NEAR_THE_FOOT: f64 = 0.03;
/// A line is seen over at least this length, and so much of it is dark.
const LEAST_LENGTH: f64 = 0.25;
const DARK: f64 = 0.75;
/// A joint goes on so far behind a foot.
const BEHIND: f64 = 0.15;
/// Lines that meet are not parallel: the sine of the angle between two of them is at least this.
const APART: f64 = 0.08;
/// Directions and distances from the nadir in which the head's shadow may lie.
const DIRECTIONS: usize = 720;
const DISTANCES: usize = 60;
const FURTHEST: f64 = 3.0;

/// How bright a view is, seen straight down.
pub struct Floor<'f> {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Square roots of light.
    pub brightness: &'f [f32],
    /// Pixels to a tangent unit.
    pub scale: f64,
}

/// A place on the view, as tangents to the right and down from the nadir.
pub type Place = [f64; 2];

/// The shadow of the legs that stand at those places, between them as well; nothing where no two lines of shadow are seen that meet. `tripod` is
/// what is no floor.
pub fn of_legs(floor: &Floor, feet: &[Place], tripod: &Mask) -> Mask {
    let places = (0..DIRECTIONS * DISTANCES).into_par_iter().map(|index| {
        let turn = (index % DIRECTIONS) as f64 * TAU / DIRECTIONS as f64;
        // Near ones closer together than far ones.
        let share = (index / DIRECTIONS + 1) as f64 / DISTANCES as f64;
        let away = FURTHEST * share * share;
        [away * libm::cos(turn), away * libm::sin(turn)]
    });
    let judged = places.filter_map(|head| Some((head, floor.all_seen(feet, head, tripod)?)));
    let length = |seen: &[f64]| seen.iter().sum::<f64>();
    let best = judged.filter(|(head, seen)| meet(feet, seen, *head)).reduce_with(|one, other| {
        // By length, then by place: the same on any number of cores.
        let order = length(&one.1).total_cmp(&length(&other.1)).then(one.0[0].total_cmp(&other.0[0]));
        if order.then(one.0[1].total_cmp(&other.0[1])).is_ge() { one } else { other }
    });
    let Some((head, seen)) = best else { return Mask::none(floor.width, floor.height) };
    let lines: Vec<(Place, Place)> = (feet.iter().zip(&seen))
        .filter(|(_, length)| **length > 0.0)
        .map(|(foot, length)| {
            let along = towards(*foot, head);
            (*foot, [foot[0] + along[0] * length, foot[1] + along[1] * length])
        })
        .collect();
    let corners: Vec<Place> = feet.iter().copied().chain(lines.iter().map(|line| line.1)).collect();
    Mask::of(floor.width, floor.height, |x, y| {
        let place = floor.place(x, y);
        lines.iter().any(|(from, to)| distance(place, *from, *to) < HALF_WIDTH)
            || surrounded(&corners, place) && floor.is_line(place)
    })
}

/// Whether at least two lines are seen that run together.
fn meet(feet: &[Place], seen: &[f64], head: Place) -> bool {
    let lines: Vec<Place> =
        feet.iter().zip(seen).filter(|(_, length)| **length > 0.0).map(|(foot, _)| towards(*foot, head)).collect();
    let apart = |a: &Place, b: &Place| (a[0] * b[1] - a[1] * b[0]).abs() > APART;
    lines.iter().enumerate().any(|(index, a)| lines[..index].iter().any(|b| apart(a, b)))
}

/// Whether a place lies within the smallest convex shape about some corners: no line through it has all of them on one side.
fn surrounded(corners: &[Place], [right, down]: Place) -> bool {
    let mut turns: Vec<f64> = corners.iter().map(|corner| libm::atan2(corner[1] - down, corner[0] - right)).collect();
    turns.sort_by(f64::total_cmp);
    let again = turns[0] + TAU;
    turns.iter().zip(turns[1..].iter().chain([&again])).all(|(a, b)| b - a < TAU / 2.0)
}

impl Floor<'_> {
    fn place(&self, x: usize, y: usize) -> Place {
        let along = |pixel: usize, length: usize| (pixel as f64 + 0.5 - length as f64 / 2.0) / self.scale;
        [along(x, self.width), along(y, self.height)]
    }

    fn at(&self, place: Place) -> Option<f32> {
        self.index(place).map(|index| self.brightness[index])
    }

    fn index(&self, [right, down]: Place) -> Option<usize> {
        let (x, y) = (right * self.scale + self.width as f64 / 2.0, down * self.scale + self.height as f64 / 2.0);
        let inside = x >= 0.0 && y >= 0.0 && x < self.width as f64 && y < self.height as f64;
        inside.then(|| y as usize * self.width + x as usize)
    }

    /// How long the lines of shadow from all feet to one place are seen; 0 for one that the tripod hides. `None` where one is not seen that should be: it
    /// is too short, or goes on behind the foot as a joint does.
    fn all_seen(&self, feet: &[Place], head: Place, tripod: &Mask) -> Option<Vec<f64>> {
        let seen = |foot: &Place| {
            let along = towards(*foot, head);
            let longest = (foot[0] - head[0]).hypot(foot[1] - head[1]);
            let Some(length) = self.dark_from(*foot, along, longest, tripod) else { return Some(0.0) };
            let behind = self.dark_from(*foot, along.map(|part| -part), BEHIND, tripod).unwrap_or(0.0);
            (length >= LEAST_LENGTH && behind < 0.9 * BEHIND).then_some(length)
        };
        feet.iter().map(seen).collect()
    }

    /// How far from a foot, in a direction, most of a line is dark, at most `longest`; `None` where the tripod hides most of it.
    fn dark_from(&self, foot: Place, along: Place, longest: f64, tripod: &Mask) -> Option<f64> {
        let step = 1.5 / self.scale;
        let (mut steps, mut dark, mut hidden, mut length, mut away) = (0.0, 0.0, 0.0, 0.0, NEAR_THE_FOOT);
        while away < longest {
            let place = [foot[0] + along[0] * away, foot[1] + along[1] * away];
            let Some(is_dark) = self.is_dark(place, along) else { break };
            if self.index(place).is_some_and(|index| tripod.inside[index]) {
                hidden += 1.0;
            } else {
                steps += 1.0;
                dark += f64::from(u8::from(is_dark));
                if is_dark && dark >= DARK * steps {
                    length = away;
                }
            }
            away += step;
        }
        (hidden <= steps).then_some(length)
    }

    /// Whether a line in any direction is darker here than both of its sides.
    fn is_line(&self, place: Place) -> bool {
        const DIAGONAL: f64 = std::f64::consts::FRAC_1_SQRT_2;
        let directions = [[1.0, 0.0], [0.0, 1.0], [DIAGONAL, DIAGONAL], [DIAGONAL, -DIAGONAL]];
        directions.into_iter().any(|along| self.is_dark(place, along) == Some(true))
    }

    /// Whether a line in that direction is darker here than both of its sides; `None` at the view's edge.
    fn is_dark(&self, [right, down]: Place, along: Place) -> Option<bool> {
        let beside = |away: f64| self.at([right - along[1] * away, down + along[0] * away]);
        // A joint beside the line is no reason to take its side for dark.
        let side = beside(SIDE)?.max(beside(1.5 * SIDE)?).min(beside(-SIDE)?.max(beside(-1.5 * SIDE)?));
        let middle = beside(0.0)?.min(beside(ASTRAY)?).min(beside(-ASTRAY)?);
        Some(middle < DARKER * side)
    }
}

/// The direction from one place to another; none in particular from a place to itself.
fn towards(from: Place, to: Place) -> Place {
    let (right, down) = (to[0] - from[0], to[1] - from[1]);
    let length = right.hypot(down).max(1e-9);
    [right / length, down / length]
}

/// From a place to a line between two others.
fn distance(place: Place, from: Place, to: Place) -> f64 {
    let (right, down) = (place[0] - from[0], place[1] - from[1]);
    let along = towards(from, to);
    let length = (to[0] - from[0]).hypot(to[1] - from[1]);
    let foot = (right * along[0] + down * along[1]).clamp(0.0, length);
    (right - along[0] * foot).hypot(down - along[1] * foot)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: usize = 400;
    const SCALE: f64 = 240.0;
    const FEET: [Place; 3] = [[0.2, 0.0], [-0.1, 0.17], [-0.1, -0.17]];

    /// A floor with joints, and on it lines from some of the feet to the shadow of a head.
    fn floor(head: Place, lines: usize) -> Vec<f32> {
        let place = |index: usize| [(index % SIZE) as f64, (index / SIZE) as f64].map(|p| (p + 0.5 - 200.0) / SCALE);
        let brightness = |index: usize| {
            let joint = index % SIZE % 60 < 2 || index / SIZE % 60 < 2;
            let shade = FEET[..lines].iter().any(|foot| distance(place(index), *foot, head) < 0.008);
            (if joint { 0.5 } else { 0.8 }) * (if shade { 0.7 } else { 1.0 })
        };
        (0..SIZE * SIZE).map(brightness).collect()
    }

    #[test]
    fn lines_of_shadow_that_meet_are_found() {
        let head = [0.45, -0.5];
        let brightness = floor(head, 3);
        let found = of_legs(
            &Floor { width: SIZE, height: SIZE, brightness: &brightness, scale: SCALE },
            &FEET,
            &Mask::none(SIZE, SIZE),
        );
        for foot in FEET {
            for share in [0.2, 0.5, 0.85] {
                let place = [0, 1].map(|axis| foot[axis] + share * (head[axis] - foot[axis]));
                let [x, y] = place.map(|place| (place * SCALE + 200.0) as usize);
                assert!(found.inside[y * SIZE + x], "{foot:?}, {share}");
            }
        }
        assert!(found.area() < SIZE * SIZE / 8, "{}", found.area());
    }

    #[test]
    fn joints_and_a_single_line_are_no_shadow() {
        for lines in [0, 1] {
            let brightness = floor([0.45, -0.5], lines);
            let floor = Floor { width: SIZE, height: SIZE, brightness: &brightness, scale: SCALE };
            assert_eq!(of_legs(&floor, &FEET, &Mask::none(SIZE, SIZE)).area(), 0, "{lines} lines");
        }
    }
}
