//! A picture of 16 bits a channel, for the display or of light, and sampling a sphere that is kept so.

use super::YccPicture;
use super::linear::{BT2020_TO_SRGB, LinearPicture, LinearRows, empty_row, through};
use crate::sphere::{Direction, Face, Rotation};
use half::f16;
use rayon::prelude::*;

/// How one channel of a pixel is kept.
pub trait Sample: Copy + Default + PartialEq + Send + Sync {
    /// The largest number that can be kept.
    const LARGEST: f32;
    /// As a number to reckon with.
    fn number(self) -> f32;
    /// The nearest that can be kept.
    fn nearest(number: f32) -> Self;
}

/// The display's values, 0 to 65535.
impl Sample for u16 {
    const LARGEST: f32 = 65535.0;
    fn number(self) -> f32 {
        f32::from(self)
    }
    fn nearest(number: f32) -> u16 {
        (number + 0.5) as u16
    }
}

/// Light: never below 0, and finite.
impl Sample for f16 {
    const LARGEST: f32 = 65504.0;
    fn number(self) -> f32 {
        self.to_f32()
    }
    fn nearest(number: f32) -> f16 {
        f16::from_f32(number.clamp(0.0, Self::LARGEST))
    }
}

/// RGB of 16 bits a channel with sRGB's primaries, interleaved, rows without padding: sRGB's values as whole numbers, or
/// linear light as half floats.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bitmap<S = u16> {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// `3 × width × height` samples.
    pub samples: Vec<S>,
}

/// Samples are averaged where a picture gets smaller: at most so many in each direction for one pixel.
const MOST_SAMPLES: usize = 8;

impl Bitmap<f16> {
    /// The light of a picture with sRGB's primaries. A colour beyond them loses what it has below 0.
    pub fn of_light(light: &LinearPicture) -> Self {
        let (width, height) = light.size();
        Bitmap::from_rows(width, height, |y, line| {
            let mut row = empty_row(width);
            light.read(y, &mut row);
            for (x, pixel) in line.chunks_exact_mut(3).enumerate() {
                let colour = through(&BT2020_TO_SRGB, [row[0][x], row[1][x], row[2][x]]);
                pixel.iter_mut().zip(colour).for_each(|(sample, light)| *sample = f16::nearest(light));
            }
        })
    }
}

impl Bitmap {
    /// An 8-bit picture, exactly. Of halved chroma each sample serves its four pixels.
    pub fn from_ycc(picture: &YccPicture) -> Bitmap {
        let (chroma_width, _) = picture.chroma_size();
        let shift = usize::from(chroma_width != picture.width);
        Bitmap::from_rows(picture.width, picture.height, |y, line| {
            for (x, pixel) in line.chunks_exact_mut(3).enumerate() {
                let luma = f32::from(picture.y[y * picture.width + x]);
                let chroma = (y >> shift) * chroma_width + (x >> shift);
                let cb = f32::from(picture.cb[chroma]) - 128.0;
                let cr = f32::from(picture.cr[chroma]) - 128.0;
                // ITU-T T.871 section 7; 257 spreads 0..=255 over 0..=65535.
                let rgb = [luma + 1.402 * cr, luma - 0.344_136_3 * cb - 0.714_136_3 * cr, luma + 1.772 * cb];
                pixel.iter_mut().zip(rgb).for_each(|(sample, value)| *sample = (value * 257.0 + 0.5) as u16);
            }
        })
    }

    /// The nearest of 256 values for every sample.
    pub fn eight_bits(&self) -> Vec<u8> {
        self.samples.par_iter().map(|&sample| ((u32::from(sample) + 128) / 257) as u8).collect()
    }
}

impl<S: Sample> Bitmap<S> {
    /// Every pixel from its colour, rows in parallel.
    pub fn from_rows(width: usize, height: usize, row: impl Fn(usize, &mut [S]) + Sync) -> Self {
        let mut samples = vec![S::default(); 3 * width * height];
        samples.par_chunks_exact_mut(3 * width).enumerate().for_each(|(y, line)| row(y, line));
        Bitmap { width, height, samples }
    }

    /// This sphere in the level frame, `width` columns wide, even.
    pub fn sphere(&self, level: Rotation, width: usize) -> Self {
        if level == Rotation::IDENTITY && width == self.width {
            return self.clone();
        }
        let height = width / 2;
        let samples = self.samples_for(std::f64::consts::TAU / width as f64);
        self.sampled(level, (width, height), samples, move |x, y| {
            Direction::from_degrees(360.0 * x / width as f64 - 180.0, 90.0 - 180.0 * y / height as f64)
        })
    }

    /// One side of the cube around the level frame.
    pub fn face(&self, level: Rotation, face: Face, side: usize) -> Self {
        // In the middle of a face a pixel is widest.
        let samples = self.samples_for(2.0 / side as f64);
        self.sampled(level, (side, side), samples, move |x, y| face.direction(x / side as f64, y / side as f64))
    }

    /// A rectilinear picture towards `centre`, whose longitude is given too since it says what is level at a pole.
    pub fn view(
        &self,
        level: Rotation,
        (longitude_deg, centre): (f64, Direction),
        field_of_view_deg: f64,
        (width, height): (usize, usize),
    ) -> Self {
        let half = libm::tan((field_of_view_deg / 2.0).to_radians());
        let across = Direction::from_degrees(longitude_deg + 90.0, 0.0);
        let up = Direction::from_degrees(longitude_deg, centre.latitude() + 90.0);
        let step = 2.0 * half / width as f64;
        self.sampled(level, (width, height), self.samples_for(step), move |x, y| {
            let (a, b) = ((x - width as f64 / 2.0) * step, (height as f64 / 2.0 - y) * step);
            let at = |part: fn(&Direction) -> f64| part(&centre) + a * part(&across) + b * part(&up);
            Direction::normalized(at(|d| d.right), at(|d| d.up), at(|d| d.ahead))
        })
    }

    /// How many samples a pixel needs in each direction that is so wide in radians.
    fn samples_for(&self, pixel_rad: f64) -> usize {
        let own_rad = std::f64::consts::TAU / self.width as f64;
        ((pixel_rad / own_rad).round() as usize).clamp(1, MOST_SAMPLES)
    }

    /// Samples this sphere. `direction` gives the level direction of a place in the new picture, in pixels from its top left corner.
    fn sampled(
        &self,
        level: Rotation,
        (width, height): (usize, usize),
        samples: usize,
        direction: impl Fn(f64, f64) -> Direction + Sync,
    ) -> Self {
        let camera = level.inverse();
        let offsets: Vec<f64> = (0..samples).map(|i| (i as f64 + 0.5) / samples as f64).collect();
        let share = 1.0 / (samples * samples) as f32;
        Bitmap::from_rows(width, height, |y, line| {
            for (x, pixel) in line.chunks_exact_mut(3).enumerate() {
                let mut sum = [0.0; 3];
                for (down, across) in offsets.iter().flat_map(|down| offsets.iter().map(move |across| (down, across))) {
                    let seen = camera.apply(direction(x as f64 + across, y as f64 + down));
                    let colour = self.at(seen);
                    sum = std::array::from_fn(|channel| sum[channel] + colour[channel]);
                }
                pixel.iter_mut().zip(sum).for_each(|(sample, sum)| *sample = S::nearest(sum * share));
            }
        })
    }

    /// The colour in a direction of this picture's own frame, what its samples can hold: Keys' cubic convolution with a = −½ (IEEE Trans. ASSP
    /// 29(6), 1981). Columns go on around ±180°, rows over the poles.
    fn at(&self, direction: Direction) -> [f32; 3] {
        let column = (direction.longitude() / 360.0 + 0.5) * self.width as f64 - 0.5;
        let row = (0.5 - direction.latitude() / 180.0) * self.height as f64 - 0.5;
        let (left, top) = (column.floor(), row.floor());
        let (across, down) = (keys((column - left) as f32), keys((row - top) as f32));
        let mut sum = [0.0; 3];
        for (k, weight) in down.into_iter().enumerate() {
            let line = self.line(left as isize - 1, top as isize - 1 + k as isize);
            let mixed = |channel: usize| (0..4).map(|i| across[i] * line[i][channel].number()).sum::<f32>();
            sum = std::array::from_fn(|channel| sum[channel] + weight * mixed(channel));
        }
        sum.map(|value| value.clamp(0.0, S::LARGEST))
    }

    /// Four neighbours in a row that may lie beyond a pole.
    fn line(&self, left: isize, row: isize) -> [[S; 3]; 4] {
        let (width, height) = (self.width as isize, self.height as isize);
        let (row, turn) = match row {
            row if row < 0 => (-1 - row, width / 2),
            row if row >= height => (2 * height - 1 - row, width / 2),
            row => (row, 0),
        };
        std::array::from_fn(|i| {
            let column = (left + i as isize + turn).rem_euclid(width);
            let at = 3 * (row * width + column) as usize;
            [self.samples[at], self.samples[at + 1], self.samples[at + 2]]
        })
    }
}

/// The four weights for a position `t`, 0 to 1, past the second of four samples.
fn keys(t: f32) -> [f32; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [-0.5 * t3 + t2 - 0.5 * t, 1.5 * t3 - 2.5 * t2 + 1.0, -1.5 * t3 + 2.0 * t2 + 0.5 * t, 0.5 * t3 - 0.5 * t2]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sphere whose colour is its direction: each axis a channel.
    fn globe(width: usize) -> Bitmap {
        Bitmap::from_rows(width, width / 2, |y, line: &mut [u16]| {
            for (x, pixel) in line.chunks_exact_mut(3).enumerate() {
                let longitude = 360.0 * (x as f64 + 0.5) / width as f64 - 180.0;
                let latitude = 90.0 - 360.0 * (y as f64 + 0.5) / width as f64;
                pixel.copy_from_slice(&colour(Direction::from_degrees(longitude, latitude)));
            }
        })
    }

    fn colour(direction: Direction) -> [u16; 3] {
        [direction.right, direction.up, direction.ahead].map(|axis| (32768.0 + 30000.0 * axis).round() as u16)
    }

    #[track_caller]
    fn holds(bitmap: &Bitmap, x: usize, y: usize, direction: Direction, within: i32) {
        let at = 3 * (y * bitmap.width + x);
        for (got, expected) in bitmap.samples[at..at + 3].iter().zip(colour(direction)) {
            let off = i32::from(*got) - i32::from(expected);
            assert!(off.abs() <= within, "{x}, {y}: {got} for {expected}");
        }
    }

    #[test]
    fn a_level_sphere_of_the_same_size_is_left_alone() {
        let globe = globe(64);
        assert_eq!(globe.sphere(Rotation::IDENTITY, 64), globe);
    }

    /// A tilted camera saw the level world turned; the exported sphere shows it level again, poles and ±180° included.
    #[test]
    fn tilt_is_taken_out_everywhere() {
        let level = Rotation::from_tilt(12.0, -7.0);
        let out = globe(256).sphere(level, 256);
        for (x, y) in [(0, 0), (255, 0), (128, 0), (0, 64), (255, 64), (128, 64), (40, 100), (0, 127), (200, 127)] {
            let longitude = 360.0 * (x as f64 + 0.5) / 256.0 - 180.0;
            let latitude = 90.0 - 360.0 * (y as f64 + 0.5) / 256.0;
            let seen = level.inverse().apply(Direction::from_degrees(longitude, latitude));
            holds(&out, x, y, seen, 12);
        }
    }

    #[test]
    fn faces_lie_as_the_cube_map_has_them() {
        let globe = globe(512);
        for face in Face::ALL {
            let out = globe.face(Rotation::IDENTITY, face, 64);
            for (x, y) in [(0, 0), (63, 0), (0, 63), (63, 63), (31, 32), (10, 50)] {
                holds(&out, x, y, face.direction((x as f64 + 0.5) / 64.0, (y as f64 + 0.5) / 64.0), 40);
            }
        }
    }

    #[test]
    fn a_view_has_its_field_of_view_and_stands_upright() {
        let globe = globe(1024);
        let (longitude, latitude) = (100.0, -30.0);
        let centre = Direction::from_degrees(longitude, latitude);
        let view = globe.view(Rotation::IDENTITY, (longitude, centre), 90.0, (201, 101));
        holds(&view, 100, 50, centre, 20);
        let edge = Direction::normalized(
            centre.right + 200.0 / 201.0 * Direction::from_degrees(190.0, 0.0).right,
            centre.up,
            centre.ahead + 200.0 / 201.0 * Direction::from_degrees(190.0, 0.0).ahead,
        );
        holds(&view, 200, 50, edge, 20);
        let straight_down =
            globe.view(Rotation::IDENTITY, (40.0, Direction::from_degrees(40.0, -90.0)), 60.0, (51, 51));
        holds(&straight_down, 25, 25, Direction::from_degrees(40.0, -90.0), 20);
    }

    /// Going from 8 bits to 16 and back changes nothing.
    #[test]
    fn eight_bits_come_back() {
        let values: Vec<u8> = (0..=255).collect();
        let picture = YccPicture {
            width: 256,
            height: 1,
            chroma: crate::picture::Chroma::Full,
            y: values.clone(),
            cb: vec![128; 256],
            cr: vec![128; 256],
        };
        let grey: Vec<u8> = values.iter().flat_map(|&value| [value; 3]).collect();
        assert_eq!(Bitmap::from_ycc(&picture).eight_bits(), grey);
    }
}
