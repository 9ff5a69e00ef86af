//! Links out of the walkthrough: only what a browser opens as a page or a letter, and nothing that could run.

use super::placed_text;
use crate::description::placed::Placed;
use crate::description::tree::{Node, quote};
use crate::problem::{Problem, Problems};

/// An absolute address with one of the schemes `https:`, `http:` and `mailto:`.
pub fn link(node: &Node, problems: &mut Problems) -> Option<Placed<String>> {
    let written = placed_text(node, problems)?;
    let address = written.value.as_str();
    let (what, instead) = match address.split_once(':') {
        _ if address.contains(|c: char| c.is_whitespace() || matches!(c, '"' | '<' | '>' | '\\' | '`')) => {
            ("holds a character that no address has", "write it as the browser's address bar shows it".to_owned())
        }
        Some((scheme, rest)) if ["http", "https"].contains(&scheme) => match rest.strip_prefix("//") {
            Some(rest) if host_of(rest).is_some() => return Some(written),
            _ => ("names no host", format!("write `{scheme}://example.org/…`")),
        },
        Some(("mailto", person)) if is_person(person) => return Some(written),
        Some(("mailto", _)) => ("names nobody to write to", "write `mailto:somebody@example.org`".to_owned()),
        _ if is_person(address) => ("has no scheme", format!("write `mailto:{address}`")),
        _ if looks_like_host(address) => ("has no scheme", format!("write `https://{address}`")),
        _ => ("is no link that a note may have", "write an address with `https:`, `http:` or `mailto:`".to_owned()),
    };
    problems.push(Problem::error(format!("the link {} {what}", quote(address)), instead).at(&node.place));
    None
}

/// The host of what follows `//`, without what is before `@` and the port.
fn host_of(rest: &str) -> Option<&str> {
    let authority = rest.split(['/', '?', '#']).next()?;
    // A name and password before the host are a way to make one site look like another.
    let plain = Some(authority).filter(|authority| !authority.contains('@'))?;
    let host = plain.rsplit_once(':').map_or(plain, |(host, _)| host);
    (!host.is_empty()).then_some(host)
}

fn is_person(text: &str) -> bool {
    let address = text.split('?').next().unwrap_or_default();
    address.split_once('@').is_some_and(|(name, host)| !name.is_empty() && looks_like_host(host) && !host.contains('@'))
}

fn looks_like_host(text: &str) -> bool {
    let host = text.split(['/', '?', '#']).next().unwrap_or_default();
    !host.contains(':') && host.split('.').count() > 1 && host.split('.').all(|part| !part.is_empty())
}
