//! The fast road's working picture: planar 8-bit Y'CbCr, as a JPEG file has it.

/// How finely colour is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Chroma {
    /// One Cb and one Cr for every pixel (4:4:4).
    Full,
    /// One for every block of 2×2 pixels, sited at the block's centre (4:2:0).
    Half,
}

/// An equirectangular picture in sRGB, as full-range Y'CbCr after ITU-T T.871 (BT.601 weights), one plane each,
/// rows without padding. Width is even and twice the height.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct YccPicture {
    /// Columns of the luma plane.
    pub width: usize,
    /// Rows of the luma plane.
    pub height: usize,
    /// How the two chroma planes are kept.
    pub chroma: Chroma,
    /// `width × height` luma.
    pub y: Vec<u8>,
    /// Chroma blue: `width × height`, or half of each.
    pub cb: Vec<u8>,
    /// Chroma red, the same size.
    pub cr: Vec<u8>,
}

impl YccPicture {
    /// Columns and rows of a chroma plane.
    pub fn chroma_size(&self) -> (usize, usize) {
        match self.chroma {
            Chroma::Full => (self.width, self.height),
            Chroma::Half => (self.width.div_ceil(2), self.height.div_ceil(2)),
        }
    }
}
