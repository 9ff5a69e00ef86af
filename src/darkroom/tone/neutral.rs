//! What in a picture is grey in truth: at a place that the photographer names, or by itself.

use super::survey::Survey;
use crate::picture::linear::{BT2020_TO_SRGB, LinearRows, empty_row, finite, through};
use crate::sphere::{Direction, Spot};

/// Light of one colour, linear BT.2020.
pub type Light = [f64; 3];

/// How far around a spot is looked.
const DISC_DEG: f64 = 0.75;

/// The mean light of the disc around a spot, by solid angle, without what is clipped. `None` where nothing is left.
pub fn around(rows: &dyn LinearRows, spot: Spot) -> Option<Light> {
    let (width, height) = rows.size();
    let row_deg = 180.0 / height as f64;
    // At least the nearest pixel.
    let radius_deg = DISC_DEG.max(row_deg);
    let centre = spot.direction();
    let mut row = empty_row(width);
    let (mut sum, mut weights) = ([0.0; 3], 0.0);
    for y in 0..height {
        let latitude = 90.0 - (y as f64 + 0.5) * row_deg;
        if (latitude - spot.latitude()).abs() > radius_deg {
            continue;
        }
        rows.read(y, &mut row);
        let weight = libm::cos(latitude.to_radians());
        for x in columns_near(spot, latitude, radius_deg, width) {
            let longitude = (x as f64 + 0.5) / width as f64 * 360.0 - 180.0;
            let colour = [0, 1, 2].map(|channel| finite(row[channel][x]));
            let near = Direction::from_degrees(longitude, latitude).angle_to(centre) <= radius_deg;
            if near && !is_clipped(colour) {
                sum = std::array::from_fn(|channel| sum[channel] + weight * f64::from(colour[channel]));
                weights += weight;
            }
        }
    }
    (weights > 0.0).then(|| sum.map(|sum| sum / weights))
}

/// The columns of a row that may lie within a radius of a spot: all of them near a pole.
fn columns_near(spot: Spot, latitude: f64, radius_deg: f64, width: usize) -> impl Iterator<Item = usize> {
    let parallel = libm::cos(latitude.to_radians()).min(libm::cos(spot.latitude().to_radians())).max(1e-9);
    let reach = ((radius_deg / parallel * 1.1 + 1.0) / 360.0 * width as f64).min(width as f64 / 2.0) as isize;
    let centre = ((spot.longitude() + 180.0) / 360.0 * width as f64) as isize;
    let (first, last) =
        if 2 * reach + 1 >= width as isize { (0, width as isize - 1) } else { (centre - reach, centre + reach) };
    (first..=last).map(move |x| x.rem_euclid(width as isize) as usize)
}

/// Whether a channel reached the end of what the file can say, so that the colour is no longer the light's.
fn is_clipped(colour: [f32; 3]) -> bool {
    through(&BT2020_TO_SRGB, colour).iter().any(|&channel| channel >= 0.99)
}

/// Spreads in stops within which a colour counts as perhaps grey, wide at first; the last ones settle the answer.
const SPREADS: [f64; 8] = [1.0, 0.7, 0.5, 0.35, 0.25, 0.25, 0.25, 0.25];
/// Share of the sphere that must be usable.
const LEAST_SHARE: f64 = 0.01;

/// The colour of the light that most of the picture's greys are lit by, after `first` was done to it; `None` where too
/// little can be told from.
///
/// Walls, ceilings and linen are near-white in most rooms, so a robust middle of all colours close to the white that was
/// assumed so far is a better white: an average with weights that fall off with the distance in stops of red to
/// green and blue to green, 1/(1 + (d/s)²)², repeated with s from 1 down to ¼ stop. Cells weigh as much as their solid angle; those that are
/// clipped somewhere or nearly black do not count. (Grey points near the assumed white, found again and again: the idea of J.
/// Huo et al., IEEE Transactions on Consumer Electronics 52(2), 541–546 (2006), from memory; the weights are ours.)
pub fn of_the_whole(survey: &Survey, first: impl Fn(Light) -> Light) -> Option<Light> {
    let cells = usable(survey, first);
    let area: f64 = (0..survey.height).map(|row| libm::cos(survey.latitude_deg(row).to_radians())).sum();
    if cells.iter().map(|cell| cell.weight).sum::<f64>() < LEAST_SHARE * area * survey.width as f64 {
        return None;
    }
    let mut white = [0.0; 2];
    for spread in SPREADS {
        let (mut sums, mut weights) = ([0.0; 2], 0.0);
        for cell in &cells {
            let (red, blue) = ((cell.ratios[0] - white[0]) / spread, (cell.ratios[1] - white[1]) / spread);
            let closeness = 1.0 + red * red + blue * blue;
            let weight = cell.weight / (closeness * closeness);
            sums = [sums[0] + weight * cell.ratios[0], sums[1] + weight * cell.ratios[1]];
            weights += weight;
        }
        white = sums.map(|sum| sum / weights);
    }
    Some([libm::exp2(white[0]), 1.0, libm::exp2(white[1])])
}

struct Cell {
    /// Stops of red to green and of blue to green.
    ratios: [f64; 2],
    weight: f64,
}

fn usable(survey: &Survey, first: impl Fn(Light) -> Light) -> Vec<Cell> {
    const DARKEST: f64 = 0.004;
    const BRIGHTEST: f32 = 0.9;
    let mut cells = Vec::new();
    for row in 0..survey.height {
        let weight = libm::cos(survey.latitude_deg(row).to_radians());
        for index in row * survey.width..(row + 1) * survey.width {
            let [red, green, blue] = first(survey.mean(index));
            if survey.brightest[index] < BRIGHTEST && red > DARKEST && green > DARKEST && blue > DARKEST {
                cells.push(Cell { ratios: [libm::log2(red / green), libm::log2(blue / green)], weight });
            }
        }
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::linear::LinearPicture;
    use half::f16;

    fn painted(width: usize, colour: impl Fn(f64, f64) -> [f32; 3]) -> LinearPicture {
        let mut picture = LinearPicture::black(width, width / 2);
        for y in 0..width / 2 {
            for x in 0..width {
                let degrees = 360.0 / width as f64;
                let light = colour((x as f64 + 0.5) * degrees - 180.0, 90.0 - (y as f64 + 0.5) * degrees);
                (0..3).for_each(|channel| picture.planes[channel][y * width + x] = f16::from_f32(light[channel]));
            }
        }
        picture
    }

    /// A coloured disc of 2° in white: what is around the spot is the disc's, wherever it lies.
    #[test]
    fn a_spot_is_read_wherever_it_lies() {
        for (longitude, latitude) in [(0.0, 0.0), (-180.0, 10.0), (179.9, -40.0), (33.0, 90.0), (-120.0, -89.7)] {
            let spot = Spot::new(longitude, latitude).unwrap();
            let picture = painted(720, |longitude, latitude| {
                let off = Direction::from_degrees(longitude, latitude).angle_to(spot.direction());
                if off < 2.0 { [0.5, 0.25, 0.125] } else { [1.0; 3] }
            });
            assert_eq!(around(&picture, spot), Some([0.5, 0.25, 0.125]), "{longitude}, {latitude}");
            let clipped = painted(64, |_, _| [1.0; 3]);
            assert_eq!(around(&clipped, spot), None);
        }
    }

    /// Grey walls with a tenth of spread, a third of the sphere in strong colours, a clipped window; lit by a warm light.
    #[test]
    fn the_light_is_found_among_strong_colours() {
        for light in [[1.0f32, 1.0, 1.0], [1.4, 1.0, 0.55], [0.8, 1.0, 1.3]] {
            let picture = painted(256, |longitude, latitude| {
                let cell = (longitude / 3.0).floor() + 7.0 * (latitude / 3.0).floor();
                let shade = 0.15 + 0.03 * cell.rem_euclid(5.0) as f32;
                let own = match cell.rem_euclid(12.0) as usize {
                    0 | 1 => [1.0, 0.4, 0.15],
                    2 => [0.3, 1.0, 0.3],
                    3 => [0.95, 1.0, 1.05],
                    _ => [1.02, 1.0, 0.99],
                };
                if (40.0..70.0).contains(&longitude) && latitude.abs() < 20.0 {
                    return [1.0; 3];
                }
                std::array::from_fn(|channel| shade * own[channel] * light[channel])
            });
            let found = of_the_whole(&Survey::of(&picture), |light| light).unwrap();
            for channel in [0, 2] {
                let stops = (found[channel] / f64::from(light[channel] / light[1])).log2().abs();
                assert!(stops < 0.12, "{light:?} was found as {found:?}");
            }
        }
        let black = LinearPicture::black(64, 32);
        assert_eq!(of_the_whole(&Survey::of(&black), |light| light), None);
    }
}
