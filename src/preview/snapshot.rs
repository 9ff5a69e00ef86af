//! What files look like from outside: length, time, and which file it is. Two looks tell what changed in between.

use super::classify::{Kind, Table};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::time::SystemTime;
use walkdir::WalkDir;

/// What a look at a file tells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    length: u64,
    modified: Option<SystemTime>,
    identity: u64,
}

/// What a look at everything tells. What is missing has no stamp.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Snapshot(BTreeMap<PathBuf, (Kind, Stamp)>);

/// A folder that holds the tour is no library: beyond this something else was pointed at.
const MOST_FILES: usize = 10_000;

impl Snapshot {
    /// Looks at everything that a table names.
    pub fn of(table: &Table) -> Snapshot {
        let mut found = BTreeMap::new();
        if table.is_wide() {
            let inside = WalkDir::new(table.folder()).max_depth(6).into_iter();
            let inside = inside.filter_entry(|entry| entry.depth() == 0 || table.may_hold_the_tour(entry.path()));
            note_all(&mut found, inside, Kind::Unknown);
        }
        let templates = WalkDir::new(table.templates()).max_depth(6).into_iter();
        note_all(&mut found, templates, Kind::Template);
        for (path, kind) in table.files() {
            if let Some(stamp) = stamp(path) {
                found.insert(path.to_path_buf(), (kind, stamp));
            }
        }
        Snapshot(found)
    }

    /// What is different, missing or new in `later`.
    pub fn differences(&self, later: &Snapshot) -> BTreeSet<Kind> {
        let changed = self.0.iter().filter(|(path, was)| later.0.get(*path).is_none_or(|is| is.1 != was.1));
        let new = later.0.iter().filter(|(path, _)| !self.0.contains_key(*path));
        changed.chain(new).map(|(_, (kind, _))| *kind).collect()
    }

    /// The same, but for the files that `known` names: of them it says what `before` said, so that a change between
    /// the two looks is still a difference later.
    pub fn carrying_on(mut self, before: Snapshot, known: impl Fn(&Path) -> bool) -> Snapshot {
        self.0.retain(|path, _| !known(path));
        self.0.extend(before.0.into_iter().filter(|(path, _)| known(path)));
        self
    }

    /// The folders in which something was found.
    pub fn folders(&self) -> impl Iterator<Item = &Path> {
        self.0.keys().filter_map(|path| path.parent())
    }
}

fn note_all(
    found: &mut BTreeMap<PathBuf, (Kind, Stamp)>,
    entries: impl Iterator<Item = walkdir::Result<walkdir::DirEntry>>,
    kind: Kind,
) {
    let files = entries.filter_map(Result::ok).filter(|entry| !entry.file_type().is_dir()).take(MOST_FILES);
    for entry in files {
        if let Some(stamp) = stamp(entry.path()) {
            found.insert(entry.into_path(), (kind, stamp));
        }
    }
}

fn stamp(path: &Path) -> Option<Stamp> {
    let metadata = std::fs::metadata(path).ok()?;
    Some(Stamp { length: metadata.len(), modified: metadata.modified().ok(), identity: identity(&metadata) })
}

/// Tells a file or folder from another one under the same name, where the system can.
#[cfg(unix)]
pub fn identity(metadata: &std::fs::Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(metadata)
}

/// Tells a file or folder from another one under the same name, where the system can.
#[cfg(not(unix))]
pub fn identity(metadata: &std::fs::Metadata) -> u64 {
    let since = metadata.created().ok().and_then(|at| at.duration_since(SystemTime::UNIX_EPOCH).ok());
    since.map_or(0, |since| since.as_nanos() as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_while_the_table_is_made_again_is_not_lost() {
        let temporary = tempfile::tempdir().unwrap();
        let file = |name: &str| std::fs::canonicalize(temporary.path()).unwrap().join(name);
        let table = |names: &[(&str, Kind)]| {
            let files = names.iter().map(|(name, kind)| (file(name), *kind));
            Table::new(temporary.path(), files, false)
        };
        for name in ["written", "deleted", "same", "new"] {
            std::fs::write(file(name), "1").unwrap();
        }
        let known = [
            ("written", Kind::Shot),
            ("deleted", Kind::Plan),
            ("made", Kind::NotePicture),
            ("same", Kind::Description),
        ];
        let before = table(&known);
        let seen_before = Snapshot::of(&before);
        std::fs::write(file("written"), "22").unwrap();
        std::fs::remove_file(file("deleted")).unwrap();
        std::fs::write(file("made"), "3").unwrap();

        let after = table(&[known.as_slice(), &[("new", Kind::Unknown)]].concat());
        let look = Snapshot::of(&after);
        let carried = look.clone().carrying_on(seen_before, |path| before.watches(path) && after.watches(path));
        assert_eq!(carried.differences(&look), BTreeSet::from([Kind::Shot, Kind::Plan, Kind::NotePicture]));
    }
}
