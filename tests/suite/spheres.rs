//! Spheres that tests make: pictures whose every pixel follows from a formula of its direction.

use enfilade::picture::{Chroma, YccPicture};
use enfilade::sphere::Direction;

/// Luma, chroma blue and chroma red of a direction, 0..=255 each.
pub type Colour = [f64; 3];

/// An equirectangular picture of a formula. Chroma is sampled at the middle of its own pixels.
pub fn sphere(width: usize, chroma: Chroma, colour: impl Fn(Direction) -> Colour) -> YccPicture {
    let plane = |width: usize, channel: usize| -> Vec<u8> {
        let height = width / 2;
        (0..width * height)
            .map(|i| {
                let longitude = ((i % width) as f64 + 0.5) / width as f64 * 360.0 - 180.0;
                let latitude = 90.0 - ((i / width) as f64 + 0.5) / height as f64 * 180.0;
                colour(Direction::from_degrees(longitude, latitude))[channel].round().clamp(0.0, 255.0) as u8
            })
            .collect()
    };
    let colour_width = if chroma == Chroma::Half { width / 2 } else { width };
    let (y, cb, cr) = (plane(width, 0), plane(colour_width, 1), plane(colour_width, 2));
    YccPicture { width, height: width / 2, chroma, y, cb, cr }
}

/// A bright soft disc around a direction on a dark sphere; `degrees` is where it has faded to a third.
pub fn marker(towards: Direction, degrees: f64) -> impl Fn(Direction) -> Colour {
    move |direction| {
        let off = direction.angle_to(towards) / degrees;
        [20.0 + 220.0 * (-off * off).exp(), 128.0, 128.0]
    }
}

/// Slow changes of brightness and colour in every direction, as a painted wall or a sky has: ±40 in luma, ±20 in each
/// chroma (±35 in blue), along axes that are square to one another and lie along no edge of a cube.
pub fn smooth(direction: Direction) -> Colour {
    let [x, y, z] = <[f64; 3]>::from(direction);
    let along = |a: f64, b: f64, c: f64| (a * x + b * y + c * z) / 7.0;
    [128.0 + 40.0 * along(6.0, 3.0, 2.0), 128.0 + 20.0 * along(-3.0, 2.0, 6.0), 128.0 + 20.0 * along(2.0, -6.0, 3.0)]
}
