//! The direction that the scene's lines share: a vote first, then least squares among those that agree.

use super::lines::{Line, cross, dot, unit};
use super::{LARGEST_LEAN_DEG, ZENITH};
use crate::sphere::Direction;

/// Candidates for the vote stand this far apart, in degrees.
const CANDIDATE_STEP_DEG: f64 = 0.75;

/// In the vote a line speaks for what its great circle misses by less than this, in degrees.
const VOTE_REACH_DEG: f64 = 1.5;

/// The same once candidates are refined.
pub(super) const REACH_DEG: f64 = 0.6;

/// A rival is another candidate at least this far away, in degrees.
const RIVAL_AWAY_DEG: f64 = 5.0;

/// A line has no more votes than this length gives it, in degrees.
const MOST_VOTES_DEG: f64 = 40.0;

/// What builders and joiners leave: verticals are taken to lean by this, in degrees, one standard deviation.
const BUILDING_ERROR_DEG: f64 = 0.1;

/// What the lines agree on.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    /// Where the verticals meet.
    pub up: Direction,
    /// One standard deviation of `up` in its worst direction, in degrees, as if each line erred by itself. Infinite where it is undetermined.
    pub error_deg: f64,
    /// Votes of the strongest candidate elsewhere, as a part of the winner's.
    pub rival: f64,
}

/// Finds the direction within [`LARGEST_LEAN_DEG`] of the picture's zenith that most length of line points to.
pub(super) fn fit(lines: &[Line]) -> Fit {
    let candidates = candidates();
    let votes: Vec<f64> = candidates.iter().map(|&up| votes(lines, up, VOTE_REACH_DEG)).collect();
    let nothing = Fit { up: ZENITH, error_deg: f64::INFINITY, rival: 1.0 };
    let Some((first, _)) = strongest(&candidates, &votes, |_| true) else { return nothing };
    let best = refined(lines, first);
    let Some((second, _)) = strongest(&candidates, &votes, |up| degrees_between(up, best.0) > RIVAL_AWAY_DEG) else {
        return nothing;
    };
    let other = refined(lines, second);
    let strength = |up| votes_for(lines, up);
    // Candidates that run to the same place are no rivals of one another.
    let apart = degrees_between(best.0, other.0) > RIVAL_AWAY_DEG / 2.0;
    let other_up = if apart { other.0 } else { second };
    let ((up, error), rival) = if strength(best.0) >= strength(other_up) { (best, other_up) } else { (other, best.0) };
    let [right, up_part, ahead] = up;
    Fit {
        up: Direction { right, up: up_part, ahead },
        error_deg: error.to_degrees(),
        rival: strength(rival) / strength(up).max(f64::MIN_POSITIVE),
    }
}

/// How far a line's great circle misses a direction, and how well that is known; both in radians.
pub(super) fn miss(line: &Line, up: [f64; 3]) -> (f64, f64) {
    // Turned about its middle, a line moves at a distance by the sine of that distance.
    let height = dot(line.middle, up);
    let turn = line.turn_error * libm::sqrt((1.0 - height * height).max(0.0));
    let building = BUILDING_ERROR_DEG.to_radians();
    (libm::asin(dot(line.normal, up).clamp(-1.0, 1.0)), libm::sqrt(turn * turn + building * building))
}

/// Directions to vote on: a square grid on the plane that touches the sphere at the picture's zenith.
fn candidates() -> Vec<[f64; 3]> {
    let steps = (LARGEST_LEAN_DEG / CANDIDATE_STEP_DEG).ceil() as i32;
    let step = CANDIDATE_STEP_DEG.to_radians();
    let grid = (-steps..=steps).flat_map(|x| (-steps..=steps).map(move |z| (x, z)));
    grid.filter_map(|(x, z)| unit([f64::from(x) * step, 1.0, f64::from(z) * step]))
        .filter(|up| up[1] >= libm::cos(LARGEST_LEAN_DEG.to_radians()))
        .collect()
}

/// Length of line that points to a candidate, in radians: all of it for an exact hit, less for a near one, none beyond reach.
fn votes(lines: &[Line], up: [f64; 3], reach_deg: f64) -> f64 {
    let (reach, most) = (reach_deg.to_radians(), MOST_VOTES_DEG.to_radians());
    lines.iter().fold(0.0, |sum, line| {
        // The sine does for the angle here: within reach they are the same to a part in a thousand.
        let off = dot(line.normal, up) / reach;
        sum + line.length.min(most) * (1.0 - off * off).max(0.0)
    })
}

/// The votes that refined candidates are compared by.
fn votes_for(lines: &[Line], up: [f64; 3]) -> f64 {
    votes(lines, up, REACH_DEG)
}

/// The candidate with the most votes, if there are any; of equals the first.
fn strongest(candidates: &[[f64; 3]], votes: &[f64], allowed: impl Fn([f64; 3]) -> bool) -> Option<([f64; 3], f64)> {
    candidates.iter().zip(votes).filter(|(up, votes)| **votes > 0.0 && allowed(**up)).fold(
        None,
        |best, (&up, &votes)| {
            if best.is_none_or(|(_, most)| votes > most) { Some((up, votes)) } else { best }
        },
    )
}

/// Least squares by iterated reweighting: Tukey's biweight, whose reach is drawn in step by step, so that lines which do not
/// agree lose their say (Holland and Welsch 1977). Gives the direction and its error in radians.
fn refined(lines: &[Line], start: [f64; 3]) -> ([f64; 3], f64) {
    let (mut up, mut error) = (start, f64::INFINITY);
    for reach_deg in [2.0, 1.5, 1.2, 1.0, 0.8, 0.7, REACH_DEG, REACH_DEG, REACH_DEG, REACH_DEG, REACH_DEG, REACH_DEG] {
        let normal = Normal::gather(lines, up, reach_deg.to_radians());
        let Some((step, step_error)) = normal.solve() else { return (up, f64::INFINITY) };
        let Some(moved) =
            unit(std::array::from_fn(|i| up[i] + step[0] * normal.axes[0][i] + step[1] * normal.axes[1][i]))
        else {
            return (up, f64::INFINITY);
        };
        (up, error) = (moved, step_error);
    }
    // What has run out of the range that was asked for was not what the vote was about.
    if up[1] < libm::cos((LARGEST_LEAN_DEG + RIVAL_AWAY_DEG).to_radians()) {
        (start, f64::INFINITY)
    } else {
        (up, error)
    }
}

/// The normal equations of a small move on the plane that touches the sphere at `up`.
struct Normal {
    axes: [[f64; 3]; 2],
    matrix: [f64; 3],
    side: [f64; 2],
    /// Weighted squares of what is left, and the sum of weights.
    squares: f64,
    weights: f64,
}

impl Normal {
    fn gather(lines: &[Line], up: [f64; 3], reach: f64) -> Normal {
        // Up is never far from the picture's zenith, so this is never of no length.
        let right = unit(cross(up, [0.0, 0.0, 1.0])).unwrap_or([1.0, 0.0, 0.0]);
        let mut normal =
            Normal { axes: [right, cross(right, up)], matrix: [0.0; 3], side: [0.0; 2], squares: 0.0, weights: 0.0 };
        for line in lines {
            let (off, error) = miss(line, up);
            let far = off / reach;
            if far.abs() >= 1.0 {
                continue;
            }
            let agrees = (1.0 - far * far) * (1.0 - far * far);
            let weight = agrees / (error * error);
            let [a, b] = normal.axes.map(|axis| dot(line.normal, axis));
            normal.matrix[0] += weight * a * a;
            normal.matrix[1] += weight * a * b;
            normal.matrix[2] += weight * b * b;
            normal.side[0] -= weight * a * off;
            normal.side[1] -= weight * b * off;
            normal.squares += weight * off * off;
            normal.weights += agrees;
        }
        normal
    }

    /// The move and one standard deviation of it in its worst direction; `None` where all lines look the same way.
    fn solve(&self) -> Option<([f64; 2], f64)> {
        let [aa, ab, bb] = self.matrix;
        let determinant = aa * bb - ab * ab;
        let half = (aa + bb) / 2.0;
        let least = half - libm::sqrt((half * half - determinant).max(0.0));
        // A hundred-thousandth of the largest: lines within a quarter of a degree of one plane.
        let is_determined = least > 1e-5 * half;
        if !is_determined {
            return None;
        }
        let step = [
            (self.side[0] * bb - self.side[1] * ab) / determinant,
            (self.side[1] * aa - self.side[0] * ab) / determinant,
        ];
        // Lines that agree better than was assumed are not believed to be that good.
        let scatter = (self.squares / (self.weights - 2.0).max(0.5)).max(1.0);
        Some((step, libm::sqrt(scatter / least)))
    }
}

fn degrees_between(a: [f64; 3], b: [f64; 3]) -> f64 {
    let sideways = cross(a, b);
    libm::atan2(libm::sqrt(dot(sideways, sideways)), dot(a, b)).to_degrees()
}
