//! A room drawn from closed formulas: flat walls, upright corners, doors and windows, known to the last digit.

use super::pictures::formula;
use super::{found, told, true_up};
use enfilade::picture::YccPicture;
use enfilade::sphere::{Direction, Rotation};

/// Half a pixel either way, for the mean of four samples a pixel.
const QUARTERS: [(f64, f64); 4] = [(-0.25, -0.25), (0.25, -0.25), (-0.25, 0.25), (0.25, 0.25)];

/// A room of 5 m × 4 m, 2.6 m high; the camera stands 1.5 m high and off the middle and leans.
pub fn room(width: usize, pitch: f64, roll: f64) -> YccPicture {
    let to_level = Rotation::from_tilt(pitch, roll);
    let pixel = std::f64::consts::TAU / width as f64;
    formula(width, |seen| {
        let sum: f64 =
            QUARTERS.iter().map(|&(x, y)| brightness(to_level.apply(nudged(seen, x * pixel, y * pixel)))).sum();
        sum / 4.0
    })
}

/// A direction moved to the right and up by small angles of longitude and latitude.
fn nudged(d: Direction, x: f64, y: f64) -> Direction {
    let level = d.right.hypot(d.ahead).max(1e-9);
    let (right, ahead) = (d.right + d.ahead * x, d.ahead - d.right * x);
    Direction { right: right * (1.0 - y * d.up / level), up: d.up + y * level, ahead: ahead * (1.0 - y * d.up / level) }
}

/// What is seen: the nearest of six planes, and what is painted on it.
fn brightness(d: Direction) -> f64 {
    let [x, y, z] = <[f64; 3]>::from(d);
    // Metres from the camera to each plane.
    let along = |part: f64, to_positive: f64, to_negative: f64| {
        if part > 0.0 { to_positive / part } else { -(to_negative / part.min(-1e-12)) }
    };
    let (to_x, to_y, to_z) = (along(x, 2.9, 2.1), along(y, 1.1, 1.5), along(z, 1.7, 2.3));
    let distance = to_x.min(to_y).min(to_z);
    let (px, py, pz) = (x * distance, y * distance, z * distance);
    if to_y == distance {
        // A pale ceiling, and a floor of boards.
        return if y > 0.0 { 225.0 } else { 90.0 + 8.0 * f64::from((px / 0.2).floor() as i32 & 1) };
    }
    let (wall, across) = if to_x == distance {
        (if x > 0.0 { 170.0 } else { 150.0 }, pz)
    } else {
        (if z > 0.0 { 190.0 } else { 135.0 }, px)
    };
    let within = |left: f64, right: f64, low: f64, high: f64| across > left && across < right && py > low && py < high;
    if within(-0.2, 0.65, -1.5, 0.5) {
        // A door, to the floor.
        80.0
    } else if within(-1.5, -0.6, -0.6, 0.6) {
        // A window.
        245.0
    } else if py < -1.38 {
        // Skirting.
        210.0
    } else {
        wall
    }
}

#[test]
fn the_upright_of_a_drawn_room_is_found() {
    let mut worst: f64 = 0.0;
    for (pitch, roll) in
        [(0.0, 0.0), (0.1, 0.1), (1.0, -2.0), (-5.0, 3.0), (7.0, 7.0), (-11.0, -10.0), (0.0, 15.0), (15.0, 0.0)]
    {
        let finding = found(&room(1024, pitch, roll));
        println!("{}", told("drawn room", (pitch, roll), &finding));
        assert!(finding.is_sure(), "pitch {pitch}, roll {roll}: {:?}", finding.doubt);
        worst = worst.max(finding.up.angle_to(true_up(pitch, roll)));
        let far_enough = pitch.hypot(roll) >= 0.2;
        assert_eq!(finding.needs_correcting(), far_enough, "pitch {pitch}, roll {roll}");
    }
    println!("worst error {worst:.3}°");
    // An edge that leans by less than a pixel from end to end is drawn as an upright one: a camera that leans by 0.1° shows it.
    assert!(worst <= 0.12, "worst error {worst}");
}

#[test]
fn pitch_and_roll_have_the_signs_of_a_given_tilt() {
    let finding = found(&room(1024, 6.0, -4.0));
    assert!((finding.pitch_deg() - 6.0).abs() < 0.1, "pitch {}", finding.pitch_deg());
    assert!((finding.roll_deg() + 4.0).abs() < 0.1, "roll {}", finding.roll_deg());
}
