//! What is looked at is seen first: a proof, then the whole picture, then the rest.

use super::house::{send, serve};
use crate::command::TourFolder;
use enfilade::preview::gate;
use enfilade::preview::making::{Maker, News};
use enfilade::site::Site;
use std::sync::Mutex;

/// `TONE` stands in both rooms.
const YAML: &str = "\
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms:
      - { id: hall, title: Hall, shots: hall.jpg, tone: TONE }
      - { id: loft, title: Loft, shots: loft.jpg, tone: TONE }
doors:
  - { between: [hall, loft], seen-from: { hall: { spot: [10, 0] }, loft: { spot: [0, 0] } } }
";

fn mill() -> TourFolder {
    TourFolder::new().shot("hall.jpg", 2560).shot("loft.jpg", 2560).file("tour.yaml", YAML.replace("TONE", "{}"))
}

/// Folder, largest face and mean of first light of a station in a site's `walk.json`.
fn station(site: &Site, index: usize) -> (String, u64, f64) {
    let walk: serde_json::Value = serde_json::from_slice(&site.get("walk.json").unwrap().read().unwrap()).unwrap();
    let station = &walk["rooms"][index]["stations"][0];
    let folder = station["folder"].as_str().unwrap().to_owned();
    let light = site.get(&format!("{folder}/first-light.jpg")).unwrap().read().unwrap();
    let light = image::load_from_memory(&light).unwrap().to_luma8();
    let mean =
        light.pixels().map(|pixel| f64::from(pixel.0[0])).sum::<f64>() / f64::from(light.width() * light.height());
    (folder, station["levels"][0]["facePx"].as_u64().unwrap(), mean)
}

#[test]
fn a_changed_tone_is_seen_as_a_proof_then_whole_and_the_rest_after() {
    let mill = mill();
    let maker = Maker::new(&mill.path("."));
    let interim = Mutex::new(Vec::new());
    let make = |looking: Option<&str>| {
        let keep = |news| {
            if let News::Interim(site) = news {
                interim.lock().unwrap().push(site);
            }
        };
        maker.make(&|| looking.map(str::to_owned), &keep).unwrap().0
    };
    let before = make(Some("loft"));
    // At first both rooms are grey; then the one that is looked at comes, then the other.
    let seen = std::mem::take(&mut *interim.lock().unwrap());
    let faces: Vec<[u64; 2]> = seen.iter().map(|site| [0, 1].map(|index| station(site, index).1)).collect();
    assert_eq!(faces, [[16, 16], [16, 816], [816, 816]]);
    assert!(station(&seen[0], 0).0.ends_with("-pending"), "{}", station(&seen[0], 0).0);
    assert_eq!(station(&before, 1).1, 816);

    mill.write("tour.yaml", YAML.replace("TONE", "{ exposure: 1 }"));
    let after = make(Some("loft"));
    let interim = interim.lock().unwrap();
    let [proof, whole, rest] = &interim[..] else { panic!("{} sites on the way", interim.len()) };
    // The room that is looked at is brighter at once, at the size of a proof, and then at its own.
    let (old, small, full) = (station(&before, 1), station(proof, 1), station(whole, 1));
    assert!(small.0.ends_with("-proof"), "{}", small.0);
    assert_eq!((small.1, full.1), (400, 816));
    assert!(small.2 > old.2 + 20.0 && (small.2 - full.2).abs() < 1.0, "{} became {} and {}", old.2, small.2, full.2);
    // The other room waits, and comes last.
    assert_eq!(station(proof, 0), station(&before, 0));
    assert_eq!(station(whole, 0), station(&before, 0));
    assert_ne!(station(&after, 0).0, station(&before, 0).0);
    assert_eq!(station(rest, 0), station(&after, 0));
    assert_eq!(station(&after, 1), full);
    let proofs = after.lasting.keys().filter(|name| name.contains("-proof")).count();
    assert_eq!(proofs, 0, "no proof is part of the finished site");
}

#[test]
fn whoever_looks_at_nothing_gets_no_proof() {
    let mill = mill();
    let maker = Maker::new(&mill.path("."));
    let no_proof = |news| {
        let News::Interim(site) = news else { return };
        assert!(site.lasting.keys().all(|name| !name.contains("-proof")));
    };
    maker.make(&|| None, &no_proof).unwrap();
    mill.write("tour.yaml", YAML.replace("TONE", "{ exposure: 1 }"));
    maker.make(&|| Some("attic".to_owned()), &no_proof).unwrap();
}

/// A row of rooms, each with a door to the next.
const ROW: &str = "\
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms:
      - { id: a, title: A, shots: a.jpg }
      - { id: b, title: B, shots: b.jpg }
      - { id: c, title: C, shots: c.jpg }
      - { id: d, title: D, shots: d.jpg }
      - { id: e, title: E, shots: e.jpg }
doors:
  - { between: [a, b], seen-from: { a: { spot: [10, 0] }, b: { spot: [0, 0] } } }
  - { between: [b, c], seen-from: { b: { spot: [90, 0] }, c: { spot: [0, 0] } } }
  - { between: [c, d], seen-from: { c: { spot: [90, 0] }, d: { spot: [0, 0] } } }
  - { between: [d, e], seen-from: { d: { spot: [90, 0] }, e: { spot: [0, 0] } } }
";

#[test]
fn rooms_are_made_in_the_order_in_which_one_may_walk_to_them_and_the_order_follows_the_visitor() {
    let names = ["a", "b", "c", "d", "e"];
    let row = names.iter().fold(TourFolder::new().file("tour.yaml", ROW), |row, name| {
        row.shot(&format!("{name}.jpg"), 512 + 64 * u32::from(name.as_bytes()[0]))
    });
    let order = |looking: &(dyn Fn(usize) -> &'static str + Sync)| {
        let _ = std::fs::remove_dir_all(row.path(".enfilade"));
        let (made, asked) = (Mutex::new(Vec::new()), std::sync::atomic::AtomicUsize::new(0));
        let note = |news| {
            if let News::Progress(enfilade::workshop::Progress::Cut(key)) = news {
                made.lock().unwrap().push(key.to_string());
            }
        };
        let looking = || Some(looking(asked.fetch_add(1, std::sync::atomic::Ordering::Relaxed)).to_owned());
        Maker::new(&row.path(".")).make(&looking, &note).unwrap();
        made.into_inner().unwrap().concat()
    };
    assert_eq!(order(&|_| "a"), "abcde");
    assert_eq!(order(&|_| "c"), "cbdae");
    // Asked once for a proof, then before each room: after the first one the visitor has gone to the far end.
    assert_eq!(order(&|asked| if asked < 2 { "a" } else { "e" }), "aedcb");
}

#[test]
fn a_page_says_which_station_it_shows() {
    let (port, shown) = serve(gate::Limits::default());
    let post = |target: &str, origin: &str| {
        let request = format!("POST {target} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{origin}Content-Length: 0\r\n\r\n");
        send(port, request.as_bytes()).status
    };
    let own = format!("Origin: http://127.0.0.1:{port}\r\n");
    assert_eq!(post("/preview/looking?at=barn/hearth", &own), 204);
    assert_eq!(shown.looking.at().as_deref(), Some("barn/hearth"));
    assert_eq!(post("/preview/looking?at=hall", "Origin: http://elsewhere.example\r\n"), 403);
    assert_eq!(post("/preview/looking?at=hall", ""), 405);
    assert_eq!(post("/preview/elsewhere?at=hall", &own), 405);
    assert_eq!(shown.looking.at().as_deref(), Some("barn/hearth"));
}
