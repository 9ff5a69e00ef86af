//! Why shots cannot be merged, and what the photographer can do about it.

use super::MOST_SHOTS;

/// Why shots cannot be merged. Shots are counted from 0 in the order in which they were given.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[allow(missing_docs)]
pub enum MergeError {
    /// One shot, or none.
    #[error("{count} shot cannot be merged: a bracket has at least two")]
    TooFew { count: usize },
    /// More than [`MOST_SHOTS`].
    #[error("{count} shots are too many for one bracket: at most {MOST_SHOTS} are merged")]
    TooMany { count: usize },
    /// Sizes differ.
    #[error(
        "the shots differ in size: shot {} is {}×{}, but the first is {}×{}", .shot + 1, .size.0, .size.1, .first.0, .first.1
    )]
    Sizes { shot: usize, size: (usize, usize), first: (usize, usize) },
    /// What a shot shows cannot be laid on what the others show.
    #[error("shot {} does not show the same place as shot {}", .shot + 1, .reference + 1)]
    AnotherPlace { shot: usize, reference: usize },
    /// All as light as each other.
    #[error("all {count} shots have the same exposure, so there is nothing to merge")]
    SameExposure { count: usize },
}

impl MergeError {
    /// The shot that the trouble is about; the first where it is about all.
    pub fn shot(&self) -> usize {
        match self {
            MergeError::Sizes { shot, .. } | MergeError::AnotherPlace { shot, .. } => *shot,
            MergeError::TooFew { .. } | MergeError::TooMany { .. } | MergeError::SameExposure { .. } => 0,
        }
    }

    /// What to do about it, as a sentence without its full stop.
    pub fn remedy(&self) -> &'static str {
        match self {
            MergeError::TooFew { .. } => "List every exposure of the bracket, or one file without brackets around it",
            MergeError::TooMany { .. } => "List fewer exposures, two stops apart from the darkest to the lightest",
            MergeError::Sizes { .. } => "Export all exposures at the same size",
            MergeError::AnotherPlace { .. } => {
                "Take the file out if it belongs to another room; if the tripod was moved, list one exposure only"
            }
            MergeError::SameExposure { .. } => "List one of them only, or the files that were taken lighter and darker",
        }
    }
}
