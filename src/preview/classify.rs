//! What is watched, and what an event on disk means for it. Pure, but for [`Table::new`], which looks up real paths.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What a watched file is to the tour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// `tour.yaml` itself.
    Description,
    /// Something in the tour's own `templates/`.
    Template,
    /// A plan's drawing.
    Plan,
    /// A picture that a note opens.
    NotePicture,
    /// A shot, or a picture that a repair needs.
    Shot,
    /// Anything in the tour's folder while the description cannot be read and so nothing is known of the rest.
    Unknown,
}

impl Kind {
    /// Whether it is a file that takes a while to copy, and is of no use before it is whole.
    pub fn takes_long_to_write(self) -> bool {
        matches!(self, Kind::Shot | Kind::NotePicture | Kind::Plan | Kind::Unknown)
    }
}

/// What an event says happened, as far as all systems can tell it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Happening {
    /// Made, written, renamed or deleted.
    Content,
    /// Only its times, permissions or the like.
    Attributes,
    /// Opened, read or closed: the preview itself does that.
    Access,
}

impl From<&notify::EventKind> for Happening {
    fn from(kind: &notify::EventKind) -> Self {
        match kind {
            notify::EventKind::Access(_) => Happening::Access,
            notify::EventKind::Modify(notify::event::ModifyKind::Metadata(_)) => Happening::Attributes,
            _ => Happening::Content,
        }
    }
}

/// What follows from an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// A watched file has changed, appeared or gone.
    Changed(Kind),
    /// Perhaps: a folder above watched files was touched. Their sizes and times will tell.
    Look,
    /// None of our business.
    Nothing,
}

/// What is watched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// The tour's folder.
    folder: PathBuf,
    /// Every file by its real path. A link stands here twice: where it is, and where it leads.
    files: BTreeMap<PathBuf, Kind>,
    /// Whether anything else in the tour's folder counts as well.
    wide: bool,
}

/// Folders that the program writes itself, or that hold no part of a tour.
const LEFT_ALONE: [&str; 3] = ["site", "target", "node_modules"];

impl Table {
    /// A table of these files, for the tour in `folder`. With `wide`, anything else in that folder counts as well, its
    /// output and its store excepted.
    pub fn new(folder: &Path, files: impl IntoIterator<Item = (PathBuf, Kind)>, wide: bool) -> Self {
        let mut table = Table { folder: real_path(folder), files: BTreeMap::new(), wide };
        for (path, kind) in files {
            if let Ok(target) = std::fs::canonicalize(&path) {
                table.files.insert(target, kind);
            }
            table.files.insert(real_path(&path), kind);
        }
        table
    }

    /// What an event at `path` means.
    pub fn classify(&self, happening: Happening, path: &Path) -> Meaning {
        let changed = |kind| match happening {
            Happening::Content => Meaning::Changed(kind),
            Happening::Attributes => Meaning::Look,
            Happening::Access => Meaning::Nothing,
        };
        if happening == Happening::Access {
            Meaning::Nothing
        } else if let Some(kind) = self.files.get(path) {
            changed(*kind)
        } else if path.starts_with(self.templates()) {
            // The folder itself may have been put in place or taken away.
            if path != self.templates() && is_passing(path) { Meaning::Nothing } else { changed(Kind::Template) }
        } else if self.files.keys().any(|file| file.starts_with(path)) {
            Meaning::Look
        } else if self.wide && self.may_hold_the_tour(path) {
            changed(Kind::Unknown)
        } else {
            Meaning::Nothing
        }
    }

    /// Whether a file's change counts.
    pub fn watches(&self, path: &Path) -> bool {
        matches!(self.classify(Happening::Content, path), Meaning::Changed(_))
    }

    /// The watched files, sorted. Templates are found by looking.
    pub fn files(&self) -> impl Iterator<Item = (&Path, Kind)> {
        self.files.iter().map(|(path, kind)| (path.as_path(), *kind))
    }

    /// Where the tour's own templates lie, if it has any.
    pub fn templates(&self) -> PathBuf {
        self.folder.join("templates")
    }

    /// The tour's folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Whether anything in the tour's folder counts.
    pub fn is_wide(&self) -> bool {
        self.wide
    }

    /// The folders whose entries have to be watched: where the files lie, and, so that a folder that is replaced is
    /// noticed, what lies above: up to the tour's folder, or one step where a file lies elsewhere.
    pub fn folders(&self) -> BTreeSet<PathBuf> {
        let mut folders = BTreeSet::from([self.folder.clone(), self.templates()]);
        for file in self.files.keys() {
            let within = file.starts_with(&self.folder);
            let above = file.ancestors().skip(1);
            let count = if within { usize::MAX } else { 2 };
            let up_to_the_tour = above.take(count).take_while(|at| !within || at.starts_with(&self.folder));
            folders.extend(up_to_the_tour.map(Path::to_path_buf));
        }
        folders
    }

    /// Whether a path inside the tour's folder is neither the program's own nor hidden.
    pub fn may_hold_the_tour(&self, path: &Path) -> bool {
        let Ok(inside) = path.strip_prefix(&self.folder) else { return false };
        let mut parts = inside.iter().map(|part| part.to_string_lossy()).peekable();
        let own = parts.peek().is_none_or(|first| LEFT_ALONE.contains(&first.as_ref()));
        !own && !parts.any(|part| part.starts_with('.')) && !is_passing(path)
    }
}

/// A file that an editor makes for a moment, or keeps for itself.
fn is_passing(path: &Path) -> bool {
    let Some(name) = path.file_name().map(|name| name.to_string_lossy()) else { return true };
    name.starts_with(['.', '#'])
        || name.ends_with(['~', '#'])
        || [".swp", ".swx", ".tmp"].iter().any(|end| name.ends_with(end))
}

/// The path as events name it: everything above the last part is freed of links and `..`, as far as it exists.
pub fn real_path(path: &Path) -> PathBuf {
    let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let (Some(parent), Some(name)) = (absolute.parent(), absolute.file_name()) else {
        // A path that ends in `..`, or the root.
        return std::fs::canonicalize(&absolute).unwrap_or(absolute);
    };
    match std::fs::canonicalize(parent) {
        Ok(parent) => parent.join(name),
        Err(_) => real_path(parent).join(name),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use notify::EventKind;
    use notify::event::{
        AccessKind, AccessMode, CreateKind, DataChange, MetadataKind, ModifyKind, RemoveKind, RenameMode,
    };

    /// A table whose paths exist nowhere, so that nothing is looked up.
    fn table(wide: bool) -> Table {
        let files = [
            ("/enfilade-nowhere/tour/tour.yaml", Kind::Description),
            ("/enfilade-nowhere/tour/shots/day-1/hall.jpg", Kind::Shot),
            ("/enfilade-nowhere/tour/plans/ground.svg", Kind::Plan),
            ("/enfilade-nowhere/camera/card/barn.jpg", Kind::Shot),
        ];
        let files = files.map(|(path, kind)| (PathBuf::from(path), kind));
        Table::new(Path::new("/enfilade-nowhere/tour"), files, wide)
    }

    fn means(wide: bool, path: &str) -> Meaning {
        table(wide).classify(Happening::Content, Path::new(&format!("/enfilade-nowhere/{path}")))
    }

    #[test]
    #[cfg(unix)]
    fn every_path_has_its_meaning() {
        use Meaning::{Changed, Look, Nothing};
        for (path, narrow, wide) in [
            ("tour/tour.yaml", Changed(Kind::Description), Changed(Kind::Description)),
            ("tour/shots/day-1/hall.jpg", Changed(Kind::Shot), Changed(Kind::Shot)),
            ("camera/card/barn.jpg", Changed(Kind::Shot), Changed(Kind::Shot)),
            ("tour/plans/ground.svg", Changed(Kind::Plan), Changed(Kind::Plan)),
            ("tour/templates", Changed(Kind::Template), Changed(Kind::Template)),
            ("tour/templates/index.html", Changed(Kind::Template), Changed(Kind::Template)),
            ("tour/templates/.index.html.swp", Nothing, Nothing),
            ("tour/templates/index.html~", Nothing, Nothing),
            ("tour/shots", Look, Look),
            ("tour/shots/day-1", Look, Look),
            ("camera/card", Look, Look),
            ("camera", Look, Look),
            ("tour", Look, Look),
            ("tour/shots/day-1/other.jpg", Nothing, Changed(Kind::Unknown)),
            ("tour/shots/day-1/.hall.jpg.part", Nothing, Nothing),
            ("tour/tour.yaml~", Nothing, Nothing),
            ("tour/.tour.yaml.swp", Nothing, Nothing),
            ("tour/.enfilade", Nothing, Nothing),
            ("tour/.enfilade/index", Nothing, Nothing),
            ("tour/site", Nothing, Nothing),
            ("tour/site/walk.json", Nothing, Nothing),
            ("tour/node_modules/x", Nothing, Nothing),
            ("camera/card/other.jpg", Nothing, Nothing),
            ("elsewhere", Nothing, Nothing),
        ] {
            assert_eq!(means(false, path), narrow, "{path}");
            assert_eq!(means(true, path), wide, "{path}, wide");
        }
    }

    #[test]
    fn events_of_every_kind_count_but_reading_does_not() {
        for (event, wanted) in [
            (EventKind::Any, Happening::Content),
            (EventKind::Create(CreateKind::File), Happening::Content),
            (EventKind::Modify(ModifyKind::Any), Happening::Content),
            (EventKind::Modify(ModifyKind::Data(DataChange::Any)), Happening::Content),
            (EventKind::Modify(ModifyKind::Name(RenameMode::From)), Happening::Content),
            (EventKind::Modify(ModifyKind::Name(RenameMode::To)), Happening::Content),
            (EventKind::Remove(RemoveKind::File), Happening::Content),
            (EventKind::Modify(ModifyKind::Metadata(MetadataKind::Any)), Happening::Attributes),
            (EventKind::Access(AccessKind::Open(AccessMode::Any)), Happening::Access),
            (EventKind::Access(AccessKind::Close(AccessMode::Write)), Happening::Access),
        ] {
            assert_eq!(Happening::from(&event), wanted, "{event:?}");
        }
        let description = Path::new("/enfilade-nowhere/tour/tour.yaml");
        assert_eq!(table(false).classify(Happening::Attributes, description), Meaning::Look);
        assert_eq!(table(true).classify(Happening::Access, description), Meaning::Nothing);
    }

    #[test]
    #[cfg(unix)]
    fn folders_are_watched_up_to_the_tour_and_one_step_elsewhere() {
        let folders = table(false).folders();
        let names: Vec<_> = folders.iter().map(|path| path.strip_prefix("/enfilade-nowhere").unwrap()).collect();
        assert_eq!(
            names,
            ["camera", "camera/card", "tour", "tour/plans", "tour/shots", "tour/shots/day-1", "tour/templates"]
                .map(Path::new)
        );
    }

    #[test]
    #[cfg(unix)]
    fn a_link_counts_where_it_is_and_where_it_leads() {
        let temporary = tempfile::tempdir().unwrap();
        let root = std::fs::canonicalize(temporary.path()).unwrap();
        std::fs::create_dir_all(root.join("tour")).unwrap();
        std::fs::write(root.join("original.jpg"), "x").unwrap();
        std::os::unix::fs::symlink(root.join("original.jpg"), root.join("tour/hall.jpg")).unwrap();
        let written = root.join("tour/../tour/hall.jpg");
        let table = Table::new(&root.join("tour"), [(written, Kind::Shot)], false);
        for path in ["original.jpg", "tour/hall.jpg"] {
            assert_eq!(table.classify(Happening::Content, &root.join(path)), Meaning::Changed(Kind::Shot), "{path}");
        }
    }
}
