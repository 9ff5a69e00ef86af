//! From a station's shots to its finished sphere, by the steps of its recipe.

use super::merge::{self, Exposed, FusionSettings, MergeError};
use super::{Recipe, tone};
use crate::picture::linear::{LinearPicture, LinearRows};
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
    /// The shots make no bracket.
    #[error("{0}")]
    Merge(#[from] MergeError),
}

/// The finished sphere, 8-bit sRGB, in its own frame. `shots` are whole files, at least one.
///
/// # Errors
/// A shot that cannot be decoded; shots that cannot be merged.
pub fn develop(shots: &[Vec<u8>], recipe: &Recipe, chroma: Chroma) -> Result<YccPicture, DevelopError> {
    if let ([shot], true) = (shots, recipe.is_plain()) {
        return picture::decode(shot, chroma).map_err(|source| DevelopError::Shot { index: 0, source });
    }
    let light = light(shots)?;
    Ok(tone::develop(&*light, &recipe.tone, recipe.matched.as_ref()).ycc(chroma))
}

/// The same with 16 bits a channel, for export.
///
/// # Errors
/// As [`develop`].
pub fn develop_deep(shots: &[Vec<u8>], recipe: &Recipe) -> Result<Bitmap, DevelopError> {
    let light = light(shots)?;
    let finished = tone::develop(&*light, &recipe.tone, recipe.matched.as_ref());
    let (width, height) = finished.size();
    let mut bitmap = Bitmap { width, height, samples: vec![0; 3 * width * height] };
    finished.rgb16(0..height, &mut bitmap.samples);
    Ok(bitmap)
}

/// The light of a station's shots with at most so many columns, before its tone: for trying tones out.
///
/// # Errors
/// As [`develop`].
pub fn small_light(shots: &[Vec<u8>], most_columns: usize) -> Result<LinearPicture, DevelopError> {
    Ok(LinearPicture::shrunk(&*light(shots)?, most_columns))
}

/// The light of a station's one picture: its shot's, or what its bracket is fused to.
fn light(shots: &[Vec<u8>]) -> Result<Box<dyn LinearRows + Send>, DevelopError> {
    let mut opened = open_all(shots)?;
    if opened.len() == 1 {
        return Ok(opened.remove(0));
    }
    Ok(Box::new(merge::fuse(&exposed(shots, &opened), &FusionSettings::default())?))
}

/// The light itself, brighter than white where a bracket's darker shots show it: white is 1 in the shot of middle exposure.
/// Without tone, and not brought to any look. `shots` are whole files, at least one; a single shot gives the light that
/// it holds.
///
/// # Errors
/// As [`develop`].
pub fn radiance(shots: &[Vec<u8>]) -> Result<LinearPicture, DevelopError> {
    let opened = open_all(shots)?;
    if let [shot] = &opened[..] {
        return Ok(LinearPicture::of(&**shot));
    }
    Ok(merge::radiance(&exposed(shots, &opened), &FusionSettings::default())?)
}

fn open_all(shots: &[Vec<u8>]) -> Result<Vec<Box<dyn LinearRows + Send>>, DevelopError> {
    let open = |(index, bytes): (usize, &Vec<u8>)| {
        picture::open_linear(bytes).map_err(|source| DevelopError::Shot { index, source })
    };
    shots.iter().enumerate().map(open).collect()
}

/// Each shot with the exposure that its file says.
fn exposed<'a>(shots: &[Vec<u8>], opened: &'a [Box<dyn LinearRows + Send>]) -> Vec<Exposed<'a>> {
    let said = |bytes: &Vec<u8>| Some(picture::read_exposure(bytes)?.ev100());
    shots.iter().zip(opened).map(|(bytes, rows)| Exposed { rows: &**rows, ev100: said(bytes) }).collect()
}
