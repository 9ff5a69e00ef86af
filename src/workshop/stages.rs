//! What the workshop has done by others, as one small trait, so that its own rules can be tested without a pixel.

use super::looks::Side;
use crate::darkroom::doorway::{Match, MatchError};
use crate::darkroom::retouch::Doubt;
use crate::darkroom::upright::{Grey, upright};
use crate::darkroom::{self, DevelopError, Files, Recipe};
use crate::picture::{self, Chroma, Header, PictureError};
use crate::problem::Problems;
use crate::sphere::{Heading, Rotation};
use crate::store::ShotFacts;
use crate::tiles::{self, Encoding, Layout, Source, StillView, Tile};
use crate::tour::sight::{self, Pose, Sights};
use crate::tour::{StationKey, Tour};
use std::collections::BTreeMap;
use std::path::Path;

/// A tilt that vertical lines agree on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FoundTilt {
    /// Pitch and roll in degrees; 0 where the picture stands as good as upright.
    pub tilt: (f64, f64),
    /// One standard deviation, in degrees.
    pub error_deg: f64,
}

/// Why a shot cannot be used: goes on after "the shot NAME", and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Fault {
    pub what: String,
    pub instead: String,
}

impl From<PictureError> for Fault {
    fn from(error: PictureError) -> Self {
        Fault { what: error.to_string(), instead: error.remedy() }
    }
}

/// A station's finished spheres.
pub(super) struct Spheres {
    /// What visitors see.
    pub picture: Source,
    /// The same without its alterations, if there are any.
    pub unaltered: Option<Source>,
    /// What the darkroom was not sure of.
    pub doubts: Vec<Doubt>,
}

/// What is wrong with one of a station's files: which one, its shots before the materials of its repairs, and why.
pub(super) type ShotFault = (usize, Fault);

/// The stages of the picture's road, each as its own module documents it.
pub(super) trait Stages: Sync {
    /// The present moment, as [`crate::store::now_ns`] has it. Decides only what is read again, never what comes out.
    fn now_ns(&self) -> i64;
    fn read_facts(&self, path: &Path) -> Result<ShotFacts, Fault>;
    fn settle(
        &self,
        tour: &Tour,
        poses: &BTreeMap<StationKey, Pose>,
    ) -> Result<(BTreeMap<StationKey, Sights>, Problems), Problems>;
    /// What a picture's vertical lines tell of its tilt; else why they do not.
    fn upright(&self, bytes: &[u8]) -> Result<Result<FoundTilt, String>, Fault>;
    /// What brings the first station's light to that of the second one, with the second one's `light` applied. The first of the
    /// two errors says whether it is the first station's shot that cannot be read.
    fn matching(
        &self,
        sides: (Side<'_>, Side<'_>),
        light: &Recipe,
    ) -> Result<Result<Match, MatchError>, (bool, ShotFault)>;
    /// From the bytes of a station's files, of which so many, at least one, are shots, to its finished spheres.
    fn develop(&self, files: Vec<Vec<u8>>, shots: usize, recipe: &Recipe, chroma: Chroma)
    -> Result<Spheres, ShotFault>;
    fn cut(&self, source: &Source, level: Rotation, layout: &Layout, encoding: Encoding) -> Vec<Tile>;
    fn first_light(&self, source: &Source, level: Rotation) -> Vec<u8>;
    fn still(&self, source: &Source, level: Rotation, view: StillView) -> Vec<u8>;
}

pub(super) fn shot_fault(error: DevelopError) -> ShotFault {
    match error {
        DevelopError::Shot { index, source } => (index, source.into()),
        DevelopError::Patch { index, source } => {
            (index, Fault { what: source.to_string(), instead: source.remedy().to_owned() })
        }
        DevelopError::LargeView { .. } => {
            (0, Fault { what: format!("is too large: {error}"), instead: "look at a smaller field of view".to_owned() })
        }
        DevelopError::Merge(error) => {
            let shot = error.shot();
            (
                shot,
                Fault {
                    what: format!("cannot be merged with the others: {error}"),
                    instead: error.remedy().to_owned(),
                },
            )
        }
    }
}

/// Columns that are enough to compare two pictures by.
const MATCHED_WIDTH: usize = 2048;

/// The real ones.
pub(super) struct House;

impl Stages for House {
    fn now_ns(&self) -> i64 {
        crate::store::now_ns()
    }

    fn read_facts(&self, path: &Path) -> Result<ShotFacts, Fault> {
        Ok(facts(&picture::read_header(path)?))
    }

    fn settle(
        &self,
        tour: &Tour,
        poses: &BTreeMap<StationKey, Pose>,
    ) -> Result<(BTreeMap<StationKey, Sights>, Problems), Problems> {
        sight::settle(tour, poses)
    }

    fn develop(
        &self,
        files: Vec<Vec<u8>>,
        shots: usize,
        recipe: &Recipe,
        chroma: Chroma,
    ) -> Result<Spheres, ShotFault> {
        let (shots, materials) = files.split_at(shots);
        let developed = darkroom::develop(Files { shots, materials }, recipe, chroma).map_err(shot_fault)?;
        Ok(Spheres {
            picture: Source::new(developed.picture),
            unaltered: developed.unaltered.map(Source::new),
            doubts: developed.doubts,
        })
    }

    fn matching(
        &self,
        (own, other): (Side<'_>, Side<'_>),
        light: &Recipe,
    ) -> Result<Result<Match, MatchError>, (bool, ShotFault)> {
        let small =
            |shots, is_own| darkroom::small_light(shots, MATCHED_WIDTH).map_err(|error| (is_own, shot_fault(error)));
        let own_light = small(own.shots, true)?;
        let other_light = small(other.shots, false)?;
        let lit = darkroom::tone::develop(&other_light, &light.tone, light.matched.as_ref()).ycc(Chroma::Full);
        Ok(darkroom::doorway::matching((&own_light, own.door), (&lit, other.door)))
    }

    fn upright(&self, bytes: &[u8]) -> Result<Result<FoundTilt, String>, Fault> {
        let found = upright(&Grey::of_luma(&picture::decode(bytes, Chroma::Half)?));
        let tilt = if found.needs_correcting() { (found.pitch_deg(), found.roll_deg()) } else { (0.0, 0.0) };
        let error_deg = found.evidence.error_deg;
        Ok(found.doubt.map_or(Ok(FoundTilt { tilt, error_deg }), |doubt| Err(doubt.to_string())))
    }

    fn cut(&self, source: &Source, level: Rotation, layout: &Layout, encoding: Encoding) -> Vec<Tile> {
        tiles::cut(source, level, layout, encoding)
    }

    fn first_light(&self, source: &Source, level: Rotation) -> Vec<u8> {
        tiles::first_light(source, level)
    }

    fn still(&self, source: &Source, level: Rotation, view: StillView) -> Vec<u8> {
        tiles::still(source, level, view)
    }
}

fn facts(header: &Header) -> ShotFacts {
    ShotFacts {
        sphere_width: header.sphere.full_width,
        pose: (header.pose_heading.map(Heading::degrees), header.pose_pitch_deg, header.pose_roll_deg),
        warnings: header.warnings.clone(),
        upright: None,
    }
}
