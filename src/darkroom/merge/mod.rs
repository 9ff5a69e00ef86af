//! Merge: a bracket of exposures becomes one picture.
//!
//! ```text
//! shots ─ how light (exposure) ─ how turned (align, turned) ─ what moved (ghosts) ─┬─ fusion    a picture to look at
//!                                                                                  └─ radiance  light, for export
//! ```

mod align;
mod curve;
mod error;
mod exposure;
mod fusion;
mod ghosts;
mod overview;
mod pyramid;
mod radiance;
mod stack;
mod strip;
mod turned;
mod weights;
mod wide;

pub use error::MergeError;
pub use weights::FusionSettings;

use crate::picture::linear::LinearPicture;
use crate::picture::linear::{LinearRows, Row};
use crate::sphere::Rotation;
use overview::Overview;
use strip::Scene;

/// Most shots of a bracket: more bring nothing that a tripod's camera could still tell apart.
pub const MOST_SHOTS: usize = 9;

/// One shot of a bracket.
#[derive(Clone, Copy)]
pub struct Exposed<'a> {
    /// Its picture. White of the file is 1.
    pub rows: &'a dyn LinearRows,
    /// Exposure value at ISO 100 from the file's EXIF ([`crate::picture::Exposure::ev100`]): one more means half the light.
    pub ev100: Option<f64>,
}

/// What [`examine`] found.
#[derive(Clone, Debug, PartialEq)]
pub struct Bracket {
    /// The shot that the others are laid on: the one in the middle of the exposures, the darker of two.
    pub reference: usize,
    /// Stops of light of each shot over the reference; 0 for all where neither files nor pictures tell.
    pub stops: Vec<f64>,
    /// Whether `stops` were found; if not, nothing is taken for having moved.
    pub stops_known: bool,
    /// How each shot is turned: from directions in the reference to directions in the shot.
    pub rotations: Vec<Rotation>,
    /// Correlation of each shot's details with the reference's, −1 to 1; `None` where there was too little to see.
    pub agreements: Vec<Option<f64>>,
}

/// Fuses a bracket into a picture that shows all that the shots show, in linear BT.2020 once more, about as light as their middle.
///
/// Exposure fusion works on the values of an sRGB display and overshoots a little: light may lie outside 0..=1.
///
/// # Errors
/// See [`MergeError`].
pub fn fuse(shots: &[Exposed<'_>], settings: &FusionSettings) -> Result<LinearPicture, MergeError> {
    with_scene(shots, settings, |scene, _| fusion::blend(scene))
}

/// Merges a bracket into light. The reference's white is 1; what only darker shots show lies above. `settings` say
/// whether shots are aligned and what moved is suppressed; weights are Debevec and Malik's.
///
/// # Errors
/// See [`MergeError`].
pub fn radiance(shots: &[Exposed<'_>], settings: &FusionSettings) -> Result<LinearPicture, MergeError> {
    with_scene(shots, settings, |scene, bracket| radiance::merge(scene, &bracket.stops))
}

/// Exposures and rotations of a bracket, without merging it.
///
/// # Errors
/// See [`MergeError`].
pub fn examine(shots: &[Exposed<'_>], settings: &FusionSettings) -> Result<Bracket, MergeError> {
    check(shots)?;
    let overviews: Vec<Overview> = shots.iter().map(|shot| Overview::of(shot.rows)).collect();
    judge(shots, &overviews, settings)
}

fn check(shots: &[Exposed<'_>]) -> Result<(), MergeError> {
    if shots.len() < 2 {
        return Err(MergeError::TooFew { count: shots.len() });
    }
    if shots.len() > MOST_SHOTS {
        return Err(MergeError::TooMany { count: shots.len() });
    }
    let (first, sizes) = (shots[0].rows.size(), shots.iter().map(|shot| shot.rows.size()));
    match sizes.enumerate().find(|(_, size)| *size != first) {
        Some((shot, size)) => Err(MergeError::Sizes { shot, size, first }),
        None => Ok(()),
    }
}

/// Shots whose exposures differ by less than this, in stops, are no bracket.
const LEAST_STEP_EV: f64 = 0.1;

fn judge(shots: &[Exposed<'_>], overviews: &[Overview], settings: &FusionSettings) -> Result<Bracket, MergeError> {
    let ev100: Vec<Option<f64>> = shots.iter().map(|shot| shot.ev100).collect();
    let stops = exposure::relative_stops(&ev100, overviews);
    if stops.iter().all(|stops| stops.is_some_and(|stops| stops.abs() < LEAST_STEP_EV)) {
        return Err(MergeError::SameExposure { count: shots.len() });
    }
    let order = exposure::by_lightness(overviews);
    let reference = order[(order.len() - 1) / 2];
    let zero = stops[reference];
    let stops_known = stops.iter().all(Option::is_some);
    let stops = stops.iter().map(|stops| stops.zip(zero).map_or(0.0, |(stops, zero)| stops - zero)).collect();
    let mut bracket = Bracket {
        reference,
        stops,
        stops_known,
        rotations: vec![Rotation::IDENTITY; shots.len()],
        agreements: vec![None; shots.len()],
    };
    if settings.align {
        bracket.align(overviews, &order)?;
    }
    Ok(bracket)
}

impl Bracket {
    /// Lays each shot on its neighbour in exposure, from the reference outwards: neighbours show most in common.
    fn align(&mut self, overviews: &[Overview], order: &[usize]) -> Result<(), MergeError> {
        let levels: Vec<_> = overviews.iter().map(align::levels).collect();
        let middle = (order.len() - 1) / 2;
        let darker = (1..=middle).rev().map(|i| (order[i], order[i - 1]));
        let lighter = (middle..order.len() - 1).map(|i| (order[i], order[i + 1]));
        for (laid, shot) in darker.chain(lighter) {
            let found = align::align(&levels[laid], &levels[shot]);
            let apart = found.agreement.is_some_and(|agreement| agreement < align::LEAST_AGREEMENT);
            let rotation = align::times(found.rotation, self.rotations[laid]);
            self.agreements[shot] = found.agreement;
            if apart || (found.agreement.is_some() && align::angle_deg(rotation) > align::FARTHEST_DEG) {
                return Err(MergeError::AnotherPlace { shot, reference: self.reference });
            }
            if found.agreement.is_some() {
                self.rotations[shot] = rotation;
            }
        }
        Ok(())
    }
}

/// A shot that is turned by less than this many pixels at the horizon stays as it is: sampling it anew would cost more sharpness than
/// it brings.
const LEAST_MOVE_PX: f64 = 0.25;

/// A shot as it is, or turned into place.
enum Placed<'a> {
    AsItIs(&'a dyn LinearRows),
    Turned(LinearPicture),
}

impl<'a> Placed<'a> {
    fn new(rows: &'a dyn LinearRows, rotation: Rotation) -> Placed<'a> {
        let moved_px = align::angle_deg(rotation) / 360.0 * rows.size().0 as f64;
        if moved_px < LEAST_MOVE_PX { Placed::AsItIs(rows) } else { Placed::Turned(turned::turned(rows, rotation)) }
    }

    fn rows(&self) -> &dyn LinearRows {
        match self {
            Placed::AsItIs(rows) => *rows,
            Placed::Turned(picture) => picture,
        }
    }

    fn size(&self) -> (usize, usize) {
        self.rows().size()
    }

    fn read(&self, y: usize, row: &mut Row) {
        self.rows().read(y, row);
    }
}

fn with_scene(
    shots: &[Exposed<'_>],
    settings: &FusionSettings,
    merge: impl FnOnce(&Scene<'_>, &Bracket) -> LinearPicture,
) -> Result<LinearPicture, MergeError> {
    check(shots)?;
    let mut overviews: Vec<Overview> = shots.iter().map(|shot| Overview::of(shot.rows)).collect();
    let bracket = judge(shots, &overviews, settings)?;
    let placed: Vec<Placed<'_>> =
        shots.iter().zip(&bracket.rotations).map(|(shot, &rotation)| Placed::new(shot.rows, rotation)).collect();
    for (overview, placed) in overviews.iter_mut().zip(&placed) {
        if let Placed::Turned(picture) = placed {
            *overview = Overview::of(picture);
        }
    }
    let suppress = settings.suppress_ghosts && bracket.stops_known;
    let moved = suppress.then(|| ghosts::find(&overviews, &bracket.stops)).flatten();
    drop(overviews);
    Ok(merge(&Scene { shots: &placed, settings, moved: moved.as_ref() }, &bracket))
}
