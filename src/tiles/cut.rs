//! From a source to the tiles of its pyramid.
//!
//! Each face is sampled once, at full size and with a margin from the sphere beyond its edges; the smaller levels are halved
//! from it, margin and all, so that every level's tiles know what lies beyond their edge. Luma and chroma are planes of
//! their own, each sampled at its own size.

use super::bicubic;
use super::encode::{JpegEncoder, Rectangle};
use super::halve::Square;
use super::layout::{BORDER_PX, Level};
use super::source::{Plane, Source};
use super::window::Window;
use super::{Encoding, Layout, Tile, TileId};
use crate::picture::Chroma;
use crate::sphere::{Face, Rotation};
use rayon::prelude::*;

/// Rows that one thread samples at a time.
const ROWS_AT_A_TIME: usize = 32;

/// Cuts a picture into its whole pyramid, on all cores. `level` turns the camera's frame into the level frame (tilt
/// taken out). Tiles come in the order of [`Layout::tiles`], the same bytes on any machine and any number of cores.
///
/// Needs about 2·(width/π)² bytes for each face that is worked on at the same time, and the finished files.
pub fn cut(source: &Source, level: Rotation, layout: &Layout, encoding: Encoding) -> Vec<Tile> {
    let encoder = JpegEncoder::new(encoding, source.chroma());
    let mut tiles: Vec<Tile> =
        Face::ALL.into_par_iter().flat_map_iter(|face| cut_face(source, level, layout, face, &encoder)).collect();
    tiles.sort_by_key(|tile| tile.id);
    tiles
}

fn cut_face(source: &Source, level: Rotation, layout: &Layout, face: Face, encoder: &JpegEncoder) -> Vec<Tile> {
    let planes = FacePlanes::sample(source, level, layout, face);
    let places: Vec<TileId> = layout.tiles().filter(|tile| tile.face == face).collect();
    places
        .into_par_iter()
        .map(|id| Tile { id, jpeg: encoder.encode(planes.rectangle(layout.levels[usize::from(id.level)], id)) })
        .collect()
}

/// One face at every level, plane by plane.
pub(super) struct FacePlanes {
    y: Vec<Square>,
    cb: Vec<Square>,
    cr: Vec<Square>,
    chroma: Chroma,
}

impl FacePlanes {
    /// Samples a face and halves it down to the last level.
    pub fn sample(source: &Source, level: Rotation, layout: &Layout, face: Face) -> FacePlanes {
        let halving = if source.chroma() == Chroma::Half { 2 } else { 1 };
        let plane = |plane: &Plane, divisor: usize| pyramid(plane, level, layout, face, divisor);
        let (y, (cb, cr)) = rayon::join(
            || plane(&source.y, 1),
            || rayon::join(|| plane(&source.cb, halving), || plane(&source.cr, halving)),
        );
        FacePlanes { y, cb, cr, chroma: source.chroma() }
    }

    /// A tile's pixels, with its border.
    pub fn rectangle(&self, level: Level, tile: TileId) -> Rectangle<'_> {
        let (left, width) = level.span(u32::from(tile.column));
        let (top, height) = level.span(u32::from(tile.row));
        let divisor = if self.chroma == Chroma::Half { 2 } else { 1 };
        let slice = |planes: &'_ [Square], divisor: usize| {
            let square = &planes[usize::from(tile.level)];
            // The border begins this far inside the margin.
            let inset = square.margin - BORDER_PX as usize / divisor;
            let start = (top as usize / divisor + inset) * square.stride() + left as usize / divisor + inset;
            start..square.samples.len()
        };
        let at = |planes: &'_ [Square], divisor| slice(planes, divisor);
        let level_of = usize::from(tile.level);
        let (y, cb, cr) = (&self.y[level_of], &self.cb[level_of], &self.cr[level_of]);
        Rectangle {
            y: (&y.samples[at(&self.y, 1)], y.stride()),
            cb: (&cb.samples[at(&self.cb, divisor)], cb.stride()),
            cr: (&cr.samples[at(&self.cr, divisor)], cr.stride()),
            width: (width + 2 * BORDER_PX) as usize,
            height: (height + 2 * BORDER_PX) as usize,
        }
    }
}

/// One plane of a face at every level; sizes and borders are divided by `divisor`.
fn pyramid(plane: &Plane, level: Rotation, layout: &Layout, face: Face, divisor: usize) -> Vec<Square> {
    let border = BORDER_PX as usize / divisor;
    let margin = (1..layout.levels.len()).fold(border, |margin, _| Square::margin_before(margin));
    let content = layout.levels[0].face_px as usize / divisor;
    let mut squares = vec![sample_face(plane, level, face, content, margin)];
    for _ in 1..layout.levels.len() {
        let half = squares[squares.len() - 1].halved();
        squares.push(half);
    }
    squares
}

/// A face at full size, with what lies beyond its edges on its own plane.
fn sample_face(plane: &Plane, level: Rotation, face: Face, content: usize, margin: usize) -> Square {
    let mut square = Square::new(content, margin);
    let stride = square.stride();
    let axes = face.axes();
    let window = Window {
        across: axes.across,
        down: axes.down,
        centre: axes.centre,
        width: stride,
        height: stride,
        unit: content as f64,
    }
    .turned(level.inverse());
    let rows = &mut square.samples[..stride * stride];
    rows.par_chunks_mut(stride * ROWS_AT_A_TIME)
        .enumerate()
        .for_each(|(chunk, rows)| sample_rows(plane, &window, chunk * ROWS_AT_A_TIME, rows));
    square
}

/// Fills some rows of a window, beginning with `first`.
pub(super) fn sample_rows(plane: &Plane, window: &Window, first: usize, rows: &mut [u8]) {
    let (mut columns, mut lines) = (vec![0; window.width], vec![0; window.width]);
    for (row, out) in rows.chunks_exact_mut(window.width).enumerate() {
        window.positions(first + row, plane, &mut columns, &mut lines);
        bicubic::sample(plane, &columns, &lines, out);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::YccPicture;
    use crate::tiles::narrow;

    /// A picture with detail of every size: soft waves, hard edges, and grain of ±6 counts.
    fn detailed(width: usize, chroma: Chroma) -> YccPicture {
        let mut state = 1u32;
        let mut grain = move || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 24) / 255.0 * 12.0 - 6.0
        };
        let mut plane = |width: usize, phase: f64| -> Vec<u8> {
            let height = width / 2;
            (0..width * height)
                .map(|i| {
                    let (x, y) = ((i % width) as f64 / width as f64, (i / width) as f64 / height as f64);
                    let waves = 40.0 * (31.0 * std::f64::consts::TAU * x + phase).sin() * (17.0 * y).cos();
                    let edges = if ((x * 57.0).floor() + (y * 23.0).floor()) as i64 % 3 == 0 { 30.0 } else { -20.0 };
                    (128.0 + waves + edges + grain()).round().clamp(0.0, 255.0) as u8
                })
                .collect()
        };
        let colour_width = if chroma == Chroma::Half { width / 2 } else { width };
        let (y, cb, cr) = (plane(width, 0.0), plane(colour_width, 1.0), plane(colour_width, 2.0));
        YccPicture { width, height: width / 2, chroma, y, cb, cr }
    }

    fn decibels(a: &[u8], b: &[u8]) -> f64 {
        let error: f64 = a.iter().zip(b).map(|(&a, &b)| (f64::from(a) - f64::from(b)).powi(2)).sum();
        10.0 * (255.0 * 255.0 * a.len() as f64 / error).log10()
    }

    /// The whole face, resampled by the general-purpose crate `imageproc` (bicubic), with directions by libm.
    fn resampled_by_imageproc(picture: &YccPicture, level: Rotation, face: Face, face_px: u32) -> Vec<u8> {
        use imageproc::geometric_transformations::{Border, Interpolation, warp_into_with};
        let (width, height) = (picture.width as u32, picture.height as u32);
        // imageproc knows no sphere: give it a picture with an apron that goes round and over the poles.
        const APRON: i64 = 8;
        let apron = image::GrayImage::from_fn(width + 2 * APRON as u32, height + 2 * APRON as u32, |x, y| {
            let (mut x, mut y) = (i64::from(x) - APRON, i64::from(y) - APRON);
            if y < 0 || y >= i64::from(height) {
                y = if y < 0 { -1 - y } else { 2 * i64::from(height) - 1 - y };
                x += i64::from(width) / 2;
            }
            let x = x.rem_euclid(i64::from(width)) as usize;
            image::Luma([picture.y[y as usize * picture.width + x]])
        });
        let mut out = image::GrayImage::new(face_px, face_px);
        let position = |x: f32, y: f32| {
            let place = |v: f32| (f64::from(v) + 0.5) / f64::from(face_px);
            let seen = level.inverse().apply(face.direction(place(x), place(y)));
            let column = (seen.longitude() / 360.0 + 0.5) * f64::from(width) - 0.5 + APRON as f64;
            let row = (0.5 - seen.latitude() / 180.0) * f64::from(height) - 0.5 + APRON as f64;
            (column as f32, row as f32)
        };
        warp_into_with(&apron, position, Interpolation::Bicubic, Border::Constant(image::Luma([0])), &mut out);
        out.into_raw()
    }

    #[test]
    fn faces_agree_with_an_independent_resampler() {
        let picture = detailed(2048, Chroma::Half);
        let layout = Layout::for_width(2048);
        let face_px = layout.levels[0].face_px;
        for level in [Rotation::IDENTITY, Rotation::from_tilt(6.0, -9.0)] {
            let source = Source::new(picture.clone());
            for face in Face::ALL {
                let planes = FacePlanes::sample(&source, level, &layout, face);
                let (square, stride) = (&planes.y[0], planes.y[0].stride());
                let ours: Vec<u8> = (0..face_px as usize)
                    .flat_map(|row| {
                        &square.samples[(row + square.margin) * stride + square.margin..][..face_px as usize]
                    })
                    .copied()
                    .collect();
                let theirs = resampled_by_imageproc(&picture, level, face, face_px);
                let likeness = decibels(&ours, &theirs);
                assert!(likeness >= 45.0, "{} face: {likeness:.1} dB", face.name());
            }
        }
    }

    /// The bytes of all tiles behind one another.
    fn all_bytes(source: &Source, level: Rotation, encoding: Encoding) -> Vec<u8> {
        let layout = Layout::for_width(source.width() as u32);
        cut(source, level, &layout, encoding).into_iter().flat_map(|tile| tile.jpeg).collect()
    }

    #[test]
    fn the_bytes_do_not_depend_on_vectors_or_threads() {
        for chroma in [Chroma::Half, Chroma::Full] {
            let source = Source::new(detailed(2048, chroma));
            let level = Rotation::from_tilt(-4.0, 3.0);
            let encoding = Encoding { quality: 85, small: chroma == Chroma::Half };
            let usual = all_bytes(&source, level, encoding);
            narrow(true);
            let plain = all_bytes(&source, level, encoding);
            narrow(false);
            assert!(usual == plain, "wide and plain code differ");
            for threads in [1, 3] {
                let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
                assert!(usual == pool.install(|| all_bytes(&source, level, encoding)), "{threads} threads differ");
            }
        }
    }

    #[test]
    fn pictures_of_odd_sizes_are_cut_too() {
        // The smallest, one with a single level, and sizes whose faces need several halvings.
        for width in [2, 6, 30, 254, 1000, 1596, 3002] {
            let source = Source::new(detailed(width, Chroma::Full));
            let layout = Layout::for_width(width as u32);
            let tiles = cut(&source, Rotation::IDENTITY, &layout, Encoding { quality: 60, small: false });
            assert_eq!(tiles.len(), layout.tiles().count());
        }
    }
}
