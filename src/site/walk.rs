//! `walk.json`: all that the viewer knows of a walkthrough, as agreed between site and viewer.
//!
//! Angles are degrees, rounded to a ten-thousandth (a hundredth of a pixel at the largest pyramid), so that a last bit
//! of arithmetic never changes a published file. Fields come in the order written here, entries in the tour's order.
//!
//! A text that visitors read is a string, in the tour's language or one for all; where it was given in several languages it is
//! an object with a string for each BCP 47 tag, the tour's own among them: `{"de":"Küche","en":"Kitchen"}`. A reader who wants
//! a language that is not there takes the tour's own. So a tour in one language has nothing but strings.

use crate::sphere::Heading;
use crate::tour::{self, StationKey, Text};
use serde::{Serialize, Serializer};

/// Raised when a viewer made for an older `walk.json` could no longer read a newer one.
pub const VERSION: u32 = 1;

/// The whole file.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
#[allow(missing_docs)]
pub struct Walk {
    pub version: u32,
    pub title: Text,
    pub summary: Text,
    pub language: String,
    /// The tour's own, then the others that texts are given in; left out where there is only one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub languages: Vec<String>,
    pub opens_in: Target,
    /// The page that tells what was altered in the pictures, if anything was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<About>,
    /// Pixels that a tile shares with what lies beyond its square, on each side.
    pub tile_border_px: u32,
    pub floors: Vec<Floor>,
    /// Of all floors, in the tour's order.
    pub rooms: Vec<Room>,
}

/// A page beside the walkthrough.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct About {
    /// Its path.
    pub page: String,
    /// What the link to it says.
    pub name: String,
    /// The language of that.
    pub language: String,
}

/// Where a way leads.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Target {
    pub room: String,
    pub station: String,
}

/// A floor and its plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Floor {
    pub id: String,
    pub title: Text,
    pub plan: Option<Plan>,
}

/// A plan, in the drawing's own units, y down.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Plan {
    /// Path of the drawing, relative to the page.
    pub drawing: String,
    /// Left and top.
    pub origin: [Number; 2],
    /// Width and height.
    pub size: [Number; 2],
    /// North arrow, clockwise from plan-up.
    pub north_deg: Option<Number>,
    /// Metres per unit, to six decimals.
    pub metres_per_unit: Option<Number>,
}

/// A room.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Room {
    pub id: String,
    pub title: Text,
    /// Its floor's id.
    pub floor: String,
    pub stations: Vec<Station>,
}

/// A station. Paths are relative to the page, except that of first light.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
#[allow(missing_docs)]
pub struct Station {
    pub id: String,
    pub folder: String,
    /// Below [`Station::folder`].
    pub first_light: String,
    /// Below [`Station::folder`]: a list of the station's files that are others where the picture is not altered. Those lie under the same names in the
    /// list's own folder. Left out where nothing is altered, or where the tour shows that as a still only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unaltered: Option<String>,
    pub still: String,
    /// Largest first.
    pub levels: Vec<Level>,
    /// Where the centre column faces; `None`: unknown, and its headings count from the centre column.
    pub heading_deg: Option<Number>,
    pub opening: Opening,
    /// In the plan's units.
    pub stands_at: Option<[Number; 2]>,
    pub hotspots: Vec<Hotspot>,
}

/// One level of a pyramid: `files` × `files` JPEGs a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
#[allow(missing_docs)]
pub struct Level {
    pub face_px: u32,
    pub content_px: u32,
    pub files: u32,
}

/// First view of a station.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
#[allow(missing_docs)]
pub struct Opening {
    pub heading: Number,
    pub elevation: Number,
    /// `None`: the viewer's own choice.
    pub field_of_view: Option<Number>,
}

/// A direction that can be clicked.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "lowercase", rename_all_fields = "camelCase")]
#[allow(missing_docs)]
pub enum Hotspot {
    /// Into another room, whose title it bears. `at` is the doorway's middle on this station's plan, where that is known.
    Door {
        heading: Number,
        elevation: Number,
        name: Text,
        to: Target,
        arrive_heading: Option<Number>,
        at: Option<[Number; 2]>,
        doorway: Doorway,
    },
    /// To another station of this room.
    Step { heading: Number, elevation: Number, name: Text, to: Target, arrive_heading: Option<Number> },
    /// Opens a text, a picture, a link, or several of them.
    Note {
        heading: Number,
        elevation: Number,
        name: Text,
        text: Text,
        picture: Option<Picture>,
        /// An address with `https:`, `http:` or `mailto:`.
        link: Option<String>,
    },
}

/// The outline of a door's opening as it is seen: upright sides, half the width to either side of the door's heading. The
/// next room is shown inside it on the way through.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Doorway {
    /// From side to side.
    pub width: Number,
    /// Elevation of the lintel.
    pub top: Number,
    /// Elevation of the threshold, below the lintel's.
    pub bottom: Number,
}

/// A note's picture.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Picture {
    pub src: String,
    pub alternative: Text,
}

/// As this file's first lines say.
impl Serialize for Text {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.by_language().is_empty() {
            serializer.serialize_str(self.as_str())
        } else {
            self.by_language().serialize(serializer)
        }
    }
}

impl Target {
    /// The station of this key.
    pub fn of(key: &StationKey) -> Self {
        Target { room: key.room.to_string(), station: key.station.to_string() }
    }
}

impl From<&tour::doorway::Doorway> for Doorway {
    fn from(seen: &tour::doorway::Doorway) -> Self {
        Doorway {
            width: Number::of(seen.width_deg),
            top: Number::of(seen.top_deg),
            bottom: Number::of(seen.bottom_deg),
        }
    }
}

impl Walk {
    /// The file's bytes.
    pub fn to_json(&self) -> Vec<u8> {
        let mut json = serde_json::to_vec(self).expect("strings, finite numbers and lists always have a JSON form");
        json.push(b'\n');
        json
    }
}

/// A finite number rounded to a few decimals; a whole one is written without its point, and there is no −0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number(f64);

impl Number {
    /// An angle or a length on a plan: four decimals.
    pub fn of(value: f64) -> Self {
        Number::to_decimals(value, 1e4)
    }

    /// A heading: four decimals, and still below 360 after rounding.
    pub fn heading(degrees: f64) -> Self {
        let rounded = Number::of(Heading::wrapping(degrees).degrees());
        if rounded.0 >= 360.0 { Number(0.0) } else { rounded }
    }

    /// A scale: six decimals.
    pub fn scale(value: f64) -> Self {
        Number::to_decimals(value, 1e6)
    }

    fn to_decimals(value: f64, shift: f64) -> Self {
        // Adding nothing turns −0 into 0.
        Number((value * shift).round() / shift + 0.0)
    }

    /// The rounded value.
    pub fn value(self) -> f64 {
        self.0
    }
}

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // Every whole number below 2^53 is exact in both forms.
        if self.0.fract() == 0.0 && self.0.abs() < 9e15 {
            serializer.serialize_i64(self.0 as i64)
        } else {
            serializer.serialize_f64(self.0)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn json(number: Number) -> String {
        serde_json::to_string(&number).unwrap()
    }

    #[test]
    fn numbers_are_rounded_and_never_minus_nought() {
        assert_eq!(json(Number::of(-0.000_001)), "0");
        assert_eq!(json(Number::of(-0.0)), "0");
        assert_eq!(json(Number::of(92.0)), "92");
        assert_eq!(json(Number::of(12.345_678)), "12.3457");
        assert_eq!(json(Number::scale(0.020_000_04)), "0.02");
    }

    #[test]
    fn a_heading_stays_below_a_full_turn() {
        assert_eq!(json(Number::heading(359.999_98)), "0");
        assert_eq!(json(Number::heading(359.999_94)), "359.9999");
        assert_eq!(json(Number::heading(-90.0)), "270");
    }
}
