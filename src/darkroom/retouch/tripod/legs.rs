//! The legs, on the map of directions about the nadir.

use super::super::mask::Mask;
use std::f64::consts::TAU;

/// Directions that are looked along.
const DIRECTIONS: usize = 360;
/// So much of the way from the head to a foot is seen to be strange.
const SEEN: f64 = 0.7;
/// A leg sticks out from the head to at least so many times the head's radius…
const LEAST_REACH: f64 = 1.45;
/// … and by at least so much, as a tangent.
const LEAST_LENGTH: f64 = 0.05;
/// A leg is narrower than so many directions (degrees), as seen from the nadir.
const WIDEST: usize = 40;
/// What lies so near beside a leg's middle line (as a tangent) may belong to it.
const BESIDE: f64 = 0.032;
/// Half the width of a leg that is not seen along its whole way.
const LINE: f64 = 0.016;
/// What is shorter than this, by the usual leg, is none, but a shadow or a knob.
const SHORT: f64 = 0.7;
/// Legs that are out of place by more than so many degrees stand in a way of their own.
const IRREGULAR: f64 = 14.0;
/// So much of a circle is strange where the head covers it.
const COVERED: f64 = 0.85;

/// What is strange, by direction from the nadir and distance from it.
pub struct Polar {
    /// Tangent of the angle from one ring to the next.
    step: f64,
    /// For each direction, ring by ring from the nadir.
    strange: Vec<Vec<bool>>,
}

impl Polar {
    /// The map of a mask about its middle, out to `reach`.
    pub fn of(strange: &Mask, scale: f64, reach: f64) -> Polar {
        let rings = (reach * scale) as usize;
        let ray = |direction: usize| {
            let (sin, cos) = angle(direction as f64);
            (0..rings).map(|ring| about(strange, cos * (ring as f64 + 0.5), sin * (ring as f64 + 0.5))).collect()
        };
        Polar { step: 1.0 / scale, strange: (0..DIRECTIONS).map(ray).collect() }
    }

    /// How far the head goes: the last ring, from the nadir outwards, that is strange nearly all round; rings nearer than that may be broken
    /// once by a patch of shine.
    pub fn head(&self) -> f64 {
        let rings = self.strange[0].len();
        let covered =
            |ring: usize| self.strange.iter().filter(|ray| ray[ring]).count() as f64 >= COVERED * DIRECTIONS as f64;
        let mut last = 0;
        for ring in 0..rings {
            if covered(ring) {
                last = ring + 1;
            } else if ring > last + 2 {
                break;
            }
        }
        last as f64 * self.step
    }

    /// How far along a direction most of the way from the head is strange.
    fn extent(&self, direction: usize, head: f64) -> f64 {
        let first = (head / self.step) as usize;
        let (mut seen, mut end) = (0, first);
        for ring in first..self.strange[direction].len() {
            seen += usize::from(self.strange[direction][ring]);
            if self.strange[direction][ring] && seen as f64 >= SEEN * (ring + 1 - first) as f64 {
                end = ring + 1;
            }
        }
        end as f64 * self.step
    }
}

/// The tripod as it was recognised.
pub struct Legs {
    head: f64,
    /// Direction in degrees and reach of each.
    legs: Vec<(f64, f64)>,
    /// Where legs should be that stand as most do, if these do.
    regular: Vec<(f64, f64)>,
}

impl Legs {
    /// Two to five narrow legs, or nothing.
    pub fn of(polar: &Polar, head: f64) -> Option<Legs> {
        let extents: Vec<f64> = (0..DIRECTIONS).map(|direction| polar.extent(direction, head)).collect();
        let least = (head * LEAST_REACH).max(head + LEAST_LENGTH);
        let start = (0..DIRECTIONS).find(|&direction| extents[direction] < least)?;
        let mut legs = Vec::new();
        let mut run: Vec<usize> = Vec::new();
        for direction in (start..=start + DIRECTIONS).map(|direction| direction % DIRECTIONS) {
            if extents[direction] >= least {
                run.push(direction);
            } else if !run.is_empty() {
                legs.push(leg(&run, &extents)?);
                run.clear();
            }
        }
        if !(2..=5).contains(&legs.len()) || !spread_out(&legs) {
            return None;
        }
        // The legs of a tripod are as long as one another: what is seen of one may stop short of its foot.
        let mut reaches: Vec<f64> = legs.iter().map(|leg| leg.1).collect();
        reaches.sort_by(f64::total_cmp);
        let usual = 0.95 * reaches[reaches.len() - 2];
        legs.iter_mut().filter(|leg| leg.1 > SHORT * usual).for_each(|leg| leg.1 = leg.1.max(usual));
        let regular = regular(&legs, usual);
        Some(Legs { head, legs, regular })
    }

    /// Where the legs stand, as tangents to the right and down.
    pub fn feet(&self) -> Vec<[f64; 2]> {
        let foot = |&(direction, reach): &(f64, f64)| {
            let (sin, cos) = angle(direction);
            [reach * cos, reach * sin]
        };
        self.legs.iter().map(foot).collect()
    }

    /// The head as a disc, and along each leg what is strange beside its middle line, with the line itself.
    pub fn mask(&self, strange: &Mask, scale: f64) -> Mask {
        let (middle_x, middle_y) = (strange.width as f64 / 2.0, strange.height as f64 / 2.0);
        let arms: Vec<((f64, f64), f64)> =
            self.legs.iter().chain(&self.regular).map(|&(direction, reach)| (angle(direction), reach)).collect();
        Mask::of(strange.width, strange.height, |x, y| {
            let (x, y) = ((x as f64 + 0.5 - middle_x) / scale, (y as f64 + 0.5 - middle_y) / scale);
            let on_leg = |((sin, cos), reach): &((f64, f64), f64)| {
                let (along, beside) = (x * cos + y * sin, (y * cos - x * sin).abs());
                let odd = about(strange, x * scale, y * scale);
                (0.0..reach + BESIDE).contains(&along) && (beside < LINE && along < *reach || beside < BESIDE && odd)
            };
            x.hypot(y) < self.head || arms.iter().any(on_leg)
        })
    }
}

/// The leg that a run of neighbouring directions shows: its middle is the mean of the farthest ones.
fn leg(run: &[usize], extents: &[f64]) -> Option<(f64, f64)> {
    if run.len() > WIDEST {
        return None;
    }
    let reach = run.iter().map(|&direction| extents[direction]).fold(0.0, f64::max);
    let far: Vec<usize> = (0..run.len()).filter(|&k| extents[run[k]] > 0.9 * reach).collect();
    let middle = far.iter().sum::<usize>() as f64 / far.len() as f64;
    Some((run[0] as f64 + middle, reach))
}

/// Most tripods' three legs stand a third of a turn apart. Where the found ones nearly do, the places where all three then stand: a leg that is
/// as dark as the floor beside it may have been seen a little beside its place.
fn regular(legs: &[(f64, f64)], reach: f64) -> Vec<(f64, f64)> {
    const THIRD: f64 = DIRECTIONS as f64 / 3.0;
    let off = |a: f64, b: f64| (a - b + THIRD / 2.0).rem_euclid(THIRD) - THIRD / 2.0;
    let triples = legs.iter().enumerate().flat_map(|(k, a)| {
        let rest = legs[k + 1..].iter().enumerate();
        rest.flat_map(move |(j, b)| legs[k + j + 2..].iter().map(move |c| [a.0, b.0, c.0]))
    });
    let judged = triples.filter(|three| spread_out(&three.map(|direction| (direction, reach)))).map(|three| {
        // Of three turns the middle one is nearest to both others.
        let worst = |from: &f64| three.iter().map(|turn| off(*turn, *from).abs()).fold(0.0, f64::max);
        let middle = three.into_iter().min_by(|a, b| worst(a).total_cmp(&worst(b))).unwrap_or(three[0]);
        (middle, worst(&middle))
    });
    match judged.min_by(|a, b| a.1.total_cmp(&b.1)) {
        Some((middle, worst)) if worst < IRREGULAR => [0.0, 1.0, 2.0].map(|leg| (middle + leg * THIRD, reach)).to_vec(),
        _ => Vec::new(),
    }
}

/// No two neighbouring legs are further apart than 200°: a tripod stands.
fn spread_out(legs: &[(f64, f64)]) -> bool {
    let mut directions: Vec<f64> = legs.iter().map(|leg| leg.0.rem_euclid(DIRECTIONS as f64)).collect();
    directions.sort_by(f64::total_cmp);
    let first_again = directions[0] + DIRECTIONS as f64;
    directions.iter().zip(directions[1..].iter().chain([&first_again])).all(|(a, b)| b - a < 200.0)
}

/// Sine and cosine of a direction.
fn angle(direction: f64) -> (f64, f64) {
    let turn = direction * TAU / DIRECTIONS as f64;
    (libm::sin(turn), libm::cos(turn))
}

/// Whether a pixel is strange, by its place from the middle.
fn about(mask: &Mask, x: f64, y: f64) -> bool {
    let (x, y) = (x + mask.width as f64 / 2.0, y + mask.height as f64 / 2.0);
    let within = x >= 0.0 && y >= 0.0 && x < mask.width as f64 && y < mask.height as f64;
    within && mask.inside[y as usize * mask.width + x as usize]
}
