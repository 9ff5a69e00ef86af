//! Means over a neighbourhood of the sphere.

use rayon::prelude::*;

/// The mean of what lies around each cell of a sphere of `width` columns (even) and half as many rows, by solid angle. What
/// lies `radius_deg` away no longer counts, and the nearer the more: along a meridian and along a parallel the weights are a
/// triangle, made of two boxes.
///
/// The meridians' circles go on over the poles, the parallels' round the sphere; a box along a parallel is as wide in degrees of
/// arc as one along a meridian, so that it takes in the whole parallel close to a pole.
pub fn spread(plane: &[f32], width: usize, radius_deg: f64) -> Vec<f32> {
    let height = plane.len() / width;
    let along_meridians = spread_along_meridians(plane, width, radius_deg);
    let mut means = vec![0.0; plane.len()];
    means.par_chunks_mut(width).enumerate().for_each_init(
        || Ring::new(width),
        |ring, (y, means)| {
            let columns = radius_deg / cosine_of_row(y, height) * width as f64 / 360.0;
            ring.fill(along_meridians[y * width..][..width].iter().map(|&value| f64::from(value)));
            ring.box_mean(columns);
            ring.box_mean(columns);
            means.iter_mut().zip(&ring.values).for_each(|(mean, &value)| *mean = value as f32);
        },
    );
    means
}

/// Two meridians opposite each other make a circle of twice as many cells as there are rows.
fn spread_along_meridians(plane: &[f32], width: usize, radius_deg: f64) -> Vec<f32> {
    let height = plane.len() / width;
    let rows = radius_deg * height as f64 / 180.0;
    let weight = |step: usize| cosine_of_row(if step < height { step } else { 2 * height - 1 - step }, height);
    let weights: Vec<f64> = (0..2 * height).map(weight).collect();
    let weigh = |ring: &mut Ring, values: &mut dyn Iterator<Item = f64>| {
        ring.fill(values);
        ring.box_mean(rows);
        ring.box_mean(rows);
    };
    let mut all = Ring::new(2 * height);
    weigh(&mut all, &mut weights.iter().copied());
    let circles: Vec<Vec<f32>> = (0..width / 2)
        .into_par_iter()
        .map_init(
            || Ring::new(2 * height),
            |ring, x| {
                let at = |step: usize| {
                    if step < height { step * width + x } else { (2 * height - 1 - step) * width + x + width / 2 }
                };
                weigh(ring, &mut (0..2 * height).map(|step| weights[step] * f64::from(plane[at(step)])));
                ring.values.iter().zip(&all.values).map(|(sum, all)| (sum / all) as f32).collect()
            },
        )
        .collect();
    let mut means = vec![0.0; plane.len()];
    for (x, circle) in circles.iter().enumerate() {
        for y in 0..height {
            means[y * width + x] = circle[y];
            means[y * width + x + width / 2] = circle[2 * height - 1 - y];
        }
    }
    means
}

/// Cosine of the latitude of a row's middle.
pub fn cosine_of_row(y: usize, height: usize) -> f64 {
    libm::sin((y as f64 + 0.5) * std::f64::consts::PI / height as f64)
}

/// Numbers in a circle.
struct Ring {
    values: Vec<f64>,
    sums: Vec<f64>,
}

impl Ring {
    fn new(length: usize) -> Ring {
        Ring { values: vec![0.0; length], sums: vec![0.0; length + 1] }
    }

    fn fill(&mut self, values: impl Iterator<Item = f64>) {
        self.values.iter_mut().zip(values).for_each(|(to, from)| *to = from);
    }

    /// The mean of a box `width` cells wide, which may be a fraction, around each; of all where it is wider than the circle.
    fn box_mean(&mut self, width: f64) {
        let length = self.values.len();
        for (index, value) in self.values.iter().enumerate() {
            self.sums[index + 1] = self.sums[index] + value;
        }
        let total = self.sums[length];
        if width >= length as f64 {
            return self.values.fill(total / length as f64);
        }
        // The sum up to a place that lies in cell `floor`, a share of it included; the circle goes on before and behind.
        let (below, above) = (0.5 - width / 2.0, 0.5 + width / 2.0);
        let up_to = |index: usize, offset: f64| {
            let floor = offset.floor();
            let at = (index as isize + floor as isize).rem_euclid(length as isize) as usize;
            let turns = (index as isize + floor as isize).div_euclid(length as isize);
            turns as f64 * total + self.sums[at] + (offset - floor) * self.values[at]
        };
        let means = (0..length).map(|index| (up_to(index, above) - up_to(index, below)) / width).collect();
        self.values = means;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_is_the_mean_of_what_it_covers() {
        let values = [5.0, 1.0, 2.0, 8.0, 3.0];
        for (width, expected) in [
            (1.0, values),
            (3.0, [9.0 / 3.0, 8.0 / 3.0, 11.0 / 3.0, 13.0 / 3.0, 16.0 / 3.0]),
            (
                2.0,
                [
                    (1.5 + 5.0 + 0.5) / 2.0,
                    (2.5 + 1.0 + 1.0) / 2.0,
                    6.5 / 2.0,
                    (1.0 + 8.0 + 1.5) / 2.0,
                    (4.0 + 3.0 + 2.5) / 2.0,
                ],
            ),
            (9.0, [3.8; 5]),
        ] {
            let mut ring = Ring::new(5);
            ring.fill(values.into_iter());
            ring.box_mean(width);
            for (got, expected) in ring.values.iter().zip(expected) {
                assert!((got - expected).abs() < 1e-12, "{width}: {:?}", ring.values);
            }
        }
    }

    /// A single bright cell spreads to a patch that is about as high as wide in degrees of arc, wherever it lies.
    #[test]
    fn a_patch_is_as_wide_as_high_wherever_it_lies() {
        let (width, height) = (360, 180);
        for row in [10, 30, 60, 89] {
            let mut plane = vec![0.0; width * height];
            plane[row * width + 50] = 1.0;
            let means = spread(&plane, width, 6.0);
            let half = means[row * width + 50] / 2.0;
            let across =
                (0..width).filter(|x| means[row * width + x] > half).count() as f64 * cosine_of_row(row, height);
            let down = (0..height).filter(|y| means[y * width + 50] > half).count() as f64;
            assert!((across / down - 1.0).abs() < 0.25, "row {row}: {across} across, {down} down");
        }
    }

    #[test]
    fn rolling_the_sphere_rolls_the_means_and_a_pole_is_one_place() {
        let (width, height) = (64, 32);
        let plane: Vec<f32> = (0..width * height).map(|cell| (cell * 7919 % 1009) as f32 / 1009.0).collect();
        let rolled: Vec<f32> = plane.chunks(width).flat_map(|row| row[5..].iter().chain(&row[..5]).copied()).collect();
        let (means, rolled) = (spread(&plane, width, 12.0), spread(&rolled, width, 12.0));
        for (row, rolled) in means.chunks(width).zip(rolled.chunks(width)) {
            let shifted = row[5..].iter().chain(&row[..5]);
            assert!(shifted.zip(rolled).all(|(one, other)| (one - other).abs() < 1e-6));
        }
        // The row next to a pole lies 2.8° from it: its cells see nearly the same.
        for row in [&means[..width], &means[width * (height - 1)..]] {
            assert!(row.iter().all(|value| (value - row[0]).abs() < 5e-3), "{row:?}");
        }
        assert!(spread(&vec![0.25; width * height], width, 12.0).iter().all(|mean| (mean - 0.25).abs() < 1e-6));
    }
}
