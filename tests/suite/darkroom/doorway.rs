//! One room brought to the look of the next, on the sample tour's rooms.
//!
//! Measured outside the method: the same spots of floor beyond a door are seen in both pictures, and where they are follows from the
//! plan (`sample-tour/tour.yaml`: places, headings, 1.58 m from lens to floor, 40 units a metre).

use enfilade::darkroom::colour_difference::{ciede2000, lab_of_light};
use enfilade::darkroom::doorway::{Doorway, Match, matching};
use enfilade::picture::linear::{LinearPicture, LinearRows, empty_row};
use enfilade::picture::open_linear;
use enfilade::sphere::{Direction, Spot, wrap_degrees};

const UNITS_PER_METRE: f64 = 40.0;
const LENS_M: f64 = 1.58;
const PLAN_NORTH_DEG: f64 = 14.0;

struct Room {
    picture: LinearPicture,
    heading_deg: f64,
    stands_at: [f64; 2],
}

impl Room {
    fn open(name: &str, heading_deg: f64, stands_at: [f64; 2]) -> Room {
        let path = format!("{}/sample-tour/shots/{name}.jpg", env!("CARGO_MANIFEST_DIR"));
        let picture = LinearPicture::of(&*open_linear(&std::fs::read(path).unwrap()).unwrap());
        Room { picture, heading_deg, stands_at }
    }

    /// Longitude in the picture and distance in metres of a place on the plan.
    fn sees(&self, place: [f64; 2]) -> (f64, f64) {
        let (dx, dy) = (place[0] - self.stands_at[0], place[1] - self.stands_at[1]);
        let heading = dx.atan2(-dy).to_degrees() - PLAN_NORTH_DEG;
        (wrap_degrees(heading - self.heading_deg), dx.hypot(dy) / UNITS_PER_METRE)
    }

    /// A doorway of 0.76 m by 1.8 m, from 0.13 m above the floor.
    fn doorway(&self, at: [f64; 2]) -> Doorway {
        let (longitude, distance) = self.sees(at);
        let degrees = |height: f64| (height / distance).atan().to_degrees();
        let (top, bottom) = (degrees(0.35), degrees(-1.45));
        let spot = Spot::new(longitude, (top + bottom) / 2.0).unwrap();
        Doorway { spot, width_deg: 2.0 * degrees(0.38), height_deg: top - bottom }
    }

    /// The mean light of 3° of floor around a place on the plan.
    fn floor(&self, place: [f64; 2], factors: [f64; 3]) -> [f64; 3] {
        let (longitude, distance) = self.sees(place);
        let spot = Direction::from_degrees(longitude, -(LENS_M / distance).atan().to_degrees());
        let (width, height) = self.picture.size();
        let (mut sum, mut count, mut row) = ([0.0; 3], 0.0, empty_row(width));
        for y in 0..height {
            let latitude = 90.0 - (y as f64 + 0.5) * 180.0 / height as f64;
            if (latitude - spot.latitude()).abs() > 1.5 {
                continue;
            }
            self.picture.read(y, &mut row);
            let [red, green, blue] = &row;
            for (x, ((red, green), blue)) in red.iter().zip(green).zip(blue).enumerate() {
                let longitude = (x as f64 + 0.5) * 360.0 / width as f64 - 180.0;
                if Direction::from_degrees(longitude, latitude).angle_to(spot) <= 1.5 {
                    let light = [red, green, blue].map(|channel| f64::from(*channel));
                    sum = std::array::from_fn(|channel| sum[channel] + light[channel] * factors[channel]);
                    count += 1.0;
                }
            }
        }
        sum.map(|sum| sum / count)
    }

    /// The same room as a camera would have shown it that exposed one stop less under a warmer white balance.
    fn dark_and_warm(mut self) -> Room {
        for (plane, factor) in self.picture.planes.iter_mut().zip([0.575, 0.5, 0.4]) {
            plane.iter_mut().for_each(|value| *value = half::f16::from_f32(value.to_f32() * factor));
        }
        self
    }
}

/// Mean CIEDE2000 between the two rooms' views of the same spots of floor, 0.6 to 1.5 m beyond the door as `other` sees it.
fn across(own: &Room, other: &Room, door: [f64; 2], factors: [f64; 3]) -> f64 {
    let (dx, dy) = (door[0] - other.stands_at[0], door[1] - other.stands_at[1]);
    let metre = UNITS_PER_METRE / dx.hypot(dy);
    let differences = [0.6, 0.9, 1.2, 1.5].map(|beyond: f64| {
        let place = [door[0] + dx * metre * beyond, door[1] + dy * metre * beyond];
        let one = lab_of_light(own.floor(place, factors));
        ciede2000(one, lab_of_light(other.floor(place, [1.0; 3])))
    });
    differences.iter().sum::<f64>() / 4.0
}

fn assert_halved(own: Room, other: Room, door: [f64; 2]) {
    let own = own.dark_and_warm();
    let found = matching((&own.picture, own.doorway(door)), (&other.picture, other.doorway(door))).unwrap();
    let (before, after) = (across(&own, &other, door, [1.0; 3]), across(&own, &other, door, found.factors()));
    assert!(after <= before / 2.0, "CIEDE2000 went from {before:.2} to {after:.2} by {found:?}");
    // What was done to it, undone: within 0.35 stops of light and 0.2 of colour.
    for (factor, done) in found.factors().into_iter().zip([0.575, 0.5, 0.4]) {
        assert!((factor * done).log2().abs() < 0.35, "{found:?}");
    }
    let ratio = |one: usize, other: usize, done: f64| (found.gains[one] / found.gains[other] * done).log2().abs();
    assert!(ratio(0, 1, 0.575 / 0.5) < 0.2 && ratio(2, 1, 0.4 / 0.5) < 0.2, "{found:?}");
}

fn hall() -> Room {
    Room::open("hall", 250.0, [320.0, 228.0])
}

#[test]
fn a_dark_and_warm_kitchen_takes_on_the_halls_look() {
    assert_halved(Room::open("kitchen", 300.0, [180.0, 226.0]), hall(), [250.8, 249.0]);
}

#[test]
fn a_dark_and_warm_hall_takes_on_the_sitting_rooms_look() {
    let sitting_room = Room::open("sitting-room-door-end", 54.0, [442.0, 224.0]);
    assert_halved(hall(), sitting_room, [376.4, 249.0]);
}

#[test]
fn a_room_that_matches_is_left_nearly_as_it_is() {
    let (kitchen, hall, door) = (Room::open("kitchen", 300.0, [180.0, 226.0]), hall(), [250.8, 249.0]);
    let found: Match =
        matching((&kitchen.picture, kitchen.doorway(door)), (&hall.picture, hall.doorway(door))).unwrap();
    assert!(found.factors().iter().all(|factor| factor.log2().abs() < 0.35), "{found:?}");
}
