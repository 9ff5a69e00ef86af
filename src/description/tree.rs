//! One tree that carries places. It is made from a YAML parser's events, bounded in depth, values and text.

mod builder;

pub use builder::read;

use crate::problem::Place;

/// A value and where it stands.
#[derive(Clone, Debug)]
pub struct Node {
    /// The value's own place; for a value that is missing, its key's.
    pub place: Place,
    /// What it is.
    pub kind: Kind,
}

/// What a value is.
#[derive(Clone, Debug)]
pub enum Kind {
    /// One value; `plain` where it was written without quotes.
    Scalar { text: String, plain: bool },
    /// A list.
    Sequence(Vec<Node>),
    /// Keys and values. Every key is a scalar, no key comes twice.
    Mapping(Vec<(Node, Node)>),
}

impl Node {
    /// The text of a scalar.
    pub fn scalar(&self) -> Option<&str> {
        match &self.kind {
            Kind::Scalar { text, .. } => Some(text),
            _ => None,
        }
    }

    /// True for a scalar of nothing at all, as in `heading:`.
    pub fn is_missing(&self) -> bool {
        matches!(&self.kind, Kind::Scalar { text, plain: true } if text.is_empty())
    }

    /// The value as a message names it: quoted and shortened, or what kind of value it is.
    pub fn quoted(&self) -> String {
        match &self.kind {
            Kind::Scalar { text, .. } => quote(text),
            Kind::Sequence(_) => "a list".into(),
            Kind::Mapping(_) => "a group of keys".into(),
        }
    }

    fn size(&self) -> Size {
        let own = Size { nodes: 1, text_bytes: self.scalar().map_or(0, str::len), height: 1 };
        match &self.kind {
            Kind::Scalar { .. } => own,
            Kind::Sequence(items) => items.iter().fold(own, |sum, item| sum.with_child(item.size())),
            Kind::Mapping(entries) => {
                entries.iter().fold(own, |sum, (key, value)| sum.with_child(key.size()).with_child(value.size()))
            }
        }
    }
}

/// A text as a message quotes it: one line, at most sixty characters, between backticks.
pub fn quote(text: &str) -> String {
    let mut short: String = text.trim().chars().take(60).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.trim().chars().nth(60).is_some() {
        short.push('…');
    }
    format!("`{short}`")
}

/// What a node and everything below it take.
#[derive(Clone, Copy, Debug, Default)]
struct Size {
    nodes: usize,
    text_bytes: usize,
    height: usize,
}

impl Size {
    fn with_child(self, child: Size) -> Size {
        Size {
            nodes: self.nodes + child.nodes,
            text_bytes: self.text_bytes + child.text_bytes,
            height: self.height.max(child.height + 1),
        }
    }
}
