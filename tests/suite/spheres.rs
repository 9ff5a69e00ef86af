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

/// Slow changes of brightness and colour in every direction.
pub fn smooth(direction: Direction) -> Colour {
    let [right, up, ahead] = <[f64; 3]>::from(direction);
    [128.0 + 70.0 * right + 30.0 * up * ahead, 128.0 + 60.0 * up - 20.0 * right, 128.0 + 50.0 * ahead - 30.0 * up]
}
