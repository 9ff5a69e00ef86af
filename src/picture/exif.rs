//! Which way up a picture was recorded: the EXIF orientation.

/// The eight ways in which rows and columns may lie in the file, after CIPA DC-008 (tag 274): the name says where the
/// file's row 0 and column 0 are seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Orientation {
    TopLeft = 1,
    TopRight,
    BottomRight,
    BottomLeft,
    LeftTop,
    RightTop,
    RightBottom,
    LeftBottom,
}

/// The pixels of one row as it is seen, in the file's pixels: `first`, `first + step`, `first + 2·step` …
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Walk {
    pub first: usize,
    pub step: isize,
}

impl Walk {
    /// Their indices, without end: the row's own length says where to stop.
    pub fn pixels(self) -> impl Iterator<Item = usize> {
        (0..).map(move |x: isize| (self.first as isize + x * self.step) as usize)
    }
}

impl Orientation {
    /// From a tag's value; anything outside 1..=8 counts as "as it is".
    pub fn from_tag(value: u8) -> Self {
        use Orientation::*;
        let all = [TopLeft, TopRight, BottomRight, BottomLeft, LeftTop, RightTop, RightBottom, LeftBottom];
        usize::from(value).checked_sub(1).and_then(|index| all.get(index).copied()).unwrap_or(TopLeft)
    }

    /// From an EXIF block (a TIFF structure, without the `Exif` signature that JPEG puts before it). A block that is
    /// damaged or says nothing counts as "as it is".
    pub fn from_exif(block: &[u8]) -> Self {
        image::metadata::Orientation::from_exif_chunk(block)
            .map_or(Orientation::TopLeft, |orientation| Orientation::from_tag(orientation.to_exif()))
    }

    /// Width and height as seen, from those of the file.
    pub fn seen_size(self, (width, height): (u32, u32)) -> (u32, u32) {
        if self as u8 >= Orientation::LeftTop as u8 { (height, width) } else { (width, height) }
    }

    /// Where the pixels of the row `y` as seen lie in a file of `width` × `height` pixels, left to right.
    pub fn walk(self, y: usize, width: usize, height: usize) -> Walk {
        let (right, down) = (1, width as isize);
        let (last_column, last_row) = (width - 1, (height - 1) * width);
        let (first, step) = match self {
            Orientation::TopLeft => (y * width, right),
            Orientation::TopRight => (y * width + last_column, -right),
            Orientation::BottomRight => (last_row - y * width + last_column, -right),
            Orientation::BottomLeft => (last_row - y * width, right),
            Orientation::LeftTop => (y, down),
            Orientation::RightTop => (last_row + y, -down),
            Orientation::RightBottom => (last_row + last_column - y, -down),
            Orientation::LeftBottom => (last_column - y, down),
        };
        Walk { first, step }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// CIPA DC-008, tag 274: for each value, on which side the file's row 0 and column 0 are seen.
    #[test]
    fn row_and_column_nought_are_seen_where_the_standard_says() {
        let sides = [
            (1, "top", "left"),
            (2, "top", "right"),
            (3, "bottom", "right"),
            (4, "bottom", "left"),
            (5, "left", "top"),
            (6, "right", "top"),
            (7, "right", "bottom"),
            (8, "left", "bottom"),
        ];
        let (width, height) = (5, 3);
        for (value, row_side, column_side) in sides {
            let orientation = Orientation::from_tag(value);
            let (seen_width, seen_height) = orientation.seen_size((width, height));
            for y in 0..seen_height as usize {
                let walk = orientation.walk(y, width as usize, height as usize);
                for x in 0..seen_width as usize {
                    let pixel = walk.first as isize + x as isize * walk.step;
                    let (row, column) = (pixel as usize / 5, pixel as usize % 5);
                    let on = |side| match side {
                        "top" => y == 0,
                        "bottom" => y + 1 == seen_height as usize,
                        "left" => x == 0,
                        _ => x + 1 == seen_width as usize,
                    };
                    assert_eq!(row == 0, on(row_side), "orientation {value}, seen at {x}, {y}");
                    assert_eq!(column == 0, on(column_side), "orientation {value}, seen at {x}, {y}");
                }
            }
        }
    }

    #[test]
    fn nonsense_counts_as_upright() {
        assert_eq!(Orientation::from_tag(0), Orientation::TopLeft);
        assert_eq!(Orientation::from_tag(9), Orientation::TopLeft);
        assert_eq!(Orientation::from_exif(b"not exif"), Orientation::TopLeft);
        assert_eq!(Orientation::from_exif(b""), Orientation::TopLeft);
    }
}
