//! A sphere becomes a pyramid of tiles: layout in integers, sampling, encoding.
//!
//! | file | concern |
//! | --- | --- |
//! | `layout` | which faces, levels and files there are |
//! | `source` | the picture, laid out for sampling |
//! | `window` | where a flat window's pixels lie in it |
//! | `bicubic` | interpolation there |
//! | `halve` | the next smaller level |
//! | `cut` | all of a pyramid's files |
//! | `flat` | stills and first light |
//! | `encode` | planes to JPEG |
//! | `quantisation` | how finely each frequency is kept |
//! | `search` | the tables that suit a small tile |
//! | `loss` | how far a decoded tile is from its source |
//! | `sharpen` | the colour that halved chroma probably came from |
//! | `wide` | one code for plain and wide vectors |

mod bicubic;
mod cut;
mod encode;
mod flat;
mod halve;
pub mod layout;
mod loss;
mod quantisation;
mod search;
mod sharpen;
mod source;
mod wide;
mod window;

pub use cut::cut;
pub use flat::{FIRST_LIGHT_BYTES, StillView, first_light, still};
pub use layout::{Layout, Level, TileId};
pub use source::Source;

/// How tiles are encoded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Encoding {
    /// JPEG quality, 1..=100.
    pub quality: u8,
    /// Slower, with far smaller files.
    pub small: bool,
}

/// One finished file of a pyramid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tile {
    /// Which one.
    pub id: TileId,
    /// The file's bytes.
    pub jpeg: Vec<u8>,
}
