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
mod lay;
mod membrane;
mod name;
mod patch;
mod veil;
mod written;

pub use changes::Retouched;
pub use flat::FlatView;
pub use flat_light::FlatLight;
pub use patch::PatchError;
pub use written::repairs;

use crate::picture::linear::{LinearPicture, LinearRows};
use crate::picture::{self, FlatPicture, PictureError};
use crate::sphere::{Direction, Region, Spot};
use clone::Copy;
use lay::{feathered, lay};
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
    let (private, others): (Vec<&Repair>, Vec<&Repair>) = repairs.iter().partition(|repair| repair.is_private);
    let workroom = Workroom { private: &private, materials };
    let mut unaltered = Retouched::new(sphere);
    workroom.make(&private, &mut unaltered)?;
    let mut altered = None;
    if !others.is_empty() {
        let mut all = unaltered.clone();
        workroom.make(&others, &mut all)?;
        workroom.make(&private, &mut all)?;
        altered = Some(all);
    }
    Ok(Stages { unaltered, altered })
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

struct Workroom<'w> {
    private: &'w [&'w Repair],
    materials: &'w [Vec<u8>],
}

impl Workroom<'_> {
    fn make(&self, repairs: &[&Repair], on: &mut Retouched<'_>) -> Result<(), RetouchError> {
        for repair in repairs {
            let layer = match &repair.kind {
                RepairKind::Blur(region) => blur::blur(on, region),
                RepairKind::Fill(region) => fill_region(on, region),
                RepairKind::FillTripod { radius_deg, .. } => {
                    fill_region(on, &disc::nadir(radius_deg.unwrap_or(crate::tour::retouch::USUAL_TRIPOD_DEG)))
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
        self.make(&without_other_shots(self.private), &mut discreet)?;
        Ok(clone::clone(on, onto, &Copy { source: &discreet, from, turned_clockwise_deg }))
    }
}

/// Repairs that can be made on any shot of the same view.
fn without_other_shots<'r>(repairs: &[&'r Repair]) -> Vec<&'r Repair> {
    let needs_another = |repair: &Repair| matches!(repair.kind, RepairKind::Clone { from_shot: Some(_), .. });
    repairs.iter().filter(|repair| !needs_another(repair)).copied().collect()
}

/// How much further than a hole one looks for what may fill it.
const SURROUNDINGS: f64 = 2.0;
/// Pixels of the sphere over which a fill passes into what surrounds it, outside the region.
const FILL_FEATHER_PX: f64 = 3.0;

fn fill_region(sphere: &Retouched<'_>, region: &Region) -> changes::Layer {
    let px_deg = 360.0 / sphere.size().0 as f64;
    let feather_deg = FILL_FEATHER_PX * px_deg;
    let seen_deg = (SURROUNDINGS * region.reach_deg() + 8.0 * feather_deg).min(70.0);
    let view = FlatView::without_loss(region.middle(), seen_deg, sphere.size().0);
    let mut picture = view.look(sphere);
    let share = |direction| feathered(region.distance_deg(direction), feather_deg);
    let hole: Vec<bool> = (0..picture.pixels.len())
        .map(|index| {
            let [right, up, ahead] = view.ray((index % view.side_px) as f64, (index / view.side_px) as f64);
            share(Direction::normalized(right, up, ahead)) > 0.0
        })
        .collect();
    let forbidden = vec![false; hole.len()];
    fill::fill(&mut picture, &hole, &forbidden);
    lay(sphere, region.middle(), region.reach_deg() + feather_deg, &|direction| {
        Some((picture.sample(view.pixel(direction)?), share(direction)))
    })
}
