//! From a source to the tiles of its pyramid.
//!
//! Each face is sampled once, at full size and with a margin from the sphere beyond its edges; the smaller levels are halved
//! from it, margin and all, so that every level's tiles know what lies beyond their edge. Luma and chroma are planes of
//! their own, each sampled at its own size.
//!
//! Faces are worked on in opposite pairs: what lies behind a pixel of one lies at the mirrored pixel of the other, so
//! positions are computed once for both faces, and once for both planes of colour.

use super::encode::{JpegEncoder, Rectangle};
use super::halve::Square;
use super::layout::{BORDER_PX, Level};
use super::source::{Plane, Source};
use super::window::Window;
use super::{Encoding, Layout, Tile, TileId, bicubic};
use crate::picture::Chroma;
use crate::sphere::{Face, Rotation};
use rayon::prelude::*;

/// Rows that one thread samples at a time.
const ROWS_AT_A_TIME: usize = 32;

/// Which pixel of the second face of a pair lies behind one of the first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Behind {
    /// The one in the same column, as far from the bottom as the first is from the top.
    RowsReversed,
    /// The one in the same row, as far from the right as the first is from the left.
    ColumnsReversed,
}

const PAIRS: [([Face; 2], Behind); 3] = [
    ([Face::Px, Face::Nx], Behind::RowsReversed),
    ([Face::Py, Face::Ny], Behind::ColumnsReversed),
    ([Face::Pz, Face::Nz], Behind::RowsReversed),
];

/// Cuts a picture into its whole pyramid, on all cores. `level` turns the camera's frame into the level frame (tilt
/// taken out). Tiles come in the order of [`Layout::tiles`], the same bytes on any machine and any number of cores.
///
/// Needs about 4·(width/π)² bytes for each pair of faces that is worked on at the same time, and the finished files.
pub fn cut(source: &Source, level: Rotation, layout: &Layout, encoding: Encoding) -> Vec<Tile> {
    let encoder = JpegEncoder::new(encoding, source.chroma());
    let mut tiles: Vec<Tile> = PAIRS
        .par_iter()
        .flat_map(|&([first, second], behind)| {
            let [planes, planes_behind] = FacePlanes::sample_pair(source, level, layout, first, behind);
            let encode = |face, planes: &FacePlanes| encode_face(layout, face, planes, &encoder);
            let (mut tiles, more) = rayon::join(|| encode(first, &planes), || encode(second, &planes_behind));
            tiles.extend(more);
            tiles
        })
        .collect();
    tiles.sort_by_key(|tile| tile.id);
    tiles
}

fn encode_face(layout: &Layout, face: Face, planes: &FacePlanes, encoder: &JpegEncoder) -> Vec<Tile> {
    let places: Vec<TileId> = layout.tiles().filter(|tile| tile.face == face).collect();
    places
        .into_par_iter()
        .map(|id| Tile { id, jpeg: encoder.encode(planes.rectangle(layout.levels[usize::from(id.level)], id)) })
        .collect()
}

/// One face at every level, plane by plane.
struct FacePlanes {
    y: Vec<Square>,
    cb: Vec<Square>,
    cr: Vec<Square>,
    chroma: Chroma,
}

impl FacePlanes {
    /// Samples a face and the one behind, and halves both down to the last level.
    fn sample_pair(source: &Source, level: Rotation, layout: &Layout, face: Face, behind: Behind) -> [FacePlanes; 2] {
        let chroma = source.chroma();
        let pair = |divisor: usize| FacePair::new(layout, face, behind, level, divisor);
        let ([[y, y_behind]], [[cb, cb_behind], [cr, cr_behind]]) =
            rayon::join(|| pair(1).sample([&source.y]), || pair(divisor(chroma)).sample([&source.cb, &source.cr]));
        let pyramid = |square| pyramid(square, layout.levels.len());
        let planes = |y, cb, cr| FacePlanes { y: pyramid(y), cb: pyramid(cb), cr: pyramid(cr), chroma };
        rayon::join(|| planes(y, cb, cr), || planes(y_behind, cb_behind, cr_behind)).into()
    }

    /// A tile's pixels, with its border.
    fn rectangle(&self, level: Level, tile: TileId) -> Rectangle<'_> {
        let (left, width) = level.span(u32::from(tile.column));
        let (top, height) = level.span(u32::from(tile.row));
        let corner = |square: &Square, divisor: u32| {
            // The border begins this far inside the margin.
            let inset = square.margin - (BORDER_PX / divisor) as usize;
            ((top / divisor) as usize + inset) * square.stride() + (left / divisor) as usize + inset
        };
        let index = usize::from(tile.level);
        let (y, cb, cr) = (&self.y[index], &self.cb[index], &self.cr[index]);
        let (start, colour_start) = (corner(y, 1), corner(cb, divisor(self.chroma) as u32));
        Rectangle {
            y: (&y.samples[start..], y.stride()),
            cb: (&cb.samples[colour_start..], cb.stride()),
            cr: (&cr.samples[colour_start..], cr.stride()),
            width: (width + 2 * BORDER_PX) as usize,
            height: (height + 2 * BORDER_PX) as usize,
        }
    }
}

/// By how much planes of colour are smaller than luma.
fn divisor(chroma: Chroma) -> usize {
    match chroma {
        Chroma::Full => 1,
        Chroma::Half => 2,
    }
}

/// A plane of a face at every level, from the full size down.
fn pyramid(full: Square, levels: usize) -> Vec<Square> {
    let mut squares = vec![full];
    while squares.len() < levels {
        squares.push(squares[squares.len() - 1].halved());
    }
    squares
}

/// Two opposite faces before they are sampled: the first one's window, with what lies beyond its edges on its own plane.
struct FacePair {
    window: Window,
    behind: Behind,
    content: usize,
    margin: usize,
}

impl FacePair {
    /// Sizes and borders are divided by `divisor`.
    fn new(layout: &Layout, face: Face, behind: Behind, level: Rotation, divisor: usize) -> FacePair {
        let border = BORDER_PX as usize / divisor;
        let margin = (1..layout.levels.len()).fold(border, |margin, _| Square::margin_before(margin));
        let content = layout.levels[0].face_px as usize / divisor;
        let side = content + 2 * margin;
        let axes = face.axes();
        let window = Window {
            across: axes.across,
            down: axes.down,
            centre: axes.centre,
            width: side,
            height: side,
            unit: content as f64,
        };
        FacePair { window: window.turned(level.inverse()), behind, content, margin }
    }

    /// Both faces at full size, from each of some planes of one size.
    fn sample<const N: usize>(&self, planes: [&Plane; N]) -> [[Square; 2]; N] {
        let mut squares = planes.map(|_| [(); 2].map(|()| Square::new(self.content, self.margin)));
        let chunk = self.window.width * ROWS_AT_A_TIME;
        // One job is some rows of the first face and those of the second that lie behind, in every plane.
        let mut jobs: Vec<Vec<[&mut [u8]; 2]>> = Vec::new();
        for [face, face_behind] in &mut squares {
            let [face, face_behind] = [face.rows_mut(), face_behind.rows_mut()];
            let behind: Vec<&mut [u8]> = match self.behind {
                Behind::RowsReversed => face_behind.rchunks_mut(chunk).collect(),
                Behind::ColumnsReversed => face_behind.chunks_mut(chunk).collect(),
            };
            jobs.resize_with(behind.len(), Vec::new);
            for (job, rows) in jobs.iter_mut().zip(face.chunks_mut(chunk).zip(behind)) {
                job.push(rows.into());
            }
        }
        jobs.into_par_iter().enumerate().for_each(|(index, rows)| {
            let rows = rows.try_into().expect("one pair of rows for each plane");
            self.sample_rows(index * ROWS_AT_A_TIME, planes, rows);
        });
        squares
    }

    /// Fills some rows, beginning with `first`, in both faces of every plane.
    fn sample_rows<const N: usize>(&self, first: usize, planes: [&Plane; N], mut faces: [[&mut [u8]; 2]; N]) {
        let width = self.window.width;
        let (mut columns, mut columns_behind, mut rows) = (vec![0; width], vec![0; width], vec![0; width]);
        let count = faces[0][0].len() / width;
        for row in 0..count {
            if row == 0 || !self.window.has_steady_columns() {
                self.window.columns(first + row, planes[0], &mut columns);
                planes[0].opposite_columns(&columns, &mut columns_behind);
                if self.behind == Behind::ColumnsReversed {
                    columns_behind.reverse();
                }
            }
            self.window.rows(first + row, planes[0], &mut rows);
            bicubic::sample(planes, &columns, &rows, line(&mut faces, 0, row, width));
            planes[0].turn_to_opposite_rows(&mut rows);
            let row_behind = match self.behind {
                Behind::RowsReversed => count - 1 - row,
                Behind::ColumnsReversed => {
                    rows.reverse();
                    row
                }
            };
            bicubic::sample(planes, &columns_behind, &rows, line(&mut faces, 1, row_behind, width));
        }
    }
}

/// One row in one of the two faces of every plane.
fn line<'a, const N: usize>(
    faces: &'a mut [[&mut [u8]; 2]; N],
    face: usize,
    row: usize,
    width: usize,
) -> [&'a mut [u8]; N] {
    faces.each_mut().map(|plane| &mut plane[face][row * width..][..width])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::YccPicture;
    use crate::vectors::narrow;

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
            let pairs = PAIRS.map(|(faces, behind)| {
                let planes = FacePlanes::sample_pair(&source, level, &layout, faces[0], behind);
                faces.into_iter().zip(planes)
            });
            for (face, planes) in pairs.into_iter().flatten() {
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
