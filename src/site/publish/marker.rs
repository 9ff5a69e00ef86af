//! The file that says a folder is ours, and which of the files in it are.

use super::PublishError;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::io;
use std::path::Path;

/// Lies at the top of the published folder.
pub(super) const NAME: &str = ".enfilade-site";

/// Raised when an older Enfilade could no longer tell from it what is ours.
const VERSION: u32 = 1;

#[derive(Debug, Serialize, Deserialize)]
struct Marker {
    version: u32,
    /// Every file that was published here, or was being published when something interrupted it.
    files: BTreeSet<String>,
}

#[derive(Deserialize)]
struct VersionOnly {
    version: u32,
}

/// The marker's bytes, the same for the same files.
pub(super) fn to_json(files: &BTreeSet<String>) -> Vec<u8> {
    let marker = Marker { version: VERSION, files: files.clone() };
    let mut json = serde_json::to_vec(&marker).expect("a number and strings always have a JSON form");
    json.push(b'\n');
    json
}

/// The files that are ours in this folder; `None` where there is no marker.
pub(super) fn read(folder: &Path) -> Result<Option<BTreeSet<String>>, PublishError> {
    let path = folder.join(NAME);
    let json = match std::fs::read(&path) {
        Ok(json) => json,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(super::failed("read", &path)(error)),
    };
    if serde_json::from_slice(&json).is_ok_and(|marker: VersionOnly| marker.version > VERSION) {
        return Err(PublishError::Newer(folder.to_path_buf()));
    }
    match serde_json::from_slice(&json) {
        Ok(Marker { files, .. }) if files.iter().all(|file| stays_inside(file)) => Ok(Some(files)),
        _ => Err(PublishError::DamagedMarker(path)),
    }
}

/// A path that leads out of the folder must never be followed: what is listed may be deleted.
fn stays_inside(path: &str) -> bool {
    let harmless = |part: &str| !matches!(part, "" | "." | "..") && !part.contains(['\\', ':', '\0']);
    path.split('/').all(harmless)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_read_as_it_was_written() {
        let folder = tempfile::tempdir().unwrap();
        let files: BTreeSet<String> = ["walk.json", "stations/hall-1/a.jpg"].map(String::from).into();
        assert_eq!(to_json(&files), b"{\"version\":1,\"files\":[\"stations/hall-1/a.jpg\",\"walk.json\"]}\n");
        assert!(read(folder.path()).unwrap().is_none());
        std::fs::write(folder.path().join(NAME), to_json(&files)).unwrap();
        assert_eq!(read(folder.path()).unwrap(), Some(files));
    }

    #[test]
    fn what_it_lists_lies_inside_the_folder() {
        let folder = tempfile::tempdir().unwrap();
        for path in ["../tour.yaml", "/etc/passwd", "a/../../b", "", "a//b", "c:\\\\windows", "a\\\\..\\\\b", "./a"] {
            std::fs::write(folder.path().join(NAME), format!("{{\"version\":1,\"files\":[\"{path}\"]}}")).unwrap();
            assert!(matches!(read(folder.path()), Err(PublishError::DamagedMarker(_))), "{path}");
        }
    }

    #[test]
    fn newer_and_damaged_ones_are_told_apart() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join(NAME), "{\"version\":2,\"trees\":[]}").unwrap();
        assert!(matches!(read(folder.path()), Err(PublishError::Newer(_))));
        std::fs::write(folder.path().join(NAME), "{\"version\":1,\"fil").unwrap();
        assert!(matches!(read(folder.path()), Err(PublishError::DamagedMarker(_))));
    }
}
