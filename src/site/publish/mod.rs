//! Brings a folder to a site's state. Somebody walking through it sees the old walkthrough or the new one, never a
//! mixture; an interruption at any moment is harmless, and the next publishing puts it right.
//!
//! In this order:
//! 1. the marker lists the old files and the new, so that whatever is interrupted later is known to be ours;
//! 2. lasting files are written aside, synced, moved into place, and synced again: nothing names them yet;
//! 3. `walk.json` and then the pages are written aside, synced, and renamed over the old ones;
//! 4. files that only the old site named are removed, and folders that this empties;
//! 5. the marker lists the new files alone.
//!
//! Whatever the marker does not list was not made here and is left alone.

mod destination;
mod disk;
mod lock;
mod marker;
mod survey;

use super::{Content, Site};
use crate::problem::{Problem, Problems};
use destination::Destination;
use disk::{Disk, RealDisk};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};
use survey::Survey;

/// Files on their way, inside the published folder so that renaming is one step.
const INCOMING: &str = ".enfilade-incoming";

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
/// Where nothing changed, nothing is written: lasting files are looked at by name and size, the others by content.
/// Memory: one file a thread.
///
/// # Errors
/// A folder that Enfilade did not make (it is neither empty nor holds our marker); a file of somebody else's in the way;
/// another build writing there at the same time; anything that cannot be read or written.
pub fn publish(site: &Site, to: &Path) -> Result<Published, Problems> {
    publish_through(&RealDisk, site, to).map_err(|error| Problem::from(error).into())
}

fn publish_through(disk: &dyn Disk, site: &Site, to: &Path) -> Result<Published, PublishError> {
    let destination = Destination::open(disk, to)?;
    let survey = Survey::of(site, &destination)?;
    let published = Published {
        files_written: survey.missing.len() + survey.differing.len(),
        files_kept: survey.kept,
        files_removed: survey.stale.len(),
    };
    let run = Run { disk, folder: &destination.folder, incoming: destination.folder.join(INCOMING) };
    run.clear_incoming()?;
    if survey.nothing_to_do(&destination.ours) {
        return Ok(published);
    }
    if !survey.wanted.is_subset(&destination.ours) {
        run.mark(&destination.ours.union(&survey.wanted).cloned().collect())?;
    }
    run.add(&survey.missing)?;
    for (name, bytes) in &survey.differing {
        run.replace(name, bytes)?;
    }
    run.remove(&survey)?;
    if destination.ours != survey.wanted {
        run.mark(&survey.wanted)?;
    }
    run.clear_incoming()?;
    Ok(published)
}

/// Steps that change the folder.
struct Run<'a> {
    disk: &'a dyn Disk,
    folder: &'a Path,
    incoming: PathBuf,
}

impl Run<'_> {
    /// Takes away what an interrupted run or this one left on its way.
    fn clear_incoming(&self) -> Result<(), PublishError> {
        match std::fs::symlink_metadata(&self.incoming) {
            Ok(_) => self.disk.remove_tree(&self.incoming).map_err(failed("removed", &self.incoming)),
            Err(_) => Ok(()),
        }
    }

    fn mark(&self, ours: &BTreeSet<String>) -> Result<(), PublishError> {
        self.replace(marker::NAME, &marker::to_json(ours))
    }

    /// Adds lasting files, in parallel.
    fn add(&self, missing: &[(&str, &Content)]) -> Result<(), PublishError> {
        if missing.is_empty() {
            return Ok(());
        }
        let aside = self.incoming.join("files");
        let folders: BTreeSet<_> =
            missing.iter().filter_map(|(path, _)| aside.join(path).parent().map(PathBuf::from)).collect();
        for folder in &folders {
            self.disk.create_folders(folder).map_err(failed("made", folder))?;
        }
        let written: Vec<_> =
            missing.par_iter().map(|(path, content)| self.write(&aside.join(path), content)).collect();
        written.into_iter().collect::<Result<(), _>>()?;
        self.disk.sync_below(self.folder).map_err(failed("synced", self.folder))?;
        self.move_in(&aside, self.folder)?;
        self.disk.sync_below(self.folder).map_err(failed("synced", self.folder))
    }

    fn write(&self, path: &Path, content: &Content) -> Result<(), PublishError> {
        let bytes = content.read().map_err(PublishError::Source)?;
        self.disk.write(path, &bytes).map_err(failed("written", path))
    }

    /// Renames everything below `from` to its place below `to`: whole folders where there is none yet.
    fn move_in(&self, from: &Path, to: &Path) -> Result<(), PublishError> {
        let entries = std::fs::read_dir(from).and_then(Iterator::collect::<io::Result<Vec<_>>>);
        let mut entries = entries.map_err(failed("read", from))?;
        entries.sort_by_key(std::fs::DirEntry::file_name);
        for entry in entries {
            let place = to.join(entry.file_name());
            let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
            if is_folder && std::fs::symlink_metadata(&place).is_ok() {
                self.move_in(&entry.path(), &place)?;
            } else {
                self.disk.rename(&entry.path(), &place).map_err(failed("written", &place))?;
            }
        }
        Ok(())
    }

    /// Puts one file in place of another, in one step, and makes that last before anything else is done.
    fn replace(&self, name: &str, bytes: &[u8]) -> Result<(), PublishError> {
        let (aside, place) = (self.incoming.join("next"), self.folder.join(name));
        self.disk.create_folders(&self.incoming).map_err(failed("made", &self.incoming))?;
        self.disk.write(&aside, bytes).map_err(failed("written", &place))?;
        self.disk.sync(&aside).map_err(failed("synced", &place))?;
        self.disk.rename(&aside, &place).map_err(failed("written", &place))?;
        self.disk.sync(self.folder).map_err(failed("synced", self.folder))
    }

    /// Removes what only the old site named, and folders that are empty then.
    fn remove(&self, survey: &Survey<'_>) -> Result<(), PublishError> {
        if survey.stale.is_empty() {
            return Ok(());
        }
        let mut folders = BTreeSet::new();
        for name in &survey.stale {
            let path = self.folder.join(name);
            folders.extend(folders_above(name).map(|folder| self.folder.join(folder)));
            match self.disk.remove_file(&path) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(failed("removed", &path)(error)),
                _ => {}
            }
        }
        for folder in folders.iter().rev() {
            match self.disk.remove_folder(folder) {
                Err(error) if is_harmless(&error) => {}
                other => other.map_err(failed("removed", folder))?,
            }
        }
        // The marker that no longer lists them must not outlive them on a disk that loses its power.
        self.disk.sync_below(self.folder).map_err(failed("synced", self.folder))
    }
}

/// A folder that holds something else, or is gone already.
fn is_harmless(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::DirectoryNotEmpty | io::ErrorKind::NotFound)
}

/// `a/b` and `a` for `a/b/c`.
fn folders_above(path: &str) -> impl Iterator<Item = &str> {
    path.rmatch_indices('/').map(|(at, _)| &path[..at])
}

/// Says what was being done, and to what, when the system refused.
fn failed(done: &'static str, path: &Path) -> impl Fn(io::Error) -> PublishError {
    let path = path.to_path_buf();
    move |source| PublishError::Refused { done, path: path.clone(), source }
}

/// Why a folder was not brought to a site's state.
#[derive(Debug, thiserror::Error)]
enum PublishError {
    #[error("`{0}` is not a folder")]
    NotAFolder(PathBuf),
    #[error("`{folder}` was not made by Enfilade: it holds `{example}`")]
    Foreign { folder: PathBuf, example: String },
    #[error("`{0}` was made by a newer Enfilade")]
    Newer(PathBuf),
    #[error("`{0}` does not list an Enfilade site's files")]
    DamagedMarker(PathBuf),
    #[error("another build is writing to `{0}`")]
    Busy(PathBuf),
    #[error("`{0}` stands where a file of the site belongs, and was not made by Enfilade")]
    InTheWay(PathBuf),
    #[error("a finished file cannot be read: {0}")]
    Source(io::Error),
    #[error("`{path}` cannot be {done}: {source}")]
    Refused { done: &'static str, path: PathBuf, source: io::Error },
}

impl PublishError {
    fn remedy(&self) -> &'static str {
        match self {
            PublishError::NotAFolder(_) => "name a folder with `--to`",
            PublishError::Foreign { .. } => "name an empty or a new folder with `--to`",
            PublishError::Newer(_) => "publish with that version, or name another folder with `--to`",
            PublishError::DamagedMarker(_) => {
                "name another folder with `--to`, and delete this one when nothing in it is needed"
            }
            PublishError::Busy(_) => "wait until it has finished",
            PublishError::InTheWay(_) => "move it somewhere else",
            PublishError::Source(_) => "build again with `--verify`",
            PublishError::Refused { source, .. } => match source.kind() {
                io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => "make room on the disk and build again",
                io::ErrorKind::PermissionDenied => "see that you may write there, or name another folder with `--to`",
                io::ErrorKind::ReadOnlyFilesystem => "name a folder on another disk with `--to`",
                _ => "see that the disk is there and works, and build again",
            },
        }
    }
}

impl From<PublishError> for Problem {
    fn from(error: PublishError) -> Self {
        Problem::error(error.to_string(), error.remedy())
    }
}

#[cfg(test)]
mod tests;
