//! One room brought to the look of the next, by what is seen of each through the door between them.
//!
//! A viewer who walks through a door sees the same walls twice: from afar in one picture, from among them in the other. What is
//! seen through the doorway has other proportions than the room itself, more floor perhaps and less ceiling, so that means
//! of the two would compare floors with ceilings. Their *colours* are the same ones. So the change of light is looked for under
//! which the colours that are seen through the doorway are likely ones in the room: by the greatest likelihood, the
//! room's colours in stops taken as a distribution. The door is looked through from both sides, and both count.
//!
//! Windows and lamps (clipped) and deep shadows (nearly black) are left out. (The method is ours.)

mod colours;

use crate::darkroom::tone::survey::Survey;
use crate::picture::linear::LinearRows;
use crate::sphere::Spot;
use colours::{Colours, Density, Shift};

/// What is to be done to a room's light so that it looks as it does from next door.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Match {
    /// Stops.
    pub exposure_ev: f64,
    /// Factors of red, green and blue in linear BT.2020; a white keeps its luminance.
    pub gains: [f64; 3],
}

impl Match {
    /// Exposure and gains as one factor a channel.
    pub fn factors(&self) -> [f64; 3] {
        self.gains.map(|gain| gain * libm::exp2(self.exposure_ev))
    }
}

/// A doorway as a picture sees it: its middle, and how wide and high it is in degrees. Better too small than too large: what
/// lies outside it belongs to the wrong room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doorway {
    /// The middle of the opening.
    pub spot: Spot,
    /// Degrees of longitude.
    pub width_deg: f64,
    /// Degrees of latitude.
    pub height_deg: f64,
}

/// Why a room cannot be matched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MatchError {
    /// Clipped or black, or too few pixels.
    #[error("too little can be seen through the door between the two rooms, from either side")]
    TooLittle,
    /// No change of light makes one room's colours those that are seen of it from the other.
    #[error("what is seen through the door does not look like the room behind it, whatever its light")]
    Unlike,
}

impl MatchError {
    /// What to do about it, as a sentence without its full stop.
    pub fn instead(&self) -> &'static str {
        match self {
            MatchError::TooLittle => {
                "Match a room whose open door is seen larger, or set exposure and white balance by hand"
            }
            MatchError::Unlike => {
                "See that the door is marked where it is in both pictures and stands open, or set exposure and white \
                 balance by hand"
            }
        }
    }
}

/// What brings the light of `own`, the picture of one room, to that of `other`, the picture of the room next door, each of which
/// sees the door between them.
///
/// Looks for up to three stops of exposure and 0.8 stops of red and blue against green, either way.
///
/// # Errors
/// Where the doorways show too little, or something else than those rooms.
pub fn matching(
    (own, own_door): (&dyn LinearRows, Doorway),
    (other, other_door): (&dyn LinearRows, Doorway),
) -> Result<Match, MatchError> {
    let (own, other) = (Survey::of(own), Survey::of(other));
    let pairs: Vec<Sight> = [(&other, other_door, &own, own_door, -1.0), (&own, own_door, &other, other_door, 1.0)]
        .into_iter()
        .filter_map(|(from, through, room, behind, sign)| Sight::of(from, through, room, behind, sign))
        .collect();
    if pairs.is_empty() {
        return Err(MatchError::TooLittle);
    }
    let found = search(&pairs);
    if pairs.iter().all(|sight| sight.known_share(found) < LEAST_KNOWN) {
        return Err(MatchError::Unlike);
    }
    Ok(found.into())
}

/// Share of the colours seen through a door that must occur in the room behind it.
const LEAST_KNOWN: f64 = 0.5;

/// One room looked at through the door, and from within.
struct Sight {
    through_door: Colours,
    room: Density,
    /// Whether the change is done to what is seen through the door (1) or undone (−1).
    sign: f64,
}

impl Sight {
    /// `from` sees `room` through its doorway `through`; in `room` the door lies at `behind`.
    fn of(from: &Survey, through: Doorway, room: &Survey, behind: Doorway, sign: f64) -> Option<Sight> {
        let through_door = Colours::in_window(from, through).thinned();
        let room = Colours::in_window(room, opposite(behind));
        let enough = through_door.is_enough() && room.is_enough();
        enough.then(|| Sight { through_door, room: Density::of(&room), sign })
    }

    fn likelihood(&self, shift: Shift) -> f64 {
        self.room.likelihood(&self.through_door, shift.times(self.sign))
    }

    fn known_share(&self, shift: Shift) -> f64 {
        self.room.known_share(&self.through_door, shift.times(self.sign))
    }
}

/// What can be seen from the door of a room: the half of the sphere that lies beyond the tripod, without its poles.
fn opposite(door: Doorway) -> Doorway {
    let longitude = crate::sphere::wrap_degrees(door.spot.longitude() + 180.0);
    // Always within the range of a spot.
    let spot = Spot::new(longitude, -10.0).unwrap_or(door.spot);
    Doorway { spot, width_deg: 180.0, height_deg: 100.0 }
}

/// The likeliest change of light: a coarse grid over all, then a fine one around the best.
fn search(sights: &[Sight]) -> Shift {
    let coarse = best(sights, Shift::NONE, Shift { light: 0.25, red: 0.1, blue: 0.1 }, [12, 8, 8]);
    best(sights, coarse, Shift { light: 0.05, red: 0.025, blue: 0.025 }, [5, 4, 4])
}

/// The best of a grid of so many steps either way around a centre; the first of equals.
fn best(sights: &[Sight], centre: Shift, step: Shift, steps: [i32; 3]) -> Shift {
    let grid = (-steps[0]..=steps[0]).flat_map(|light| {
        (-steps[1]..=steps[1]).flat_map(move |red| {
            (-steps[2]..=steps[2]).map(move |blue| Shift {
                light: centre.light + f64::from(light) * step.light,
                red: centre.red + f64::from(red) * step.red,
                blue: centre.blue + f64::from(blue) * step.blue,
            })
        })
    });
    let judged = grid
        .map(|shift| (sights.iter().map(|sight| sight.likelihood(shift)).sum::<f64>() - shift.unlikeliness(), shift));
    judged.fold((f64::NEG_INFINITY, centre), |best, next| if next.0 > best.0 { next } else { best }).1
}

impl From<Shift> for Match {
    fn from(shift: Shift) -> Match {
        let gains = [libm::exp2(shift.red), 1.0, libm::exp2(shift.blue)];
        let weights = crate::picture::linear::LUMINANCE;
        let white: f64 = gains.iter().zip(weights).map(|(gain, weight)| gain * f64::from(weight)).sum();
        Match { exposure_ev: shift.light, gains: gains.map(|gain| gain / white) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::linear::LinearPicture;
    use half::f16;

    const DOOR: f64 = 24.0;

    fn doorway(longitude: f64) -> Doorway {
        Doorway { spot: Spot::new(longitude, -10.0).unwrap(), width_deg: DOOR, height_deg: 50.0 }
    }

    /// A room of some surfaces, lit a little unevenly; through its door at `longitude` another one is seen, which shows more floor.
    fn room(surfaces: [[f32; 3]; 4], seen: [[f32; 3]; 4], longitude: f64, light: [f32; 3]) -> LinearPicture {
        let (width, height) = (512, 256);
        let mut picture = LinearPicture::black(width, height);
        for y in 0..height {
            for x in 0..width {
                let (lon, lat) = ((x as f64 + 0.5) / 512.0 * 360.0 - 180.0, 90.0 - (y as f64 + 0.5) / 256.0 * 180.0);
                let off = crate::sphere::wrap_degrees(lon - longitude);
                let in_door = off.abs() < DOOR / 2.0 && (lat + 10.0).abs() < 25.0;
                let shade = 0.93 + 0.07 * libm::sin(lon.to_radians() * 3.0) as f32;
                let surface = if in_door {
                    seen[if lat < -5.0 { 0 } else { 1 + (x / 8) % 3 }]
                } else {
                    surfaces[if lat < -25.0 { 0 } else { 1 + (x / 40) % 3 }]
                };
                for channel in 0..3 {
                    let value = surface[channel] * shade * light[channel];
                    picture.planes[channel][y * width + x] = f16::from_f32(value.min(1.0));
                }
            }
        }
        picture
    }

    const HALL: [[f32; 3]; 4] = [[0.3, 0.28, 0.26], [0.6, 0.58, 0.55], [0.25, 0.15, 0.08], [0.1, 0.2, 0.4]];
    const KITCHEN: [[f32; 3]; 4] = [[0.22, 0.09, 0.06], [0.65, 0.66, 0.66], [0.12, 0.2, 0.14], [0.4, 0.25, 0.12]];

    #[test]
    fn a_change_of_light_is_found_and_undone() {
        let hall = room(HALL, KITCHEN, 30.0, [1.0; 3]);
        for light in [[1.0f32; 3], [0.575, 0.5, 0.4], [0.25, 0.27, 0.3]] {
            // Both the kitchen and what its picture sees of the hall are darker and warmer.
            let kitchen = room(KITCHEN, HALL, -170.0, light);
            let found = matching((&kitchen, doorway(-170.0)), (&hall, doorway(30.0))).unwrap();
            let weights = crate::picture::linear::LUMINANCE;
            for (channel, factor) in found.factors().into_iter().enumerate() {
                let off = (factor * f64::from(light[channel])).log2();
                assert!(off.abs() < 0.15, "{light:?}: channel {channel} is off by {off} stops");
            }
            let white: f64 = found.gains.iter().zip(weights).map(|(gain, weight)| gain * f64::from(weight)).sum();
            assert!((white - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn what_cannot_be_matched_is_said() {
        let black = LinearPicture::black(512, 256);
        let night = matching((&black, doorway(0.0)), (&black, doorway(30.0)));
        assert_eq!(night, Err(MatchError::TooLittle));
        // Colours that no light turns into one another: a wild mosaic behind the door, plain walls in the room.
        let wild = [[0.5, 0.02, 0.02], [0.02, 0.5, 0.02], [0.02, 0.02, 0.5], [0.5, 0.5, 0.02]];
        let plain = [[0.2; 3]; 4];
        let from = room(HALL, wild, 30.0, [1.0; 3]);
        let other = room(plain, wild, 0.0, [1.0; 3]);
        assert_eq!(matching((&other, doorway(0.0)), (&from, doorway(30.0))), Err(MatchError::Unlike));
    }
}
