//! Doors and steps.

use super::angles::sighting;
use super::entries::Entries;
use super::placed_text;
use super::scalars::{flag, placed_pair, text, two};
use crate::description::placed::Placed;
use crate::description::tree::{Kind, Node};
use crate::description::types::{Door, Sighting, Step};
use crate::problem::{Problem, Problems};
use std::collections::BTreeMap;

pub fn door(node: &Node, problems: &mut Problems) -> Option<Placed<Door>> {
    let mut entries = Entries::of(node, "a door", problems)?;
    let door = Door {
        between: entries
            .required("between", |node, problems| both_ends(node, problems, "[hall, kitchen]"))
            .unwrap_or_default(),
        at: entries.optional("at", placed_pair),
        one_way: entries.optional("one-way", flag).unwrap_or(false),
        seen_from: entries.optional("seen-from", seen_from).unwrap_or_default(),
    };
    entries.finish();
    Some(Placed::new(door, &node.place))
}

pub fn step(node: &Node, problems: &mut Problems) -> Option<Placed<Step>> {
    let mut entries = Entries::of(node, "a step", problems)?;
    let step = Step {
        between: entries
            .required("between", |node, problems| both_ends(node, problems, "[window, hearth]"))
            .unwrap_or_default(),
        seen_from: entries.optional("seen-from", seen_from).unwrap_or_default(),
    };
    entries.finish();
    Some(Placed::new(step, &node.place))
}

/// Both ends of a way, by name; who they are is asked later.
fn both_ends(node: &Node, problems: &mut Problems, form: &str) -> Option<[Placed<String>; 2]> {
    let [first, second] = two(node, problems, form)?;
    let (first, second) = (placed_text(first, problems), placed_text(second, problems));
    Some([first?, second?])
}

fn seen_from(node: &Node, problems: &mut Problems) -> Option<BTreeMap<Placed<String>, Sighting>> {
    let Kind::Mapping(entries) = &node.kind else {
        let what = format!("`seen-from` holds {} where stations and directions belong", node.quoted());
        let instead = "write `{ hall: { spot: [118, -6] } }`";
        problems.push(Problem::error(what, instead).at(&node.place));
        return None;
    };
    let read = entries.iter().filter_map(|(key, value)| {
        let station = text(key, problems).map(|station| Placed::new(station, &key.place));
        let seen = sighting(value, problems);
        Some((station?, seen?))
    });
    Some(read.collect())
}
