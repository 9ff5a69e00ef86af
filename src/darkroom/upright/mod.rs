//! Finds how a camera leaned from the vertical lines in its picture.
//!
//! A straight edge of a house is seen as part of a great circle. All verticals run through the zenith, so the normals of
//! their great circles are all square to it: one direction that many long edges agree on, near the picture's own zenith,
//! is the true upright. Receding horizontals share points on the horizon instead, and what leans agrees with
//! little else, so that both are outvoted. (Barnard, "Interpreting perspective images", 1983, has the Gaussian sphere of
//! normals; the thresholds here are our own, set on the demo's renders.)
//!
//! The road: [`Grey`] (any picture, averaged down) → `edges` (points where brightness changes most) → `lines` (runs of
//! points on one great circle) → `fit` (the vote, then a robust least-squares fit) → `judge` (how sure that is).

mod edges;
mod fit;
mod grey;
mod judge;
mod lines;

pub use grey::Grey;
pub use judge::{Doubt, Evidence};

use crate::sphere::Direction;

/// The smallest lean that is worth correcting, in degrees: below it a picture is left alone.
pub const SMALLEST_LEAN_DEG: f64 = 0.2;

/// The largest lean that is looked for, in degrees between the picture's zenith and the upright.
pub const LARGEST_LEAN_DEG: f64 = 25.0;

/// What a picture's verticals say.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Where the true zenith is seen in the picture's own frame. The picture's zenith where there is no line at all.
    pub up: Direction,
    /// What speaks for it.
    pub evidence: Evidence,
    /// Why it is not to be relied on; `None` means sure.
    pub doubt: Option<Doubt>,
}

impl Finding {
    /// How far the camera pitched its centre up, in degrees, as GPano's pose field has it.
    pub fn pitch_deg(&self) -> f64 {
        // The upright is the second row of `Rotation::from_tilt`: (−cos p sin r, cos p cos r, sin p).
        libm::atan2(self.up.ahead, libm::hypot(self.up.right, self.up.up)).to_degrees()
    }

    /// How far the camera rolled its right side down, in degrees, as GPano's pose field has it.
    pub fn roll_deg(&self) -> f64 {
        libm::atan2(-self.up.right, self.up.up).to_degrees()
    }

    /// The angle between the picture's zenith and the upright, in degrees.
    pub fn lean_deg(&self) -> f64 {
        self.up.angle_to(ZENITH)
    }

    /// Whether the finding may be relied on.
    pub fn is_sure(&self) -> bool {
        self.doubt.is_none()
    }

    /// Sure, and far enough from upright to be seen: at least [`SMALLEST_LEAN_DEG`].
    pub fn needs_correcting(&self) -> bool {
        self.is_sure() && self.lean_deg() >= SMALLEST_LEAN_DEG
    }
}

const ZENITH: Direction = Direction { right: 0.0, up: 1.0, ahead: 0.0 };

/// Finds the upright of a picture. Pure, and the same on any number of cores; rolling the picture by whole columns turns
/// the finding with it. About a third of a second's work at the most, whatever the picture's size.
pub fn upright(grey: &Grey) -> Finding {
    let lines = lines::lines(&edges::edges(grey), grey.width());
    let fit = fit::fit(&lines);
    let (evidence, doubt) = judge::judge(&lines, &fit);
    Finding { up: fit.up, evidence, doubt }
}
