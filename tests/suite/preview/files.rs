//! The watcher with real files, saved in every way that editors, cameras and people have.

use super::house::{House, Stream, by_events, get, wait_for};
use enfilade::preview::classify::{Kind, Table};
use enfilade::preview::watch::{Timing, Watcher};
use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::sync::atomic::Ordering;
use std::thread::sleep;
use std::time::{Duration, Instant};

#[test]
fn a_description_saved_in_place_by_rename_and_in_pieces_is_taken_in() {
    let house = House::standing();

    house.write("tour.yaml", &house.titled("In place"));
    house.waits_for_walk("In place|hall|plan|barn");

    house.write(".tour.yaml.new", &house.titled("By rename"));
    fs::rename(house.path(".tour.yaml.new"), house.path("tour.yaml")).unwrap();
    house.waits_for_walk("By rename|hall|plan|barn");

    // The old file is kept under another name, as some editors do.
    fs::rename(house.path("tour.yaml"), house.path("tour.yaml~")).unwrap();
    house.write("tour.yaml", &house.titled("With a backup"));
    house.waits_for_walk("With a backup|hall|plan|barn");

    let mut file = fs::File::create(house.path("tour.yaml")).unwrap();
    for piece in house.titled("In pieces").as_bytes().chunks(7) {
        file.write_all(piece).unwrap();
        file.flush().unwrap();
        sleep(Duration::from_millis(5));
    }
    drop(file);
    house.waits_for_walk("In pieces|hall|plan|barn");
}

#[test]
fn a_shot_being_copied_in_is_waited_for() {
    // Far longer than a busy machine holds up a writer.
    let house = House::standing_with(Timing { copied: Duration::from_millis(1500), ..by_events() });
    let whole = "0123456789".repeat(20);
    let mut file = fs::File::create(house.path("shots/hall.jpg")).unwrap();
    for piece in whole.as_bytes().chunks(10) {
        file.write_all(piece).unwrap();
        file.flush().unwrap();
        sleep(Duration::from_millis(60));
    }
    drop(file);
    house.waits_for_walk(&format!("Larkmere Mill|{whole}|plan|barn"));
    for made in house.makings() {
        let shot = made.split('|').nth(1).unwrap_or_default();
        assert!(shot == "hall" || shot == whole, "half a shot was read: {shot}");
    }
}

#[test]
fn a_deleted_file_is_a_problem_until_it_is_put_back() {
    let house = House::standing();
    let mut page = Stream::open(house.port);
    for (name, text) in [("plans/ground.svg", "plan"), ("../card/barn.jpg", "barn")] {
        fs::remove_file(house.path(name)).unwrap();
        let problems = page.wait_for("problems", "missing");
        assert!(problems.contains("\"standing\":true"), "{problems}");
        // The last good walkthrough stays.
        assert_eq!(get(house.port, "/walk.json").body, b"Larkmere Mill|hall|plan|barn");
        house.write(name, text);
        page.wait_for("problems", "\"problems\":[]");
    }
    assert_eq!(house.record.shown.lock().unwrap().len(), 2);
    wait_for("the terminal to say so", || {
        let said = house.record.said.lock().unwrap();
        said.iter().filter(|line| line.starts_with("Mended")).count() == 2
    });
}

#[test]
fn a_whole_folder_replaced_is_taken_in_and_watched_again() {
    let house = House::standing();
    fs::create_dir(house.path("new-shots")).unwrap();
    house.write("new-shots/hall.jpg", "new");
    fs::rename(house.path("shots"), house.path("old-shots")).unwrap();
    fs::rename(house.path("new-shots"), house.path("shots")).unwrap();
    house.waits_for_walk("Larkmere Mill|new|plan|barn");
    house.write("shots/hall.jpg", "newer");
    house.waits_for_walk("Larkmere Mill|newer|plan|barn");
    // What was moved away is nobody's business any more.
    house.write("old-shots/hall.jpg", "stray");
    house.write("shots/hall.jpg", "newest");
    house.waits_for_walk("Larkmere Mill|newest|plan|barn");
}

#[test]
fn a_broken_description_is_shown_and_mending_it_clears_the_problem() {
    let house = House::standing();
    let mut page = Stream::open(house.port);
    house.replace("tour.yaml", &house.titled("broken"));
    page.wait_for("problems", "“broken” is no title");
    // Saved again without a remedy: the page is told, the terminal does not repeat itself.
    house.replace("tour.yaml", &house.titled("broken"));
    page.wait_for("problems", "“broken” is no title");
    assert_eq!(get(house.port, "/walk.json").body, b"Larkmere Mill|hall|plan|barn");
    house.replace("tour.yaml", &house.titled("Whole"));
    page.wait_for("problems", "\"problems\":[]");
    house.waits_for_walk("Whole|hall|plan|barn");
    assert_eq!(house.record.shown.lock().unwrap().len(), 1);
}

#[test]
fn a_change_during_a_making_is_made_after_it_and_the_server_goes_on_meanwhile() {
    let house = House::standing();
    house.replace("tour.yaml", &house.titled("slow"));
    wait_for("the second making", || house.record.begun.load(Ordering::SeqCst) == 2);
    assert_eq!(get(house.port, "/walk.json").body, b"Larkmere Mill|hall|plan|barn");
    house.replace("tour.yaml", &house.titled("quick"));
    house.waits_for_walk("quick|hall|plan|barn");
}

#[test]
fn a_fault_of_the_program_is_a_problem_and_not_the_end() {
    let house = House::standing();
    let mut page = Stream::open(house.port);
    house.write("tour.yaml", &house.titled("faulty"));
    page.wait_for("problems", "a fault of Enfilade");
    assert_eq!(get(house.port, "/walk.json").body, b"Larkmere Mill|hall|plan|barn");
    house.write("tour.yaml", &house.titled("Whole"));
    house.waits_for_walk("Whole|hall|plan|barn");
}

#[test]
fn a_tour_that_is_broken_from_the_start_opens_once_it_is_mended() {
    let house = House::new();
    house.write("tour.yaml", "broken");
    let mut page = Stream::open(house.port);
    page.wait_for("problems", "is no title");
    house.write("tour.yaml", &house.titled("Whole"));
    page.wait_for("site", "walk");
    house.waits_for_walk("Whole|hall|plan|barn");
}

#[test]
fn a_new_shot_that_the_description_names_is_watched_too() {
    let house = House::standing();
    fs::create_dir(house.path("more")).unwrap();
    house.write("more/loft.jpg", "loft");
    house.write("tour.yaml", "Mill\nmore/loft.jpg\n");
    house.waits_for_walk("Mill|loft");
    house.write("more/loft.jpg", "attic");
    house.waits_for_walk("Mill|attic");
}

#[test]
fn a_template_that_appears_has_the_page_loaded_again() {
    let house = House::standing();
    let mut page = Stream::open(house.port);
    let before = page.wait_for("site", "walk");
    fs::create_dir(house.path("templates")).unwrap();
    house.write("templates/page.html", "<p>own</p>");
    // Making the folder may be noticed before the file in it is written.
    wait_for("the page", || String::from_utf8_lossy(&get(house.port, "/").body).contains("<p>own</p>"));
    let after = page.wait_for("site", "walk");
    let stamp = |data: &str| serde_json::from_str::<serde_json::Value>(data).unwrap()["page"].clone();
    assert_ne!(stamp(&before), stamp(&after));
}

#[test]
fn the_output_the_store_and_strangers_are_left_alone() {
    let house = House::standing();
    fs::create_dir_all(house.path(".enfilade/packs")).unwrap();
    fs::create_dir_all(house.path("site/stations")).unwrap();
    for name in [".enfilade/packs/1", "site/walk.json", "shots/unused.jpg", ".tour.yaml.swp", "notes.txt"] {
        house.write(name, "x");
    }
    // Events come in order: when the next change was taken in, all before it have been judged.
    sleep(Duration::from_millis(500));
    house.replace("tour.yaml", &house.titled("Later"));
    house.waits_for_walk("Later|hall|plan|barn");
    assert_eq!(house.makings(), ["Larkmere Mill|hall|plan|barn", "Later|hall|plan|barn"]);
}

#[test]
fn without_events_changes_are_found_by_looking() {
    let temporary = tempfile::tempdir().unwrap();
    let description = temporary.path().join("tour.yaml");
    fs::write(&description, "one").unwrap();
    let table = Table::new(temporary.path(), [(description.clone(), Kind::Description)], false);
    let mut watcher = Watcher::without_events(table, Timing::default());
    for text in [Some("three"), None, Some("seven")] {
        match text {
            Some(text) => fs::write(&description, text).unwrap(),
            None => fs::remove_file(&description).unwrap(),
        }
        let until = Instant::now() + super::house::PATIENCE;
        let changes = watcher.wait(&|| Instant::now() > until);
        assert_eq!(changes, Some(BTreeSet::from([Kind::Description])), "{text:?}");
    }
}
