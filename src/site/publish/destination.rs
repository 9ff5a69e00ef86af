//! Whether a folder may be published to: it is new, empty, or was made by Enfilade.

use super::disk::Disk;
use super::lock::Lock;
use super::{INCOMING, PublishError, failed, marker};
use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};

/// What an interrupted first run may have left before there was a marker, and what desktops put into folders that were
/// only looked at.
const COUNTS_AS_EMPTY: [&str; 5] = [INCOMING, ".enfilade-lock", ".DS_Store", "Thumbs.db", "desktop.ini"];

/// A folder that may be written to, by nobody else as long as this lives.
#[derive(Debug)]
pub(super) struct Destination {
    /// With every link on the way to it followed.
    pub folder: PathBuf,
    /// Files that were published here before.
    pub ours: BTreeSet<String>,
    _lock: Lock,
}

impl Destination {
    /// Makes the folder if it is missing.
    pub(super) fn open(disk: &dyn Disk, to: &Path) -> Result<Self, PublishError> {
        match std::fs::metadata(to) {
            Ok(found) if found.is_dir() => {}
            Ok(_) => return Err(PublishError::NotAFolder(to.to_path_buf())),
            // A link to nowhere: what it should lead to is the photographer's to say.
            Err(_) if std::fs::symlink_metadata(to).is_ok() => return Err(PublishError::NotAFolder(to.to_path_buf())),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                disk.create_folders(to).map_err(failed("made", to))?;
            }
            Err(error) => return Err(failed("read", to)(error)),
        }
        let folder = to.canonicalize().map_err(failed("read", to))?;
        let lock = Lock::take(&folder).map_err(failed("read", to))?;
        let lock = lock.ok_or_else(|| PublishError::Busy(to.to_path_buf()))?;
        let ours = match marker::read(&folder)? {
            Some(ours) => ours,
            None => {
                refuse_foreign(&folder, to)?;
                BTreeSet::new()
            }
        };
        Ok(Destination { folder, ours, _lock: lock })
    }
}

/// Names one file that is not ours, so that the photographer sees which folder this is.
fn refuse_foreign(folder: &Path, to: &Path) -> Result<(), PublishError> {
    let names = std::fs::read_dir(folder).and_then(|entries| entries.map(|entry| Ok(entry?.file_name())).collect());
    let names: BTreeSet<std::ffi::OsString> = names.map_err(failed("read", to))?;
    match names.iter().find(|name| COUNTS_AS_EMPTY.iter().all(|empty| name != empty)) {
        Some(name) => {
            Err(PublishError::Foreign { folder: to.to_path_buf(), example: name.to_string_lossy().into_owned() })
        }
        None => Ok(()),
    }
}
