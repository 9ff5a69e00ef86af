//! Templates that include themselves, by way of others perhaps: Tera would follow them until the program ran out of stack.

use std::collections::BTreeMap;

/// A template that includes itself, with the name by which it does and where that stands in its text, in bytes.
#[derive(Debug, PartialEq)]
pub(super) struct Circle<'a> {
    pub template: &'a str,
    pub includes: &'a str,
    pub at: usize,
}

/// The first circle, in the order of names. `texts` holds templates by name.
pub(super) fn circle<'a>(texts: &BTreeMap<&'a str, &'a str>) -> Option<Circle<'a>> {
    let circles = texts.iter().flat_map(|(template, text)| {
        let back = included(text).filter(|(_, name)| leads_to(texts, name, template));
        back.map(|(at, includes)| Circle { template, includes, at })
    });
    circles.min_by_key(|circle| circle.template)
}

/// Whether `from` is or includes `to`, at any depth.
fn leads_to<'a>(texts: &BTreeMap<&'a str, &'a str>, from: &'a str, to: &str) -> bool {
    let (mut seen, mut waiting) = (vec![from], vec![from]);
    while let Some(name) = waiting.pop() {
        if name == to {
            return true;
        }
        for (_, next) in texts.get(name).into_iter().flat_map(|text| included(text)) {
            if !seen.contains(&next) {
                seen.push(next);
                waiting.push(next);
            }
        }
    }
    false
}

/// Every name in an `{% include "name" %}` or `{% include ["one", "other"] %}`, and where it stands.
fn included(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.match_indices("{%").flat_map(move |(start, _)| {
        let tag = &text[start..start + text[start..].find("%}").unwrap_or(text.len() - start)];
        let is_include = tag[2..].trim_start_matches('-').trim_start().starts_with("include");
        let quotes: Vec<_> = tag.match_indices(['"', '\'', '`']).map(|(at, _)| at).collect();
        let pairs: Vec<_> = quotes.chunks_exact(2).filter(|_| is_include).map(|pair| (pair[0] + 1, pair[1])).collect();
        pairs.into_iter().map(move |(from, to)| (start + from, &tag[from..to]))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circle_in<'a>(texts: &[(&'a str, &'a str)]) -> Option<Circle<'a>> {
        circle(&texts.iter().copied().collect())
    }

    #[test]
    fn circles_are_found_at_any_depth() {
        let found = circle_in(&[("a", "x{%- include 'a' %}")]).unwrap();
        assert_eq!((found.template, found.includes, found.at), ("a", "a", 14));
        let deep = [
            ("a", "{% include \"b\" %}"),
            ("b", "{% include [\"x\", \"c\"] ignore missing %}"),
            ("c", "{%include `b`%}"),
        ];
        assert_eq!(circle_in(&deep).unwrap().template, "b");
    }

    #[test]
    fn the_same_part_twice_is_no_circle() {
        let texts = [
            ("a", "{% include \"b\" %}{% include \"c\" %}"),
            ("b", "{% include \"c\" %}"),
            ("c", "{% if \"a\" %} include 'a'"),
        ];
        assert_eq!(circle_in(&texts), None);
    }
}
