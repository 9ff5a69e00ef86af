//! Pictures in grey: from a file, turned, rolled, doubled, or of a formula.

use enfilade::picture::{Chroma, YccPicture, decode};
use enfilade::sphere::{Direction, Rotation};
use rayon::prelude::*;
use std::path::Path;

/// A picture of luma alone. Nobody here looks at colour.
pub fn grey(width: usize, y: Vec<u8>) -> YccPicture {
    let height = width / 2;
    let chroma = vec![128; width / 2 * height.div_ceil(2)];
    YccPicture { width, height, chroma: Chroma::Half, y, cb: chroma.clone(), cr: chroma }
}

/// A shot of the demo.
pub fn shot(name: &str) -> YccPicture {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tour/shots").join(name).with_extension("jpg");
    decode(&std::fs::read(path).expect("the demo's shots are there"), Chroma::Half).expect("they are pictures")
}

/// Half as wide: the mean of each block of four.
pub fn halved(picture: &YccPicture) -> YccPicture {
    let (width, rows) = (picture.width / 2, picture.height / 2);
    let at = |x: usize, y: usize| u16::from(picture.y[y * picture.width + x]);
    let mean = |x: usize, y: usize| (at(x, y) + at(x + 1, y) + at(x, y + 1) + at(x + 1, y + 1) + 2) / 4;
    grey(width, (0..rows * width).map(|i| mean(i % width * 2, i / width * 2) as u8).collect())
}

/// The picture moved to the right by whole columns.
pub fn rolled(picture: &YccPicture, columns: usize) -> YccPicture {
    let mut y = picture.y.clone();
    y.par_chunks_mut(picture.width).for_each(|row| row.rotate_right(columns % picture.width));
    grey(picture.width, y)
}

/// What a camera would have seen from the same place had it leaned.
pub fn tilted(picture: &YccPicture, pitch: f64, roll: f64) -> YccPicture {
    let to_level = Rotation::from_tilt(pitch, roll);
    formula(picture.width, |seen| sampled(picture, to_level.apply(seen)))
}

/// Twice as wide, in between by straight lines.
pub fn doubled(picture: &YccPicture) -> YccPicture {
    formula(picture.width * 2, |seen| sampled(picture, seen))
}

/// A picture whose every pixel follows from its direction.
pub fn formula(width: usize, brightness: impl Fn(Direction) -> f64 + Sync) -> YccPicture {
    let height = width / 2;
    let around: Vec<(f64, f64)> =
        (0..width).map(|x| (((x as f64 + 0.5) / width as f64 - 0.5) * std::f64::consts::TAU).sin_cos()).collect();
    let mut y = vec![0; width * height];
    y.par_chunks_mut(width).enumerate().for_each(|(row, out)| {
        let (up, level) = ((0.5 - (row as f64 + 0.5) / height as f64) * std::f64::consts::PI).sin_cos();
        for (out, (sine, cosine)) in out.iter_mut().zip(&around) {
            let value = brightness(Direction { right: level * sine, up, ahead: level * cosine });
            *out = value.round().clamp(0.0, 255.0) as u8;
        }
    });
    grey(width, y)
}

/// Brightness in a direction, in between pixels by straight lines.
fn sampled(picture: &YccPicture, towards: Direction) -> f64 {
    let (width, height) = (picture.width, picture.height);
    let x = (towards.right.atan2(towards.ahead) / std::f64::consts::TAU + 0.5) * width as f64 - 0.5;
    let y = (0.5 - towards.up.clamp(-1.0, 1.0).asin() / std::f64::consts::PI) * height as f64 - 0.5;
    let y = y.clamp(0.0, height as f64 - 1.001);
    let (left, top) = (x.floor(), y.floor());
    let (far, down) = (x - left, y - top);
    let columns = [left as isize, left as isize + 1].map(|x| x.rem_euclid(width as isize) as usize);
    let row = |y: usize| {
        let [a, b] = columns.map(|x| f64::from(picture.y[y * width + x]));
        a + (b - a) * far
    };
    let (above, below) = (row(top as usize), row(top as usize + 1));
    above + (below - above) * down
}
