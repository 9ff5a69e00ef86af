//! A Tour and its finished stations become pages, `walk.json`, and a published folder.
//!
//! [`compose()`] decides what the site is: which file lies where, and what is in it. [`publish()`] brings a folder to that
//! state. Between the two stands a [`Site`], which the live preview serves without writing it anywhere.

mod about;
mod clean;
mod compose;
mod page;
mod publish;
mod script_comments;
mod style_comments;
mod templates;
#[cfg(test)]
mod testing;
mod viewer;
pub mod walk;
mod words;

pub use compose::compose;
pub use publish::{Published, publish};

use crate::store::Pack;
use crate::tiles::Layout;
use std::collections::BTreeMap;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;

/// A finished station, as the site needs it.
#[derive(Clone, Debug)]
pub struct StationFiles {
    /// Names the station's folder: `stations/SLUG-HASH`.
    pub hash: String,
    /// The pyramid's layout.
    pub layout: Layout,
    /// Tiles under [`Layout::file_name`], and `first-light.jpg`; the unaltered ones that differ under [`UNALTERED_FOLDER`].
    pub pack: Arc<dyn Bundle>,
    /// The opening view as a flat JPEG.
    pub still: Arc<[u8]>,
    /// What each of the station's alterations covers, as it was, as flat JPEGs in their order.
    pub unaltered_stills: Vec<Arc<[u8]>>,
}

/// Where a station's folder, and its pack, hold what of the unaltered picture is not the same as in the picture itself.
pub const UNALTERED_FOLDER: &str = "unaltered";

/// Files that are read by name when they are wanted, as from a store's [`Pack`]. Their sizes are known before.
pub trait Bundle: std::fmt::Debug + Send + Sync {
    /// Names of the files in it, sorted, with their sizes in bytes.
    fn entries(&self) -> Box<dyn Iterator<Item = (&str, u64)> + '_>;

    /// One file's bytes.
    ///
    /// # Errors
    /// There is no such file, or the bundle was deleted or damaged since it was opened.
    fn read(&self, name: &str) -> io::Result<Vec<u8>>;
}

impl Bundle for Pack {
    fn entries(&self) -> Box<dyn Iterator<Item = (&str, u64)> + '_> {
        Box::new(Pack::entries(self))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        Pack::read(self, name)
    }
}

/// Where a file's bytes come from.
#[derive(Clone, Debug)]
pub enum Content {
    /// Held in memory.
    Bytes(Arc<[u8]>),
    /// A file inside a bundle; also a picture or drawing of the photographer's, which is cleaned as it is read.
    Packed(Arc<dyn Bundle>, String),
    /// A file on disk, copied as it is.
    File(PathBuf),
}

impl Content {
    /// The bytes, as they are served and published.
    ///
    /// # Errors
    /// What they come from was deleted, damaged or changed since the site was composed.
    pub fn read(&self) -> io::Result<Vec<u8>> {
        match self {
            Content::Bytes(bytes) => Ok(bytes.to_vec()),
            Content::Packed(bundle, name) => bundle.read(name),
            Content::File(path) => std::fs::read(path),
        }
    }
}

/// A whole site, as paths with forward slashes and where each one's bytes come from. Not yet on disk.
#[derive(Clone, Debug, Default)]
pub struct Site {
    /// Named by their content: may be cached for ever; added first, removed last.
    pub lasting: BTreeMap<String, Content>,
    /// `walk.json`, then the pages: replaced in place, in this order.
    pub changing: Vec<(String, Content)>,
}

impl Site {
    /// What lies at a path of the site.
    pub fn get(&self, path: &str) -> Option<&Content> {
        let changing = || self.changing.iter().find(|(name, _)| name == path).map(|(_, content)| content);
        self.lasting.get(path).or_else(changing)
    }
}
