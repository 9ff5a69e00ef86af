//! Pictures that need no script: a flat view of a station, and the small sphere that is shown first.

use super::encode::{JpegEncoder, Rectangle};
use super::source::{PAD, Plane, Source};
use super::window::Window;
use super::{Encoding, bicubic};
use crate::picture::Chroma;
use crate::sphere::{Direction, Rotation};

/// A flat (gnomonic) view. Width and height in pixels, both even.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StillView {
    /// Where it looks: degrees to the right of the level picture's centre column.
    pub longitude_deg: f64,
    /// Degrees above the horizon.
    pub elevation_deg: f64,
    /// Horizontal field of view in degrees, below 180.
    pub field_of_view_deg: f64,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

/// Renders a flat view as a JPEG of quality 82. `level` turns the camera's frame into the level frame.
///
/// Where the picture has more detail than the view can show, several samples are averaged for each pixel.
pub fn still(source: &Source, level: Rotation, view: StillView) -> Vec<u8> {
    let size = (view.width as usize, view.height as usize);
    let planes = Planes::render(source, size, |plane, (width, height)| {
        let half_width = libm::tan((view.field_of_view_deg / 2.0).to_radians());
        let density_ratio = plane.width as f64 / std::f64::consts::TAU * 2.0 * half_width / width as f64;
        let samples = (density_ratio.round() as usize).clamp(1, 8);
        let window = Window {
            across: Direction::from_degrees(view.longitude_deg + 90.0, 0.0).into(),
            down: negated(Direction::from_degrees(view.longitude_deg, view.elevation_deg + 90.0)),
            centre: Direction::from_degrees(view.longitude_deg, view.elevation_deg).into(),
            width: width * samples,
            height: height * samples,
            unit: (width * samples) as f64 / half_width,
        }
        .turned(level.inverse());
        averaged(plane, &window, samples)
    });
    planes.encode(Encoding { quality: 82, small: false })
}

/// Sizes of first light and the qualities to try at each, until the file is small enough.
const FIRST_LIGHTS: [((usize, usize), &[u8]); 4] =
    [((512, 256), &[70, 50]), ((384, 192), &[50, 30]), ((256, 128), &[30]), ((128, 64), &[20])];
/// Largest file of first light.
pub const FIRST_LIGHT_BYTES: usize = 20_000;

/// The small equirectangular picture of a station that is shown before any tile, in the level frame: a JPEG of at most
/// [`FIRST_LIGHT_BYTES`].
pub fn first_light(source: &Source, level: Rotation) -> Vec<u8> {
    let mut smallest = Vec::new();
    for (size, qualities) in FIRST_LIGHTS {
        let planes = Planes::render(source, size, |plane, (width, height)| {
            let coarse = shrunk(plane, plane.width.div_ceil(2 * width));
            level_sphere(&coarse, level, width, height)
        });
        for &quality in qualities {
            smallest = planes.encode(Encoding { quality, small: true });
            if smallest.len() <= FIRST_LIGHT_BYTES {
                return smallest;
            }
        }
    }
    smallest
}

/// A picture that has been rendered, plane by plane.
struct Planes {
    size: (usize, usize),
    colour_size: (usize, usize),
    chroma: Chroma,
    planes: [Vec<u8>; 3],
}

impl Planes {
    /// Renders each plane at its size, all at once.
    fn render(
        source: &Source,
        size: (usize, usize),
        plane: impl Fn(&Plane, (usize, usize)) -> Vec<u8> + Sync,
    ) -> Planes {
        let colour_size = match source.chroma {
            Chroma::Full => size,
            Chroma::Half => (size.0 / 2, size.1 / 2),
        };
        let (y, (cb, cr)) = rayon::join(
            || plane(&source.y, size),
            || rayon::join(|| plane(&source.cb, colour_size), || plane(&source.cr, colour_size)),
        );
        Planes { size, colour_size, chroma: source.chroma, planes: [y, cb, cr] }
    }

    fn encode(&self, encoding: Encoding) -> Vec<u8> {
        let [y, cb, cr] = &self.planes;
        JpegEncoder::new(encoding, self.chroma).without_search().encode(Rectangle {
            y: (y, self.size.0),
            cb: (cb, self.colour_size.0),
            cr: (cr, self.colour_size.0),
            width: self.size.0,
            height: self.size.1,
        })
    }
}

/// Samples a window that is `samples` times too fine in both directions, and takes the mean of each block.
fn averaged(plane: &Plane, window: &Window, samples: usize) -> Vec<u8> {
    let mut fine = vec![0; window.width * samples];
    let (mut columns, mut rows) = (vec![0; window.width], vec![0; window.width]);
    let mut out = Vec::with_capacity(fine.len() / samples * window.height / samples);
    for row in 0..window.height {
        let line = &mut fine[row % samples * window.width..][..window.width];
        window.columns(row, plane, &mut columns);
        window.rows(row, plane, &mut rows);
        bicubic::sample([plane], &columns, &rows, [line]);
        if row % samples == samples - 1 {
            out.extend(block_means(fine.chunks_exact(window.width), samples));
        }
    }
    out
}

/// The mean of each block of `side × side` samples in `side` rows.
fn block_means<'a>(rows: impl Iterator<Item = &'a [u8]>, side: usize) -> Vec<u8> {
    // Down the columns first: at most 255 rows of bytes fit 16 bits, and adding rows is done in vectors.
    let mut sums: Vec<u16> = Vec::new();
    for row in rows {
        sums.resize(row.len(), 0);
        sums.iter_mut().zip(row).for_each(|(sum, &sample)| *sum += u16::from(sample));
    }
    let area = (side * side) as u32;
    let mean = |block: &[u16]| (block.iter().map(|&sum| u32::from(sum)).sum::<u32>() + area / 2) / area;
    sums.chunks_exact(side).map(|block| mean(block) as u8).collect()
}

/// The whole sphere, smaller by a whole number up to 255: each pixel is the mean of a block. Columns and rows that do not
/// fill a last block are left out.
fn shrunk(plane: &Plane, side: usize) -> Plane {
    let side = side.min(plane.height).clamp(1, 255);
    let (width, height) = (plane.width / side, plane.height / side);
    let row = |row: usize| &plane.samples[(row + PAD) * plane.stride + PAD..][..width * side];
    let samples: Vec<u8> =
        (0..height).flat_map(|block| block_means((block * side..(block + 1) * side).map(row), side)).collect();
    Plane::new(width, height, &samples)
}

/// The whole sphere in the level frame, as an equirectangular plane.
fn level_sphere(plane: &Plane, level: Rotation, width: usize, height: usize) -> Vec<u8> {
    let position = |fraction: f64, size: usize| ((fraction * size as f64 - 0.5 + PAD as f64) * 256.0 + 0.5) as i32;
    let camera = level.inverse();
    let mut out = vec![0; width * height];
    for (row, line) in out.chunks_exact_mut(width).enumerate() {
        let latitude = 90.0 - 180.0 * (row as f64 + 0.5) / height as f64;
        let (columns, rows): (Vec<i32>, Vec<i32>) = (0..width)
            .map(|column| {
                let longitude = 360.0 * (column as f64 + 0.5) / width as f64 - 180.0;
                let (longitude, latitude) = match camera {
                    Rotation::IDENTITY => (longitude, latitude),
                    _ => seen(camera, longitude, latitude),
                };
                (position(longitude / 360.0 + 0.5, plane.width), position(0.5 - latitude / 180.0, plane.height))
            })
            .unzip();
        bicubic::sample([plane], &columns, &rows, [line]);
    }
    out
}

/// Where a direction of the level frame lies in the camera's.
fn seen(camera: Rotation, longitude: f64, latitude: f64) -> (f64, f64) {
    let direction = camera.apply(Direction::from_degrees(longitude, latitude));
    (direction.longitude(), direction.latitude())
}

fn negated(direction: Direction) -> [f64; 3] {
    <[f64; 3]>::from(direction).map(|v| -v)
}
