//! Repairs: what is altered in a picture, and why.

use super::angles::spot;
use super::entries::Entries;
use super::scalars::{flag, number, one_of, text};
use super::texts::title;
use super::{file_name, list};
use crate::description::placed::Placed;
use crate::description::tree::{Kind, Node, quote};
use crate::description::types::{Fill, NamedFill, Pair, Region, Repair, Why};
use crate::problem::{Problem, Problems};

/// The keys that say what kind of repair it is.
const KINDS: [&str; 5] = ["fill", "clone", "patch", "blur", "disc"];

/// Each further key, and the kind that it belongs to.
const BELONGINGS: [(&str, &[&str]); 8] = [
    ("radius", &["fill", "disc"]),
    ("shadow", &["fill"]),
    ("from", &["clone"]),
    ("from-shot", &["clone"]),
    ("turned", &["clone"]),
    ("spot", &["patch"]),
    ("field-of-view", &["patch"]),
    ("twin", &["patch"]),
];

const WHYS: [(&str, Why); 7] = [
    ("equipment", Why::Equipment),
    ("privacy", Why::Privacy),
    ("clutter", Why::Clutter),
    ("fixture", Why::Fixture),
    ("damage", Why::Damage),
    ("sky", Why::Sky),
    ("other", Why::Other),
];

/// Smallest and largest disc, in degrees.
const RADIUS_DEG: (f64, f64) = (0.2, 60.0);
const CORNERS: std::ops::RangeInclusive<usize> = 3..=64;

/// Of a room or a station.
pub fn retouch(node: &Node, problems: &mut Problems) -> Option<Vec<Placed<Repair>>> {
    list(node, problems, "retouch", repair)
}

/// Of the whole tour: only what can be the same in every picture.
pub fn defaults(node: &Node, problems: &mut Problems) -> Option<Vec<Placed<Repair>>> {
    let repairs = retouch(node, problems)?;
    for repair in repairs.iter().filter(|repair| !is_of_every_picture(&repair.value)) {
        let what = "this repair lies in one picture, not in all";
        problems.push(Problem::error(what, "move it to the room that it is for").at(&repair.place));
    }
    Some(repairs)
}

fn is_of_every_picture(repair: &Repair) -> bool {
    repair.fill.as_ref().is_some_and(|fill| fill.value == Fill::Named(NamedFill::Tripod)) || repair.disc.is_some()
}

fn repair(node: &Node, problems: &mut Problems) -> Option<Placed<Repair>> {
    let mut entries = Entries::of(node, "a repair", problems)?;
    let kinds: Vec<&str> = KINDS.into_iter().filter(|kind| entries.has(kind)).collect();
    match kinds[..] {
        [kind] => refuse_what_belongs_elsewhere(kind, &mut entries),
        [] => {
            entries.problem("no kind of repair is said here", "write one of `fill`, `clone`, `patch`, `blur`, `disc`")
        }
        [first, second, ..] => {
            let what = format!("`{second}` stands beside `{first}`");
            entries.problem_at(second, what, "make two repairs of them, each with a `- ` of its own");
        }
    }
    if kinds == ["patch"] {
        refuse_gaps(&[("spot", "[longitude, latitude]"), ("field-of-view", "30")], "a patch", &mut entries);
    }
    let says_why = entries.has("why");
    let repair = Repair {
        fill: entries.optional("fill", fill),
        clone: entries.optional("clone", placed_region),
        patch: entries.optional("patch", file_name),
        blur: entries.optional("blur", placed_region),
        disc: entries.optional("disc", placed_look),
        radius: entries.optional("radius", |node, problems| number(node, problems, "radius", 2.0, 60.0, "degrees")),
        shadow: entries.optional("shadow", flag),
        from: entries.optional("from", spot),
        from_shot: entries.optional("from-shot", file_name),
        turned: entries.optional("turned", |node, problems| number(node, problems, "turned", -180.0, 180.0, "degrees")),
        spot: entries.optional("spot", spot),
        field_of_view: entries
            .optional("field-of-view", |node, problems| number(node, problems, "field-of-view", 1.0, 120.0, "degrees")),
        twin: entries.optional("twin", file_name),
        why: entries.optional("why", |node, problems| one_of(node, problems, "reason", &WHYS)),
        name: entries.optional("name", title),
        off: entries.optional("off", flag).unwrap_or(false),
    };
    entries.finish();
    if kinds.len() != 1 {
        return None;
    }
    complain(&repair, says_why, node, problems);
    Some(Placed::new(repair, &node.place))
}

fn refuse_what_belongs_elsewhere(kind: &str, entries: &mut Entries<'_, '_>) {
    for (key, belongs_to) in BELONGINGS {
        if entries.has(key) && !belongs_to.contains(&kind) {
            let what = format!("`{key}` says nothing of a `{kind}`");
            let instead = format!("delete it: it belongs to `{}`", belongs_to.join("` or `"));
            entries.problem_at(key, what, &instead);
        }
    }
}

fn refuse_gaps(needed: &[(&str, &str)], name: &str, entries: &mut Entries<'_, '_>) {
    for (key, example) in needed {
        if !entries.has(key) {
            entries.problem(&format!("{name} has no `{key}`"), &format!("write `{key}: {example}`"));
        }
    }
}

/// What single keys cannot tell: what contradicts itself, and what is missing.
fn complain(repair: &Repair, says_why: bool, node: &Node, problems: &mut Problems) {
    let mut error = |what: &str, instead: &str| problems.push(Problem::error(what, instead).at(&node.place));
    let is_of_tripod = repair.fill.as_ref().is_some_and(|fill| fill.value == Fill::Named(NamedFill::Tripod));
    if let (Some(_), false) = (&repair.fill, is_of_tripod) {
        if repair.radius.is_some() {
            error("`radius` stands beside the region", "write it inside: `fill: { spot: [12, -20], radius: 3 }`");
        }
        if repair.shadow.is_some() {
            error("`shadow` is for `fill: tripod` only", "make the region so large that it holds the shadow");
        }
    }
    if repair.clone.is_some() && repair.from.is_none() && repair.from_shot.is_none() {
        error("this clone does not say what it copies", "write `from: [longitude, latitude]` or `from-shot: shots/…`");
    }
    let explains_itself = is_of_tripod || repair.blur.is_some() || repair.disc.is_some();
    let is_understood = [repair.fill.is_some(), repair.clone.is_some(), repair.patch.is_some()].contains(&true);
    if is_understood && !explains_itself && !says_why {
        let whys: Vec<String> = WHYS.iter().map(|(word, _)| format!("`{word}`")).collect();
        error("this repair does not say why", &format!("write `why:` and one of {}", whys.join(", ")));
    }
}

fn fill(node: &Node, problems: &mut Problems) -> Option<Placed<Fill>> {
    let fill = match &node.kind {
        Kind::Mapping(_) => Fill::Region(region(node, problems)?),
        _ => Fill::Named(one_of(node, problems, "fill", &[("tripod", NamedFill::Tripod)])?),
    };
    Some(Placed::new(fill, &node.place))
}

fn placed_region(node: &Node, problems: &mut Problems) -> Option<Placed<Region>> {
    region(node, problems).map(|region| Placed::new(region, &node.place))
}

fn region(node: &Node, problems: &mut Problems) -> Option<Region> {
    const FORMS: &str = "write `{ spot: [12, -20], radius: 3 }` or `{ corners: [[10, -20], [14, -20], [12, -17]] }`";
    let Kind::Mapping(_) = node.kind else {
        let what = format!("{} is not a region", node.quoted());
        problems.push(Problem::error(what, FORMS).at(&node.place));
        return None;
    };
    let mut entries = Entries::of(node, "a region", problems)?;
    match ["spot", "radius", "corners"].map(|key| entries.has(key)) {
        [true, true, false] | [false, false, true] => {}
        [_, _, true] => {
            entries.problem_at("corners", "`corners` stand beside `spot` or `radius`", "keep one of the two")
        }
        _ => entries.problem("this region says no place", FORMS),
    }
    let (low, high) = RADIUS_DEG;
    let region = Region {
        spot: entries.optional("spot", spot),
        radius: entries.optional("radius", |node, problems| number(node, problems, "radius", low, high, "degrees")),
        corners: entries.optional("corners", corners),
    };
    entries.finish();
    let is_whole = (region.spot.is_some() && region.radius.is_some()) || region.corners.is_some();
    is_whole.then_some(region)
}

fn corners(node: &Node, problems: &mut Problems) -> Option<Vec<Pair>> {
    let corners = list(node, problems, "corners", spot)?;
    let written = matches!(&node.kind, Kind::Sequence(items) if items.len() == corners.len());
    if written && !CORNERS.contains(&corners.len()) {
        let what = format!("`corners` has {} where 3 to 64 belong", corners.len());
        problems.push(Problem::error(what, "write the corners in order, around the region").at(&node.place));
        return None;
    }
    written.then_some(corners)
}

/// A colour as `#rrggbb`, or a file.
fn placed_look(node: &Node, problems: &mut Problems) -> Option<Placed<String>> {
    let look = text(node, problems)?;
    if !look.starts_with('#') {
        return file_name(node, problems);
    }
    let is_colour = look.len() == 7 && look[1..].bytes().all(|digit| digit.is_ascii_hexdigit());
    if !is_colour {
        let what = format!("{} is not a colour", quote(&look));
        problems.push(Problem::error(what, "write six digits, 0 to f: `\"#6b6259\"`").at(&node.place));
    }
    is_colour.then(|| Placed::new(look, &node.place))
}
