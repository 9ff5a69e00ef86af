//! What the workshop has done by others, as one small trait, so that its own rules can be tested without a pixel.

use crate::darkroom::{self, DevelopError, Recipe};
use crate::picture::{self, Chroma, Header, PictureError};
use crate::problem::Problems;
use crate::sphere::{Heading, Rotation};
use crate::store::ShotFacts;
use crate::tiles::{self, Encoding, Layout, Source, StillView, Tile};
use crate::tour::sight::{self, Pose, Sights};
use crate::tour::{StationKey, Tour};
use std::collections::BTreeMap;
use std::path::Path;

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

/// What is wrong with one of a station's shots: which one, and why.
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
    /// Pitch and roll in degrees that a picture's vertical lines tell; `None` where they do not.
    fn upright(&self, bytes: &[u8]) -> Result<Option<(f64, f64)>, Fault>;
    /// From the bytes of a station's shots, at least one, to its finished sphere.
    fn develop(&self, shots: Vec<Vec<u8>>, recipe: &Recipe, chroma: Chroma) -> Result<Source, ShotFault>;
    fn cut(&self, source: &Source, level: Rotation, layout: &Layout, encoding: Encoding) -> Vec<Tile>;
    fn first_light(&self, source: &Source, level: Rotation) -> Vec<u8>;
    fn still(&self, source: &Source, level: Rotation, view: StillView) -> Vec<u8>;
}

pub(super) fn shot_fault(error: DevelopError) -> ShotFault {
    match error {
        DevelopError::Shot { index, source } => (index, source.into()),
    }
}

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

    fn develop(&self, shots: Vec<Vec<u8>>, recipe: &Recipe, chroma: Chroma) -> Result<Source, ShotFault> {
        darkroom::develop(&shots, recipe, chroma).map(Source::new).map_err(shot_fault)
    }

    fn upright(&self, bytes: &[u8]) -> Result<Option<(f64, f64)>, Fault> {
        let _ = picture::decode(bytes, Chroma::Half)?;
        Ok(None)
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
