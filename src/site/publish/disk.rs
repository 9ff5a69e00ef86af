//! Everything that publishing does to a disk, so that tests can interrupt it between any two steps.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

/// Changes to a disk. Reading needs no seam.
pub(super) trait Disk: Sync {
    /// A folder and those above it, as far as they are missing.
    fn create_folders(&self, path: &Path) -> io::Result<()>;
    /// A file with these bytes, new or emptied first. Lasts once [`Disk::sync`] or [`Disk::sync_below`] has returned.
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;
    /// One file's bytes, or one folder's names.
    fn sync(&self, path: &Path) -> io::Result<()>;
    /// All that was written below a folder.
    fn sync_below(&self, folder: &Path) -> io::Result<()>;
    /// In one step, over a file that is there.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// One file or link.
    fn remove_file(&self, path: &Path) -> io::Result<()>;
    /// One empty folder.
    fn remove_folder(&self, path: &Path) -> io::Result<()>;
    /// A folder with all that is in it; links are removed, not followed.
    fn remove_tree(&self, path: &Path) -> io::Result<()>;
}

/// The disk itself. Permissions are what the user's umask leaves of 0644 and 0755.
pub(super) struct RealDisk;

impl Disk for RealDisk {
    fn create_folders(&self, path: &Path) -> io::Result<()> {
        fs::create_dir_all(path)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = File::create(path)?;
        file.write_all(bytes)?;
        // Linux has one call for a whole file system, far quicker than thousands for thousands of tiles.
        if cfg!(target_os = "linux") { Ok(()) } else { file.sync_all() }
    }

    fn sync(&self, path: &Path) -> io::Result<()> {
        // Windows opens no folder this way, and keeps renames in order by itself.
        if cfg!(unix) || path.is_file() { File::open(path)?.sync_all() } else { Ok(()) }
    }

    #[cfg(target_os = "linux")]
    fn sync_below(&self, folder: &Path) -> io::Result<()> {
        Ok(rustix::fs::syncfs(File::open(folder)?)?)
    }

    #[cfg(not(target_os = "linux"))]
    fn sync_below(&self, folder: &Path) -> io::Result<()> {
        self.sync(folder)
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove_file(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        fs::remove_dir(path)
    }

    fn remove_tree(&self, path: &Path) -> io::Result<()> {
        fs::remove_dir_all(path)
    }
}
