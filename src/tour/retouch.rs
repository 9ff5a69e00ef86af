//! What is altered in a station's picture, and why.

use super::files::Files;
use super::{Shot, Text};
use crate::description::Placed;
use crate::description::types::{self, Fill, NamedFill, Pair};
use crate::problem::{Place, Problem, Problems};
use crate::sphere::{Direction, Region, RegionError, Spot};
use std::path::{Path, PathBuf};

pub use crate::description::types::{Unaltered, Why};

/// Half angle of the cone below the camera that a tripod stands in, where nothing better is known: 0.4 m of feet under 1.6 m.
/// Common practice, no source.
pub const USUAL_TRIPOD_DEG: f64 = 24.0;
/// Of a disc that covers the tripod's head and most of its legs. Common practice, no source.
const USUAL_DISC_DEG: f64 = 14.0;

/// One named alteration. Those that are switched off are not in a [`super::Station`].
#[derive(Clone, Debug, PartialEq)]
pub struct Repair {
    /// What is done.
    pub kind: RepairKind,
    /// Why it is done.
    pub why: Why,
    /// What is altered, in the photographer's own words.
    pub name: Option<Text>,
    /// Where it begins in the description.
    pub place: Place,
}

/// What a repair does. Every file is joined to the tour's folder.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum RepairKind {
    /// What stands at the picture's own nadir is filled from the floor around it.
    FillTripod {
        /// Half angle to fill; `None`: what the finder finds.
        radius_deg: Option<f64>,
        with_shadow: bool,
    },
    /// A region is filled from its surroundings.
    Fill(Region),
    /// A region is covered with what is seen elsewhere.
    Clone {
        onto: Region,
        /// The spot that comes to lie in the region's middle; `None`: the region's middle itself.
        from: Option<Spot>,
        /// Another shot from the same place of the tripod; `None`: the picture itself.
        from_shot: Option<Shot>,
        /// Clockwise.
        turned_deg: f64,
    },
    /// What was painted on a flat view is laid back.
    Patch {
        painted: Shot,
        twin: Shot,
        middle: Spot,
        /// Across the square view.
        field_of_view_deg: f64,
    },
    /// A region is made unreadable.
    Blur(Region),
    /// A disc lies on the floor below the camera.
    Disc { radius_deg: f64, look: DiscLook },
}

/// How a disc on the floor looks.
#[derive(Clone, Debug, PartialEq)]
pub enum DiscLook {
    /// sRGB.
    Colour([u8; 3]),
    /// A square picture, its top away from the visitor who looks at the picture's centre column.
    Picture(Shot),
}

impl Repair {
    /// Files that it needs beside the station's shots.
    pub fn files(&self) -> Vec<&Shot> {
        match &self.kind {
            RepairKind::Clone { from_shot: Some(shot), .. } => vec![shot],
            RepairKind::Patch { painted, twin, .. } => vec![painted, twin],
            RepairKind::Disc { look: DiscLook::Picture(picture), .. } => vec![picture],
            _ => Vec::new(),
        }
    }

    /// The middle of what it covers, in the picture's own frame, and the angle from there to what lies furthest from it, degrees.
    pub fn whereabouts(&self) -> (Direction, f64) {
        let nadir = Direction { right: 0.0, up: -1.0, ahead: 0.0 };
        match &self.kind {
            RepairKind::FillTripod { radius_deg, .. } => (nadir, radius_deg.unwrap_or(USUAL_TRIPOD_DEG)),
            RepairKind::Disc { radius_deg, .. } => (nadir, *radius_deg),
            RepairKind::Fill(region) | RepairKind::Blur(region) | RepairKind::Clone { onto: region, .. } => {
                (region.middle(), region.reach_deg())
            }
            RepairKind::Patch { middle, field_of_view_deg, .. } => (middle.direction(), field_of_view_deg / 2.0),
        }
    }

    /// Whether visitors are owed the picture without it: all but privacy.
    pub fn is_alteration(&self) -> bool {
        self.why != Why::Privacy
    }

    /// Whether it is done about the tripod.
    fn is_below_the_camera(&self) -> bool {
        is_below_the_camera(&self.kind)
    }
}

fn is_below_the_camera(kind: &RepairKind) -> bool {
    matches!(kind, RepairKind::FillTripod { .. } | RepairKind::Disc { .. })
}

/// What is needed to understand repairs.
pub(super) struct Assembling<'a> {
    pub files: &'a mut Files,
    pub problems: &'a mut Problems,
    /// Reads a text, reporting what is wrong with it.
    pub text: &'a dyn Fn(&types::Text, &mut Problems) -> Text,
}

impl Assembling<'_> {
    /// Repairs in the order written, without those that are switched off. The second value tells whether one of them, on or off,
    /// is about the tripod.
    pub fn repairs(&mut self, written: &[Placed<types::Repair>]) -> (Vec<Repair>, bool) {
        let is_tripods = |repair: &types::Repair| {
            let fill = repair.fill.as_ref().map(|fill| &fill.value);
            fill == Some(&Fill::Named(NamedFill::Tripod)) || repair.disc.is_some()
        };
        let about_the_tripod = written.iter().any(|repair| is_tripods(&repair.value));
        let on = written.iter().filter(|repair| !repair.value.off);
        (on.filter_map(|repair| self.repair(repair)).collect(), about_the_tripod)
    }

    fn repair(&mut self, written: &Placed<types::Repair>) -> Option<Repair> {
        let repair = &written.value;
        let kind = self.kind(repair, &written.place)?;
        let usual = match kind {
            RepairKind::Blur(_) => Why::Privacy,
            _ if is_below_the_camera(&kind) => Why::Equipment,
            _ => Why::Other,
        };
        let name = repair.name.as_ref().map(|name| (self.text)(name, self.problems));
        Some(Repair { kind, why: repair.why.unwrap_or(usual), name, place: written.place.clone() })
    }

    fn kind(&mut self, repair: &types::Repair, place: &Place) -> Option<RepairKind> {
        if let Some(fill) = &repair.fill {
            return match &fill.value {
                Fill::Named(NamedFill::Tripod) => Some(RepairKind::FillTripod {
                    radius_deg: repair.radius,
                    with_shadow: repair.shadow.unwrap_or(false),
                }),
                Fill::Region(region) => self.region(region, &fill.place).map(RepairKind::Fill),
            };
        }
        if let Some(onto) = &repair.clone {
            return Some(RepairKind::Clone {
                onto: self.region(&onto.value, &onto.place)?,
                from: repair.from.and_then(spot),
                from_shot: repair.from_shot.as_ref().map(|file| self.file(file)),
                turned_deg: repair.turned.unwrap_or(0.0),
            });
        }
        if let Some(blur) = &repair.blur {
            return self.region(&blur.value, &blur.place).map(RepairKind::Blur);
        }
        if let Some(look) = &repair.disc {
            let radius_deg = repair.radius.unwrap_or(USUAL_DISC_DEG);
            let look = colour(&look.value).map_or_else(|| DiscLook::Picture(self.file(look)), DiscLook::Colour);
            return Some(RepairKind::Disc { radius_deg, look });
        }
        let painted = repair.patch.as_ref()?;
        let twin = repair.twin.clone().unwrap_or_else(|| Placed::new(twin_name(&painted.value), &painted.place));
        Some(RepairKind::Patch {
            painted: self.file(painted),
            twin: self.twin(&twin, place),
            middle: repair.spot.and_then(spot)?,
            field_of_view_deg: repair.field_of_view?,
        })
    }

    fn file(&mut self, written: &Placed<String>) -> Shot {
        Shot { path: self.files.find(written, self.problems), place: written.place.clone() }
    }

    fn twin(&mut self, written: &Placed<String>, place: &Place) -> Shot {
        let path = self.files.path(&written.value);
        if path.is_file() {
            return self.file(written);
        }
        let what = format!("the patch's untouched twin `{}` is missing", written.value);
        let instead = "put it back, name it with `twin:`, or write the flat view anew with `enfilade patch`";
        self.problems.push(Problem::error(what, instead).at(&written.place).about(&path));
        Shot { path, place: place.clone() }
    }

    fn region(&mut self, region: &types::Region, place: &Place) -> Option<Region> {
        if let (Some(middle), Some(radius_deg)) = (region.spot.and_then(spot), region.radius) {
            return Some(Region::disc(middle, radius_deg));
        }
        let corners: Vec<Spot> = region.corners.iter().flatten().copied().filter_map(spot).collect();
        Region::polygon(&corners).map_err(|error| self.problems.push(refused(error).at(place))).ok()
    }
}

fn refused(error: RegionError) -> Problem {
    let instead = match error {
        RegionError::Empty => "write at least three corners that do not lie on one line",
        RegionError::TooLarge => "write corners within 60 degrees of their middle, or make several repairs of it",
    };
    Problem::error(format!("this region {error}"), instead)
}

/// What the tour says of every picture, then what the station says itself. Only one of them deals with the tripod.
pub(super) fn settle(of_all: &[Repair], own: Vec<Repair>, own_deals_with_the_tripod: bool) -> Vec<Repair> {
    let of_all = of_all.iter().filter(|repair| !(own_deals_with_the_tripod && repair.is_below_the_camera()));
    of_all.cloned().chain(own).collect()
}

/// `retouch/socket.png` has the twin `retouch/socket.twin.png`.
pub fn twin_name(painted: &str) -> String {
    let path = Path::new(painted);
    let ending = path.extension().and_then(|ending| ending.to_str());
    let twin: PathBuf = match ending {
        Some(ending) => path.with_extension(format!("twin.{ending}")),
        None => path.with_extension("twin"),
    };
    twin.to_string_lossy().replace('\\', "/")
}

fn spot([longitude, latitude]: Pair) -> Option<Spot> {
    Spot::new(longitude, latitude).ok()
}

/// `#rrggbb`.
fn colour(written: &str) -> Option<[u8; 3]> {
    let digits = written.strip_prefix('#').filter(|digits| digits.len() == 6)?;
    let number = u32::from_str_radix(digits, 16).ok()?;
    let [_, red, green, blue] = number.to_be_bytes();
    Some([red, green, blue])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_twin_lies_beside_its_patch() {
        assert_eq!(twin_name("retouch/hall-socket.png"), "retouch/hall-socket.twin.png");
        assert_eq!(twin_name("a.b/socket.tif"), "a.b/socket.twin.tif");
    }

    #[test]
    fn colours_are_six_digits() {
        assert_eq!(colour("#6b6259"), Some([0x6b, 0x62, 0x59]));
        assert_eq!(colour("#6b62"), None);
        assert_eq!(colour("retouch/logo.png"), None);
    }
}
