//! Publishing, interrupted at every step.

use super::*;
use std::collections::BTreeMap;
use std::fs;
use std::sync::Mutex;

/// A site whose `walk.json` and page name files, one a line, each of which holds its own path.
fn site(walk: &[&str], page: &[&str]) -> Site {
    let bytes = |text: String| Content::Bytes(text.into_bytes().into());
    let lasting = walk.iter().chain(page).map(|path| (path.to_string(), bytes(path.to_string()))).collect();
    let changing =
        vec![("walk.json".to_string(), bytes(walk.join("\n"))), ("index.html".to_string(), bytes(page.join("\n")))];
    Site { lasting, changing }
}

fn old() -> Site {
    site(
        &["stations/hall-1/8/px.jpg", "stations/hall-1/8/nx.jpg", "stations/attic-1/8/px.jpg", "stills/hall-1.jpg"],
        &["viewer-1/walk.js"],
    )
}

fn new() -> Site {
    site(
        &[
            "stations/hall-2/8/px.jpg",
            "stations/hall-2/4/px.jpg",
            "stations/loft-1/8/px.jpg",
            "stills/hall-1.jpg",
            "stills/loft-1.jpg",
        ],
        &["viewer-2/walk.js", "viewer-2/enfilade.css"],
    )
}

/// Every file below a folder, with its bytes as text.
fn files(folder: &Path) -> BTreeMap<String, String> {
    let walk = walkdir::WalkDir::new(folder).min_depth(1).into_iter().map(Result::unwrap);
    let files = walk.filter(|entry| !entry.file_type().is_dir());
    let name = |path: &Path| path.strip_prefix(folder).unwrap().to_str().unwrap().replace('\\', "/");
    files.map(|entry| (name(entry.path()), fs::read_to_string(entry.path()).unwrap())).collect()
}

/// What a folder holds after a site was published to it.
fn expected(site: &Site) -> BTreeMap<String, String> {
    let text = |content: &Content| String::from_utf8(content.read().unwrap()).unwrap();
    let mut files: BTreeMap<_, _> = site.lasting.iter().map(|(path, content)| (path.clone(), text(content))).collect();
    files.extend(site.changing.iter().map(|(path, content)| (path.clone(), text(content))));
    let ours = files.keys().cloned().collect();
    files.insert(marker::NAME.to_string(), String::from_utf8(marker::to_json(&ours)).unwrap());
    files
}

fn assert_is(folder: &Path, site: &Site, when: &str) {
    assert_eq!(files(folder), expected(site), "{when}");
    let empty =
        |entry: &walkdir::DirEntry| entry.file_type().is_dir() && fs::read_dir(entry.path()).unwrap().count() == 0;
    let left: Vec<_> = walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap).filter(empty).collect();
    assert!(left.is_empty(), "{when}: {left:?}");
}

/// A visitor's check: `walk.json` and the page are the old or the new ones, and all that they name is there, whole.
fn assert_walkable(folder: &Path, sites: [Option<&Site>; 2], when: &str) {
    for name in ["walk.json", "index.html"] {
        let Ok(found) = fs::read(folder.join(name)) else {
            assert!(sites[0].is_none(), "{when}: {name} is missing");
            continue;
        };
        let known = sites.iter().flatten().any(|site| site.get(name).unwrap().read().unwrap() == found);
        assert!(known, "{when}: {name} is neither the old nor the new one");
        for path in String::from_utf8(found).unwrap().lines() {
            let bytes = fs::read_to_string(folder.join(path)).unwrap_or_else(|error| panic!("{when}: {path}: {error}"));
            assert_eq!(bytes, path, "{when}");
        }
    }
}

/// A disk that stops working after so many steps, in the middle of a file if it was writing one. Keeps a diary.
struct Failing {
    steps_left: Mutex<usize>,
    diary: Mutex<Vec<String>>,
}

impl Failing {
    fn after(steps: usize) -> Self {
        Failing { steps_left: Mutex::new(steps), diary: Mutex::new(Vec::new()) }
    }

    fn step(&self, what: &str, path: &Path) -> io::Result<()> {
        let mut left = self.steps_left.lock().unwrap();
        *left = left.checked_sub(1).ok_or_else(|| io::Error::other("interrupted"))?;
        self.diary.lock().unwrap().push(format!("{what} {}", path.display()));
        Ok(())
    }
}

impl Disk for Failing {
    fn create_folders(&self, path: &Path) -> io::Result<()> {
        self.step("make", path)?;
        RealDisk.create_folders(path)
    }
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        self.step("write", path).inspect_err(|_| fs::write(path, &bytes[..bytes.len() / 2]).unwrap_or_default())?;
        fs::write(path, bytes)
    }
    fn sync(&self, path: &Path) -> io::Result<()> {
        self.step("sync", path)
    }
    fn sync_below(&self, folder: &Path) -> io::Result<()> {
        self.step("sync all", folder)
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step("rename", to)?;
        RealDisk.rename(from, to)
    }
    fn remove_file(&self, path: &Path) -> io::Result<()> {
        self.step("remove", path)?;
        RealDisk.remove_file(path)
    }
    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        self.step("remove folder", path)?;
        RealDisk.remove_folder(path)
    }
    fn remove_tree(&self, path: &Path) -> io::Result<()> {
        self.step("remove tree", path)?;
        RealDisk.remove_tree(path)
    }
}

/// A disk that works and forgets to sync: tests lose no power.
fn working() -> Failing {
    Failing::after(usize::MAX)
}

fn folder_with(site: Option<&Site>) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    if let Some(site) = site {
        publish_through(&working(), site, folder.path()).unwrap();
    }
    folder
}

/// How many steps a whole publishing takes.
fn steps(from: Option<&Site>, to: &Site) -> usize {
    let folder = folder_with(from);
    let disk = working();
    publish_through(&disk, to, folder.path()).unwrap();
    disk.diary.into_inner().unwrap().len()
}

#[test]
fn an_interruption_at_any_step_leaves_the_old_or_the_new() {
    let (old, new) = (old(), new());
    for from in [None, Some(&old)] {
        let steps = steps(from, &new);
        assert!(steps > 25, "only {steps} steps are tested");
        for step in 0..steps {
            let when = format!("interrupted after {step} of {steps} steps");
            for then in [&new, &old] {
                let folder = folder_with(from);
                publish_through(&Failing::after(step), &new, folder.path()).unwrap_err();
                assert_walkable(folder.path(), [from, Some(&new)], &when);
                publish_through(&working(), then, folder.path()).unwrap();
                assert_is(folder.path(), then, &when);
            }
        }
    }
}

#[test]
fn a_second_interruption_is_as_harmless_as_the_first() {
    let (old, new) = (old(), new());
    let steps = steps(Some(&old), &new);
    for first in (0..steps).step_by(4) {
        for second in (0..steps).step_by(3) {
            let when = format!("interrupted after {first}, then after {second} steps");
            let folder = folder_with(Some(&old));
            publish_through(&Failing::after(first), &new, folder.path()).unwrap_err();
            // The second run has less to do and may finish.
            let _ = publish_through(&Failing::after(second), &new, folder.path());
            assert_walkable(folder.path(), [Some(&old), Some(&new)], &when);
            publish_through(&working(), &new, folder.path()).unwrap();
            assert_is(folder.path(), &new, &when);
        }
    }
}

#[test]
fn files_are_synced_before_anything_names_them_and_removed_after() {
    let folder = folder_with(Some(&old()));
    let disk = working();
    publish_through(&disk, &new(), folder.path()).unwrap();
    let diary = disk.diary.into_inner().unwrap();
    let find = |text: &str| {
        diary.iter().position(|line| line.starts_with(text)).unwrap_or_else(|| panic!("{text}: {diary:#?}"))
    };
    let at = |what: &str, name: &str| {
        find(&format!("{what} {}", folder.path().canonicalize().unwrap().join(name).display()))
    };
    let last_write = diary.iter().rposition(|line| line.starts_with("write") && line.contains("/files/")).unwrap();
    let synced = find("sync all");
    let moved = at("rename", "stations/hall-2");
    let walk = at("rename", "walk.json");
    let second_sync = moved + diary[moved..].iter().position(|line| line.starts_with("sync all")).unwrap();
    let order = [
        at("rename", marker::NAME),
        last_write,
        synced,
        moved,
        second_sync,
        walk,
        at("rename", "index.html"),
        at("remove", "stations/attic-1/8/px.jpg"),
        at("remove folder", "stations/attic-1"),
    ];
    assert!(order.is_sorted(), "{order:?} {diary:#?}");
    assert!(diary[walk - 1].starts_with("sync ") && diary[walk + 1].starts_with("sync "), "{diary:#?}");
}

#[test]
fn nothing_changed_means_nothing_written() {
    let folder = folder_with(Some(&old()));
    let disk = working();
    let published = publish_through(&disk, &old(), folder.path()).unwrap();
    assert_eq!(published, Published { files_written: 0, files_kept: 7, files_removed: 0 });
    assert_eq!(*disk.diary.lock().unwrap(), [""; 0]);
}

#[test]
fn a_new_title_writes_what_holds_it_and_no_more() {
    let folder = folder_with(Some(&old()));
    let mut site = old();
    site.changing[1].1 = Content::Bytes(b"viewer-1/walk.js\n".as_slice().into());
    let disk = working();
    let published = publish_through(&disk, &site, folder.path()).unwrap();
    assert_eq!(published, Published { files_written: 1, files_kept: 6, files_removed: 0 });
    let diary = disk.diary.into_inner().unwrap();
    assert_eq!(diary.iter().filter(|line| line.starts_with("write")).count(), 1, "{diary:#?}");
}

#[test]
fn a_file_that_lost_its_bytes_or_is_gone_is_written_again() {
    let folder = folder_with(Some(&old()));
    fs::write(folder.path().join("stations/hall-1/8/px.jpg"), "stat").unwrap();
    fs::remove_file(folder.path().join("stations/hall-1/8/nx.jpg")).unwrap();
    fs::remove_dir_all(folder.path().join("stations/attic-1")).unwrap();
    fs::remove_file(folder.path().join("index.html")).unwrap();
    let published = publish_through(&working(), &old(), folder.path()).unwrap();
    assert_eq!(published.files_written, 4);
    assert_is(folder.path(), &old(), "after the repair");
}

#[test]
fn two_builds_do_not_write_to_one_folder() {
    let folder = folder_with(Some(&old()));
    let held = lock::Lock::take(&folder.path().canonicalize().unwrap()).unwrap().unwrap();
    assert!(matches!(publish_through(&working(), &new(), folder.path()), Err(PublishError::Busy(_))));
    drop(held);
    publish_through(&working(), &new(), folder.path()).unwrap();
}

#[test]
fn a_finished_file_that_cannot_be_read_leaves_the_old_site() {
    let folder = folder_with(Some(&old()));
    let mut site = new();
    let empty = super::super::testing::Files(BTreeMap::from([("a".to_string(), Vec::new())]));
    let gone = Gone(empty);
    site.lasting.insert("stations/gone-1/a".to_string(), Content::Packed(std::sync::Arc::new(gone), "a".to_string()));
    let error = publish_through(&working(), &site, folder.path()).unwrap_err();
    assert!(matches!(error, PublishError::Source(_)));
    assert_walkable(folder.path(), [Some(&old()), None], "after the failure");
    publish_through(&working(), &old(), folder.path()).unwrap();
    assert_is(folder.path(), &old(), "afterwards");
}

/// A bundle that was deleted since it was opened.
#[derive(Debug)]
struct Gone(super::super::testing::Files);

impl super::super::Bundle for Gone {
    fn entries(&self) -> Box<dyn Iterator<Item = (&str, u64)> + '_> {
        super::super::Bundle::entries(&self.0)
    }
    fn read(&self, _: &str) -> io::Result<Vec<u8>> {
        Err(io::ErrorKind::NotFound.into())
    }
}
