//! Rebuilding what is there from what surrounds it: what cannot be rebuilt is unlike its surroundings.

use super::super::flat_light::FlatLight;
use super::field::{Effort, Field};
use super::level::{Level, compared};
use super::vote;

/// Searches, each on what the one before found.
const SEARCHES: u32 = 10;

/// A region as it is, and as its surroundings would make it.
pub struct Rebuilt {
    /// Columns of both.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// What is there, on the scale on which colours are compared.
    pub seen: Vec<[i16; 3]>,
    /// The same pixels rebuilt from patches of the surroundings; as they are outside the region.
    pub made: Vec<[i16; 3]>,
}

/// Rebuilds `region`, patch by patch, from what most resembles it outside of it and of `elsewhere`, at the picture's size halved so often.
pub fn rebuilt(picture: &FlatLight, region: &[bool], elsewhere: &[bool], halvings: u32) -> Rebuilt {
    let mut level = Level::as_seen(picture, region, elsewhere, halvings);
    let plain = |level: &Level| level.colours.iter().map(|&[red, green, blue, _]| [red, green, blue]).collect();
    let seen = plain(&level);
    if let Some(mut field) = Field::scattered(&level) {
        let effort = Effort { rounds: 1, searches: 1, wide: true };
        (0..SEARCHES).for_each(|round| field.improve(&level, &[], &effort, round));
        vote::vote(&mut level, &field);
    }
    Rebuilt { width: level.width, height: level.height, seen, made: plain(&level) }
}

/// Where white lies on the scale on which colours are compared.
pub fn white() -> i16 {
    compared([1.0; 3])[0]
}
