//! From a YAML parser's events to the tree.
//!
//! Aliases are expanded, and counted after expansion, so that a small file cannot become a large tree.

use super::{Kind, Node, Size, quote};
use crate::description::source::Source;
use crate::problem::{Place, Problem, Problems};
use saphyr_parser::{Event, Parser, ScalarStyle, ScanError, Span};
use std::collections::{HashMap, HashSet};

/// Deepest nesting that is read; a tour needs about ten.
const MAX_DEPTH: usize = 40;
/// Most values after expansion of aliases.
const MAX_NODES: usize = 100_000;
/// Most text after expansion of aliases, in bytes.
const MAX_TEXT_BYTES: usize = 16 * 1024 * 1024;

/// Reads the one document of a source. Keys that come twice are reported, and the first one kept.
///
/// # Errors
/// What makes the rest unreadable: not YAML, more than one document, tags, too deep, too large.
pub fn read(source: &Source) -> Result<(Node, Problems), Problem> {
    let mut builder = Builder::new(source);
    let mut parser = Parser::new_from_str(&source.text);
    while let Some(event) = parser.next_event() {
        let (event, span) = event.map_err(|error| builder.not_yaml(&error))?;
        builder.take(event, span)?;
    }
    match builder.root {
        Some(root) => Ok((root, builder.problems)),
        None => Err(Problem::error("the description is empty", "write at least `title:` and `floors:`")
            .at(&source.place(1, 1, 0))),
    }
}

/// A collection whose end has not come yet.
struct Open {
    node: Node,
    anchor: usize,
    /// The key that waits for its value.
    key: Option<Node>,
    seen: HashSet<String>,
    block: bool,
}

struct Builder<'s> {
    source: &'s Source,
    lines: Vec<&'s str>,
    open: Vec<Open>,
    anchors: HashMap<usize, (Node, Size)>,
    total: Size,
    documents: usize,
    root: Option<Node>,
    problems: Problems,
}

impl<'s> Builder<'s> {
    fn new(source: &'s Source) -> Self {
        Builder {
            source,
            lines: source.text.split('\n').map(|line| line.trim_end_matches('\r')).collect(),
            open: Vec::new(),
            anchors: HashMap::new(),
            total: Size::default(),
            documents: 0,
            root: None,
            problems: Problems::new(),
        }
    }

    fn take(&mut self, event: Event<'_>, span: Span) -> Result<(), Problem> {
        match event {
            Event::DocumentStart(_) => self.document(span),
            Event::Scalar(_, _, _, Some(_)) | Event::SequenceStart(_, Some(_)) | Event::MappingStart(_, Some(_)) => {
                let what = "tags such as `!!str` are not used in a description";
                Err(Problem::error(what, "delete the tag; put a text in quotes").at(&self.place(span, 0)))
            }
            Event::Scalar(text, style, anchor, None) => {
                let place = self.place(span, anchor);
                let kind = Kind::Scalar { text: text.into_owned(), plain: style == ScalarStyle::Plain };
                self.finish(Node { place, kind }, anchor)
            }
            Event::SequenceStart(anchor, None) => self.begin(Kind::Sequence(Vec::new()), span, anchor),
            Event::MappingStart(anchor, None) => self.begin(Kind::Mapping(Vec::new()), span, anchor),
            Event::SequenceEnd | Event::MappingEnd => self.end(span),
            Event::Alias(anchor) => self.alias(anchor, span),
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => Ok(()),
        }
    }

    fn document(&mut self, span: Span) -> Result<(), Problem> {
        self.documents += 1;
        if self.documents == 1 {
            return Ok(());
        }
        let what = "a second document begins here";
        Err(Problem::error(what, "keep one tour in one file and delete the `---`").at(&self.place(span, 0)))
    }

    fn begin(&mut self, kind: Kind, span: Span, anchor: usize) -> Result<(), Problem> {
        let place = self.place(span, anchor);
        if self.open.len() >= MAX_DEPTH {
            return Err(too_deep(&place));
        }
        let block = !self.text_at(&place).starts_with(['{', '[']);
        let node = Node { place, kind };
        self.open.push(Open { node, anchor, key: None, seen: HashSet::new(), block });
        Ok(())
    }

    fn end(&mut self, span: Span) -> Result<(), Problem> {
        let Some(mut open) = self.open.pop() else { return Ok(()) };
        open.node.place.length = match (&open.node.kind, open.block) {
            // The first key stands for a group, since its end is lines below.
            (Kind::Mapping(entries), true) => entries.first().map_or(0, |(key, _)| key.place.length),
            (_, true) => 0,
            (_, false) if span.end.line() == open.node.place.line as usize => {
                (span.end.col() + 1).saturating_sub(open.node.place.column as usize) as u32
            }
            (_, false) => 1,
        };
        self.finish(open.node, open.anchor)
    }

    fn alias(&mut self, anchor: usize, span: Span) -> Result<(), Problem> {
        let place = self.place(span, 0);
        let Some((node, size)) = self.anchors.get(&anchor) else {
            let name: String = self.text_at(&place).chars().take(place.length as usize).collect();
            let what = format!("{} stands inside the very value that it repeats", quote(&name));
            return Err(Problem::error(what, "write the value out").at(&place));
        };
        if self.open.len() + size.height > MAX_DEPTH {
            return Err(too_deep(&place));
        }
        // Counted before it is copied.
        self.total = self.total.with_child(*size);
        self.refuse_too_large(&place)?;
        let node = node.clone();
        self.attach(node)
    }

    /// A node that is complete: counted, remembered under its anchor, and put into what is open.
    fn finish(&mut self, node: Node, anchor: usize) -> Result<(), Problem> {
        let own = Size { nodes: 1, text_bytes: node.scalar().map_or(0, str::len), height: 0 };
        self.total = self.total.with_child(own);
        if anchor != 0 {
            let size = node.size();
            // The copy that waits under the anchor takes memory too.
            self.total = self.total.with_child(size);
            self.refuse_too_large(&node.place)?;
            self.anchors.insert(anchor, (node.clone(), size));
        }
        self.refuse_too_large(&node.place)?;
        self.attach(node)
    }

    fn refuse_too_large(&self, place: &Place) -> Result<(), Problem> {
        if self.total.nodes > MAX_NODES || self.total.text_bytes > MAX_TEXT_BYTES {
            let what = "the description grows too large here, aliases written out";
            return Err(Problem::error(what, "write fewer values, or fewer aliases (`*name`)").at(place));
        }
        Ok(())
    }

    fn attach(&mut self, mut node: Node) -> Result<(), Problem> {
        let Some(open) = self.open.last_mut() else {
            self.root.get_or_insert(node);
            return Ok(());
        };
        match &mut open.node.kind {
            Kind::Sequence(items) => items.push(node),
            Kind::Mapping(entries) => match open.key.take() {
                None if node.scalar().is_none() => {
                    let what = format!("{} stands where a key belongs", node.quoted());
                    let instead = "write `key: value`; put quotes around a text that begins with `[` or `{`";
                    return Err(Problem::error(what, instead).at(&node.place));
                }
                None => open.key = Some(node),
                Some(key) => {
                    if node.is_missing() {
                        node.place = key.place.clone();
                    }
                    if open.seen.insert(key.scalar().unwrap_or_default().to_owned()) {
                        entries.push((key, node));
                    } else {
                        let what = format!("{} is written twice in one group", key.quoted());
                        self.problems.push(Problem::error(what, "delete one of the two").at(&key.place));
                    }
                }
            },
            Kind::Scalar { .. } => {}
        }
        Ok(())
    }

    /// Where a span's value begins, after its anchor if it has one, and how far it reaches on that line.
    fn place(&self, span: Span, anchor: usize) -> Place {
        let line = self.lines.get(span.start.line().saturating_sub(1)).copied().unwrap_or("");
        let reach = match span.end.line() == span.start.line() {
            true => span.end.col(),
            false => line.trim_end().chars().count(),
        };
        let mut column = span.start.col();
        if anchor != 0 {
            let rest: Vec<char> = line.chars().skip(column).collect();
            let name = rest.iter().take_while(|c| !c.is_whitespace()).count();
            let gap = rest[name..].iter().take_while(|c| c.is_whitespace()).count();
            let comment_or_end = rest.get(name + gap).is_none_or(|&c| c == '#');
            if rest.first() == Some(&'&') && !comment_or_end {
                column += name + gap;
            }
        }
        self.source.place(span.start.line(), column + 1, reach.saturating_sub(column))
    }

    /// The line's text from a place on.
    fn text_at(&self, place: &Place) -> &'s str {
        let line = self.lines.get(place.line as usize - 1).copied().unwrap_or("");
        let start = line.char_indices().nth(place.column as usize - 1).map_or(line.len(), |(index, _)| index);
        &line[start..]
    }

    /// What the parser refused, in words for somebody who has never read YAML's grammar.
    fn not_yaml(&self, error: &ScanError) -> Problem {
        let line = error.marker().line().max(1);
        let indent = |line: &str| line.chars().take_while(|c| c.is_whitespace()).collect::<String>();
        for near in [line, line + 1, line.saturating_sub(1)] {
            let tab = self.lines.get(near.wrapping_sub(1)).and_then(|line| indent(line).find('\t'));
            if let (Some(tab), true) = (tab, error.info().contains("tab") || near == line) {
                return Problem::error("a tab indents this line", "indent with spaces").at(&self.source.place(
                    near,
                    tab + 1,
                    1,
                ));
            }
        }
        let place = self.source.place(line, error.marker().col() + 1, 0);
        if error.info().contains("recursion limit") {
            return too_deep(&place);
        }
        Problem::error(format!("this is not valid YAML ({})", error.info()), remedy(error.info())).at(&place)
    }
}

fn too_deep(place: &Place) -> Problem {
    Problem::error(format!("lists and groups lie more than {MAX_DEPTH} deep here"), "take out some levels").at(place)
}

/// The usual reason for what the parser says.
fn remedy(info: &str) -> &'static str {
    if info.contains("quoted") {
        "close the quotes"
    } else if info.contains("anchor") {
        "write the value out, or mark it with `&name` further up"
    } else if info.contains("mapping values are not allowed") {
        "check the indentation of this line and the one before; put quotes around a text that holds `: `"
    } else if info.contains("unexpected character") {
        "put quotes around the text"
    } else {
        "check indentation, brackets and quotes of this line and the one before"
    }
}
