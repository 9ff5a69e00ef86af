//! The live server: the same site as `build` makes, kept up to date while the photographer works.

use crate::problem::Problems;
use std::path::PathBuf;

/// How a preview is run.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PreviewOptions {
    /// A folder with a `tour.yaml`, or that file.
    pub tour: PathBuf,
    /// The port on the loopback address; `None`: any that is free.
    pub port: Option<u16>,
    /// Say only where the preview is.
    pub quiet: bool,
}

/// Serves a tour until the process ends.
///
/// # Errors
/// What keeps the server from starting.
pub fn run(options: &PreviewOptions, say: &dyn Fn(&str), show: &dyn Fn(&Problems)) -> Result<(), Problems> {
    let _ = (options, say, show);
    todo!("filled by the preview work")
}
