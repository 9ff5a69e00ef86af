//! The cache of finished work: addressed by the content that went in, deletable at any time.
//!
//! Lies in `.enfilade/` beside `tour.yaml`, with a `.gitignore` of its own. A finished station is one file, a [`Pack`]:
//! every tile, first light, and an index at its end. Writing beside, syncing and renaming makes an interrupted run
//! harmless.

use std::path::Path;
use std::sync::Arc;

/// A written-down hash of content: BLAKE3, shown as lower-case hexadecimal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ContentHash(pub [u8; 32]);

impl ContentHash {
    /// Of one piece of content.
    pub fn of(bytes: &[u8]) -> Self {
        ContentHash(*blake3::hash(bytes).as_bytes())
    }

    /// First 16 hexadecimal digits: enough to name a file by.
    pub fn short(&self) -> String {
        self.0[..8].iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// A finished station in one file: small named files behind one another. Only the index is held in memory.
#[derive(Debug)]
pub struct Pack {
    _todo: (),
}

impl Pack {
    /// Names of the files in it, sorted, with their sizes in bytes.
    pub fn entries(&self) -> impl Iterator<Item = (&str, u64)> {
        std::iter::empty()
    }

    /// One file's bytes.
    ///
    /// # Errors
    /// The pack was deleted or damaged since it was opened, or holds no such file.
    pub fn read(&self, name: &str) -> std::io::Result<Vec<u8>> {
        let _ = name;
        todo!("filled by the store work")
    }
}

/// The cache of one tour.
#[derive(Debug)]
pub struct Store {
    _todo: (),
}

impl Store {
    /// Opens or makes the store beside a tour.
    ///
    /// # Errors
    /// The folder cannot be made or written.
    pub fn open(tour_folder: &Path) -> std::io::Result<Store> {
        let _ = tour_folder;
        todo!("filled by the store work")
    }

    /// A finished pack, if there is a whole one under this key.
    pub fn pack(&self, key: ContentHash) -> Option<Arc<Pack>> {
        let _ = key;
        todo!("filled by the store work")
    }
}
