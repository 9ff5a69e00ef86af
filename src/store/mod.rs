//! The cache of finished work: addressed by the content that went in, deletable at any time.
//!
//! Lies in `.enfilade/` beside `tour.yaml`:
//!
//! | path | holds |
//! | --- | --- |
//! | `.gitignore` | `*`: nothing in here belongs in version control |
//! | `version` | the format of everything below, so that another Enfilade never misreads it |
//! | `packs/KEY.pack` | finished work, one [`Pack`] a key: a station's tiles, or its still |
//! | `shots.json` | what is remembered of the shots: see [`Records`] |
//!
//! Every file is written beside and renamed into place, so an interrupted run leaves a whole file or none, and several runs
//! may use one store at the same time. Whatever is not whole counts as absent and is made again.

mod bound;
mod pack;
mod records;

pub use bound::DEFAULT_LIMIT_BYTES;
pub use pack::Pack;
pub use records::{Record, RecordedPose, RecordedUpright, Records, Role, ShotFacts, Stamp, now_ns};

use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The store's folder, beside `tour.yaml`.
pub const FOLDER: &str = ".enfilade";

/// What `version` holds. The number rises with the format of packs or records.
const VERSION: &str = "enfilade store 1\n";

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
        hexadecimal(&self.0[..8])
    }

    /// All 64 hexadecimal digits.
    pub fn long(&self) -> String {
        hexadecimal(&self.0)
    }

    /// Reads what [`ContentHash::long`] wrote; `None` for anything else.
    pub fn from_long(text: &str) -> Option<Self> {
        let digits = text.as_bytes();
        if digits.len() != 64 || !digits.iter().all(|digit| matches!(digit, b'0'..=b'9' | b'a'..=b'f')) {
            return None;
        }
        let mut hash = [0; 32];
        for (byte, pair) in hash.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok()?;
        }
        Some(ContentHash(hash))
    }
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Why the store cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A file or folder of the store cannot be made, read or written.
    #[error("the store {path:?} cannot be used: {source}")]
    Unusable {
        /// Which one.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// The folder was written by an Enfilade with another format, or is something else altogether.
    #[error("the store {path:?} was made by another version of Enfilade")]
    OtherVersion {
        /// The store's folder.
        path: PathBuf,
    },
}

impl StoreError {
    /// What to do about it, as a sentence without its full stop.
    pub fn remedy(&self) -> String {
        match self {
            StoreError::Unusable { path, .. } => format!(
                "make sure that there is room on the disk and that you may write there; {:?} can be deleted at any time",
                store_folder(path)
            ),
            StoreError::OtherVersion { path } => {
                format!("delete {path:?}: it only holds work that can be made again")
            }
        }
    }
}

/// The `.enfilade` folder that a path lies in, or the path itself.
fn store_folder(path: &Path) -> &Path {
    path.ancestors().find(|folder| folder.ends_with(FOLDER)).unwrap_or(path)
}

/// The cache of one tour. Shared by all threads of a run, and by runs side by side.
#[derive(Debug)]
pub struct Store {
    folder: PathBuf,
    limit_bytes: u64,
    /// Packs that this run asked for or made: the last to be thrown out.
    used: Mutex<BTreeSet<ContentHash>>,
}

impl Store {
    /// Opens or makes the store beside a tour, bounded to [`DEFAULT_LIMIT_BYTES`].
    ///
    /// # Errors
    /// The folder cannot be made or written, or another version of Enfilade wrote it.
    pub fn open(tour_folder: &Path) -> Result<Store, StoreError> {
        Store::open_bounded(tour_folder, DEFAULT_LIMIT_BYTES)
    }

    /// The same with a bound of one's own.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub fn open_bounded(tour_folder: &Path, limit_bytes: u64) -> Result<Store, StoreError> {
        let folder = tour_folder.join(FOLDER);
        let version = folder.join("version");
        match std::fs::read(&version) {
            Ok(found) if found == VERSION.as_bytes() => {}
            Ok(_) => return Err(StoreError::OtherVersion { path: folder }),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => lay_out(&folder)?,
            Err(source) => return Err(StoreError::Unusable { path: version, source }),
        }
        Ok(Store { folder, limit_bytes, used: Mutex::default() })
    }

    /// A finished pack, if there is a whole one under this key. Notes the use, so that it is thrown out last.
    pub fn pack(&self, key: ContentHash) -> Option<Arc<Pack>> {
        let path = self.pack_path(key);
        let pack = Pack::open(&path, key).ok()?;
        self.note_use(key);
        bound::touch(&path);
        Some(Arc::new(pack))
    }

    /// Stores finished work under a key: files with their names, in any order. What stood there before is replaced.
    ///
    /// # Errors
    /// The disk is full or cannot be written; a name that [`Pack`] does not take, or that comes twice.
    pub fn put(&self, key: ContentHash, files: &[(&str, &[u8])]) -> Result<Arc<Pack>, StoreError> {
        let path = self.pack_path(key);
        let written = match replace(&path, true, |file| pack::write(file, key, files)) {
            Ok(()) => Pack::open(&path, key),
            // Windows does not replace a file that another run has open. Under the same key it holds the same work.
            Err(error) => Pack::open(&path, key).and_then(|pack| pack.verify().map(|()| pack)).map_err(|_| error),
        };
        let pack = written.map_err(|source| StoreError::Unusable { path, source })?;
        self.note_use(key);
        Ok(Arc::new(pack))
    }

    /// Throws out the packs that were not used for longest until the store is within its bound, but none that this run
    /// used; and what interrupted runs left half written. Without effect where another run was faster.
    pub fn keep_within_bound(&self) {
        let used = self.used.lock().unwrap_or_else(PoisonError::into_inner);
        bound::keep(&self.folder.join("packs"), self.limit_bytes, &used);
    }

    /// What is remembered of the tour's shots; nothing where nothing can be read.
    pub fn records(&self) -> Records {
        read_records(&self.folder)
    }

    /// The same from the store beside a tour, which is not made where there is none, for who only looks.
    pub fn records_beside(tour_folder: &Path) -> Records {
        let folder = tour_folder.join(FOLDER);
        let is_ours = std::fs::read(folder.join("version")).is_ok_and(|found| found == VERSION.as_bytes());
        if is_ours { read_records(&folder) } else { Records::default() }
    }

    /// Remembers these instead. Not synced: a lost or damaged file only costs reading the shots again.
    ///
    /// # Errors
    /// The disk is full or cannot be written.
    pub fn remember(&self, records: &Records) -> Result<(), StoreError> {
        let path = self.records_path();
        replace(&path, false, |file| Ok(serde_json::to_writer(file, records)?))
            .map_err(|source| StoreError::Unusable { path, source })
    }

    fn records_path(&self) -> PathBuf {
        self.folder.join(RECORDS)
    }

    fn pack_path(&self, key: ContentHash) -> PathBuf {
        self.folder.join("packs").join(format!("{}.pack", key.long()))
    }

    fn note_use(&self, key: ContentHash) {
        self.used.lock().unwrap_or_else(PoisonError::into_inner).insert(key);
    }
}

/// The file that records are kept in.
const RECORDS: &str = "shots.json";

fn read_records(folder: &Path) -> Records {
    let json = std::fs::read(folder.join(RECORDS)).ok();
    json.and_then(|json| serde_json::from_slice(&json).ok()).unwrap_or_default()
}

/// Makes the folders of a new store. The version comes last: with it the store is whole.
fn lay_out(folder: &Path) -> Result<(), StoreError> {
    let unusable = |source| StoreError::Unusable { path: folder.to_path_buf(), source };
    std::fs::create_dir_all(folder.join("packs")).map_err(unusable)?;
    replace(&folder.join(".gitignore"), false, |file| file.write_all(b"*\n")).map_err(unusable)?;
    replace(&folder.join("version"), true, |file| file.write_all(VERSION.as_bytes())).map_err(unusable)
}

/// Writes a file beside `path` and renames it into place; synced first where a torn file would matter.
fn replace(
    path: &Path,
    sync: bool,
    write: impl FnOnce(&mut std::io::BufWriter<&mut tempfile::NamedTempFile>) -> std::io::Result<()>,
) -> std::io::Result<()> {
    let folder = path.parent().unwrap_or(Path::new("."));
    // Somebody may have deleted it since the store was opened.
    std::fs::create_dir_all(folder)?;
    let mut builder = tempfile::Builder::new();
    builder.prefix(bound::UNFINISHED);
    // A temporary file is its owner's alone; the store is as open as the user's other files.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut beside = builder.tempfile_in(folder)?;
    let mut buffered = std::io::BufWriter::with_capacity(1 << 18, &mut beside);
    write(&mut buffered)?;
    buffered.flush()?;
    drop(buffered);
    if sync {
        beside.as_file().sync_all()?;
    }
    beside.persist(path).map_err(|error| error.error)?;
    Ok(())
}

#[cfg(test)]
mod tests;
