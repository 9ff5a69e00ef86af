//! Finding the upright: on the demo's renders, which are level by construction, turned by known tilts; on rooms drawn from
//! closed formulas; and on pictures that have no verticals.

mod drawn;
mod pictures;
mod renders;
mod same;
mod without;

use enfilade::darkroom::upright::{Finding, Grey, upright};
use enfilade::picture::YccPicture;
use enfilade::sphere::{Direction, Rotation};

fn found(picture: &YccPicture) -> Finding {
    upright(&Grey::of_luma(picture))
}

/// Where a camera that leaned sees the true zenith.
fn true_up(pitch: f64, roll: f64) -> Direction {
    Rotation::from_tilt(pitch, roll).inverse().apply(Direction::from_degrees(0.0, 90.0))
}

/// One line of the table that `--nocapture` shows.
fn told(name: &str, (pitch, roll): (f64, f64), finding: &Finding) -> String {
    let evidence = &finding.evidence;
    format!(
        "{name:<24} {pitch:>6.1} {roll:>6.1} | {:>7.2} {:>7.2} | {:>6.3} | {} {:>4} {:>6.0} {:>6.3} {:>5.2} {:>5.2}  {}",
        finding.pitch_deg(),
        finding.roll_deg(),
        finding.up.angle_to(true_up(pitch, roll)),
        if finding.is_sure() { "sure  " } else { "unsure" },
        evidence.lines,
        evidence.length_deg,
        evidence.error_deg,
        evidence.share,
        evidence.rival,
        finding.doubt.map(|doubt| doubt.to_string()).unwrap_or_default(),
    )
}
