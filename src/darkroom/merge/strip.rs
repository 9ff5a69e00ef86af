//! A few rows of every shot, ready to be blended: encoded for the display, with their weights.

use super::Placed;
use super::curve::Curve;
use super::ghosts::Moved;
use super::stack::{over_the_pole, turn_half};
use super::weights::{Around, FusionSettings, grey, normalise, weigh};
use super::wide::widest;
use crate::picture::linear::{BT2020_TO_SRGB, Row, empty_row, through};
use std::ops::Range;

/// What the blend reads: the shots in place, and how they are weighed.
pub(super) struct Scene<'a> {
    pub shots: &'a [Placed<'a>],
    pub settings: &'a FusionSettings,
    /// Where something moved, and which shot shows it.
    pub moved: Option<&'a Moved>,
}

impl Scene<'_> {
    pub fn size(&self) -> (usize, usize) {
        self.shots[0].size()
    }

    /// Row `y` of every shot; what moved is everywhere as one of them has it.
    pub fn read(&self, y: usize, lights: &mut [Row]) {
        for (shot, light) in self.shots.iter().zip(&mut *lights) {
            shot.read(y, light);
        }
        if let Some(moved) = self.moved {
            moved.replace(y, self.shots, lights);
        }
    }

    /// Three colours of every shot, then a weight of every shot.
    pub fn planes(&self) -> usize {
        4 * self.shots.len()
    }
}

/// Rows of a [`Scene`], in the order of its planes.
pub(super) struct Strip {
    first: isize,
    row_length: usize,
    rows: Vec<f32>,
}

impl Strip {
    /// Rows `rows`, which may reach beyond a pole.
    pub fn read(scene: &Scene<'_>, rows: Range<isize>) -> Strip {
        let (width, _) = scene.size();
        let row_length = scene.planes() * width;
        let grey_length = scene.shots.len() * width;
        // One row more on each side, for contrast.
        let first = rows.start - 1;
        let count = rows.len() + 2;
        let mut strip = Strip { first, row_length, rows: vec![0.0; count * row_length] };
        let mut greys = vec![0.0; count * grey_length];
        let mut lights = vec![empty_row(width); scene.shots.len()];
        for (index, (row, grey)) in
            strip.rows.chunks_exact_mut(row_length).zip(greys.chunks_exact_mut(grey_length)).enumerate()
        {
            read_colours(scene, first + index as isize, &mut lights, row, grey);
        }
        let mut sums = vec![0.0; width];
        for (index, row) in strip.rows.chunks_exact_mut(row_length).enumerate().skip(1).take(rows.len()) {
            let greys: [&[f32]; 3] =
                std::array::from_fn(|side| &greys[(index + side - 1) * grey_length..][..grey_length]);
            weigh_row(scene, greys, row, &mut sums);
        }
        strip
    }

    /// One of the rows that were asked for.
    pub fn row(&self, y: isize) -> &[f32] {
        &self.rows[(y - self.first) as usize * self.row_length..][..self.row_length]
    }
}

fn read_colours(scene: &Scene<'_>, y: isize, lights: &mut [Row], row: &mut [f32], greys: &mut [f32]) {
    let (width, height) = scene.size();
    let (y, opposite) = over_the_pole(y, height);
    scene.read(y, lights);
    for (light, (colours, greys)) in
        lights.iter().zip(row.chunks_exact_mut(3 * width).zip(greys.chunks_exact_mut(width)))
    {
        let [red, green, blue] = split_three(colours, width);
        widest(|| encode(light, [&mut *red, &mut *green, &mut *blue]));
        if opposite {
            turn_half(colours, width);
        }
        let [red, green, blue] = split_three(colours, width);
        widest(|| grey([red, green, blue], greys));
    }
}

fn split_three(colours: &mut [f32], width: usize) -> [&mut [f32]; 3] {
    let (red, rest) = colours.split_at_mut(width);
    let (green, blue) = rest.split_at_mut(width);
    [red, green, blue]
}

/// From linear BT.2020 to the values of an sRGB display.
#[inline(always)]
fn encode(light: &Row, [red, green, blue]: [&mut [f32]; 3]) {
    let curve = Curve::srgb();
    let count = red.len();
    let (green, blue) = (&mut green[..count], &mut blue[..count]);
    let (r, g, b) = (&light[0][..count], &light[1][..count], &light[2][..count]);
    for x in 0..count {
        [red[x], green[x], blue[x]] = through(&BT2020_TO_SRGB, [r[x], g[x], b[x]]);
    }
    [red, green, blue].into_iter().for_each(|channel| curve.encode_all(channel));
}

fn weigh_row(scene: &Scene<'_>, [above, grey, below]: [&[f32]; 3], row: &mut [f32], sums: &mut [f32]) {
    let width = sums.len();
    let (colours, weights) = row.split_at_mut(3 * width * scene.shots.len());
    for (shot, weights) in weights.chunks_exact_mut(width).enumerate() {
        let at = shot * width..(shot + 1) * width;
        let channel = |index: usize| &colours[(3 * shot + index) * width..][..width];
        let around = Around {
            above: &above[at.clone()],
            grey: &grey[at.clone()],
            below: &below[at.clone()],
            colours: [channel(0), channel(1), channel(2)],
        };
        weigh(&around, scene.settings, weights);
    }
    widest(|| normalise(weights, width, sums));
}
