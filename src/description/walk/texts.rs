//! Texts that visitors read: one for all, or a group of them by language.

use super::entries::nearest;
use super::scalars::text;
use crate::description::language;
use crate::description::placed::Placed;
use crate::description::tree::{Kind, Node, quote};
use crate::description::types::Text;
use crate::problem::{Problem, Problems};
use std::collections::BTreeMap;

/// Languages by the names that somebody might write instead of their tags.
const NAMES: [(&str, &str); 8] = [
    ("english", "en"),
    ("german", "de"),
    ("deutsch", "de"),
    ("french", "fr"),
    ("francais", "fr"),
    ("spanish", "es"),
    ("espanol", "es"),
    ("italian", "it"),
];

/// A text that may be empty.
pub fn any_text(node: &Node, problems: &mut Problems) -> Option<Text> {
    let Kind::Mapping(entries) = &node.kind else { return text(node, problems).map(Text::One) };
    if entries.is_empty() {
        let what = "this group of languages is empty";
        problems.push(Problem::error(what, "write `{ en: Kitchen, de: Küche }`, or the text alone").at(&node.place));
        return None;
    }
    let read = entries.iter().filter_map(|(key, value)| {
        let tag = tag(key, problems);
        let text = text(value, problems);
        Some((tag?, text?))
    });
    let spoken: BTreeMap<_, _> = read.collect();
    // With a language that could not be read, whether the tour's own is missing is no news.
    (spoken.len() == entries.len()).then_some(Text::Several(spoken))
}

/// A text that somebody will see: not empty, in no language.
pub fn title(node: &Node, problems: &mut Problems) -> Option<Text> {
    let mut empty = |node: &Node| {
        let shown = !node.scalar().is_some_and(|text| text.trim().is_empty());
        if !shown {
            let instead = "write the words that visitors will see";
            problems.push(Problem::error("this text is empty", instead).at(&node.place));
        }
        !shown
    };
    let blank = match &node.kind {
        Kind::Mapping(entries) => entries.iter().filter(|(_, text)| !text.is_missing() && empty(text)).count() > 0,
        _ => !node.is_missing() && empty(node),
    };
    if blank { None } else { any_text(node, problems) }
}

/// [`title`] with its place.
pub fn placed_title(node: &Node, problems: &mut Problems) -> Option<Placed<Text>> {
    title(node, problems).map(|text| Placed::new(text, &node.place))
}

/// A language's tag in its usual spelling, so that no language has two.
fn tag(key: &Node, problems: &mut Problems) -> Option<Placed<String>> {
    let written = text(key, problems)?;
    let usual = language::usual(&written);
    let instead = if !language::is_well_formed(&written) || !language::is_known(&written) {
        let names: Vec<&str> = NAMES.iter().map(|(name, _)| *name).collect();
        let named = nearest(&written, &names).and_then(|name| NAMES.iter().find(|(known, _)| *known == name));
        let meant = language::of_country(&written).or(named.map(|(_, tag)| *tag));
        meant.map_or("write a BCP 47 tag such as `en`, `de` or `pt-BR`".to_owned(), |tag| format!("write `{tag}`"))
    } else if usual != written {
        format!("write `{usual}`")
    } else {
        return Some(Placed::new(written, &key.place));
    };
    let what = format!("{} is not a language tag", quote(&written));
    problems.push(Problem::error(what, instead).at(&key.place));
    None
}
