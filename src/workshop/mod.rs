//! A Tour becomes independent jobs with keys; what is not in the store is made.

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
    /// Read and hash every shot, whatever its times say.
    pub verify: bool,
}

/// What a run tells while it goes on.
#[derive(Clone, Debug)]
pub enum Progress {
    /// So many stations need cutting, out of so many.
    Planned {
        /// Not in the store.
        to_cut: usize,
        /// All of the tour's.
        stations: usize,
    },
    /// A station is finished.
    Cut(StationKey),
}

/// Everything that the site needs of the pictures.
#[derive(Clone, Debug)]
pub struct Made {
    /// Headings and directions, with what the files say of themselves.
    pub sights: BTreeMap<StationKey, Sights>,
    /// Finished stations.
    pub stations: BTreeMap<StationKey, StationFiles>,
    /// What somebody should look at.
    pub warnings: Problems,
}

/// Makes what is missing and returns everything. Memory does not grow with the number of rooms.
///
/// # Errors
/// Every picture that cannot be used, with its place in the description; doors whose direction nothing tells.
pub fn make(tour: &Tour, options: Options, progress: &(dyn Fn(Progress) + Sync)) -> Result<Made, Problems> {
    let _ = (tour, options, progress);
    todo!("filled by the workshop work")
}
