//! A Tour and its finished stations become pages, `walk.json`, and a published folder.

use crate::problem::Problems;
use crate::store::Pack;
use crate::tiles::Layout;
use crate::tour::sight::Sights;
use crate::tour::{StationKey, Tour};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A finished station, as the site needs it.
#[derive(Clone, Debug)]
pub struct StationFiles {
    /// Names the station's folder: `stations/SLUG-HASH`.
    pub hash: String,
    /// The pyramid's layout.
    pub layout: Layout,
    /// Tiles under [`Layout::file_name`], and `first-light.jpg`.
    pub pack: Arc<Pack>,
    /// The opening view as a flat JPEG.
    pub still: Arc<[u8]>,
}

/// Where a file's bytes come from.
#[derive(Clone, Debug)]
pub enum Content {
    /// Held in memory.
    Bytes(Arc<[u8]>),
    /// A file inside a pack.
    Packed(Arc<Pack>, String),
    /// A file of the photographer's, copied as it is.
    File(PathBuf),
}

/// A whole site, as paths with forward slashes and where each one's bytes come from. Not yet on disk.
#[derive(Clone, Debug, Default)]
pub struct Site {
    /// Named by their content: may be cached for ever; added first, removed last.
    pub lasting: BTreeMap<String, Content>,
    /// `walk.json`, then the pages: replaced in place, in this order.
    pub changing: Vec<(String, Content)>,
}

/// Composes the whole site. Pure: reads templates of the tour's own `templates/`, nothing else, writes nothing.
///
/// # Errors
/// A template of the tour that Tera refuses, with file and line.
pub fn compose(
    tour: &Tour,
    sights: &BTreeMap<StationKey, Sights>,
    stations: &BTreeMap<StationKey, StationFiles>,
) -> Result<Site, Problems> {
    let _ = (tour, sights, stations);
    todo!("filled by the site work")
}

/// What publishing did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Published {
    pub files_written: usize,
    pub files_kept: usize,
    pub files_removed: usize,
}

/// Brings a folder to a site's state, so that somebody walking through it sees the old walkthrough or the new one.
///
/// # Errors
/// A folder that Enfilade did not make; anything that cannot be written.
pub fn publish(site: &Site, to: &Path) -> Result<Published, Problems> {
    let _ = (site, to);
    todo!("filled by the site work")
}
