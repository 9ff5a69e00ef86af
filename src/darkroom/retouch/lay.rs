//! Laying something onto a sphere.

use super::band::extent;
use super::changes::{Layer, Span};
use crate::picture::linear::{LinearRows, empty_row, finite};
use crate::sphere::Direction;
use rayon::prelude::*;

/// What lies in a direction, and how much of it: 0 leaves the picture as it is, 1 covers it wholly.
pub(super) type Paint<'a> = dyn Fn(Direction) -> Option<([f32; 3], f32)> + Sync + 'a;

/// Lays paint over all pixels within an angle of a direction.
pub(super) fn lay(onto: &dyn LinearRows, middle: Direction, reach_deg: f64, paint: &Paint<'_>) -> Layer {
    let (width, height) = onto.size();
    let (rows, columns) = extent((width, height), middle, reach_deg);
    let turns: Vec<(f64, f64)> = columns.clone().map(|column| turn(column % width, width)).collect();
    let first_row = rows.start;
    let rows = rows
        .into_par_iter()
        .map_init(
            || empty_row(width),
            |row, y| {
                onto.read(y, row);
                let latitude = std::f64::consts::PI * (0.5 - (y as f64 + 0.5) / height as f64);
                let (up, around) = (libm::sin(latitude), libm::cos(latitude));
                let mut painted: Vec<Option<[f32; 3]>> = columns
                    .clone()
                    .zip(&turns)
                    .map(|(column, (sine, cosine))| {
                        let direction = Direction { right: around * sine, up, ahead: around * cosine };
                        let (light, share) = paint(direction).filter(|(_, share)| *share > 0.0)?;
                        let below = [0, 1, 2].map(|channel| row[channel][column % width]);
                        Some(mixed(below, light, share))
                    })
                    .collect();
                // Counted from the picture's left edge, which the columns may cross.
                let over_the_seam = columns.end.saturating_sub(width).min(painted.len());
                let right_of_the_seam = painted.split_off(painted.len() - over_the_seam);
                let mut spans = spans(0, &right_of_the_seam);
                spans.extend(self::spans(columns.start, &painted));
                spans
            },
        )
        .collect();
    Layer { first_row, rows }
}

/// Sine and cosine of a column's longitude.
fn turn(column: usize, width: usize) -> (f64, f64) {
    let longitude = std::f64::consts::TAU * ((column as f64 + 0.5) / width as f64 - 0.5);
    (libm::sin(longitude), libm::cos(longitude))
}

fn mixed(below: [f32; 3], light: [f32; 3], share: f32) -> [f32; 3] {
    if share >= 1.0 {
        return light.map(finite);
    }
    [0, 1, 2].map(|channel| finite(below[channel] + share * (light[channel] - below[channel])))
}

fn spans(first: usize, painted: &[Option<[f32; 3]>]) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    for (index, light) in painted.iter().enumerate().filter_map(|(index, light)| Some((index, (*light)?))) {
        let column = first + index;
        match spans.last_mut().filter(|span| span.first + span.light.len() == column) {
            Some(span) => span.light.push(light),
            None => spans.push(Span { first: column, light: vec![light] }),
        }
    }
    spans
}

/// How much of a pixel is covered, by its distance from what is covered wholly: a smooth way from 1 to 0 over `feather`.
pub(super) fn feathered(distance: f64, feather: f64) -> f32 {
    let t = (1.0 - distance / feather).clamp(0.0, 1.0);
    (t * t * (3.0 - 2.0 * t)) as f32
}
