//! A Tour becomes independent jobs with keys; what is not in the store is made.
//!
//! A [`Plan`] looks at every shot without decoding one, settles headings and directions, and holds one job a station.
//! Jobs know nothing of each other: any of them may be run, in any order, and give the same bytes. [`make`] runs all;
//! a preview can run first what is being looked at.

mod job;
mod line;
mod looks;
mod patches;
mod pieces;
mod plan;
mod proof;
mod shots;
mod stages;
mod upright;

pub use patches::{check_patches, flat_view};
pub use plan::{FinishedSphere, Plan, SphereOfLight};
pub use proof::ProofBench;

use crate::problem::Problems;
use crate::site::StationFiles;
use crate::tour::sight::Sights;
use crate::tour::{StationKey, Tour};
use std::collections::BTreeMap;

/// How a run is made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Slower encoding, far smaller files, for the final hand-over.
    pub small: bool,
    /// Read and hash every shot, whatever its times say, and every stored file.
    pub verify: bool,
}

/// What a run tells while it goes on. Every station that [`Progress::Planned`] counted is told of once, unless its picture
/// cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Progress {
    /// The shots of so many stations need reading, out of so many.
    Planned {
        /// Not in the store, or not known to be.
        to_cut: usize,
        /// All that were asked for.
        stations: usize,
    },
    /// A station's tiles were cut.
    Cut(StationKey),
    /// Only a station's still was drawn anew: its tiles were in the store.
    StillDrawn(StationKey),
    /// A station's shot was read and all of its work found in the store.
    Kept(StationKey),
}

/// Everything that the site needs of the pictures.
#[derive(Clone, Debug)]
pub struct Made {
    /// Headings and directions, with what the files say of themselves.
    pub sights: BTreeMap<StationKey, Sights>,
    /// Finished stations.
    pub stations: BTreeMap<StationKey, StationFiles>,
    /// How many stations had their tiles cut by this run.
    pub cut: usize,
    /// What somebody should look at.
    pub warnings: Problems,
}

/// Makes what is missing and returns everything. Memory does not grow with the number of rooms.
///
/// # Errors
/// Every picture that cannot be used, with its place in the description: those whose headers say so before any is cut,
/// else those whose content turns out to be damaged. Doors whose direction nothing tells. A store that cannot be
/// used. What was finished before stays in the store.
pub fn make(tour: &Tour, options: Options, progress: &(dyn Fn(Progress) + Sync)) -> Result<Made, Problems> {
    make_with(&stages::House, tour, options, progress)
}

fn make_with(
    stages: &dyn stages::Stages,
    tour: &Tour,
    options: Options,
    progress: &(dyn Fn(Progress) + Sync),
) -> Result<Made, Problems> {
    let mut plan = Plan::with_stages(stages, tour, options)?;
    let all: Vec<StationKey> = tour.stations().map(|station| station.key.clone()).collect();
    let run = plan.run(&all, progress)?;
    let mut warnings = plan.warnings().clone();
    warnings.extend(run.warnings);
    Ok(Made { sights: plan.into_sights(), stations: run.stations, cut: run.cut, warnings })
}

/// What some stations of a plan became.
#[derive(Clone, Debug)]
pub struct Run {
    /// Finished stations.
    pub stations: BTreeMap<StationKey, StationFiles>,
    /// How many had their tiles cut by this run.
    pub cut: usize,
    /// What somebody should look at.
    pub warnings: Problems,
}

/// Looks at every shot and settles every direction without making anything: what `check` needs. Decodes only pictures whose
/// tilt is to be found out and is not remembered.
///
/// # Errors
/// Every shot whose headers say that it cannot be used; else doors and steps whose direction nothing tells.
pub fn survey(tour: &Tour) -> Result<Surveyed, Problems> {
    let stages = &stages::House;
    let records = crate::store::Store::records_beside(&tour.folder);
    let mut seen = shots::look_at_all(tour, &records, stages)?;
    upright::find_all(tour, &mut seen, stages)?;
    let (sights, warnings) = plan::settle(tour, &seen, stages)?;
    Ok(Surveyed { sights, uprights: upright::told(tour, &seen).collect(), warnings })
}

/// What a survey found.
#[derive(Clone, Debug)]
pub struct Surveyed {
    /// Headings and directions.
    pub sights: BTreeMap<StationKey, Sights>,
    /// A sentence for each station whose tilt its picture told: how it leaned, and how sure that is.
    pub uprights: Vec<String>,
    /// What somebody should look at.
    pub warnings: Problems,
}

#[cfg(test)]
mod tests;
