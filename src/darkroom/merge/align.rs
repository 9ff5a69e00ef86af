//! How a shot is turned against another: three angles, to a fraction of a pixel.
//!
//! Between two frames of a bracket a tripod gives way by a fraction of a degree, no more. So the rotation is found from the
//! pictures' slopes: the difference in the logarithm of light (which a change of exposure only shifts), linear in three small
//! angles and the shift, is brought down by least squares, again and again, from a coarse level to a fine one (Lucas and Kanade, "An iterative image
//! registration technique with an application to stereo vision", IJCAI 1981, on the sphere). Pixels that either shot cannot measure are
//! left out, those that disagree (people, reflections) count little (Geman and McClure's weights), and each counts for the angle that it covers.

use super::curve::log2;
use super::exposure::median;
use super::overview::Overview;
use crate::sphere::{Direction, Rotation};
use rayon::prelude::*;

/// Beyond this a shot was not nudged, it stands elsewhere.
pub(super) const FARTHEST_DEG: f64 = 5.0;
/// Details that agree less than this are not the same place. Measured on renders of a house at 1024×512: neighbours of a bracket
/// two stops apart agree to 0.88 and 0.97, two rooms, or two places of one room, to 0.15 at most.
pub(super) const LEAST_AGREEMENT: f64 = 0.35;

/// What was found.
#[derive(Clone, Copy, Debug)]
pub(super) struct Alignment {
    /// From directions in the reference to directions in the shot.
    pub rotation: Rotation,
    /// Correlation of the two pictures' details once turned, −1 to 1; `None` where there is too little to see.
    pub agreement: Option<f64>,
}

/// Degrees by which a rotation turns.
pub(super) fn angle_deg(Rotation(m): Rotation) -> f64 {
    let sine = [m[2][1] - m[1][2], m[0][2] - m[2][0], m[1][0] - m[0][1]];
    let length = libm::sqrt(sine.iter().map(|x| x * x).sum());
    libm::atan2(length, m[0][0] + m[1][1] + m[2][2] - 1.0).to_degrees()
}

/// How `shot` is turned against `reference`; both of one size.
pub(super) fn align(reference: &[Level], shot: &[Level]) -> Alignment {
    let (mut rotation, mut offset) = (Rotation::IDENTITY, None);
    for (reference, shot) in reference.iter().zip(shot).rev() {
        for _ in 0..rounds(reference.width) {
            let Some(step) = improve(reference, shot, rotation, offset) else { break };
            rotation = times(rotation, turn(step.0));
            offset = Some(step.1);
            if step.0.iter().all(|angle| angle.abs() < 1e-6) {
                break;
            }
        }
        if angle_deg(rotation) > 2.0 * FARTHEST_DEG {
            break;
        }
    }
    let agreement = agreement(reference, shot, rotation);
    Alignment { rotation, agreement }
}

fn rounds(width: usize) -> usize {
    if width > 512 { 4 } else { 12 }
}

/// The logarithm of light to base 2 on a grid, NaN where it cannot be measured.
pub(super) struct Level {
    width: usize,
    height: usize,
    log: Vec<f32>,
}

/// Levels narrower than this tell nothing about small angles.
const COARSEST_WIDTH: usize = 64;

/// From fine to coarse.
pub(super) fn levels(overview: &Overview) -> Vec<Level> {
    let mut levels = Vec::new();
    let mut current = overview.clone();
    loop {
        levels.push(level(&current));
        if current.width / 2 < COARSEST_WIDTH || !current.height.is_multiple_of(2) {
            return levels;
        }
        current = halved(&current);
    }
}

fn level(overview: &Overview) -> Level {
    let log = |i: usize| if overview.is_usable(i) { log2(overview.light[i]) } else { f32::NAN };
    Level { width: overview.width, height: overview.height, log: (0..overview.light.len()).map(log).collect() }
}

fn halved(fine: &Overview) -> Overview {
    let (width, height) = (fine.width / 2, fine.height / 2);
    let four = |i: usize, plane: &[f32]| {
        let at = 2 * (i / width) * fine.width + 2 * (i % width);
        [plane[at], plane[at + 1], plane[at + fine.width], plane[at + fine.width + 1]]
    };
    let light = (0..width * height).map(|i| four(i, &fine.light).iter().sum::<f32>() * 0.25).collect();
    let peak = (0..width * height).map(|i| four(i, &fine.peak).into_iter().fold(0.0, f32::max)).collect();
    Overview { width, height, light, peak }
}

impl Level {
    /// Between four pixels; NaN where one of them is.
    fn at(&self, direction: Direction) -> f32 {
        let turn = std::f64::consts::TAU;
        let longitude = libm::atan2(direction.right, direction.ahead);
        let latitude = libm::asin(direction.up.clamp(-1.0, 1.0));
        let x = (longitude / turn + 0.5) * self.width as f64 - 0.5;
        let y = (0.5 - latitude * 2.0 / turn) * self.height as f64 - 0.5;
        let (left, top) = (x.floor(), y.floor().clamp(0.0, (self.height - 2) as f64));
        let (across, down) = ((x - left) as f32, (y - top) as f32);
        let left = (left as isize).rem_euclid(self.width as isize) as usize;
        let right = if left + 1 == self.width { 0 } else { left + 1 };
        let row = &self.log[top as usize * self.width..][..2 * self.width];
        let (upper, lower) = row.split_at(self.width);
        let mix = |row: &[f32]| row[left] * (1.0 - across) + row[right] * across;
        mix(upper) * (1.0 - down) + mix(lower) * down
    }
}

/// One pixel's equation: `slope · angles = offset − difference`.
struct Equation {
    slope: [f64; 3],
    difference: f64,
    area: f64,
}

/// The next step of the rotation (a vector of three small angles, radians) and the shift between the logarithms.
fn improve(reference: &Level, shot: &Level, rotation: Rotation, offset: Option<f64>) -> Option<([f64; 3], f64)> {
    let stride = if reference.width > 512 { reference.width / 512 } else { 1 };
    let rows: Vec<usize> = (1..reference.height - 1).step_by(stride).collect();
    let columns: Vec<(f64, f64)> = (0..reference.width).map(|x| longitude(x, reference.width)).collect();
    let equations: Vec<Vec<Equation>> =
        rows.par_iter().map(|&y| row_of_equations(reference, shot, rotation, (y, stride), &columns)).collect();
    let equations: Vec<Equation> = equations.into_iter().flatten().collect();
    if equations.len() < 100 {
        return None;
    }
    let offset = offset.unwrap_or_else(|| {
        let mut all: Vec<f32> = equations.iter().map(|equation| equation.difference as f32).collect();
        f64::from(median(&mut all))
    });
    let mut sizes: Vec<f32> = equations.iter().map(|equation| (equation.difference - offset).abs() as f32).collect();
    let scale = (3.0 * f64::from(median(&mut sizes))).max(0.02);
    solve(&equations, offset, scale)
}

/// Sine and cosine of a column's longitude.
fn longitude(x: usize, width: usize) -> (f64, f64) {
    let longitude = std::f64::consts::TAU * ((x as f64 + 0.5) / width as f64 - 0.5);
    (libm::sin(longitude), libm::cos(longitude))
}

/// Towards the poles a step along a row is no direction any more.
const HIGHEST_LATITUDE: f64 = 75.0;

fn row_of_equations(
    reference: &Level,
    shot: &Level,
    rotation: Rotation,
    (y, stride): (usize, usize),
    columns: &[(f64, f64)],
) -> Vec<Equation> {
    let width = reference.width;
    let latitude = std::f64::consts::PI * (0.5 - (y as f64 + 0.5) / reference.height as f64);
    if latitude.to_degrees().abs() > HIGHEST_LATITUDE {
        return Vec::new();
    }
    let (up, around) = (libm::sin(latitude), libm::cos(latitude));
    let pixel = std::f64::consts::TAU / width as f64;
    let row = |y: usize| &reference.log[y * width..][..width];
    let (above, middle, below) = (row(y - 1), row(y), row(y + 1));
    let equation = |x: usize| {
        let (sine, cosine) = columns[x];
        let east = f64::from(middle[(x + 1) % width] - middle[(x + width - 1) % width]) / (2.0 * pixel * around);
        let north = f64::from(above[x] - below[x]) / (2.0 * pixel);
        if !(east.is_finite() && north.is_finite()) {
            return None;
        }
        let direction = Direction { right: around * sine, up, ahead: around * cosine };
        let difference = f64::from(shot.at(rotation.apply(direction)) - middle[x]);
        let gradient = [east * cosine - north * up * sine, north * around, -east * sine - north * up * cosine];
        let slope = cross(direction.into(), gradient);
        difference.is_finite().then_some(Equation { slope, difference, area: around })
    };
    (0..width).step_by(stride).filter_map(equation).collect()
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// Weighted least squares for three angles and the shift.
fn solve(equations: &[Equation], offset: f64, scale: f64) -> Option<([f64; 3], f64)> {
    let mut normal = [[0.0; 5]; 4];
    for Equation { slope, difference, area } in equations {
        let off = (difference - offset) / scale;
        let trust = 1.0 / ((1.0 + off * off) * (1.0 + off * off));
        let terms = [slope[0], slope[1], slope[2], -1.0, -difference];
        for (i, row) in normal.iter_mut().enumerate() {
            for (sum, term) in row.iter_mut().zip(terms) {
                *sum += area * trust * terms[i] * term;
            }
        }
    }
    let [a, b, c, shift] = eliminate(normal)?;
    [a, b, c, shift].iter().all(|x| x.is_finite()).then_some(([a, b, c], shift))
}

/// Gauss's elimination of four symmetric equations; `None` where they do not tell.
fn eliminate(mut rows: [[f64; 5]; 4]) -> Option<[f64; 4]> {
    let largest = rows[0][0].max(rows[1][1]).max(rows[2][2]).max(rows[3][3]);
    for pivot in 0..4 {
        if rows[pivot][pivot] <= largest * 1e-9 {
            return None;
        }
        for below in pivot + 1..4 {
            let equation = rows[pivot];
            let factor = rows[below][pivot] / equation[pivot];
            for (term, known) in rows[below].iter_mut().zip(equation).skip(pivot) {
                *term -= factor * known;
            }
        }
    }
    let mut solution = [0.0; 4];
    for row in (0..4).rev() {
        let known: f64 = (row + 1..4).map(|column| rows[row][column] * solution[column]).sum();
        solution[row] = (rows[row][4] - known) / rows[row][row];
    }
    Some(solution)
}

/// The rotation about `axis` by its length in radians (Rodrigues' formula).
pub(super) fn turn(axis: [f64; 3]) -> Rotation {
    let angle = libm::sqrt(axis.iter().map(|x| x * x).sum());
    let (a, b) =
        if angle < 1e-9 { (1.0, 0.5) } else { (libm::sin(angle) / angle, (1.0 - libm::cos(angle)) / (angle * angle)) };
    let unit = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    let columns = unit.map(|e| {
        let once = cross(axis, e);
        let twice = cross(axis, once);
        [0, 1, 2].map(|i| e[i] + a * once[i] + b * twice[i])
    });
    Rotation(columns).inverse()
}

/// `a` after `b`.
pub(super) fn times(Rotation(a): Rotation, Rotation(b): Rotation) -> Rotation {
    Rotation(a.map(|row| [0, 1, 2].map(|column| row[0] * b[0][column] + row[1] * b[1][column] + row[2] * b[2][column])))
}

/// Width of the level on which details are compared: coarse enough that noise has averaged out.
const AGREEMENT_WIDTH: usize = 256;

fn agreement(reference: &[Level], shot: &[Level], rotation: Rotation) -> Option<f64> {
    let index = reference.iter().position(|level| level.width <= AGREEMENT_WIDTH)?;
    let (reference, shot) = (&reference[index], &shot[index]);
    let turned = Level { log: turned(shot, rotation), ..*shot };
    let (ours, theirs) = (details(reference), details(&turned));
    let mut sums = [0.0; 4];
    for (index, (a, b)) in ours.into_iter().zip(theirs).enumerate() {
        let y = (index / reference.width) as f64 + 0.5;
        let area = libm::sin(std::f64::consts::PI * y / reference.height as f64);
        let (a, b) = (f64::from(a), f64::from(b));
        if a.is_finite() && b.is_finite() {
            let terms = [1.0, a * a, b * b, a * b];
            sums.iter_mut().zip(terms).for_each(|(sum, term)| *sum += area * term);
        }
    }
    let [count, a, b, both] = sums;
    // Less than a fiftieth of the sphere, or hardly any detail: nothing to judge by.
    let enough = count > 0.02 * ours_area(reference) && a / count > 1e-4 && b / count > 1e-4;
    enough.then(|| both / libm::sqrt(a * b))
}

/// Sum of the areas of all pixels, in the measure of [`agreement`].
fn ours_area(level: &Level) -> f64 {
    level.width as f64 * level.height as f64 * 2.0 / std::f64::consts::PI
}

fn turned(shot: &Level, rotation: Rotation) -> Vec<f32> {
    let mut log = Vec::with_capacity(shot.log.len());
    for y in 0..shot.height {
        let latitude = std::f64::consts::PI * (0.5 - (y as f64 + 0.5) / shot.height as f64);
        let (up, around) = (libm::sin(latitude), libm::cos(latitude));
        log.extend((0..shot.width).map(|x| {
            let (sine, cosine) = longitude(x, shot.width);
            shot.at(rotation.apply(Direction { right: around * sine, up, ahead: around * cosine }))
        }));
    }
    log
}

/// What differs from the mean of 7×7 pixels about it; NaN where fewer than half of these can be measured.
fn details(level: &Level) -> Vec<f32> {
    let around = |index: usize| {
        let (x, y) = (index % level.width, index / level.width);
        let (mut sum, mut count) = (0.0, 0);
        for row in y.saturating_sub(3)..(y + 4).min(level.height) {
            for column in x + level.width - 3..x + level.width + 4 {
                let value = level.log[row * level.width + column % level.width];
                if !value.is_nan() {
                    (sum, count) = (sum + value, count + 1);
                }
            }
        }
        if count >= 25 { level.log[index] - sum / count as f32 } else { f32::NAN }
    };
    (0..level.log.len()).map(around).collect()
}
