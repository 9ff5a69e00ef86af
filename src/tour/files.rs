//! Finding the files that a description names, by the exact spelling that other systems will insist on.

use crate::description::Placed;
use crate::problem::{Problem, Problems};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Looks for files from the tour's folder; lists each folder once.
pub struct Files {
    folder: PathBuf,
    listed: BTreeMap<PathBuf, Vec<String>>,
}

/// How a written name relates to what is on the disk.
enum Found {
    /// There, spelt so.
    Exactly,
    /// There on this disk, which ignores case, but spelt so.
    Respelt(String),
    /// Not there; this might be meant.
    Missing(Option<String>),
}

impl Files {
    /// Paths start from `folder`.
    pub fn new(folder: &Path) -> Self {
        Files { folder: folder.to_owned(), listed: BTreeMap::new() }
    }

    /// The path of a file that the description names, joined to the tour's folder. Reports where it is missing, is no
    /// file, or is spelt otherwise on the disk. An empty name was reported before and is passed over.
    pub fn find(&mut self, written: &Placed<String>, problems: &mut Problems) -> PathBuf {
        let path = self.folder.join(&written.value);
        if written.value.is_empty() {
            return path;
        }
        let mut report = |problem: Problem| problems.push(problem.at(&written.place).about(&path));
        match self.compare(&written.value) {
            Found::Missing(meant) => {
                let instead = match meant {
                    Some(meant) => format!("write `{meant}`"),
                    None => "check the path: it starts from the tour's folder".to_owned(),
                };
                report(Problem::error(format!("there is no file `{}`", written.value), instead));
            }
            _ if !path.is_file() => {
                let what = format!("`{}` is not a file", written.value);
                report(Problem::error(what, "name a file in it"));
            }
            Found::Respelt(right) => {
                let what = format!("`{}` is spelt `{right}` on the disk", written.value);
                report(Problem::warning(what, format!("write `{right}`, or other systems will not find it")));
            }
            Found::Exactly => {}
        }
        path
    }

    /// The path of a file that may be missing.
    pub fn path(&self, written: &str) -> PathBuf {
        self.folder.join(written)
    }

    fn compare(&mut self, written: &str) -> Found {
        let whole = self.folder.join(written);
        let there = whole.symlink_metadata().is_ok() && whole.exists();
        if Path::new(written).is_absolute() {
            return if there { Found::Exactly } else { Found::Missing(None) };
        }
        let (mut folder, mut spelt, mut exact) = (self.folder.clone(), Vec::new(), true);
        for part in written.split('/').filter(|part| !matches!(*part, "" | ".")) {
            if part == ".." {
                folder.push(part);
                spelt.push(part.to_owned());
                continue;
            }
            let names = self.list(&folder);
            let real = if names.iter().any(|name| name == part) { None } else { meant(part, names, there) };
            let unknown = real.is_none() && !folder.join(part).exists();
            if unknown {
                return Found::Missing(None);
            }
            exact &= real.is_none();
            let real = real.unwrap_or_else(|| part.to_owned());
            folder.push(&real);
            spelt.push(real);
        }
        match (there, exact) {
            (true, true) => Found::Exactly,
            (true, false) => Found::Respelt(spelt.join("/")),
            (false, false) if folder.is_file() => Found::Missing(Some(spelt.join("/"))),
            (false, _) => Found::Missing(None),
        }
    }

    fn list(&mut self, folder: &Path) -> &[String] {
        self.listed.entry(folder.to_owned()).or_insert_with(|| {
            let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
            let mut names: Vec<String> = entries.filter_map(|entry| entry.file_name().into_string().ok()).collect();
            names.sort_unstable();
            names
        })
    }
}

/// The name in a folder that a written one was meant to be: the same but for case, or else, where it is only to be
/// suggested, one that differs by a slip of the pen.
fn meant(written: &str, names: &[String], ignore_case_only: bool) -> Option<String> {
    let same = names.iter().find(|name| name.to_lowercase() == written.to_lowercase());
    if same.is_some() || ignore_case_only {
        return same.cloned();
    }
    let scored = names.iter().map(|name| (strsim::normalized_damerau_levenshtein(name, written), name));
    scored.filter(|(score, _)| *score > 0.7).max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, name)| name.clone())
}
