//! What a tour holds once its description is read.

use crate::written_tour::{WrittenTour, picture};
use enfilade::sphere::Heading;
use enfilade::tour::{Tilt, Towards, read_tour};

const TOUR: &str = "
title: Larkmere Mill
opens-in: barn/hearth
defaults: { quality: 90, tilt: from-file, camera-height: 1.5 }
floors:
  - id: ground
    title: Ground floor
    plan: { drawing: plans/ground.svg, north: 14, scale: { from: [0, 0], to: [30, 40], metres: 1 } }
    rooms:
      - id: hall
        title: Hall
        shots: [shots/hall.jpg]
        heading: 360
        quality: 70
        full-colour: true
        tilt: none
        notes: [{ heading: 7, text: Bell, picture: { file: bell.png, alternative: A bell } }]
      - id: barn
        title: Barn
        stations:
          - { id: door-end, shots: ../outside.jpg, stands-at: [700, 300], tilt: { roll: -1.2 } }
          - { id: hearth, shots: shots/hall.png, stands-at: [500, 310], camera-height: 2 }
doors:
  - { between: [hall, barn], at: [510, 300], one-way: true, seen-from: { barn/door-end: { spot: [3, 4] } } }
";

#[test]
fn a_tour_holds_what_was_written_with_defaults_and_paths_in_place() {
    let outer = tempfile::tempdir().unwrap();
    std::fs::write(outer.path().join("outside.jpg"), picture("outside.jpg", 4, 2)).unwrap();
    let folder = outer.path().join("mill");
    std::fs::create_dir_all(folder.join("shots")).unwrap();
    std::fs::create_dir_all(folder.join("plans")).unwrap();
    for name in ["shots/hall.jpg", "shots/hall.png", "bell.png"] {
        std::fs::write(folder.join(name), picture(name, 4, 2)).unwrap();
    }
    let drawing = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"-5 0 800 600\"/>";
    std::fs::write(folder.join("plans/ground.svg"), drawing).unwrap();
    std::fs::write(folder.join("tour.yaml"), TOUR).unwrap();

    let (tour, warnings) = read_tour(&folder).unwrap();
    // The only door leads the other way.
    let unreached = "no way leads from `barn/hearth` to the room `hall`";
    assert_eq!(warnings.iter().map(|warning| warning.what.as_str()).collect::<Vec<_>>(), [unreached]);
    assert_eq!(read_tour(&folder.join("tour.yaml")).unwrap().0, tour);
    assert_eq!((tour.folder.as_path(), &tour.file), (folder.as_path(), &folder.join("tour.yaml")));
    assert_eq!((tour.title.as_str(), tour.summary.as_str(), tour.language.as_str()), ("Larkmere Mill", "", "en"));
    assert_eq!(tour.opens_in.to_string(), "barn/hearth");

    let plan = tour.floors[0].plan.as_ref().unwrap();
    assert_eq!((plan.origin, plan.size, plan.north_deg), ([-5.0, 0.0], [800.0, 600.0], Some(14.0)));
    assert_eq!(plan.metres_per_unit, Some(0.02));

    let [hall, door_end, hearth] = &tour.stations().collect::<Vec<_>>()[..] else { panic!() };
    assert_eq!((hall.key.to_string(), hall.key.slug()), ("hall".into(), "hall".into()));
    assert_eq!((hearth.key.to_string(), hearth.key.slug()), ("barn/hearth".into(), "barn-hearth".into()));
    assert_eq!((hall.quality, hall.full_chroma, hall.tilt, hall.camera_height_m), (70, true, Tilt::None, 1.5));
    assert_eq!((hearth.quality, hearth.full_chroma, hearth.tilt), (90, false, Tilt::FromFile));
    assert_eq!(door_end.tilt, Tilt::Given { pitch_deg: 0.0, roll_deg: -1.2 });
    assert_eq!((hearth.camera_height_m, hearth.stands_at), (2.0, Some([500.0, 310.0])));
    assert_eq!((hall.heading, hearth.heading), (Some(Heading::wrapping(0.0)), None));
    assert_eq!(hall.shots[0].path, folder.join("shots/hall.jpg"));
    assert_eq!((hall.shots[0].place.line, hall.shots[0].place.column, hall.shots[0].place.length), (12, 17, 14));
    assert!(door_end.shots[0].path.is_file());

    let note = &hall.notes[0];
    assert_eq!((note.towards, note.title.as_ref()), (Towards::Heading(Heading::wrapping(7.0), 0.0), None));
    assert_eq!(note.picture.as_ref().unwrap().alternative, "A bell".into());

    let door = &tour.doors[0];
    assert_eq!(door.between.clone().map(|end| end.to_string()), ["hall", "barn/hearth"], "nearest to the doorway");
    assert!(door.one_way);
    assert_eq!(door.seen_from[0].station.to_string(), "barn/door-end");
    assert_eq!(door.leads_to(&hall.key).unwrap().to_string(), "barn/hearth");
    assert_eq!(door.leads_to(&hearth.key), None);
    assert_eq!(tour.floors[0].rooms[1].steps.len(), 1, "each station is joined to the next");
}

/// An APP1 segment that holds nothing but an EXIF orientation (CIPA DC-008: a TIFF header, one entry of tag 274).
fn with_orientation(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    let length = (exif.len() as u16 + 2).to_be_bytes();
    [&jpeg[..2], &[0xff, 0xe1], &length, &exif, &jpeg[2..]].concat()
}

#[test]
fn a_plan_that_is_a_photograph_counts_in_pixels_as_it_is_shown() {
    let yaml = "{ title: x, floors: [{ id: g, title: G, plan: { drawing: p.jpg }, rooms: [{ id: r, title: R, shots: r.jpg }] }] }";
    let size = |orientation: u8| {
        let drawing = with_orientation(&picture("p.jpg", 30, 20), orientation);
        let tour = WrittenTour::new(yaml).shots(["r.jpg"]).file("p.jpg", drawing).read();
        tour.floors[0].plan.as_ref().unwrap().size
    };
    for upright in 1..=4 {
        assert_eq!(size(upright), [30.0, 20.0], "{upright}");
    }
    for turned in 5..=8 {
        assert_eq!(size(turned), [20.0, 30.0], "{turned}");
    }
}

#[test]
fn a_tour_is_found_from_the_folder_that_one_stands_in() {
    // A relative path without a folder of its own: paths still start from where the file lies.
    let source = enfilade::description::Source::from_bytes(std::path::Path::new("tour.yaml"), b"title: x".to_vec());
    assert_eq!(source.unwrap().folder(), std::path::Path::new("."));
}
