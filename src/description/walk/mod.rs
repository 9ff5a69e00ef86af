//! The walk over the placed tree: every problem of the writing, all at once, and what could be understood.
//!
//! Each reader here takes a value, reports what is wrong with it at its own place, and returns what it holds, or
//! nothing where it holds nothing usable. A group of keys goes on past a bad value, so that one mistake hides no other.

mod angles;
mod entries;
mod links;
mod retouch;
mod rooms;
mod scalars;
mod texts;
mod tone;
mod ways;

use super::placed::Placed;
use super::tree::{Kind, Node, quote};
use super::types::{Defaults, Description, Floor, Plan, Scale, Text, Unaltered};
use super::{id, language};
use crate::problem::{Problem, Problems};
use entries::Entries;
use scalars::{flag, metres, number, one_of, pair, text, whole};
use texts::{any_text, placed_title};

/// Reads a value, or reports why not.
type Reader<T> = fn(&Node, &mut Problems) -> Option<T>;

/// Reads the whole tour.
pub fn description(root: &Node, problems: &mut Problems) -> Option<Description> {
    let mut entries = Entries::of(root, "the tour", problems)?;
    let description = Description {
        title: entries.required("title", placed_title).unwrap_or_default(),
        summary: entries.optional("summary", placed_any_text).unwrap_or_default(),
        language: entries.optional("language", language_tag).unwrap_or_else(super::types::english),
        opens_in: entries.optional("opens-in", placed_text),
        unaltered: entries.optional("unaltered", unaltered).unwrap_or_default(),
        defaults: entries.optional("defaults", defaults).unwrap_or_default(),
        floors: entries
            .required("floors", |node, problems| at_least_one(node, problems, "floors", floor))
            .unwrap_or_default(),
        doors: entries
            .optional("doors", |node, problems| list(node, problems, "doors", ways::door))
            .unwrap_or_default(),
    };
    entries.not_yet(&["retouch", "tone", "camera", "templates", "address"]);
    entries.finish();
    Some(description)
}

fn unaltered(node: &Node, problems: &mut Problems) -> Option<Placed<Unaltered>> {
    let ways = [("view", Unaltered::View), ("still", Unaltered::Still)];
    let way = one_of(node, problems, "way to show unaltered pictures", &ways)?;
    Some(Placed::new(way, &node.place))
}

fn defaults(node: &Node, problems: &mut Problems) -> Option<Defaults> {
    let standard = Defaults::default();
    let mut entries = Entries::of(node, "`defaults`", problems)?;
    let defaults = Defaults {
        quality: entries.optional("quality", quality).unwrap_or(standard.quality),
        full_colour: entries.optional("full-colour", flag).unwrap_or(standard.full_colour),
        tilt: entries.optional("tilt", angles::tilt).unwrap_or(standard.tilt),
        camera_height: entries.optional("camera-height", camera_height).unwrap_or(standard.camera_height),
        tone: entries.optional("tone", tone::defaults).unwrap_or_default(),
        retouch: entries.optional("retouch", retouch::defaults).unwrap_or_default(),
    };
    entries.not_yet(&["camera"]);
    entries.finish();
    Some(defaults)
}

fn floor(node: &Node, problems: &mut Problems) -> Option<Placed<Floor>> {
    let mut entries = Entries::of(node, "a floor", problems)?;
    let floor = Floor {
        id: entries.required("id", identity).unwrap_or_default(),
        title: entries.required("title", placed_title).unwrap_or_default(),
        plan: entries.optional("plan", plan),
        rooms: entries
            .required("rooms", |node, problems| at_least_one(node, problems, "rooms", rooms::room))
            .unwrap_or_default(),
    };
    entries.finish();
    Some(Placed::new(floor, &node.place))
}

fn plan(node: &Node, problems: &mut Problems) -> Option<Placed<Plan>> {
    let mut entries = Entries::of(node, "a plan", problems)?;
    let plan = Plan {
        drawing: entries.required("drawing", file_name).unwrap_or_default(),
        north: entries.optional("north", |node, problems| number(node, problems, "north", -180.0, 360.0, "degrees")),
        scale: entries.optional("scale", scale),
    };
    entries.finish();
    Some(Placed::new(plan, &node.place))
}

fn scale(node: &Node, problems: &mut Problems) -> Option<Placed<Scale>> {
    let mut entries = Entries::of(node, "a scale", problems)?;
    let from = entries.required("from", pair);
    let to = entries.required("to", pair);
    let metres = entries.required("metres", |node, problems| metres(node, problems, "metres", 0.01, 10_000.0));
    entries.finish();
    let scale = Scale { from: from?, to: to?, metres: metres? };
    if scale.from == scale.to {
        let what = "`from` and `to` of the scale are the same place";
        problems.push(Problem::error(what, "write the two ends of a length that you know").at(&node.place));
        return None;
    }
    Some(Placed::new(scale, &node.place))
}

/// A list, each value read with `read`.
fn list<T>(node: &Node, problems: &mut Problems, name: &str, read: Reader<T>) -> Option<Vec<T>> {
    let Kind::Sequence(items) = &node.kind else {
        let what = format!("`{name}` holds {} where a list belongs", node.quoted());
        problems.push(Problem::error(what, "begin each entry with `- ` on a line of its own").at(&node.place));
        return None;
    };
    Some(items.iter().filter_map(|item| read(item, problems)).collect())
}

/// A list that must not be empty.
fn at_least_one<T>(node: &Node, problems: &mut Problems, name: &str, read: Reader<T>) -> Option<Vec<T>> {
    if matches!(&node.kind, Kind::Sequence(items) if items.is_empty()) {
        problems.push(Problem::error(format!("`{name}` is an empty list"), "write at least one").at(&node.place));
    }
    list(node, problems, name, read)
}

fn placed_any_text(node: &Node, problems: &mut Problems) -> Option<Placed<Text>> {
    any_text(node, problems).map(|text| Placed::new(text, &node.place))
}

fn placed_text(node: &Node, problems: &mut Problems) -> Option<Placed<String>> {
    text(node, problems).map(|text| Placed::new(text, &node.place))
}

/// An id. One that breaks the rules is reported and kept, so that what refers to it still finds it.
fn identity(node: &Node, problems: &mut Problems) -> Option<Placed<String>> {
    let written = placed_text(node, problems)?;
    if let Err(bad) = id::check(&written.value) {
        let instead = match bad.nearest.as_str() {
            "" => "write lower-case letters a to z, digits and single hyphens, such as `hall-2`".to_owned(),
            nearest => format!("write `{nearest}`"),
        };
        let what = format!("the id {} {}", quote(&written.value), bad.why);
        problems.push(Problem::error(what, instead).at(&node.place));
    }
    Some(written)
}

/// A file's name with forward slashes; whether it exists is asked later.
fn file_name(node: &Node, problems: &mut Problems) -> Option<Placed<String>> {
    let written = placed_text(node, problems)?;
    if written.value.trim().is_empty() {
        let what = "no file is named here";
        problems.push(Problem::error(what, "write the file's path from the tour's folder").at(&node.place));
        return None;
    }
    if written.value.contains('\\') {
        let what = format!("the path {} has backslashes", quote(&written.value));
        let instead = format!("write `{}`, which works on every system", written.value.replace('\\', "/"));
        problems.push(Problem::error(what, instead).at(&node.place));
        return None;
    }
    Some(written)
}

fn language_tag(node: &Node, problems: &mut Problems) -> Option<Placed<String>> {
    let tag = placed_text(node, problems)?;
    if !language::is_well_formed(&tag.value) {
        let what = format!("{} is not a language tag", quote(&tag.value));
        problems.push(Problem::error(what, "write a BCP 47 tag such as `en`, `de` or `pt-BR`").at(&node.place));
        return None;
    }
    Some(tag)
}

fn quality(node: &Node, problems: &mut Problems) -> Option<u8> {
    whole(node, problems, "quality", 1, 100).and_then(|quality| u8::try_from(quality).ok())
}

fn camera_height(node: &Node, problems: &mut Problems) -> Option<f64> {
    metres(node, problems, "camera-height", 0.2, 5.0)
}
