//! Which way everything lies: headings, doors, steps, notes, arrivals and opening views of small tours.
//!
//! Expected directions are worked out by hand from places that lie on right-angled triangles.

use crate::written_tour::{WrittenTour, lines};
use enfilade::problem::Problems;
use enfilade::sphere::{Heading, Rotation, wrap_degrees};
use enfilade::tour::doorway::Doorway;
use enfilade::tour::sight::{Hotspot, HotspotKind, Pose, Sights, settle};
use enfilade::tour::{StationKey, Tour};
use std::collections::BTreeMap;

/// Two rooms on a plan of which 100 units are 2 metres: the kitchen lies east of the hall (plan-up being north), the
/// doorway halfway between them.
fn two_rooms(plan: &str, hall: &str, kitchen: &str, doors: &str) -> String {
    format!(
        "
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    plan: {{ drawing: ground.svg{plan} }}
    rooms:
      - {{ id: hall, title: Hall, shots: hall.jpg, stands-at: [100, 300]{hall} }}
      - {{ id: kitchen, title: Kitchen, shots: kitchen.jpg, stands-at: [300, 300]{kitchen} }}
doors:
{doors}"
    )
}

const SCALE: &str = ", scale: { from: [0, 0], to: [100, 0], metres: 2 }";
const DOOR: &str = "  - between: [hall, kitchen]\n";

fn read(yaml: &str) -> Tour {
    WrittenTour::new(yaml).shots(["hall.jpg", "kitchen.jpg", "landing.jpg"]).plan("ground.svg").read()
}

type Settled = Result<(BTreeMap<StationKey, Sights>, Problems), Problems>;

fn settled(yaml: &str, poses: &[(&str, Pose)]) -> Settled {
    let tour = read(yaml);
    let key = |name: &str| tour.stations().find(|s| s.key.to_string() == name).unwrap().key.clone();
    let poses = poses.iter().map(|(name, pose)| (key(name), *pose)).collect();
    settle(&tour, &poses)
}

/// Sights by station name, and warnings as lines.
fn sights(yaml: &str, poses: &[(&str, Pose)]) -> (BTreeMap<String, Sights>, Vec<String>) {
    match settled(yaml, poses) {
        Ok((sights, warnings)) => {
            (sights.into_iter().map(|(key, sights)| (key.to_string(), sights)).collect(), lines(&warnings))
        }
        Err(problems) => panic!("{:#?}", lines(&problems)),
    }
}

fn errors(yaml: &str, poses: &[(&str, Pose)]) -> Vec<String> {
    lines(&settled(yaml, poses).expect_err("nothing should settle"))
}

fn facing(heading_deg: f64) -> Pose {
    Pose { heading: Some(Heading::wrapping(heading_deg)), ..Pose::default() }
}

#[track_caller]
fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "{found}, not {expected}");
}

#[track_caller]
fn looks(hotspot: &Hotspot, heading_deg: f64, elevation_deg: f64) {
    assert!(wrap_degrees(hotspot.heading_deg - heading_deg).abs() < 1e-9, "{hotspot:?}");
    assert!((0.0..360.0).contains(&hotspot.heading_deg), "{hotspot:?}");
    close(hotspot.elevation_deg, elevation_deg);
}

fn arrival(hotspot: &Hotspot) -> Option<f64> {
    match hotspot.kind {
        HotspotKind::Door { arrive_heading_deg, .. } | HotspotKind::Step { arrive_heading_deg, .. } => {
            arrive_heading_deg
        }
        HotspotKind::Note(_) => panic!("a note leads nowhere"),
    }
}

/// atan2(1.0 − 1.6, 2 m).
fn mark_at_two_metres() -> f64 {
    (-0.6_f64).atan2(2.0).to_degrees()
}

fn doorway(hotspot: &Hotspot) -> Doorway {
    let HotspotKind::Door { doorway, .. } = hotspot.kind else { panic!("{hotspot:?} is no door") };
    doorway
}

/// 0.9 m by 2.0 m, the lens 1.6 m up: halfway it is 2 m away, by `at` 1 m; without a scale as from a usual distance.
#[test]
fn a_doorway_is_as_large_as_the_plan_says() {
    let of = |plan: &str, door: &str| {
        let (sights, _) = sights(&two_rooms(plan, ", heading: 0", ", heading: 0", door), &[]);
        doorway(&sights["hall"].hotspots[0])
    };
    let halfway = of(SCALE, DOOR);
    close(halfway.width_deg, 2.0 * 0.45_f64.atan2(2.0).to_degrees());
    close(halfway.top_deg, 0.4_f64.atan2(2.0).to_degrees());
    close(halfway.bottom_deg, (-1.6_f64).atan2(2.0).to_degrees());
    let nearer = of(SCALE, "  - { between: [hall, kitchen], at: [150, 300] }\n");
    close(nearer.bottom_deg, (-1.6_f64).atan2(1.0).to_degrees());
    assert_eq!(of("", DOOR), Doorway::seen_from(1.6, None));
}

#[test]
fn a_door_lies_towards_the_other_station_and_its_mark_in_the_doorway_halfway() {
    let (sights, warnings) = sights(&two_rooms(SCALE, ", heading: 30", ", heading: 200", DOOR), &[]);
    looks(&sights["hall"].hotspots[0], 90.0, mark_at_two_metres());
    looks(&sights["kitchen"].hotspots[0], 270.0, mark_at_two_metres());
    assert_eq!(sights["hall"].heading, Some(Heading::wrapping(30.0)));
    assert_eq!(warnings, [""; 0]);
}

#[test]
fn a_door_lies_towards_its_doorway_where_that_is_known() {
    let door = "  - { between: [hall, kitchen], at: [200, 400] }\n";
    let (sights, _) = sights(&two_rooms(SCALE, ", heading: 0", ", heading: 0", door), &[]);
    let elevation = (-0.6_f64).atan2(8.0_f64.sqrt()).to_degrees();
    looks(&sights["hall"].hotspots[0], 135.0, elevation);
    looks(&sights["kitchen"].hotspots[0], 225.0, elevation);
}

#[test]
fn north_turns_what_the_plan_tells() {
    let plan = format!(", north: 40{SCALE}");
    let (sights, _) = sights(&two_rooms(&plan, ", heading: 0", ", heading: 0", DOOR), &[]);
    looks(&sights["hall"].hotspots[0], 50.0, mark_at_two_metres());
    looks(&sights["kitchen"].hotspots[0], 230.0, mark_at_two_metres());
}

#[test]
fn without_a_scale_a_door_stands_ten_degrees_down() {
    let (sights, _) = sights(&two_rooms("", ", heading: 0", ", heading: 0", DOOR), &[]);
    looks(&sights["hall"].hotspots[0], 90.0, -10.0);
}

#[test]
fn what_is_said_wins_and_a_large_difference_from_the_plan_is_a_warning() {
    let door = "  - { between: [hall, kitchen], seen-from: { hall: { heading: 95, elevation: 3 }, kitchen: { spot: [-150, -7] } } }\n";
    let (sights, warnings) = sights(&two_rooms(SCALE, ", heading: 0", ", heading: 100", door), &[]);
    looks(&sights["hall"].hotspots[0], 95.0, 3.0);
    looks(&sights["kitchen"].hotspots[0], 310.0, -7.0);
    assert_eq!(
        warnings,
        [
            "warning 11:83+7: `seen-from` and the plan differ by 40° about where the door to `hall` in `kitchen` is seen -> \
          correct the sighting, the heading of `kitchen`, or the places on the plan; by the plan the heading is 270"
        ]
    );
}

#[test]
fn a_spot_is_turned_by_the_tilt_before_the_heading_is_added() {
    // Roll 10 with the right side down: what stands 10 degrees above the picture's middle line at its right edge of
    // view is level (check value of tests/fixtures/reference/rotation.csv's sign rule).
    let door = "  - { between: [hall, kitchen], seen-from: { hall: { spot: [90, 10] } } }\n";
    let yaml = two_rooms(SCALE, ", heading: 5, tilt: { roll: 10 }", ", heading: 0", door);
    let (sights, _) = sights(&yaml, &[]);
    looks(&sights["hall"].hotspots[0], 95.0, 0.0);
    assert_eq!(sights["hall"].level, Rotation::from_tilt(0.0, 10.0));
}

#[test]
fn a_tilt_from_the_file_is_the_pictures_own() {
    let yaml = two_rooms(SCALE, ", heading: 0, tilt: from-file", ", heading: 0", DOOR);
    let pose = Pose { heading: None, pitch_deg: 3.0, roll_deg: -2.0 };
    let (sights, _) = sights(&yaml, &[("hall", pose), ("kitchen", pose)]);
    assert_eq!(sights["hall"].level, Rotation::from_tilt(3.0, -2.0));
    assert_eq!(sights["kitchen"].level, Rotation::IDENTITY);
}

#[test]
fn headings_come_from_the_description_then_from_the_pictures() {
    let yaml = two_rooms(", north: 0", ", heading: 12", "", DOOR);
    let (sights, _) = sights(&yaml, &[("hall", facing(200.0)), ("kitchen", facing(33.0))]);
    assert_eq!(sights["hall"].heading, Some(Heading::wrapping(12.0)));
    assert_eq!(sights["kitchen"].heading, Some(Heading::wrapping(33.0)));
}

#[test]
fn the_same_heading_in_every_picture_and_zero_everywhere_count_as_none() {
    let yaml = two_rooms(", north: 0", ", heading: 12", "", DOOR);
    let expected = [
        "error 11:5+7: nothing tells where the door to `hall` in `kitchen` is seen: the heading of `kitchen` is not known -> \
         give `kitchen` a `heading`, or write `seen-from: { kitchen: { spot: [longitude, latitude] } }`",
    ];
    assert_eq!(errors(&yaml, &[("hall", facing(70.0)), ("kitchen", facing(70.0))]), expected);
    assert_eq!(errors(&yaml, &[("kitchen", facing(0.0))]), expected);
    assert!(settled(&yaml, &[("kitchen", facing(70.0))]).is_ok(), "one picture with a heading is believed");
}

#[test]
fn a_compass_on_a_plan_without_north_is_a_warning() {
    let (_, warnings) = sights(&two_rooms("", ", heading: 12", "", DOOR), &[("kitchen", facing(70.0))]);
    assert_eq!(
        warnings,
        ["warning 6:22+10: the pictures' own headings count from north, and this plan does not say where north is -> \
          write the plan's `north`, or doors may be marked in the wrong direction"]
    );
}

#[test]
fn a_heading_follows_from_a_door_that_is_sighted_in_the_picture() {
    // By the plan the kitchen lies at heading 90; in the picture it is seen 40 degrees left of the centre column.
    let door = "  - { between: [hall, kitchen], seen-from: { hall: { spot: [-40, -5] } } }\n";
    let (sights, warnings) = sights(&two_rooms(SCALE, "", ", heading: 0", door), &[]);
    close(sights["hall"].heading.unwrap().degrees(), 130.0);
    looks(&sights["hall"].hotspots[0], 90.0, -5.0);
    assert_eq!(warnings, [""; 0]);
}

#[test]
fn several_sightings_are_averaged_and_one_far_off_is_a_warning() {
    let doors = "  - { between: [hall, kitchen], at: [200, 300], seen-from: { hall: { spot: [90, 0] } } }\n  \
                   - { between: [hall, kitchen], at: [100, 200], seen-from: { hall: { spot: [30, 0] } } }\n";
    let (sights, warnings) = sights(&two_rooms("", "", ", heading: 0", doors), &[]);
    close(sights["hall"].heading.unwrap().degrees(), 345.0);
    assert_eq!(warnings.len(), 2, "{warnings:?}");
    assert!(
        warnings[0].starts_with("warning 11:62+4: where `kitchen` is seen from `hall` differs by 15°"),
        "{warnings:?}"
    );
}

#[test]
fn the_visitor_arrives_looking_where_they_were_going() {
    let door = "  - { between: [hall, kitchen], at: [200, 400] }\n";
    let (known, _) = sights(&two_rooms("", ", heading: 77", ", heading: 3", door), &[]);
    close(arrival(&known["hall"].hotspots[0]).unwrap(), 135.0);
    close(arrival(&known["kitchen"].hotspots[0]).unwrap(), 225.0);
}

/// The landing lies on a floor of its own, without a plan; neither picture knows its heading.
fn stairs(doors: &str) -> String {
    format!(
        "
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms: [{{ id: hall, title: Hall, shots: hall.jpg }}]
  - id: first
    title: First floor
    rooms: [{{ id: landing, title: Landing, shots: landing.jpg }}]
doors:
{doors}"
    )
}

#[test]
fn up_the_stairs_the_visitor_arrives_with_the_way_back_behind_them() {
    // The flight turns: up it one looks to 200, and on the landing the way down lies at 300.
    let door = "  - between: [hall, landing]\n    \
                seen-from: { hall: { heading: 200, elevation: 9 }, landing: { heading: 300, elevation: -20 } }\n";
    let tour = stairs(door).replace("shots: hall.jpg", "shots: hall.jpg, heading: 10");
    let tour = tour.replace("shots: landing.jpg", "shots: landing.jpg, heading: 20");
    let (sights, _) = sights(&tour, &[]);
    close(arrival(&sights["hall"].hotspots[0]).unwrap(), 120.0);
    close(arrival(&sights["landing"].hotspots[0]).unwrap(), 20.0);
}

#[test]
fn without_headings_the_visitor_arrives_with_the_way_back_behind_them() {
    let door =
        "  - { between: [hall, landing], seen-from: { hall: { spot: [118, -6] }, landing: { spot: [-40, -12] } } }\n";
    let (sights, _) = sights(&stairs(door), &[]);
    looks(&sights["hall"].hotspots[0], 118.0, -6.0);
    looks(&sights["landing"].hotspots[0], 320.0, -12.0);
    close(arrival(&sights["hall"].hotspots[0]).unwrap(), 140.0);
    close(arrival(&sights["landing"].hotspots[0]).unwrap(), 298.0);
    assert_eq!(sights["hall"].heading, None);
    // Each opens towards its first door, level.
    assert_eq!((sights["hall"].opening.heading_deg, sights["hall"].opening.elevation_deg), (118.0, 0.0));
}

#[test]
fn a_one_way_door_is_no_hotspot_at_its_far_end_but_is_looked_away_from() {
    let seen = "seen-from: { hall: { spot: [118, -6] }, landing: { spot: [-40, -12] } }";
    let (with_back, _) = sights(&stairs(&format!("  - {{ between: [hall, landing], one-way: true, {seen} }}\n")), &[]);
    assert_eq!(with_back["landing"].hotspots, []);
    close(arrival(&with_back["hall"].hotspots[0]).unwrap(), 140.0);
    let seen = "seen-from: { hall: { spot: [118, -6] } }";
    let (without, _) = sights(&stairs(&format!("  - {{ between: [hall, landing], one-way: true, {seen} }}\n")), &[]);
    assert_eq!(arrival(&without["hall"].hotspots[0]), None);
}

#[test]
fn stairs_have_to_be_sighted_in_both_pictures() {
    assert_eq!(
        errors(&stairs("  - between: [hall, landing]\n"), &[]),
        [
            "error 11:5+7: nothing tells where the door to `landing` in `hall` is seen: `hall` and `landing` lie on \
             different floors -> write `seen-from: { hall: { spot: [longitude, latitude] } }`",
            "error 11:5+7: nothing tells where the door to `hall` in `landing` is seen: `landing` and `hall` lie on \
             different floors -> write `seen-from: { landing: { spot: [longitude, latitude] } }`",
        ]
    );
}

#[test]
fn what_the_plan_would_need_is_named() {
    let nothing = |yaml: &str| errors(yaml, &[]).remove(0);
    let whole = two_rooms("", ", heading: 0", ", heading: 0", DOOR);
    assert_eq!(
        nothing(&whole.replace(", stands-at: [300, 300]", "")),
        "error 11:5+7: nothing tells where the door to `kitchen` in `hall` is seen: `kitchen` has no place on the plan -> \
         give `kitchen` a `stands-at`, or write `seen-from: { hall: { spot: [longitude, latitude] } }`"
    );
    assert_eq!(
        nothing(&whole.replace("[300, 300]", "[100, 300]")),
        "error 11:5+7: nothing tells where the door to `kitchen` in `hall` is seen: both ends lie at the same place on the \
         plan -> correct the places, or write `seen-from: { hall: { spot: [longitude, latitude] } }`"
    );
    let bare = whole
        .replace("    plan: { drawing: ground.svg }\n", "")
        .replace(", stands-at: [100, 300]", "")
        .replace(", stands-at: [300, 300]", "");
    assert_eq!(
        nothing(&bare),
        "error 10:5+7: nothing tells where the door to `kitchen` in `hall` is seen: the floor has no plan -> \
         write `seen-from: { hall: { spot: [longitude, latitude] } }`"
    );
}

/// A barn of three stations in a row, four metres from one to the next, and a yard beside it.
fn barn(steps: &str, doors: &str) -> String {
    format!(
        "
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    plan: {{ drawing: ground.svg{SCALE} }}
    rooms:
      - id: barn
        title: Great barn
{steps}
        stations:
          - {{ id: south, shots: hall.jpg, stands-at: [100, 500], heading: 10 }}
          - {{ id: middle, shots: kitchen.jpg, stands-at: [100, 300], heading: 20, camera-height: 4 }}
          - {{ id: north, shots: landing.jpg, stands-at: [100, 100], heading: 30 }}
      - {{ id: yard, title: Yard, shots: hall.jpg, stands-at: [300, 100], heading: 0 }}
doors:
{doors}"
    )
}

#[test]
fn stations_of_a_room_are_joined_by_steps_in_the_order_written() {
    let (sights, _) = sights(&barn("", "  - between: [barn, yard]\n"), &[]);
    let floor = |height: f64| (-height).atan2(4.0).to_degrees();
    looks(&sights["barn/south"].hotspots[0], 0.0, floor(1.6));
    looks(&sights["barn/middle"].hotspots[0], 180.0, floor(4.0));
    looks(&sights["barn/middle"].hotspots[1], 0.0, floor(4.0));
    assert_eq!(arrival(&sights["barn/south"].hotspots[0]), Some(0.0));
    // The door leads from the station that is nearest to the yard.
    assert_eq!(sights["barn/south"].hotspots.len(), 1);
    looks(&sights["barn/north"].hotspots[0], 90.0, mark_at_two_metres());
    let HotspotKind::Door { to, door, .. } = &sights["yard"].hotspots[0].kind else { panic!() };
    assert_eq!((to.to_string().as_str(), *door), ("barn/north", 0));
}

#[test]
fn further_stations_see_a_door_where_seen_from_names_them() {
    let steps = "        steps: [{ between: [south, north], seen-from: { south: { spot: [-10, -12] } } }]";
    let doors = "  - { between: [barn/north, yard], seen-from: { barn/south: { heading: 27 } } }\n";
    let (sights, _) = sights(&barn(steps, doors), &[]);
    let south = &sights["barn/south"].hotspots;
    looks(&south[0], 27.0, -10.0);
    looks(&south[1], 0.0, -12.0);
    assert!(matches!(&south[1].kind, HotspotKind::Step { to, .. } if to.to_string() == "barn/north"));
    assert_eq!(sights["barn/middle"].hotspots, []);
}

#[test]
fn no_mark_lies_under_the_tripod() {
    let yaml = barn("", "  - between: [barn, yard]\n").replace("[100, 300]", "[100, 490]");
    let (sights, _) = sights(&yaml, &[]);
    close(sights["barn/south"].hotspots[0].elevation_deg, -60.0);
}

#[test]
fn notes_and_opening_views_are_where_they_are_said_to_be() {
    let hall = ", heading: 50, opening-view: { heading: 10, elevation: -4, field-of-view: 80 }, \
                notes: [{ spot: [-60, 20], text: The hoist dates from 1871. }, { heading: 7, text: Bell }]";
    let (sights, _) = sights(&two_rooms(SCALE, hall, ", heading: 0, opening-view: { spot: [30, 2] }", DOOR), &[]);
    let hall = &sights["hall"];
    assert_eq!(
        (hall.opening.heading_deg, hall.opening.elevation_deg, hall.opening.field_of_view_deg),
        (10.0, -4.0, Some(80.0))
    );
    looks(&hall.hotspots[1], 350.0, 20.0);
    looks(&hall.hotspots[2], 7.0, 0.0);
    assert_eq!(hall.hotspots[1].kind, HotspotKind::Note(0));
    close(sights["kitchen"].opening.heading_deg, 30.0);
}

#[test]
fn a_heading_means_nothing_where_the_stations_own_is_unknown() {
    let yaml = "
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    rooms:
      - id: hall
        title: Hall
        shots: hall.jpg
        opening-view: { heading: 5 }
        notes: [{ heading: 5, text: Bell }]
";
    assert_eq!(
        errors(yaml, &[]),
        [
            "error 7:9+2: the opening view is said by its heading, and the heading of `hall` is not known -> \
             write `spot: [longitude, latitude]` as seen in the picture, or give `hall` a `heading`",
            "error 11:17+26: this note is said by its heading, and the heading of `hall` is not known -> \
             write `spot: [longitude, latitude]` as seen in the picture, or give `hall` a `heading`",
        ]
    );
}

#[test]
fn a_lonely_room_opens_at_its_centre_column() {
    let yaml = "{ title: Mill, floors: [{ id: g, title: G, rooms: [{ id: hall, title: Hall, shots: hall.jpg, heading: 33 }] }] }";
    let (sights, _) = sights(yaml, &[]);
    assert_eq!((sights["hall"].opening.heading_deg, sights["hall"].opening.elevation_deg), (33.0, 0.0));
}
