//! Publishing as a photographer meets it: folders that are theirs, visitors who are there meanwhile, and many tiles.

use enfilade::site::{Content, Published, Site, publish};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

fn bytes(text: impl Into<Vec<u8>>) -> Content {
    Content::Bytes(text.into().into())
}

/// A walkthrough of one station: `walk.json` and the page name each file of it, one a line.
fn walkthrough(station: &str, tiles: usize) -> Site {
    let paths: Vec<_> = (0..tiles).map(|tile| format!("stations/{station}/512/px-r0-c{tile}.jpg")).collect();
    let lasting = paths.iter().map(|path| (path.clone(), bytes(path.as_str()))).collect();
    let list = paths.join("\n");
    let changing = vec![("walk.json".into(), bytes(list.as_str())), ("index.html".into(), bytes(list))];
    Site { lasting, changing }
}

fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let entries = walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap);
    let files = entries.filter(|entry| entry.file_type().is_file());
    files.map(|entry| (entry.path().to_path_buf(), fs::read(entry.path()).unwrap())).collect()
}

/// What is said when a folder is refused.
fn refusal(to: &Path) -> String {
    let problems = publish(&walkthrough("hall-1", 2), to).unwrap_err();
    let problem = problems.iter().next().unwrap();
    assert_eq!(problems.iter().count(), 1);
    assert!(!problem.instead.is_empty());
    problem.what.replace(&to.display().to_string(), "TO")
}

#[test]
fn a_new_folder_and_an_empty_one_are_taken() {
    let home = tempfile::tempdir().unwrap();
    for to in [home.path().join("new/deep/site"), home.path().join("empty")] {
        if to.ends_with("empty") {
            fs::create_dir(&to).unwrap();
        }
        let published = publish(&walkthrough("hall-1", 2), &to).unwrap();
        assert_eq!(published, Published { files_written: 4, files_kept: 0, files_removed: 0 });
        let again = publish(&walkthrough("hall-1", 2), &to).unwrap();
        assert_eq!(again, Published { files_written: 0, files_kept: 4, files_removed: 0 });
        let change = publish(&walkthrough("hall-2", 3), &to).unwrap();
        assert_eq!(change, Published { files_written: 5, files_kept: 0, files_removed: 2 });
        assert!(!to.join("stations/hall-1").exists());
    }
}

#[test]
fn a_folder_that_enfilade_did_not_make_is_left_as_it_is() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("tour.yaml"), "title: Larkmere Mill").unwrap();
    fs::create_dir(home.path().join("shots")).unwrap();
    fs::write(home.path().join("shots/hall.jpg"), "a shot").unwrap();
    let before = files(home.path());
    assert_eq!(refusal(home.path()), "`TO` was not made by Enfilade: it holds `shots`");
    assert_eq!(refusal(&home.path().join("shots")), "`TO` was not made by Enfilade: it holds `hall.jpg`");
    assert_eq!(refusal(&home.path().join("tour.yaml")), "`TO` is not a folder");
    assert_eq!(files(home.path()), before);
}

#[test]
fn a_marker_that_was_tampered_with_deletes_nothing() {
    let home = tempfile::tempdir().unwrap();
    let site = home.path().join("site");
    fs::write(home.path().join("tour.yaml"), "title: Larkmere Mill").unwrap();
    publish(&walkthrough("hall-1", 2), &site).unwrap();
    fs::write(site.join(".enfilade-site"), r#"{"version":1,"files":["../tour.yaml"]}"#).unwrap();
    let before = files(home.path());
    assert_eq!(refusal(&site), "`TO/.enfilade-site` does not list an Enfilade site's files");
    assert_eq!(files(home.path()), before);
}

#[test]
fn files_of_somebody_else_stay() {
    let home = tempfile::tempdir().unwrap();
    publish(&walkthrough("hall-1", 2), home.path()).unwrap();
    fs::write(home.path().join("CNAME"), "mill.example").unwrap();
    fs::write(home.path().join("stations/hall-1/512/read-me.txt"), "mine").unwrap();
    publish(&walkthrough("hall-2", 2), home.path()).unwrap();
    assert_eq!(fs::read_to_string(home.path().join("CNAME")).unwrap(), "mill.example");
    assert_eq!(fs::read_to_string(home.path().join("stations/hall-1/512/read-me.txt")).unwrap(), "mine");
    assert_eq!(fs::read_dir(home.path().join("stations/hall-1/512")).unwrap().count(), 1);

    let mut site = walkthrough("hall-2", 2);
    site.changing.push(("CNAME".into(), bytes("other.example")));
    let problems = publish(&site, home.path()).unwrap_err();
    assert!(problems.iter().next().unwrap().what.contains("CNAME` stands where a file of the site belongs"));
    assert_eq!(fs::read_to_string(home.path().join("CNAME")).unwrap(), "mill.example");
}

#[cfg(unix)]
#[test]
fn links_are_followed_to_the_folder_but_never_inside_it() {
    use std::os::unix::fs::symlink;
    let home = tempfile::tempdir().unwrap();
    let (web, elsewhere, link) = (home.path().join("web"), home.path().join("elsewhere"), home.path().join("site"));
    fs::create_dir(&web).unwrap();
    symlink(&web, &link).unwrap();
    publish(&walkthrough("hall-1", 2), &link).unwrap();
    assert!(web.join("walk.json").is_file() && link.is_symlink());

    // The whole folder of stations was moved away, and a link was put in its place.
    fs::rename(web.join("stations"), &elsewhere).unwrap();
    symlink(&elsewhere, web.join("stations")).unwrap();
    let before = files(&elsewhere);
    let problems = publish(&walkthrough("hall-2", 2), &link).unwrap_err();
    assert!(problems.iter().next().unwrap().what.contains("stations` stands where"), "{problems:?}");
    publish(&Site::default(), &link).unwrap();
    assert_eq!(files(&elsewhere), before);

    let nowhere = home.path().join("nowhere");
    symlink(home.path().join("not-there"), &nowhere).unwrap();
    assert_eq!(refusal(&nowhere), "`TO` is not a folder");
}

/// A visitor reads `walk.json` and then everything that it names, over and over, while the site changes. What the old
/// one named may go once there is a new one, not before; nothing is ever half there.
#[test]
fn a_visitor_never_meets_a_mixture() {
    let home = tempfile::tempdir().unwrap();
    // None comes twice, so that a visitor can tell an older one from a newer one.
    let sites: Vec<_> = (0..16).map(|turn| walkthrough(&format!("hall-{turn}"), 9 + turn % 4)).collect();
    publish(&sites[0], home.path()).unwrap();
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let visitor = scope.spawn(|| {
            let mut visits = 0;
            while !done.load(Ordering::Relaxed) {
                visit(home.path(), &sites);
                visits += 1;
            }
            visits
        });
        for site in &sites[1..] {
            publish(site, home.path()).unwrap();
        }
        done.store(true, Ordering::Relaxed);
        assert!(visitor.join().unwrap() > 8);
    });
}

fn visit(folder: &Path, sites: &[Site]) {
    for name in ["walk.json", "index.html"] {
        let read = || fs::read(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
        let found = read();
        assert!(sites.iter().any(|site| site.get(name).unwrap().read().unwrap() == found), "{name} is neither");
        for path in std::str::from_utf8(&found).unwrap().lines() {
            match fs::read(folder.join(path)) {
                Ok(bytes) => assert_eq!(bytes, path.as_bytes()),
                Err(error) => {
                    assert_ne!(read(), found, "{path} went while {name} still named it: {error}");
                    break;
                }
            }
        }
    }
}

/// Twelve rooms of three hundred files. The wanted time is about 10 ms; the limit allows for a busy machine.
#[test]
fn nothing_changed_is_seen_quickly() {
    let home = tempfile::tempdir().unwrap();
    let mut site = Site::default();
    for room in 0..12 {
        site.lasting.extend(walkthrough(&format!("room-{room}"), 300).lasting);
    }
    site.changing = vec![("walk.json".into(), bytes("{}")), ("index.html".into(), bytes("<p>"))];
    publish(&site, home.path()).unwrap();
    let quickest = (0..5).map(|_| timed(|| assert_eq!(publish(&site, home.path()).unwrap().files_written, 0))).min();
    assert!(quickest.unwrap() < Duration::from_millis(100), "{quickest:?}");
}

fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}
