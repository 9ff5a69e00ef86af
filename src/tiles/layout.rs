//! The pyramid's layout: integers only, no pixels.
//!
//! A face is cut into equal squares of content; every file carries [`BORDER_PX`] more pixels on each side, sampled from the
//! sphere beyond the square (and beyond the face), so that a viewer may interpolate up to the very edge and 4:2:0
//! chroma has a neighbour too.

use crate::sphere::Face;

/// Pixels that a file shares with what lies beyond its square, on each side.
pub const BORDER_PX: u32 = 2;
/// Longest side of a file.
pub const LARGEST_FILE_PX: u32 = 512;

/// A whole pyramid: the same for each of the six faces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// From full size down to the level whose faces are one file each.
    pub levels: Vec<Level>,
}

/// One level of a pyramid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Level {
    /// Width and height of a face.
    pub face_px: u32,
    /// Width and height of a file's content; the last column and row may have less.
    pub content_px: u32,
    /// Files in a row, and rows.
    pub files: u32,
}

/// Which tile. Ordered by level (full size first), face, row, column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub struct TileId {
    /// Index into [`Layout::levels`].
    pub level: u8,
    pub face: Face,
    pub row: u16,
    pub column: u16,
}

impl Layout {
    /// The pyramid of an equirectangular picture `width` pixels wide.
    ///
    /// The full face is width/π (the face's centre then has the picture's density at the horizon), to the nearest
    /// multiple of 16, or of the power of two that lets every level halve exactly and stay even.
    pub fn for_width(width: u32) -> Layout {
        let ideal = f64::from(width) / std::f64::consts::PI;
        let content_limit = f64::from(LARGEST_FILE_PX - 2 * BORDER_PX);
        let mut multiple = 16.0;
        while multiple * content_limit / 2.0 < ideal {
            multiple *= 2.0;
        }
        let mut face_px = ((ideal / multiple).round() * multiple).max(16.0) as u32;
        let mut levels = Vec::new();
        loop {
            levels.push(Level::of(face_px));
            if face_px <= LARGEST_FILE_PX - 2 * BORDER_PX {
                return Layout { levels };
            }
            face_px /= 2;
        }
    }

    /// Every tile, in order.
    pub fn tiles(&self) -> impl Iterator<Item = TileId> + '_ {
        self.levels.iter().enumerate().flat_map(|(index, level)| {
            Face::ALL.into_iter().flat_map(move |face| {
                (0..level.files).flat_map(move |row| {
                    (0..level.files).map(move |column| TileId {
                        level: index as u8,
                        face,
                        row: row as u16,
                        column: column as u16,
                    })
                })
            })
        })
    }

    /// `FACESIZE/FACE-rROW-cCOL.jpg`, below the station's folder.
    pub fn file_name(&self, tile: TileId) -> String {
        let face_px = self.levels[usize::from(tile.level)].face_px;
        format!("{face_px}/{}-r{}-c{}.jpg", tile.face.name(), tile.row, tile.column)
    }
}

impl Level {
    /// Files of equal content, as few as fit, their width (with both borders) a multiple of 16, one block of 4:2:0.
    fn of(face_px: u32) -> Level {
        let files = face_px.div_ceil(LARGEST_FILE_PX - 2 * BORDER_PX);
        let with_borders = face_px.div_ceil(files) + 2 * BORDER_PX;
        let content_px = (with_borders.div_ceil(16) * 16 - 2 * BORDER_PX).min(face_px);
        Level { face_px, content_px, files }
    }

    /// Content of the file in this row or column: where it begins and how many pixels it has.
    pub fn span(&self, index: u32) -> (u32, u32) {
        let start = index * self.content_px;
        (start, self.content_px.min(self.face_px - start))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_width_gives_levels_that_halve_exactly_and_stay_even() {
        for width in (2..=32768).step_by(2) {
            let layout = Layout::for_width(width);
            for pair in layout.levels.windows(2) {
                assert_eq!(pair[0].face_px, 2 * pair[1].face_px, "{width}");
            }
            for level in &layout.levels {
                assert!(level.face_px.is_multiple_of(2) && level.content_px.is_multiple_of(2), "{width}: {level:?}");
            }
            assert_eq!(layout.levels.last().unwrap().files, 1);
            let ideal = f64::from(width) / std::f64::consts::PI;
            let off = (f64::from(layout.levels[0].face_px) - ideal).abs();
            assert!(off <= 8.0 || off <= 0.005 * ideal || ideal < 16.0, "{width}: {off} pixels from width/π");
        }
    }

    #[test]
    fn files_fill_a_face_exactly_and_fit_their_limit() {
        for width in (2..=32768).step_by(62) {
            for level in Layout::for_width(width).levels {
                let mut end = 0;
                for index in 0..level.files {
                    let (start, length) = level.span(index);
                    assert_eq!(start, end, "{width}: {level:?}");
                    assert!(length > 0 && length + 2 * BORDER_PX <= LARGEST_FILE_PX, "{width}: {level:?}");
                    end = start + length;
                }
                assert_eq!(end, level.face_px, "{width}: {level:?}");
            }
        }
    }

    #[test]
    fn names_are_made_of_level_face_row_and_column() {
        let layout = Layout::for_width(8192);
        assert_eq!(layout.levels.iter().map(|level| level.face_px).collect::<Vec<_>>(), [2608, 1304, 652, 326]);
        let names: Vec<String> = layout.tiles().map(|tile| layout.file_name(tile)).collect();
        assert_eq!(names[0], "2608/px-r0-c0.jpg");
        assert_eq!(names[1], "2608/px-r0-c1.jpg");
        assert_eq!(names.last().unwrap(), "326/nz-r0-c0.jpg");
        assert_eq!(names.len(), 6 * (36 + 9 + 4 + 1));
    }
}
