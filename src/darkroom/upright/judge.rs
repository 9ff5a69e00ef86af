//! How far a finding may be relied on, and if not, why not.

use super::LARGEST_LEAN_DEG;
use super::fit::{Fit, REACH_DEG, miss};
use super::lines::{Line, cross, dot, unit};

/// Lines that miss the upright by no more than this, in degrees, are what those that agree are compared with.
const NEIGHBOURHOOD_DEG: f64 = 4.0;

/// Sectors of 5° around the upright, and how much length each may add: one fluted column or one blind is one witness.
const SECTORS: usize = 72;
const MOST_IN_A_SECTOR_DEG: f64 = 40.0;

/// Only lines whose middle stands higher than this latitude, in degrees, add to the length: boards, tiles and tripod legs below radiate
/// from under the camera as verticals would.
const LOWEST_WITNESS_DEG: f64 = -35.0;

const LEAST_LENGTH_DEG: f64 = 100.0;
const LARGEST_ERROR_DEG: f64 = 0.12;
const LEAST_SHARE: f64 = 0.45;
const LARGEST_RIVAL: f64 = 0.5;

/// What speaks for a finding, in numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evidence {
    /// How many lines agree.
    pub lines: usize,
    /// Their length, in degrees of arc; what stands in one sector of 5° counts for 40° at most.
    pub length_deg: f64,
    /// One standard deviation of the upright in its worst direction, in degrees, if every line errs by itself.
    pub error_deg: f64,
    /// Of the lines that run within 4° of the upright, the part (by length) within 0.6°. Of lines at random it would be
    /// 0.15.
    pub share: f64,
    /// What speaks for the best direction elsewhere, as a part of what speaks for this.
    pub rival: f64,
}

/// Why a finding is not to be relied on.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Doubt {
    /// Sky, lawn, fog, a blank wall.
    #[error(
        "there are too few vertical lines in the picture ({length_deg:.0}° of them; {LEAST_LENGTH_DEG}° are needed)"
    )]
    FewLines {
        /// See [`Evidence::length_deg`].
        length_deg: f64,
    },
    /// Verticals on one side only say nothing of a lean towards them or away.
    #[error("the vertical lines leave the upright open by {error_deg:.2}° ({LARGEST_ERROR_DEG}° is allowed)")]
    Loose {
        /// See [`Evidence::error_deg`].
        error_deg: f64,
    },
    /// Trunks, reeds, grain.
    #[error("the lines that come near to vertical do not agree ({:.0} % do; {:.0} % are needed)", share * 100.0, LEAST_SHARE * 100.0)]
    Scattered {
        /// See [`Evidence::share`].
        share: f64,
    },
    /// Two directions are as good as each other, or nearly.
    #[error("other lines agree on another direction ({:.0} % as strongly; {:.0} % is allowed)", rival * 100.0, LARGEST_RIVAL * 100.0)]
    Rival {
        /// See [`Evidence::rival`].
        rival: f64,
    },
    /// Beyond what is looked for.
    #[error("the lines agree on a lean of {lean_deg:.1}°, more than the {LARGEST_LEAN_DEG}° that are looked for")]
    LeansTooFar {
        /// Angle between the picture's zenith and the direction found.
        lean_deg: f64,
    },
}

/// Weighs a fit against the lines it came from.
pub(super) fn judge(lines: &[Line], fit: &Fit) -> (Evidence, Option<Doubt>) {
    let evidence = evidence(lines, fit);
    let Evidence { length_deg, error_deg, share, rival, .. } = evidence;
    let lean_deg = fit.up.angle_to(super::ZENITH);
    // Asked this way round, a number that is none raises the doubt.
    let enough = length_deg >= LEAST_LENGTH_DEG;
    let agreed = share >= LEAST_SHARE;
    let alone = rival <= LARGEST_RIVAL;
    let tight = error_deg <= LARGEST_ERROR_DEG;
    let in_range = lean_deg <= LARGEST_LEAN_DEG;
    let doubt = match (enough, agreed, alone, tight, in_range) {
        (false, ..) => Some(Doubt::FewLines { length_deg }),
        (_, false, ..) => Some(Doubt::Scattered { share }),
        (_, _, false, ..) => Some(Doubt::Rival { rival }),
        (_, _, _, false, _) => Some(Doubt::Loose { error_deg }),
        (.., false) => Some(Doubt::LeansTooFar { lean_deg }),
        _ => None,
    };
    (evidence, doubt)
}

fn evidence(lines: &[Line], fit: &Fit) -> Evidence {
    let up = <[f64; 3]>::from(fit.up);
    let lowest = libm::sin(LOWEST_WITNESS_DEG.to_radians());
    let mut sectors = [0.0; SECTORS];
    let (mut agreeing, mut near) = (0.0, 0.0);
    let mut count = 0;
    for line in lines {
        let off = libm::fabs(miss(line, up).0).to_degrees();
        if off > NEIGHBOURHOOD_DEG {
            continue;
        }
        near += line.length;
        if off <= REACH_DEG {
            agreeing += line.length;
            count += 1;
            if dot(line.middle, up) > lowest {
                sectors[sector(line.middle, up)] += line.length.to_degrees();
            }
        }
    }
    Evidence {
        lines: count,
        length_deg: sectors.iter().map(|length| length.min(MOST_IN_A_SECTOR_DEG)).sum(),
        error_deg: fit.error_deg,
        share: if near > 0.0 { agreeing / near } else { 0.0 },
        rival: fit.rival,
    }
}

/// The sector around the upright that a direction lies in, counted from "ahead".
fn sector(middle: [f64; 3], up: [f64; 3]) -> usize {
    let right = unit(cross(up, [0.0, 0.0, 1.0])).unwrap_or([1.0, 0.0, 0.0]);
    let ahead = cross(right, up);
    let turn = libm::atan2(dot(middle, right), dot(middle, ahead)) / std::f64::consts::TAU + 0.5;
    ((turn * SECTORS as f64) as usize).min(SECTORS - 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::darkroom::upright::fit::fit;

    /// The vertical at that longitude, `length_deg` long, of a world whose upright is `up`; all in degrees.
    fn vertical(up: [f64; 3], longitude_deg: f64, length_deg: f64) -> Line {
        let right = unit(cross(up, [0.0, 0.0, 1.0])).unwrap();
        let ahead = cross(right, up);
        let (sine, cosine) = (libm::sin(longitude_deg.to_radians()), libm::cos(longitude_deg.to_radians()));
        let middle = std::array::from_fn(|axis| sine * right[axis] + cosine * ahead[axis]);
        Line { normal: unit(cross(up, middle)).unwrap(), middle, length: length_deg.to_radians(), turn_error: 1e-4 }
    }

    fn leaning(lean_deg: f64) -> [f64; 3] {
        [libm::sin(lean_deg.to_radians()), libm::cos(lean_deg.to_radians()), 0.0]
    }

    fn all_around(up: [f64; 3], count: usize, length_deg: f64) -> Vec<Line> {
        (0..count).map(|i| vertical(up, 360.0 * i as f64 / count as f64, length_deg)).collect()
    }

    fn doubt(lines: &[Line]) -> Option<Doubt> {
        judge(lines, &fit(lines)).1
    }

    #[test]
    fn verticals_all_around_leave_no_doubt() {
        let lines = all_around(leaning(7.0), 24, 10.0);
        assert_eq!(doubt(&lines), None);
        assert!((fit(&lines).up.angle_to(crate::darkroom::upright::ZENITH) - 7.0).abs() < 1e-3);
    }

    #[test]
    fn few_verticals_are_doubted() {
        assert!(
            matches!(doubt(&all_around(leaning(1.0), 6, 10.0)), Some(Doubt::FewLines { length_deg }) if length_deg < 61.0)
        );
        assert!(matches!(doubt(&[]), Some(Doubt::FewLines { length_deg: 0.0 })));
    }

    /// Two sets of verticals, ten degrees apart, the second a little weaker: a house beside a leaning one.
    #[test]
    fn two_uprights_are_rivals() {
        let lines = [all_around(leaning(0.0), 24, 10.0), all_around(leaning(10.0), 22, 10.0)].concat();
        let found = doubt(&lines);
        assert!(matches!(found, Some(Doubt::Rival { rival }) if rival > LARGEST_RIVAL), "{found:?}");
        let weaker = [all_around(leaning(0.0), 24, 10.0), all_around(leaning(10.0), 5, 10.0)].concat();
        assert_eq!(doubt(&weaker), None);
    }

    /// All on one side: how much the camera leaned towards them stays open.
    #[test]
    fn verticals_on_one_side_leave_the_lean_loose() {
        let lines: Vec<Line> = (0..16).map(|i| vertical(leaning(2.0), 20.0 + 1.2 * f64::from(i), 16.0)).collect();
        let found = doubt(&lines);
        assert!(matches!(found, Some(Doubt::Loose { error_deg }) if error_deg > LARGEST_ERROR_DEG), "{found:?}");
    }

    #[test]
    fn a_lean_beyond_what_is_looked_for_is_told() {
        let found = doubt(&all_around(leaning(LARGEST_LEAN_DEG + 0.5), 24, 10.0));
        assert!(matches!(found, Some(Doubt::LeansTooFar { lean_deg }) if lean_deg > LARGEST_LEAN_DEG), "{found:?}");
    }
}
