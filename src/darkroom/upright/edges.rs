//! Points where brightness changes most, each with the great circle that the edge through it lies on.

use super::{Grey, LARGEST_LEAN_DEG};
use rayon::prelude::*;

/// Latitudes that are searched, in degrees. Above, ceilings have no verticals; below are the tripod and the floor, whose
/// boards and tiles can radiate from under the camera just as verticals would.
const HIGHEST_DEG: f64 = 65.0;
const LOWEST_DEG: f64 = -50.0;

/// The least change of brightness, in counts of 255 a pixel after smoothing, that counts as an edge.
const LEAST_SLOPE: f32 = 1.5;

/// An edge's great circle may miss the picture's zenith by this many degrees more than a camera may lean: one point's direction is rough.
const SLACK_DEG: f64 = 8.0;

/// One point of an edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct EdgePoint {
    /// Pixel column.
    pub x: usize,
    /// Where it lies on the sphere, finer than a pixel: right, up, ahead.
    pub at: [f64; 3],
    /// The normal of the edge's great circle, towards the brighter side.
    pub normal: [f64; 3],
}

/// All points of edges that may be verticals, row by row, left to right.
pub(super) fn edges(grey: &Grey) -> Vec<Vec<EdgePoint>> {
    let (width, height) = (grey.width(), grey.height());
    if width < 8 || height < 8 {
        return Vec::new();
    }
    let row_of = |latitude: f64| ((90.0 - latitude) / 180.0 * height as f64) as usize;
    let (first, last) = (row_of(HIGHEST_DEG).max(2), row_of(LOWEST_DEG).min(height - 2));
    let smooth = smoothed(grey);
    let longitudes: Vec<(f64, f64)> = (0..width)
        .map(|x| {
            let longitude = ((x as f64 + 0.5) / width as f64 - 0.5) * std::f64::consts::TAU;
            (libm::sin(longitude), libm::cos(longitude))
        })
        .collect();
    let picture = Slopes { width, height, smooth: &smooth, longitudes: &longitudes };
    (0..height)
        .into_par_iter()
        .map(|y| if (first..last).contains(&y) { picture.points(y) } else { Vec::new() })
        .collect()
}

/// Binomial weights over five pixels, which come near a Gaussian of one pixel.
const BINOMIAL: [f32; 5] = [1.0 / 16.0, 4.0 / 16.0, 6.0 / 16.0, 4.0 / 16.0, 1.0 / 16.0];

/// The picture smoothed both ways. It closes at ±180°; rows beyond the poles, which nobody asks for, repeat the last.
fn smoothed(grey: &Grey) -> Vec<f32> {
    let (width, height) = (grey.width(), grey.height());
    let mut out = vec![0.0; width * height];
    out.par_chunks_mut(width).enumerate().for_each_init(
        || vec![0.0f32; width + 4],
        |sum, (y, out)| {
            sum.fill(0.0);
            for (tap, weight) in BINOMIAL.into_iter().enumerate() {
                let row = grey.row((y + tap).saturating_sub(2).min(height - 1));
                sum[2..width + 2].iter_mut().zip(row).for_each(|(sum, value)| *sum += weight * value);
            }
            (sum[0], sum[1]) = (sum[width], sum[width + 1]);
            (sum[width + 2], sum[width + 3]) = (sum[2], sum[3]);
            for (x, out) in out.iter_mut().enumerate() {
                *out = BINOMIAL.iter().zip(&sum[x..x + 5]).fold(0.0, |mean, (weight, value)| mean + weight * value);
            }
        },
    );
    out
}

/// How brightness changes from pixel to pixel.
struct Slopes<'a> {
    width: usize,
    height: usize,
    smooth: &'a [f32],
    longitudes: &'a [(f64, f64)],
}

/// Change to the right and change downwards in every pixel of a row, and the two together.
#[derive(Default)]
struct SlopeRow {
    right: Vec<f32>,
    down: Vec<f32>,
    size: Vec<f32>,
}

impl Slopes<'_> {
    fn row(&self, y: usize) -> SlopeRow {
        let at = |y: usize| &self.smooth[y * self.width..][..self.width];
        let (above, here, below) = (at(y - 1), at(y), at(y + 1));
        let last = self.width - 1;
        let mut right = vec![0.0; self.width];
        for (right, pair) in right[1..last].iter_mut().zip(here.windows(3)) {
            *right = (pair[2] - pair[0]) * 0.5;
        }
        right[0] = (here[1] - here[last]) * 0.5;
        right[last] = (here[0] - here[last - 1]) * 0.5;
        let down: Vec<f32> = below.iter().zip(above).map(|(below, above)| (below - above) * 0.5).collect();
        let size = right.iter().zip(&down).map(|(r, d)| (r * r + d * d).sqrt()).collect();
        SlopeRow { right, down, size }
    }

    /// The points of one row: pixels that change more than their two neighbours across the edge.
    fn points(&self, y: usize) -> Vec<EdgePoint> {
        let (above, here, below) = (self.row(y - 1), self.row(y), self.row(y + 1));
        let latitude = (0.5 - (y as f64 + 0.5) / self.height as f64) * std::f64::consts::PI;
        let (sin_latitude, cos_latitude) = (libm::sin(latitude), libm::cos(latitude));
        let farthest = libm::sin((LARGEST_LEAN_DEG + SLACK_DEG).to_radians());
        let mut points = Vec::new();
        for x in 0..self.width {
            let size = here.size[x];
            // A slope that is no number is no edge.
            let is_steep = (LEAST_SLOPE..f32::MAX).contains(&size);
            if !is_steep {
                continue;
            }
            let (right, down) = (here.right[x], here.down[x]);
            let across = right.abs() >= down.abs();
            let (before, after) = if across {
                (here.size[(x + self.width - 1) % self.width], here.size[(x + 1) % self.width])
            } else {
                (above.size[x], below.size[x])
            };
            if size <= before || size < after {
                continue;
            }
            // On the sphere a step to the right is shorter than one down by the cosine of latitude.
            let (east, north) = (f64::from(right) / cos_latitude, -f64::from(down));
            let steepness = libm::sqrt(east * east + north * north);
            if (north * cos_latitude).abs() > farthest * steepness {
                continue;
            }
            let (east, north) = (east / steepness, north / steepness);
            let (sin_longitude, cos_longitude) = self.longitudes[x];
            let east_axis = [cos_longitude, 0.0, -sin_longitude];
            let north_axis = [-sin_latitude * sin_longitude, cos_latitude, -sin_latitude * cos_longitude];
            let middle = [cos_latitude * sin_longitude, sin_latitude, cos_latitude * cos_longitude];
            let step = std::f64::consts::TAU / self.width as f64 * f64::from(peak(before, size, after));
            let (move_east, move_north) = if across { (step * cos_latitude, 0.0) } else { (0.0, -step) };
            points.push(EdgePoint {
                x,
                at: unit(std::array::from_fn(|i| middle[i] + move_east * east_axis[i] + move_north * north_axis[i])),
                normal: std::array::from_fn(|i| east * east_axis[i] + north * north_axis[i]),
            });
        }
        points
    }
}

/// Where the parabola through three neighbours is highest, −0.5..=0.5 pixels from the middle one, which is the largest.
fn peak(before: f32, here: f32, after: f32) -> f32 {
    let bend = 2.0 * here - before - after;
    if bend > 0.0 { ((after - before) / (2.0 * bend)).clamp(-0.5, 0.5) } else { 0.0 }
}

/// A vector brought to length 1.
fn unit([x, y, z]: [f64; 3]) -> [f64; 3] {
    let length = libm::sqrt(x * x + y * y + z * z);
    [x / length, y / length, z / length]
}
