//! Repairs: what is altered in a station's picture, after the merge and before its tone.
//!
//! ```text
//! sphere ─ privacy ─┬──────────────────────── what visitors may compare with
//!                   └─ all others ─ privacy ─ what they see
//! ```
//!
//! A repair is fixed to the picture's own frame and works on flat views of it, so that nothing is stretched; what comes out
//! is laid back with a feathered edge. It changes the pixels that it covers and no others, to the last bit.
//!
//! Privacy comes first, so that nothing copied or filled from a private region carries it elsewhere, and once more last, so
//! that nothing lies over it that shows it.

mod area;
mod band;
mod blur;
mod changed;
mod changes;
mod clone;
mod disc;
mod distance;
mod eight_bit;
mod fill;
mod flat;
mod flat_light;
mod hole;
mod lay;
mod mask;
mod membrane;
mod name;
mod patch;
pub mod tripod;
mod veil;
mod written;

pub use changes::Retouched;
pub use fill::fill;
pub use flat::FlatView;
pub use flat_light::FlatLight;
pub use mask::Mask;
pub use patch::PatchError;
pub use written::repairs;

use crate::picture::linear::{LinearPicture, LinearRows};
use crate::picture::{self, FlatPicture, PictureError};
use crate::sphere::{Direction, Region, Spot};
use clone::Copy;
use patch::{Painting, Part};

/// One repair, as data. Files are numbers in the list of materials.
#[derive(Clone, Debug, PartialEq)]
pub struct Repair {
    /// What is done.
    pub kind: RepairKind,
    /// Whether it keeps something private.
    pub is_private: bool,
}

/// What a repair does.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum RepairKind {
    /// The tripod is filled from the floor around it.
    FillTripod { radius_deg: Option<f64>, with_shadow: bool },
    /// A region is filled from its surroundings.
    Fill(Region),
    /// A region is covered with what is seen elsewhere, in this picture or in another sphere.
    Clone { onto: Region, from: Option<Spot>, from_shot: Option<usize>, turned_clockwise_deg: f64 },
    /// What was painted on a flat view, and differs from its untouched twin, is laid back.
    Patch { painted: usize, twin: usize, middle: Spot, field_of_view_deg: f64 },
    /// A region is made unreadable.
    Blur(Region),
    /// A disc of one sRGB colour lies on the floor below the camera.
    PlainDisc { radius_deg: f64, colour: [u8; 3] },
    /// A picture lies on the floor below the camera.
    PictureDisc { radius_deg: f64, picture: usize },
}

/// Why a repair cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum RetouchError {
    /// A file that it needs cannot be read as a picture.
    #[error("{source}")]
    Material {
        /// Which one of the materials.
        index: usize,
        /// What is wrong with it.
        source: PictureError,
    },
    /// A painted patch, or its twin, is not what belongs there.
    #[error("{source}")]
    Patch {
        /// Which one of the materials.
        index: usize,
        /// What is wrong with it.
        source: PatchError,
    },
}

/// A sphere with its repairs, in two stages.
pub struct Stages<'a> {
    /// What is owed to who wants to compare: privacy kept, nothing else altered.
    pub unaltered: Retouched<'a>,
    /// What visitors see; `None` where it is the same.
    pub altered: Option<Retouched<'a>>,
    /// What was not sure.
    pub doubts: Vec<Doubt>,
}

/// What a repair was not sure of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// Which of the repairs.
    pub repair: usize,
    /// A sentence without its full stop.
    pub what: String,
}

/// Makes a sphere's repairs. `materials` are whole files.
///
/// # Errors
/// A material that cannot be used.
pub fn retouch<'a>(
    sphere: &'a dyn LinearRows,
    repairs: &[Repair],
    materials: &[Vec<u8>],
) -> Result<Stages<'a>, RetouchError> {
    let (private, others): (Vec<Numbered>, Vec<Numbered>) =
        repairs.iter().enumerate().partition(|(_, repair)| repair.is_private);
    let workroom = Workroom { private: &private, materials };
    let mut doubts = Vec::new();
    let mut unaltered = Retouched::new(sphere);
    workroom.make(&private, &mut unaltered, &mut doubts)?;
    let mut altered = None;
    if !others.is_empty() {
        let mut all = unaltered.clone();
        workroom.make(&others, &mut all, &mut doubts)?;
        // What they are not sure of was said the first time.
        workroom.make(&private, &mut all, &mut Vec::new())?;
        altered = Some(all);
    }
    Ok(Stages { unaltered, altered, doubts })
}

/// By how much what a painted view shows now differs from the twin of the patch `repairs[index]`: the mean difference of values on sRGB's curve,
/// 0 to 1, the tenth that differs most left out. `None` where that repair is no patch.
///
/// # Errors
/// A material that cannot be used.
pub fn difference_from_twin(
    sphere: &dyn LinearRows,
    (repairs, index): (&[Repair], usize),
    materials: &[Vec<u8>],
) -> Result<Option<f64>, RetouchError> {
    let RepairKind::Patch { twin, middle, field_of_view_deg, .. } = repairs[index].kind else { return Ok(None) };
    let opened = picture::open_flat(&materials[twin]);
    let untouched = opened.map_err(|source| RetouchError::Material { index: twin, source })?;
    let before = retouch(sphere, &repairs[..index], materials)?;
    let rows = before.altered.as_ref().unwrap_or(&before.unaltered);
    Ok(Some(patch::difference(&untouched, rows, middle.direction(), field_of_view_deg)))
}

/// A repair and its place in the list.
type Numbered<'r> = (usize, &'r Repair);

struct Workroom<'w> {
    private: &'w [Numbered<'w>],
    materials: &'w [Vec<u8>],
}

impl Workroom<'_> {
    fn make(
        &self,
        repairs: &[Numbered<'_>],
        on: &mut Retouched<'_>,
        doubts: &mut Vec<Doubt>,
    ) -> Result<(), RetouchError> {
        for (index, repair) in repairs {
            let layer = match &repair.kind {
                RepairKind::Blur(region) => blur::blur(on, region),
                RepairKind::Fill(region) => hole::fill_region(on, region),
                RepairKind::FillTripod { radius_deg, with_shadow } => {
                    let (layer, unsure) = hole::fill_tripod(on, *radius_deg, *with_shadow);
                    doubts.extend(unsure.map(|unsure| Doubt { repair: *index, what: unsure.to_string() }));
                    layer
                }
                RepairKind::Clone { onto, from, from_shot, turned_clockwise_deg } => {
                    let from = from.map_or(onto.middle(), Spot::direction);
                    self.clone(on, onto, (from, *from_shot), *turned_clockwise_deg)?
                }
                RepairKind::PlainDisc { radius_deg, colour } => disc::plain(on, *radius_deg, *colour),
                &RepairKind::PictureDisc { radius_deg, picture } => {
                    disc::picture(on, radius_deg, &self.flat_picture(picture)?)
                }
                &RepairKind::Patch { painted, twin, middle, field_of_view_deg } => {
                    self.patch(on, [painted, twin], (middle.direction(), field_of_view_deg))?
                }
            };
            on.add(layer);
        }
        Ok(())
    }

    fn flat_picture(&self, index: usize) -> Result<FlatPicture, RetouchError> {
        picture::open_flat(&self.materials[index]).map_err(|source| RetouchError::Material { index, source })
    }

    fn patch(
        &self,
        on: &Retouched<'_>,
        [painted, twin]: [usize; 2],
        (middle, field_deg): (Direction, f64),
    ) -> Result<changes::Layer, RetouchError> {
        if self.materials[painted] == self.materials[twin] {
            return Ok(changes::Layer::default());
        }
        let (opened, untouched) = rayon::join(|| self.flat_picture(painted), || self.flat_picture(twin));
        let painting = Painting::new(opened?, untouched?).map_err(|(part, source)| RetouchError::Patch {
            index: if part == Part::Painted { painted } else { twin },
            source,
        })?;
        let laid = painting.lay_back(on, middle, field_deg);
        laid.map_err(|source| RetouchError::Patch { index: painted, source })
    }

    fn clone(
        &self,
        on: &Retouched<'_>,
        onto: &Region,
        (from, from_shot): (Direction, Option<usize>),
        turned_clockwise_deg: f64,
    ) -> Result<changes::Layer, RetouchError> {
        let Some(index) = from_shot else {
            return Ok(clone::clone(on, onto, &Copy { source: on, from, turned_clockwise_deg }));
        };
        let opened = picture::open_linear(&self.materials[index]);
        let other = opened.map_err(|source| RetouchError::Material { index, source })?;
        let other = LinearPicture::of(&*other);
        // The other shot shows what is private, too.
        let mut discreet = Retouched::new(&other);
        self.make(&without_other_shots(self.private), &mut discreet, &mut Vec::new())?;
        Ok(clone::clone(on, onto, &Copy { source: &discreet, from, turned_clockwise_deg }))
    }
}

/// Repairs that can be made on any shot of the same view.
fn without_other_shots<'r>(repairs: &[Numbered<'r>]) -> Vec<Numbered<'r>> {
    let needs_another = |repair: &Repair| matches!(repair.kind, RepairKind::Clone { from_shot: Some(_), .. });
    repairs.iter().filter(|(_, repair)| !needs_another(repair)).copied().collect()
}
