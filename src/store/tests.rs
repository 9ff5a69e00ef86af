//! The store under everything that may happen to its files.

use super::*;
use proptest::collection::{btree_map, vec};
use std::fs;
use std::time::{Duration, SystemTime};

const FILES: &[(&str, &[u8])] = &[("444/px-r0-c0.jpg", b"tile"), ("first-light.jpg", b"light"), ("empty", b"")];

fn key(text: &str) -> ContentHash {
    ContentHash::of(text.as_bytes())
}

fn new_store() -> (tempfile::TempDir, Store) {
    let tour = tempfile::tempdir().unwrap();
    let store = Store::open(tour.path()).unwrap();
    (tour, store)
}

fn holds_all(pack: &Pack) -> bool {
    pack.entries().count() == FILES.len() && FILES.iter().all(|(name, bytes)| pack.read(name).unwrap() == *bytes)
}

/// The published test vector for the empty input (the BLAKE3 authors' `test_vectors.json`, input length 0; from memory).
#[test]
fn hashes_are_blake3() {
    let hash = ContentHash::of(b"");
    assert_eq!(hash.long(), "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262");
    assert_eq!(hash.short(), "af1349b9f5f9a1a6");
    assert_eq!(ContentHash::from_long(&hash.long()), Some(hash));
    assert_eq!(ContentHash::from_long(&hash.long().to_uppercase()), None);
    assert_eq!(ContentHash::from_long("af"), None);
    assert_eq!(ContentHash::from_long(&"ä".repeat(32)), None);
}

#[test]
fn what_was_put_is_found_again_by_the_next_run() {
    let (tour, store) = new_store();
    assert!(store.pack(key("a")).is_none());
    assert!(holds_all(&store.put(key("a"), FILES).unwrap()));
    let again = Store::open(tour.path()).unwrap();
    let pack = again.pack(key("a")).unwrap();
    assert!(holds_all(&pack));
    let entries: Vec<_> = pack.entries().collect();
    assert_eq!(entries, [("444/px-r0-c0.jpg", 4), ("empty", 0), ("first-light.jpg", 5)]);
    assert_eq!(pack.read("nothing").unwrap_err().kind(), std::io::ErrorKind::NotFound);
    assert!(again.pack(key("b")).is_none());
    assert_eq!(fs::read_to_string(tour.path().join(".enfilade/.gitignore")).unwrap(), "*\n");
}

#[test]
fn a_pack_cut_short_anywhere_counts_as_absent_and_is_replaced() {
    let (_tour, store) = new_store();
    drop(store.put(key("a"), FILES).unwrap());
    let path = store.pack_path(key("a"));
    let whole = fs::read(&path).unwrap();
    for length in 0..whole.len() {
        fs::write(&path, &whole[..length]).unwrap();
        assert!(store.pack(key("a")).is_none(), "cut short to {length} bytes");
    }
    fs::write(&path, [&whole[..], b"\0"].concat()).unwrap();
    assert!(store.pack(key("a")).is_none(), "one byte too long");
    assert!(holds_all(&store.put(key("a"), FILES).unwrap()));
    assert_eq!(fs::read(&path).unwrap(), whole);
}

#[test]
fn every_damaged_byte_is_noticed() {
    let (_tour, store) = new_store();
    drop(store.put(key("a"), FILES).unwrap());
    let path = store.pack_path(key("a"));
    let whole = fs::read(&path).unwrap();
    for at in 0..whole.len() {
        for bit in 0..8 {
            let mut damaged = whole.clone();
            damaged[at] ^= 1 << bit;
            fs::write(&path, &damaged).unwrap();
            let content = (8..8 + 9).contains(&at);
            match store.pack(key("a")) {
                None => assert!(!content, "bit {bit} of byte {at} lies in a file, which opening does not read"),
                Some(pack) => assert!(content && pack.verify().is_err(), "bit {bit} of byte {at} passed"),
            }
        }
    }
}

#[test]
fn a_pack_under_another_key_is_foreign() {
    let (_tour, store) = new_store();
    drop(store.put(key("a"), FILES).unwrap());
    fs::copy(store.pack_path(key("a")), store.pack_path(key("b"))).unwrap();
    assert!(store.pack(key("b")).is_none());
}

#[test]
fn names_that_could_leave_the_folder_are_refused() {
    let (_tour, store) = new_store();
    for name in ["", ".", "..", "../up", "a//b", "/root", "a/..", "a\\b", "C:x", "ä"] {
        let error = store.put(key("a"), &[(name, b"x")]).unwrap_err().to_string();
        assert!(error.contains("cannot name a file in a pack"), "{name:?}: {error}");
    }
    let error = store.put(key("a"), &[("x", b"1"), ("x", b"2")]).unwrap_err().to_string();
    assert!(error.contains("\"x\" comes twice in a pack"), "{error}");
    assert!(store.pack(key("a")).is_none());
}

#[test]
fn writers_and_readers_side_by_side_see_whole_packs() {
    let (tour, _) = new_store();
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                let store = Store::open(tour.path()).unwrap();
                for round in 0..20 {
                    let key = key(&format!("{}", round % 3));
                    if let Some(pack) = store.pack(key) {
                        assert!(holds_all(&pack));
                    }
                    assert!(holds_all(&store.put(key, FILES).unwrap()));
                }
            });
        }
    });
    let left = fs::read_dir(tour.path().join(".enfilade/packs")).unwrap().count();
    assert_eq!(left, 3, "no unfinished file stays");
}

/// Stores opened for the first time by several runs at once.
#[test]
fn many_runs_may_lay_out_the_store_together() {
    let tour = tempfile::tempdir().unwrap();
    std::thread::scope(|scope| {
        for _ in 0..8 {
            scope.spawn(|| Store::open(tour.path()).unwrap().put(key("a"), FILES).unwrap());
        }
    });
    assert!(Store::open(tour.path()).unwrap().pack(key("a")).is_some());
}

#[test]
fn another_version_is_not_misread() {
    let (tour, _) = new_store();
    let folder = tour.path().join(".enfilade");
    fs::write(folder.join("version"), "enfilade store 2\n").unwrap();
    let error = Store::open(tour.path()).unwrap_err();
    assert_eq!(error.to_string(), format!("the store {folder:?} was made by another version of Enfilade"));
    assert_eq!(error.remedy(), format!("delete {folder:?}: it only holds work that can be made again"));
}

#[test]
fn a_store_that_cannot_be_made_says_where() {
    let tour = tempfile::tempdir().unwrap();
    fs::write(tour.path().join(".enfilade"), "a file").unwrap();
    let error = Store::open(tour.path()).unwrap_err();
    assert!(error.to_string().contains(".enfilade"), "{error}");
    assert!(error.remedy().contains("can be deleted at any time"), "{}", error.remedy());
}

fn used_days_ago(store: &Store, key: ContentHash, days: u64) {
    let file = fs::OpenOptions::new().write(true).open(store.pack_path(key)).unwrap();
    file.set_modified(SystemTime::now() - Duration::from_secs(days * 86_400)).unwrap();
}

#[test]
fn the_least_recently_used_packs_go_first_and_none_that_is_in_use() {
    let (tour, earlier) = new_store();
    for (name, days) in [("oldest", 9), ("old", 5), ("new", 1), ("in use", 20)] {
        drop(earlier.put(key(name), FILES).unwrap());
        used_days_ago(&earlier, key(name), days);
    }
    let pack_bytes = fs::metadata(earlier.pack_path(key("old"))).unwrap().len();
    let store = Store::open_bounded(tour.path(), 2 * pack_bytes).unwrap();
    let in_use = store.pack(key("in use")).unwrap();
    store.keep_within_bound();
    let exists = |name: &str| store.pack_path(key(name)).exists();
    assert_eq!(["oldest", "old", "new", "in use"].map(exists), [false, false, true, true]);

    // Looking a pack up is a use: "new" was looked up by nobody since, "in use" was.
    let later = Store::open_bounded(tour.path(), pack_bytes).unwrap();
    later.keep_within_bound();
    assert_eq!(["new", "in use"].map(exists), [false, true]);

    // Thrown out by another run while this one holds it.
    Store::open_bounded(tour.path(), 0).unwrap().keep_within_bound();
    assert!(!exists("in use"));
    if cfg!(unix) {
        assert!(holds_all(&in_use));
    }
}

#[test]
fn a_run_that_needs_more_than_the_bound_keeps_what_it_uses() {
    let tour = tempfile::tempdir().unwrap();
    let store = Store::open_bounded(tour.path(), 1).unwrap();
    drop(store.put(key("a"), FILES).unwrap());
    drop(store.put(key("b"), FILES).unwrap());
    store.keep_within_bound();
    assert!(store.pack(key("a")).is_some() && store.pack(key("b")).is_some());
}

#[test]
fn what_a_killed_run_left_goes_after_an_hour() {
    let (tour, store) = new_store();
    let packs = tour.path().join(".enfilade/packs");
    for (name, age_s) in [(".unfinished-old", 4000), (".unfinished-new", 60), ("notes.txt", 400_000)] {
        let file = fs::File::create(packs.join(name)).unwrap();
        file.set_modified(SystemTime::now() - Duration::from_secs(age_s)).unwrap();
    }
    store.keep_within_bound();
    assert!(!packs.join(".unfinished-old").exists());
    assert!(packs.join(".unfinished-new").exists());
    assert!(packs.join("notes.txt").exists(), "what Enfilade did not make stays");
}

const SECOND: i64 = 1_000_000_000;

fn record_of(modified_ns: i64, recorded_ns: i64) -> Record {
    let stamp = Stamp { size: 1, modified_ns, changed_ns: 0, inode: 2, device: 3 };
    let facts = ShotFacts {
        sphere_width: 8192,
        pose: (Some(0.1 + 0.2), -1e-300, f64::MIN),
        warnings: vec!["has a \"profile\" that is not read".to_owned()],
        upright: Some(RecordedUpright {
            method: 3,
            tilt: Some((0.1 + 0.2, -1e-300)),
            error_hundredths_deg: 5,
            doubt: String::new(),
        }),
    };
    Record { stamp, recorded_ns, hash: key("shot"), facts }
}

#[test]
fn a_record_made_within_two_seconds_of_a_change_is_not_trusted() {
    let path = Path::new("shots/hall.jpg");
    let trusted = |record: Record| {
        let mut records = Records::default();
        let stamp = record.stamp;
        records.insert(Role::Shot, path, record);
        records.trusted(Role::Shot, path, &stamp).is_some()
    };
    assert!(trusted(record_of(100 * SECOND, 102 * SECOND + 1)));
    assert!(!trusted(record_of(100 * SECOND, 102 * SECOND)));
    assert!(!trusted(record_of(100 * SECOND, 100 * SECOND)));
    assert!(!trusted(record_of(100 * SECOND, 50 * SECOND)), "a clock that was set back");
    let mut renamed_just_now = record_of(10 * SECOND, 102 * SECOND);
    renamed_just_now.stamp.changed_ns = 101 * SECOND;
    assert!(!trusted(renamed_just_now));
}

#[test]
fn anything_that_differs_is_read_again() {
    let path = Path::new("shots/hall.jpg");
    let record = record_of(100 * SECOND, 200 * SECOND);
    let mut records = Records::default();
    records.insert(Role::Shot, path, record.clone());
    let stamp = record.stamp;
    assert_eq!(records.trusted(Role::Shot, path, &stamp), Some(&record));
    assert_eq!(records.trusted(Role::Shot, Path::new("shots/other.jpg"), &stamp), None);
    for changed in [
        Stamp { size: 2, ..stamp },
        Stamp { modified_ns: stamp.modified_ns - 1, ..stamp },
        Stamp { changed_ns: 1, ..stamp },
        Stamp { inode: 9, ..stamp },
        Stamp { device: 9, ..stamp },
    ] {
        assert_eq!(records.trusted(Role::Shot, path, &changed), None, "{changed:?}");
    }
}

#[test]
fn records_come_back_to_the_last_bit_and_a_damaged_file_is_no_records() {
    let (tour, store) = new_store();
    assert_eq!(store.records(), Records::default());
    let mut records = Records::default();
    records.insert(Role::Shot, Path::new("shots/hall.jpg"), record_of(100 * SECOND, 200 * SECOND));
    store.remember(&records).unwrap();
    assert_eq!(store.records(), records);
    let file = tour.path().join(".enfilade/shots.json");
    let whole = fs::read(&file).unwrap();
    for length in 0..whole.len() {
        fs::write(&file, &whole[..length]).unwrap();
        assert_eq!(store.records(), Records::default(), "cut short to {length} bytes");
    }
}

proptest::proptest! {
    /// Whatever files are put come back, and no damage of any kind gets another content past [`Pack::verify`].
    #[test]
    fn packs_give_back_what_was_put_or_nothing(
        files in btree_map("[a-z]{1,8}(/[a-z0-9._-]{1,8}[a-z])?", vec(0..=255_u8, 0..40), 0..6),
        cut_from in 0..400_usize,
        cut_bytes in 0..60_usize,
        inserted in vec(0..=255_u8, 0..60),
    ) {
        let (_tour, store) = new_store();
        let listed: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (name.as_str(), &bytes[..])).collect();
        let come_back = |pack: &Pack| {
            let all = listed.iter().all(|(name, bytes)| pack.read(name).unwrap() == *bytes);
            all && pack.entries().count() == listed.len()
        };
        assert!(come_back(&store.put(key("a"), &listed).unwrap()));

        let path = store.pack_path(key("a"));
        let whole = fs::read(&path).unwrap();
        let from = cut_from.min(whole.len());
        let to = (from + cut_bytes).min(whole.len());
        let damaged = [&whole[..from], &inserted, &whole[to..]].concat();
        fs::write(&path, &damaged).unwrap();
        match store.pack(key("a")).filter(|pack| pack.verify().is_ok()) {
            Some(pack) => assert!(damaged == whole && come_back(&pack)),
            None => assert!(damaged != whole),
        }
    }
}
