//! Laying back what was painted on a flat view.
//!
//! Nobody draws a mask: a painted picture is compared with its untouched twin, and only what differs is laid back. Where the
//! painted picture is transparent anywhere, its own transparency decides instead.

use super::changed::{changed, on_the_curve, values};
use super::changes::Layer;
use super::distance::Pixels;
use super::flat::FlatView;
use super::flat_light::FlatLight;
use super::lay::{feathered, lay};
use super::veil::{Veil, no_finer_than};
use crate::picture::linear::LinearRows;
use crate::picture::{FlatPicture, Format};
use crate::sphere::Direction;

/// Pixels beyond what was painted that are covered wholly, for the soft edge of a brush that is lost in noise.
const COVERED_PX: f64 = 2.0;
/// Pixels over which what was painted passes into its surroundings, outside of that.
const FEATHER_PX: f64 = 4.0;
/// A picture that was scaled and differs on more than this share was not scaled alone.
const MOST_CHANGED: f64 = 0.6;
/// Columns and rows at which a twin is compared with what the view shows now.
const COMPARED_PX: usize = 64;
/// Share of the pixels, those that differ least, whose mean difference counts.
const COUNTED: f64 = 0.9;
/// How much finer than a sphere a picture may be sampled without being shrunk first.
const FINER: f64 = 1.5;

/// Why a painted picture cannot be laid back. The message goes on after the file's name.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum PatchError {
    /// It was cropped, or its proportions were changed.
    #[error("is {width}×{height} pixels, but the flat view that it was painted on is square, {side}×{side}")]
    OtherProportions { width: usize, height: usize, side: usize },
    /// The twin is no flat view.
    #[error("is {width}×{height} pixels, but the untouched twin of a patch is square")]
    TwinNotSquare { width: usize, height: usize },
    /// A format that changes every pixel a little.
    #[error("is a {format} picture, which changes every pixel a little, so that nobody can tell what was painted")]
    Lossy { format: Format },
    /// It shows something else than the twin.
    #[error(
        "is {side}×{side} pixels, its untouched twin {twin}×{twin}, and they differ nearly everywhere: it seems cropped"
    )]
    Cropped { side: usize, twin: usize },
}

impl PatchError {
    /// What to do about it, as a sentence without its full stop.
    pub fn remedy(&self) -> &'static str {
        match self {
            PatchError::OtherProportions { .. } | PatchError::Cropped { .. } => {
                "save the whole picture without cropping it, or write the flat view anew with `enfilade patch`"
            }
            PatchError::TwinNotSquare { .. } => "put the untouched twin back that `enfilade patch` wrote",
            PatchError::Lossy { .. } => "save it as PNG or TIFF",
        }
    }
}

/// A painted picture and its untouched twin, which were found to belong together.
pub(super) struct Painting {
    painted: FlatPicture,
    twin: FlatPicture,
}

impl Painting {
    /// # Errors
    /// A picture that is not that of the twin's view.
    pub fn new(painted: FlatPicture, twin: FlatPicture) -> Result<Painting, (Part, PatchError)> {
        let (width, height, side) = (painted.width, painted.height, twin.width);
        if matches!(painted.format, Format::Jpeg | Format::WebP) {
            return Err((Part::Painted, PatchError::Lossy { format: painted.format }));
        }
        if twin.width != twin.height {
            return Err((Part::Twin, PatchError::TwinNotSquare { width: twin.width, height: twin.height }));
        }
        if width != height {
            return Err((Part::Painted, PatchError::OtherProportions { width, height, side }));
        }
        Ok(Painting { painted, twin })
    }

    /// Lays back what was painted on a view of that many degrees.
    ///
    /// # Errors
    /// A picture that was cropped.
    pub fn lay_back(self, sphere: &dyn LinearRows, middle: Direction, field_deg: f64) -> Result<Layer, PatchError> {
        let view = FlatView::without_loss(middle, field_deg / 2.0, sphere.size().0);
        let finest = (FINER * view.side_px as f64) as usize;
        if self.painted.alpha.as_ref().is_some_and(|alpha| alpha.iter().any(|&opacity| opacity < 1.0)) {
            let veil = Veil::of(&self.painted).no_finer_than(finest);
            let view = view.with_side(veil.width);
            return Ok(lay(sphere, middle, view.reach_deg(), &|direction| veil.sample(view.pixel(direction)?)));
        }
        let changed = changed(&self.painted, &self.twin);
        if changed.is_empty() {
            return Ok(Layer::default());
        }
        self.refuse_another_view(&changed)?;
        let shares = Shares::around(&changed);
        let seen = view.with_side(self.painted.width);
        let light = no_finer_than(self.with_bright_light(sphere, (&changed, &shares), &seen), finest);
        let view = view.with_side(light.width);
        let of_shares = view.with_side(shares.side);
        let (middle, reach_deg) = shares.whereabouts(&of_shares);
        Ok(lay(sphere, middle, reach_deg, &|direction| {
            let share = shares.sample(of_shares.pixel(direction)?);
            // What is not covered need not be sampled.
            if share > 0.0 { Some((light.sample(view.pixel(direction)?), share)) } else { None }
        }))
    }

    fn refuse_another_view(&self, changed: &Pixels) -> Result<(), PatchError> {
        let (side, twin) = (self.painted.width, self.twin.width);
        let count = changed.is_in.iter().filter(|is_in| **is_in).count();
        let is_cropped = side != twin && count as f64 > MOST_CHANGED * changed.is_in.len() as f64;
        if is_cropped { Err(PatchError::Cropped { side, twin }) } else { Ok(()) }
    }

    /// The painted light; but where nothing was painted and the file could not hold the light that was there, that light itself, so
    /// that the feathered edge does not darken a lamp.
    fn with_bright_light(
        &self,
        sphere: &dyn LinearRows,
        (changed, shares): (&Pixels, &Shares),
        view: &FlatView,
    ) -> FlatLight {
        let FlatPicture { width, height, ref pixels, .. } = self.painted;
        let mut light = FlatLight { width, height, pixels: pixels.clone() };
        let is_clipped = |light: &[f32; 3]| light.iter().any(|channel| *channel >= 0.999);
        if width != changed.side {
            return light;
        }
        let is_lost = |index: usize| !changed.is_in[index] && is_clipped(&pixels[index]);
        if (0..pixels.len()).any(|index| shares.shares[index] > 0.0 && is_lost(index)) {
            // Sampling reaches beyond what is covered, so all of them are brought back.
            let seen = view.look(sphere);
            let lost = (0..pixels.len()).filter(|&index| is_lost(index));
            lost.for_each(|index| light.pixels[index] = seen.pixels[index]);
        }
        light
    }
}

/// Which of a patch's two files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    Painted,
    Twin,
}

/// How much of each pixel is covered.
struct Shares {
    side: usize,
    shares: Vec<f32>,
}

impl Shares {
    fn around(changed: &Pixels) -> Shares {
        let side = changed.side;
        let distances = changed.distances((COVERED_PX + FEATHER_PX).ceil() as usize);
        let share = |(index, distance): (usize, f32)| {
            let (x, y) = (index % side, index / side);
            let from_the_edge = [x, y, side - 1 - x, side - 1 - y].into_iter().min().unwrap_or(0) as f64;
            let of_the_edge = feathered(FEATHER_PX - from_the_edge, FEATHER_PX);
            feathered(f64::from(distance) - COVERED_PX, FEATHER_PX) * of_the_edge
        };
        Shares { side, shares: distances.into_iter().enumerate().map(share).collect() }
    }

    /// The middle of what is covered, and the angle from there to what lies furthest from it: seen through a flat window, that is one of
    /// the corners around it.
    fn whereabouts(&self, view: &FlatView) -> (Direction, f64) {
        let covered = self.shares.iter().enumerate().filter(|(_, share)| **share > 0.0);
        let (mut least, mut most) = ([usize::MAX; 2], [0; 2]);
        for (index, _) in covered {
            for (axis, at) in [index % self.side, index / self.side].into_iter().enumerate() {
                (least[axis], most[axis]) = (least[axis].min(at), most[axis].max(at));
            }
        }
        let direction = |x: f64, y: f64| {
            let [right, up, ahead] = view.ray(x, y);
            Direction::normalized(right, up, ahead)
        };
        let middle = |axis: usize| (least[axis].min(most[axis]) + most[axis]) as f64 / 2.0;
        let centre = direction(middle(0), middle(1));
        let [x, y] = [0, 1].map(|axis| [least[axis] as f64 - 1.0, most[axis] as f64 + 1.0]);
        let corners = x.into_iter().flat_map(|x| y.map(|y| direction(x, y)));
        (centre, corners.map(|corner| centre.angle_to(corner)).fold(0.0, f64::max))
    }

    /// Between four pixels; nothing beyond the edge.
    fn sample(&self, [x, y]: [f64; 2]) -> f32 {
        let (left, top) = (x.floor(), y.floor());
        let (across, down) = ((x - left) as f32, (y - top) as f32);
        let at = |row: f64, column: f64| {
            let last = self.side as f64 - 1.0;
            let inside = (0.0..=last).contains(&row) && (0.0..=last).contains(&column);
            if inside { self.shares[row as usize * self.side + column as usize] } else { 0.0 }
        };
        let line = |row: f64| at(row, left) + across * (at(row, left + 1.0) - at(row, left));
        line(top) + down * (line(top + 1.0) - line(top))
    }
}

/// By how much what a view shows now differs from its untouched twin: the mean difference of values on sRGB's curve, 0 to 1, at a small
/// size and without the tenth that differs most.
pub(super) fn difference(twin: &FlatPicture, sphere: &dyn LinearRows, middle: Direction, field_deg: f64) -> f64 {
    let side = COMPARED_PX.min(twin.width).min(twin.height);
    let fine = FlatView::without_loss(middle, field_deg / 2.0, sphere.size().0);
    let view = fine.with_side(fine.side_px.max(side));
    let seen = no_finer_than(view.look(sphere), side);
    let (now, then) = (on_the_curve(&seen.pixels), values(twin, side));
    let difference = |(now, then): (&[f32; 3], &[f32; 3])| {
        now.iter().zip(then).map(|(now, then)| f64::from((now - then).abs())).sum::<f64>() / 3.0
    };
    let mut differences: Vec<f64> = now.iter().zip(&then).map(difference).collect();
    differences.sort_by(f64::total_cmp);
    differences.truncate(((COUNTED * differences.len() as f64) as usize).max(1));
    differences.iter().sum::<f64>() / differences.len() as f64
}
