//! Directions and tilts.

use super::entries::{Entries, nearest};
use super::scalars::{number, two};
use crate::description::tree::{Kind, Node, quote};
use crate::description::types::{NamedTilt, OpeningView, Pair, Sighting, Tilt, TiltAngles};
use crate::problem::{Problem, Problems};

/// Degrees clockwise from north.
pub fn heading(node: &Node, problems: &mut Problems) -> Option<f64> {
    number(node, problems, "heading", 0.0, 360.0, "degrees")
}

fn elevation(node: &Node, problems: &mut Problems) -> Option<f64> {
    number(node, problems, "elevation", -90.0, 90.0, "degrees")
}

pub fn spot(node: &Node, problems: &mut Problems) -> Option<Pair> {
    let [longitude, latitude] = two(node, problems, "[longitude, latitude]")?;
    let longitude = number(longitude, problems, "longitude", -180.0, 180.0, "degrees");
    let latitude = number(latitude, problems, "latitude", -90.0, 90.0, "degrees");
    Some([longitude?, latitude?])
}

/// Takes the keys that say a direction; one must be said.
pub fn direction(entries: &mut Entries<'_, '_>) -> Sighting {
    match ["spot", "heading", "elevation"].map(|key| entries.has(key)) {
        [true, true, _] => entries.problem_at("heading", "`heading` stands beside `spot`", "keep one of the two"),
        [true, false, true] => entries.problem_at(
            "elevation",
            "`elevation` stands beside `spot`",
            "delete it: the spot's second number is its latitude",
        ),
        [false, false, true] => {
            entries.problem_at("elevation", "`elevation` stands without `heading`", "write a `heading` too");
        }
        [false, false, false] => entries.problem(
            "no direction is said here",
            "write `spot: [longitude, latitude]` as seen in the picture, or `heading` and `elevation`",
        ),
        _ => {}
    }
    Sighting {
        spot: entries.optional("spot", spot),
        heading: entries.optional("heading", heading),
        elevation: entries.optional("elevation", elevation),
    }
}

/// A direction by itself.
pub fn sighting(node: &Node, problems: &mut Problems) -> Option<Sighting> {
    let mut entries = Entries::of(node, "a direction", problems)?;
    let sighting = direction(&mut entries);
    entries.finish();
    Some(sighting)
}

/// A station's first view.
pub fn opening_view(node: &Node, problems: &mut Problems) -> Option<OpeningView> {
    let mut entries = Entries::of(node, "`opening-view`", problems)?;
    let Sighting { spot, heading, elevation } = direction(&mut entries);
    let field_of_view = entries
        .optional("field-of-view", |node, problems| number(node, problems, "field-of-view", 10.0, 140.0, "degrees"));
    entries.finish();
    Some(OpeningView { spot, heading, elevation, field_of_view })
}

/// `none`, `auto`, `from-file`, or pitch and roll.
pub fn tilt(node: &Node, problems: &mut Problems) -> Option<Tilt> {
    const FORMS: &str = "write `none`, `auto`, `from-file` or `{ pitch: 0.4, roll: -1.2 }`";
    let named = match &node.kind {
        Kind::Mapping(_) => return tilt_angles(node, problems).map(Tilt::Angles),
        Kind::Scalar { text, .. } => text.as_str(),
        Kind::Sequence(_) => "",
    };
    let (what, instead) = match named {
        "none" => return Some(Tilt::Named(NamedTilt::None)),
        "from-file" => return Some(Tilt::Named(NamedTilt::FromFile)),
        "auto" => return Some(Tilt::Named(NamedTilt::Auto)),
        _ => {
            let instead = nearest(named, &["none", "auto", "from-file"])
                .map_or(FORMS.to_owned(), |near| format!("write `{near}`"));
            (format!("{} is not a tilt", if named.is_empty() { node.quoted() } else { quote(named) }), instead)
        }
    };
    problems.push(Problem::error(what, instead).at(&node.place));
    None
}

fn tilt_angles(node: &Node, problems: &mut Problems) -> Option<TiltAngles> {
    let mut entries = Entries::of(node, "`tilt`", problems)?;
    let none = entries.is_empty();
    let pitch = entries.optional("pitch", |node, problems| number(node, problems, "pitch", -90.0, 90.0, "degrees"));
    let roll = entries.optional("roll", |node, problems| number(node, problems, "roll", -180.0, 180.0, "degrees"));
    if none {
        entries.problem("`tilt` names neither pitch nor roll", "write `{ pitch: 0.4, roll: -1.2 }`, or `none`");
    }
    entries.finish();
    Some(TiltAngles { pitch: pitch.unwrap_or(0.0), roll: roll.unwrap_or(0.0) })
}
