//! The colours of a part of a picture, and how likely others are among them.

use super::Doorway;
use crate::darkroom::tone::survey::Survey;
use crate::picture::linear::LUMINANCE;
use crate::sphere::wrap_degrees;

/// A change of light in stops: all of it, red against green, blue against green.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shift {
    pub light: f64,
    pub red: f64,
    pub blue: f64,
}

impl Shift {
    pub const NONE: Shift = Shift { light: 0.0, red: 0.0, blue: 0.0 };

    pub fn times(self, factor: f64) -> Shift {
        Shift { light: factor * self.light, red: factor * self.red, blue: factor * self.blue }
    }

    /// Taken off the likelihood, so that of two changes that explain the picture alike the smaller one is chosen.
    pub fn unlikeliness(self) -> f64 {
        let [light, red, blue] = [self.light, self.red / 0.4, self.blue / 0.4];
        0.02 * (light * light + red * red + blue * blue)
    }
}

/// One colour: luminance, red to green and blue to green, in stops; and its share of all.
#[derive(Clone, Copy)]
struct Colour {
    place: [f64; 3],
    weight: f64,
}

/// The usable colours of a part of a picture.
pub(super) struct Colours(Vec<Colour>);

impl Colours {
    /// Of the cells within a doorway, or another window of that shape.
    pub fn in_window(survey: &Survey, window: Doorway) -> Colours {
        let mut colours = Vec::new();
        for row in 0..survey.height {
            let latitude = survey.latitude_deg(row);
            if (latitude - window.spot.latitude()).abs() > window.height_deg / 2.0 {
                continue;
            }
            let weight = libm::cos(latitude.to_radians());
            for column in 0..survey.width {
                let longitude = (column as f64 + 0.5) / survey.width as f64 * 360.0 - 180.0;
                let off = wrap_degrees(longitude - window.spot.longitude()).abs();
                if off <= window.width_deg / 2.0 {
                    colours.extend(usable(survey, row * survey.width + column).map(|place| Colour { place, weight }));
                }
            }
        }
        Colours(colours)
    }

    /// No more than so many, evenly taken: a search asks for each of them thousands of times.
    pub fn thinned(self) -> Colours {
        const MOST: usize = 500;
        let every = self.0.len().div_ceil(MOST).max(1);
        Colours(self.0.into_iter().step_by(every).collect())
    }

    /// Whether there are so many that they say something.
    pub fn is_enough(&self) -> bool {
        const LEAST: usize = 40;
        self.0.len() >= LEAST
    }

    fn total(&self) -> f64 {
        self.0.iter().map(|colour| colour.weight).sum()
    }
}

/// A cell's colour, unless it is clipped, nearly black, or beyond what stops can say.
fn usable(survey: &Survey, cell: usize) -> Option<[f64; 3]> {
    const BRIGHTEST: f32 = 0.95;
    const DARKEST: f64 = 0.004;
    let [red, green, blue] = survey.mean(cell);
    if survey.brightest[cell] >= BRIGHTEST || red.min(green).min(blue) < DARKEST / 2.0 {
        return None;
    }
    let luminance: f64 =
        [red, green, blue].iter().zip(LUMINANCE).map(|(channel, weight)| channel * f64::from(weight)).sum();
    let stops = libm::log2(luminance);
    (luminance > DARKEST).then(|| [stops, libm::log2(red / green), libm::log2(blue / green)])
}

/// Where the grid of densities starts, how wide its steps are, and how many there are: luminance, then the two ratios.
const START: [f64; 3] = [-12.0, -4.0, -4.0];
const STEP: [f64; 3] = [0.25, 0.1, 0.1];
const COUNT: [usize; 3] = [64, 80, 80];
/// Half of the bell that a colour is spread by, in steps: a standard deviation of one.
const BELL: [f64; 4] = [0.399_05, 0.242_04, 0.054_006, 0.004_433];
/// What a colour that does not occur counts as having.
const ELSEWHERE: f64 = 1e-4;

/// How densely a room's colours lie, on a grid of stops.
pub(super) struct Density {
    values: Vec<f64>,
    /// Natural logarithm of the densities.
    logarithms: Vec<f64>,
}

impl Density {
    /// Of colours, each spread a little: what is likely is also likely nearby.
    pub fn of(colours: &Colours) -> Density {
        let total = colours.total();
        let mut values = vec![0.0; COUNT[0] * COUNT[1] * COUNT[2]];
        for colour in &colours.0 {
            values[cell(colour.place)] += colour.weight / total;
        }
        let strides = [COUNT[1] * COUNT[2], COUNT[2], 1];
        for axis in 0..3 {
            values = blurred(&values, strides[axis], COUNT[axis]);
        }
        let logarithms = values.iter().map(|value| libm::log(value + ELSEWHERE)).collect();
        Density { values, logarithms }
    }

    /// Mean logarithm of the density at some colours, once shifted.
    pub fn likelihood(&self, colours: &Colours, shift: Shift) -> f64 {
        let sum: f64 = colours.0.iter().map(|colour| colour.weight * self.logarithms[shifted(colour, shift)]).sum();
        sum / colours.total()
    }

    /// Share of some colours that occur, once shifted.
    pub fn known_share(&self, colours: &Colours, shift: Shift) -> f64 {
        let known = colours.0.iter().filter(|colour| self.values[shifted(colour, shift)] > ELSEWHERE);
        known.map(|colour| colour.weight).sum::<f64>() / colours.total()
    }
}

fn shifted(colour: &Colour, shift: Shift) -> usize {
    let [light, red, blue] = colour.place;
    cell([light + shift.light, red + shift.red, blue + shift.blue])
}

/// The grid's cell of a colour; the nearest one where it lies outside.
fn cell(place: [f64; 3]) -> usize {
    let index = |axis: usize| (((place[axis] - START[axis]) / STEP[axis]).max(0.0) as usize).min(COUNT[axis] - 1);
    (index(0) * COUNT[1] + index(1)) * COUNT[2] + index(2)
}

/// Blurred along one axis by the bell; what would fall off the end is lost.
fn blurred(values: &[f64], stride: usize, count: usize) -> Vec<f64> {
    let mut out = vec![0.0; values.len()];
    for (index, &value) in values.iter().enumerate().filter(|(_, value)| **value > 0.0) {
        let at = index / stride % count;
        for (offset, weight) in BELL.into_iter().enumerate() {
            if offset > 0 && at >= offset {
                out[index - offset * stride] += weight * value;
            }
            if at + offset < count {
                out[index + offset * stride] += weight * value;
            }
        }
    }
    out
}
