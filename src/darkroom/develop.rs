//! From a station's shots to its finished sphere, by the steps of its recipe.

use super::merge::{self, Exposed, FusionSettings, MergeError};
use super::retouch::{self, Doubt, FlatLight, FlatView, PatchError, RetouchError, Retouched};
use super::{Recipe, tone};
use crate::picture::linear::{LinearPicture, LinearRows};
use crate::picture::{self, Bitmap, Chroma, PictureError, YccPicture};
use crate::sphere::Direction;

/// Columns of a picture that are enough to see whether it has changed.
const COMPARED_COLUMNS: usize = 2048;

/// Why a station's picture cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum DevelopError {
    /// One of the shots, or one of the materials after them, cannot be read.
    #[error("{source}")]
    Shot {
        /// Which one, in the order given.
        index: usize,
        /// What is wrong with it.
        source: PictureError,
    },
    /// One of the materials is not the painted patch, or the twin of one, that it should be.
    #[error("{source}")]
    Patch {
        /// Which one, counted from the first shot.
        index: usize,
        /// What is wrong with it.
        source: PatchError,
    },
    /// The shots make no bracket.
    #[error("{0}")]
    Merge(#[from] MergeError),
    /// A flat view with more pixels than could be read back.
    #[error("the flat view would be {side_px}×{side_px} pixels, more than can be read back")]
    LargeView {
        /// Columns and rows.
        side_px: usize,
    },
}

/// Everything that a station's picture is made of: whole files.
#[derive(Clone, Copy)]
pub struct Files<'a> {
    /// One, or the exposures of a bracket.
    pub shots: &'a [Vec<u8>],
    /// What its repairs need, in the order in which they name it.
    pub materials: &'a [Vec<u8>],
}

/// A station's finished spheres, 8-bit sRGB, in their own frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Developed {
    /// What visitors see.
    pub picture: YccPicture,
    /// The same without what was altered, but for privacy; `None` where nothing else was.
    pub unaltered: Option<YccPicture>,
    /// What its repairs were not sure of.
    pub doubts: Vec<Doubt>,
}

/// The finished spheres of a station, which has at least one shot.
///
/// # Errors
/// A file that cannot be decoded; shots that cannot be merged.
pub fn develop(files: Files<'_>, recipe: &Recipe, chroma: Chroma) -> Result<Developed, DevelopError> {
    if let ([shot], true) = (files.shots, recipe.keeps_tone()) {
        let picture = picture::decode(shot, chroma).map_err(|source| DevelopError::Shot { index: 0, source })?;
        return repaired(picture, files, recipe);
    }
    let light = light(files.shots)?;
    let stages = retouched(&*light, files, recipe)?;
    let doubts = stages.doubts.clone();
    let model = Model::of(&stages.unaltered, recipe);
    let unaltered = model.developed(&stages.unaltered).ycc(chroma);
    Ok(match &stages.altered {
        Some(altered) => {
            Developed { picture: model.developed(altered).ycc(chroma), unaltered: Some(unaltered), doubts }
        }
        None => Developed { picture: unaltered, unaltered: None, doubts },
    })
}

/// The fast road: only what is altered leaves 8 bits, and nothing else changes.
fn repaired(picture: YccPicture, files: Files<'_>, recipe: &Recipe) -> Result<Developed, DevelopError> {
    if recipe.retouch.is_empty() {
        return Ok(Developed { picture, unaltered: None, doubts: Vec::new() });
    }
    let stages = retouched(&picture, files, recipe)?;
    let doubts = stages.doubts.clone();
    let with = |changes: &Retouched<'_>| {
        let mut changed = picture.clone();
        changes.write_into(&mut changed);
        changed
    };
    let unaltered = with(&stages.unaltered);
    Ok(match &stages.altered {
        Some(altered) => Developed { picture: with(altered), unaltered: Some(unaltered), doubts },
        None => Developed { picture: unaltered, unaltered: None, doubts },
    })
}

/// The same with 16 bits a channel, for export, as visitors see it.
///
/// # Errors
/// As [`develop`].
pub fn develop_deep(files: Files<'_>, recipe: &Recipe) -> Result<Bitmap, DevelopError> {
    let light = light(files.shots)?;
    let stages = retouched(&*light, files, recipe)?;
    let model = Model::of(&stages.unaltered, recipe);
    let finished = model.developed(stages.altered.as_ref().unwrap_or(&stages.unaltered));
    let (width, height) = finished.size();
    let mut bitmap = Bitmap { width, height, samples: vec![0; 3 * width * height] };
    finished.rgb16(0..height, &mut bitmap.samples);
    Ok(bitmap)
}

/// What a tone is worked out from: always the picture before it is altered, so that a repair changes the tone of nothing else.
struct Model<'a> {
    before: &'a dyn LinearRows,
    recipe: &'a Recipe,
}

impl<'a> Model<'a> {
    fn of(before: &'a dyn LinearRows, recipe: &'a Recipe) -> Self {
        Model { before, recipe }
    }

    fn developed(&self, rows: &'a dyn LinearRows) -> tone::Finished<'a> {
        tone::develop_like(rows, self.before, &self.recipe.tone, self.recipe.matched.as_ref())
    }
}

fn retouched<'a>(
    light: &'a dyn LinearRows,
    files: Files<'_>,
    recipe: &Recipe,
) -> Result<retouch::Stages<'a>, DevelopError> {
    retouch::retouch(light, &recipe.retouch, files.materials).map_err(|error| of_material(error, files.shots.len()))
}

fn of_material(error: RetouchError, shots: usize) -> DevelopError {
    match error {
        RetouchError::Material { index, source } => DevelopError::Shot { index: shots + index, source },
        RetouchError::Patch { index, source } => DevelopError::Patch { index: shots + index, source },
    }
}

/// A view of a station's picture before its tone, with all of its repairs: what somebody paints on. It has as many pixels as
/// lose nothing of the picture. `field_deg` is the angle across it.
///
/// # Errors
/// As [`develop`]; a view larger than is read again.
pub fn flat_view(
    files: Files<'_>,
    recipe: &Recipe,
    middle: Direction,
    field_deg: f64,
) -> Result<FlatLight, DevelopError> {
    let light = light(files.shots)?;
    let view = FlatView::without_loss(middle, field_deg / 2.0, light.size().0);
    if view.side_px > picture::LONGEST_FLAT_SIDE as usize {
        return Err(DevelopError::LargeView { side_px: view.side_px });
    }
    let stages = retouched(&*light, files, recipe)?;
    Ok(view.look(stages.altered.as_ref().unwrap_or(&stages.unaltered)))
}

/// By how much what each patch was painted on differs from what is there now, with the number of the repair: see
/// [`retouch::difference_from_twin`].
///
/// # Errors
/// As [`develop`].
pub fn differences_from_twins(files: Files<'_>, recipe: &Recipe) -> Result<Vec<(usize, f64)>, DevelopError> {
    let light = small_light(files.shots, COMPARED_COLUMNS)?;
    // Says what is wrong with any of the materials.
    retouched(&light, files, recipe)?;
    let difference = |index: usize| {
        let repairs = (&recipe.retouch[..], index);
        let found = retouch::difference_from_twin(&light, repairs, files.materials);
        let found = found.map_err(|error| of_material(error, files.shots.len())).transpose()?;
        Some(found.map(|difference| (index, difference)))
    };
    (0..recipe.retouch.len()).filter_map(difference).collect()
}

/// The light of a station's shots with at most so many columns, before its repairs and its tone: for trying these out.
///
/// # Errors
/// As [`develop`].
pub fn small_light(shots: &[Vec<u8>], most_columns: usize) -> Result<LinearPicture, DevelopError> {
    Ok(LinearPicture::shrunk(&*light(shots)?, most_columns))
}

/// What visitors would see of a small light.
///
/// # Errors
/// A material that cannot be decoded.
pub fn proof(
    light: &LinearPicture,
    materials: &[Vec<u8>],
    recipe: &Recipe,
    chroma: Chroma,
) -> Result<YccPicture, DevelopError> {
    let stages = retouched(light, Files { shots: &[], materials }, recipe)?;
    let model = Model::of(&stages.unaltered, recipe);
    Ok(model.developed(stages.altered.as_ref().unwrap_or(&stages.unaltered)).ycc(chroma))
}

/// The light of a station's one picture: its shot's, or what its bracket is fused to.
fn light(shots: &[Vec<u8>]) -> Result<Box<dyn LinearRows + Send>, DevelopError> {
    let mut opened = open_all(shots)?;
    if opened.len() == 1 {
        return Ok(opened.remove(0));
    }
    let mut fused = merge::fuse(&exposed(shots, &opened), &FusionSettings::default())?;
    // What even the darkest shot could not hold is white in the fused picture, too.
    fused.full_scale = opened[0].full_scale();
    Ok(Box::new(fused))
}

/// The light itself, brighter than white where a bracket's darker shots show it: white is 1 in the shot of middle exposure.
/// With its repairs, without tone, and not brought to any look. A single shot gives the light that it holds.
///
/// # Errors
/// As [`develop`].
pub fn radiance(files: Files<'_>, recipe: &Recipe) -> Result<LinearPicture, DevelopError> {
    let opened = open_all(files.shots)?;
    let light = match &opened[..] {
        [shot] => LinearPicture::of(&**shot),
        _ => merge::radiance(&exposed(files.shots, &opened), &FusionSettings::default())?,
    };
    if recipe.retouch.is_empty() {
        return Ok(light);
    }
    let stages = retouched(&light, files, recipe)?;
    Ok(LinearPicture::of(stages.altered.as_ref().unwrap_or(&stages.unaltered)))
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
