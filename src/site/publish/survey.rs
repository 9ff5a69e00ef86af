//! What a folder holds of a site, and what there is to do. Reads only.

use super::destination::Destination;
use super::{Content, PublishError, Site, failed, folders_above};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::ffi::OsString;
use std::io;
use std::path::Path;

/// The difference between a folder and a site.
#[derive(Debug)]
pub(super) struct Survey<'a> {
    /// Every file of the site.
    pub wanted: BTreeSet<String>,
    /// Lasting files that are not there, or not of their size. A name is its content's hash: the same name and size is
    /// the same file.
    pub missing: Vec<(&'a str, &'a Content)>,
    /// Other files that are not there or have other bytes, in the site's order.
    pub differing: Vec<(&'a str, Vec<u8>)>,
    /// How many files are as they should be.
    pub kept: usize,
    /// Files that were published here and are no longer wanted. None of them lies behind a link.
    pub stale: Vec<String>,
}

impl<'a> Survey<'a> {
    pub(super) fn of(site: &'a Site, destination: &Destination) -> Result<Self, PublishError> {
        let changing = site.changing.iter().map(|(name, _)| name);
        let wanted: BTreeSet<String> = site.lasting.keys().chain(changing).cloned().collect();
        let mut survey = Survey { wanted, missing: Vec::new(), differing: Vec::new(), kept: 0, stale: Vec::new() };
        survey.look_at_lasting(site, destination)?;
        survey.look_at_changing(site, destination)?;
        survey.look_for_stale(destination);
        Ok(survey)
    }

    /// True where the folder and its marker already are as they should be.
    pub(super) fn nothing_to_do(&self, ours: &BTreeSet<String>) -> bool {
        self.missing.is_empty() && self.differing.is_empty() && self.stale.is_empty() && self.wanted == *ours
    }

    /// One look at each folder, not one at each file's way there.
    fn look_at_lasting(&mut self, site: &'a Site, destination: &Destination) -> Result<(), PublishError> {
        let mut sizes = Sizes::default();
        let mut folders: BTreeMap<&str, Vec<(&str, &str, &Content)>> = BTreeMap::new();
        for (path, content) in &site.lasting {
            let (folder, name) = path.rsplit_once('/').unwrap_or(("", path));
            folders.entry(folder).or_default().push((name, path, content));
        }
        for (folder, files) in folders {
            if let Some(blocked) = blocked(&destination.folder, &format!("{folder}/")) {
                return Err(PublishError::InTheWay(destination.folder.join(blocked)));
            }
            let found = sizes_in(&destination.folder.join(folder))?;
            for (name, path, content) in files {
                let size = found.get(&OsString::from(name));
                if let (Some(_), false) = (size, destination.ours.contains(path)) {
                    self.look_at_unlisted(path, content, destination)?;
                } else if size.copied().flatten() == Some(sizes.of(content)?) {
                    self.kept += 1;
                } else {
                    self.missing.push((path, content));
                }
            }
        }
        self.missing.sort_by_key(|(path, _)| *path);
        Ok(())
    }

    /// A file that we never wrote is only left in place if it happens to be the very one.
    fn look_at_unlisted(
        &mut self,
        path: &str,
        content: &Content,
        destination: &Destination,
    ) -> Result<(), PublishError> {
        let place = destination.folder.join(path);
        let same = std::fs::read(&place).is_ok_and(|found| content.read().is_ok_and(|wanted| wanted == found));
        self.kept += usize::from(same);
        if same { Ok(()) } else { Err(PublishError::InTheWay(place)) }
    }

    fn look_at_changing(&mut self, site: &'a Site, destination: &Destination) -> Result<(), PublishError> {
        for (name, content) in &site.changing {
            let place = destination.folder.join(name);
            let bytes = content.read().map_err(PublishError::Source)?;
            let same = std::fs::read(&place).is_ok_and(|found| found == bytes);
            let there = std::fs::symlink_metadata(&place);
            let foreign = there.as_ref().is_ok_and(|found| found.is_dir() || !destination.ours.contains(name));
            match same {
                true => self.kept += 1,
                false if foreign => return Err(PublishError::InTheWay(place)),
                false => self.differing.push((name, bytes)),
            }
        }
        Ok(())
    }

    fn look_for_stale(&mut self, destination: &Destination) {
        let no_longer = destination.ours.difference(&self.wanted);
        let reachable = |path: &&String| {
            let is_folder = destination.folder.join(path).is_dir() && !destination.folder.join(path).is_symlink();
            !is_folder && blocked(&destination.folder, path).is_none()
        };
        self.stale = no_longer.filter(reachable).cloned().collect();
    }
}

/// The first folder on a file's way that is no folder of its own but a link or a file: what lies behind it is not ours.
fn blocked<'p>(folder: &Path, path: &'p str) -> Option<&'p str> {
    let no_folder = |above: &&str| std::fs::symlink_metadata(folder.join(above)).is_ok_and(|found| !found.is_dir());
    folders_above(path).filter(|above| !above.is_empty()).filter(no_folder).last()
}

/// Sizes of what a folder holds; `None` for what is no file. A missing folder holds nothing.
fn sizes_in(folder: &Path) -> Result<HashMap<OsString, Option<u64>>, PublishError> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(HashMap::new()),
        Err(error) => return Err(failed("read", folder)(error)),
    };
    let size = |entry: io::Result<std::fs::DirEntry>| {
        let entry = entry?;
        let found = entry.metadata()?;
        Ok((entry.file_name(), found.is_file().then_some(found.len())))
    };
    entries.map(size).collect::<io::Result<_>>().map_err(failed("read", folder))
}

/// Sizes of contents, without reading them. A bundle is asked once for all its files.
#[derive(Default)]
struct Sizes(HashMap<*const (), HashMap<String, u64>>);

impl Sizes {
    fn of(&mut self, content: &Content) -> Result<u64, PublishError> {
        match content {
            Content::Bytes(bytes) => Ok(bytes.len() as u64),
            Content::File(path) => Ok(std::fs::metadata(path).map_err(PublishError::Source)?.len()),
            Content::Packed(bundle, name) => {
                let all = || bundle.entries().map(|(name, size)| (name.to_string(), size)).collect();
                let sizes = self.0.entry(std::sync::Arc::as_ptr(bundle).cast()).or_insert_with(all);
                sizes.get(name).copied().ok_or_else(|| PublishError::Source(io::ErrorKind::NotFound.into()))
            }
        }
    }
}
