//! Keeps two builds from writing to one folder at the same time.

use std::fs::{File, TryLockError};
use std::io;
use std::path::Path;

/// Held until dropped, or until the process ends, however it ends.
#[derive(Debug)]
pub(super) struct Lock {
    _file: Option<File>,
}

/// The file that is locked where a folder cannot be.
#[cfg(not(unix))]
pub(super) const NAME: &str = ".enfilade-lock";

impl Lock {
    /// `None` if another process, or another thread of this one, holds it.
    ///
    /// # Errors
    /// The folder cannot be opened.
    pub(super) fn take(folder: &Path) -> io::Result<Option<Lock>> {
        let file = Lock::file(folder)?;
        match file.try_lock() {
            Ok(()) => Ok(Some(Lock { _file: Some(file) })),
            Err(TryLockError::WouldBlock) => Ok(None),
            // Some network disks know no locks. Publishing there is better than refusing to.
            Err(TryLockError::Error(_)) => Ok(Some(Lock { _file: None })),
        }
    }

    /// The folder itself: nothing is left behind in it.
    #[cfg(unix)]
    fn file(folder: &Path) -> io::Result<File> {
        File::open(folder)
    }

    #[cfg(not(unix))]
    fn file(folder: &Path) -> io::Result<File> {
        File::options().write(true).create(true).truncate(false).open(folder.join(NAME))
    }
}
