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
