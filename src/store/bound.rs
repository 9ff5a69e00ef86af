//! Keeps the store within its bound: what was not used for longest goes first.
//!
//! Use is noted as the pack file's modification time, which survives a killed run and needs no shared list that two
//! runs could overwrite for each other.

use super::ContentHash;
use std::collections::BTreeSet;
use std::fs::{DirEntry, OpenOptions};
use std::path::Path;
use std::time::{Duration, SystemTime};

/// Room for some two thousand stations of 8192×4096 pictures, counted in bytes of packs.
pub const DEFAULT_LIMIT_BYTES: u64 = 8 << 30;

/// How the names of files that are still being written begin.
pub(super) const UNFINISHED: &str = ".unfinished-";

/// No file takes longer to write than this; what is older was left by a run that was killed.
const ABANDONED_AFTER: Duration = Duration::from_secs(3600);

/// Notes that a pack was used now. A store that cannot be written only loses the order of throwing out.
pub(super) fn touch(path: &Path) {
    if let Ok(file) = OpenOptions::new().write(true).open(path) {
        let _ = file.set_modified(SystemTime::now());
    }
}

/// Removes what is too much from a folder of packs, least recently used first, but nothing in `used`.
///
/// A file that cannot be looked at or removed is left: another run may have been faster.
pub(super) fn keep(packs: &Path, limit_bytes: u64, used: &BTreeSet<ContentHash>) {
    let Ok(folder) = std::fs::read_dir(packs) else { return };
    let mut total_bytes = 0;
    let mut candidates = Vec::new();
    for entry in folder.flatten() {
        let Ok(metadata) = entry.metadata() else { continue };
        let modified = metadata.modified().unwrap_or(SystemTime::UNIX_EPOCH);
        if is_abandoned(&entry, modified) {
            let _ = std::fs::remove_file(entry.path());
        } else if let Some(key) = pack_key(&entry) {
            total_bytes += metadata.len();
            if !used.contains(&key) {
                candidates.push((modified, key, metadata.len(), entry.path()));
            }
        }
    }
    candidates.sort();
    for (_, _, bytes, path) in candidates {
        if total_bytes <= limit_bytes {
            return;
        }
        if std::fs::remove_file(path).is_ok() {
            total_bytes -= bytes;
        }
    }
}

/// The key in a pack's name; `None` for anything else that lies there.
fn pack_key(entry: &DirEntry) -> Option<ContentHash> {
    ContentHash::from_long(entry.file_name().to_str()?.strip_suffix(".pack")?)
}

fn is_abandoned(entry: &DirEntry, modified: SystemTime) -> bool {
    entry.file_name().to_str().is_some_and(|name| name.starts_with(UNFINISHED))
        && modified.elapsed().is_ok_and(|age| age > ABANDONED_AFTER)
}
