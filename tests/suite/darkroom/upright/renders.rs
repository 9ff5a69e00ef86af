//! The demo's rooms as rendered, and turned by known tilts.

use super::pictures::{halved, shot, tilted};
use super::{found, told, true_up};

/// All rooms, and whether they are interiors. They are rendered from a model with upright walls by a level camera, so their true tilt is 0.
const ROOMS: [(&str, bool); 7] = [
    ("bedroom", true),
    ("hall", true),
    ("kitchen", true),
    ("landing", true),
    ("sitting-room-door-end", true),
    ("sitting-room-hearth", true),
    ("terrace", false),
];

/// Pitch and roll for each room: small, middling and up to 15° in all directions, four a room.
const TILTS: [[(f64, f64); 4]; 7] = [
    [(0.5, -0.4), (-3.0, 2.0), (8.0, 5.0), (-14.9, 1.0)],
    [(-0.3, 0.3), (2.5, 4.0), (-7.0, -6.0), (10.0, 11.0)],
    [(1.0, 0.0), (-2.0, -5.0), (9.0, -4.0), (1.0, 14.9)],
    [(3.4, -4.6), (0.0, 1.5), (-6.0, 8.0), (12.0, -8.0)],
    [(0.2, 1.2), (4.0, -1.0), (-9.0, 3.0), (-10.5, -10.5)],
    [(-1.5, 0.6), (0.0, -7.0), (6.0, 6.0), (-8.0, 12.0)],
    [(0.8, 0.8), (-4.0, 4.0), (5.0, -9.0), (14.0, 4.0)],
];

struct Outcome {
    interior: bool,
    sure: bool,
    error_deg: f64,
}

#[test]
fn the_upright_of_the_demos_rooms_is_found() {
    let mut outcomes = Vec::new();
    for ((name, interior), tilts) in ROOMS.into_iter().zip(TILTS) {
        let level = halved(&shot(name));
        for (pitch, roll) in std::iter::once((0.0, 0.0)).chain(tilts) {
            let finding = if pitch == 0.0 && roll == 0.0 { found(&level) } else { found(&tilted(&level, pitch, roll)) };
            println!("{}", told(name, (pitch, roll), &finding));
            let error_deg = finding.up.angle_to(true_up(pitch, roll));
            outcomes.push(Outcome { interior, sure: finding.is_sure(), error_deg });
        }
    }
    let mut errors: Vec<f64> = outcomes.iter().filter(|o| o.sure).map(|o| o.error_deg).collect();
    errors.sort_by(f64::total_cmp);
    let (median, worst) = (errors[errors.len() / 2], errors[errors.len() - 1]);
    let interiors = outcomes.iter().filter(|o| o.interior).count();
    let sure = outcomes.iter().filter(|o| o.interior && o.sure).count();
    println!("{} pictures, sure of {}: median error {median:.3}°, worst {worst:.3}°", outcomes.len(), errors.len());
    println!("sure of {sure} of {interiors} interiors");
    assert!(median <= 0.15, "median error {median}");
    assert!(worst <= 0.5, "worst error {worst}");
    assert!(sure * 5 >= interiors * 4, "sure of {sure} of {interiors} interiors");
}
