//! SVG: an XML text. Comments and `<metadata>` are cut out of it; everything else stays as it was drawn.

use super::CleanError;
use std::ops::Range;

const NAMESPACE: &str = "http://www.w3.org/2000/svg";

/// Whether a text may be an SVG drawing: the first element's name says so.
pub(super) fn looks_like(text: &str) -> bool {
    text.trim_start_matches('\u{feff}').trim_start().starts_with('<') && text.contains("<svg")
        || text.contains(":svg") && text.contains(NAMESPACE)
}

/// The drawing without comments and metadata elements.
///
/// # Errors
/// Not well-formed, or not SVG.
pub(super) fn clean(source: &[u8]) -> Result<Vec<u8>, CleanError> {
    let text = std::str::from_utf8(source).map_err(|error| CleanError::Svg(error.to_string()))?;
    // Drawing programs write a document type; the reader bounds what its entities may grow to.
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let document =
        roxmltree::Document::parse_with_options(text, options).map_err(|error| CleanError::Svg(error.to_string()))?;
    if document.root_element().tag_name().name() != "svg" {
        return Err(CleanError::UnknownKind);
    }
    let silent = |node: &roxmltree::Node<'_, '_>| node.is_comment() || node.tag_name().name() == "metadata";
    let mut cuts: Vec<_> = document.descendants().filter(silent).map(|node| node.range()).collect();
    cuts.sort_by_key(|range| range.start);
    Ok(without(text, &cuts).into_bytes())
}

/// A text without some ranges of it, which may lie inside one another.
fn without(text: &str, cuts: &[Range<usize>]) -> String {
    let (mut kept, mut at) = (String::with_capacity(text.len()), 0);
    for cut in cuts.iter().filter(|cut| !cut.is_empty()) {
        if cut.start >= at {
            kept.push_str(&text[at..cut.start]);
        }
        at = at.max(cut.end);
    }
    kept.push_str(&text[at..]);
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_and_metadata_go_the_drawing_stays() {
        let source = "<?xml version=\"1.0\"?><!-- SECRET --><svg xmlns=\"http://www.w3.org/2000/svg\" \
                      viewBox=\"0 0 8 6\"><metadata><!-- SECRET --><a>SECRET</a></metadata><path d=\"M0 0h8\"/>\
                      <text>Hall &amp; stairs</text></svg>";
        assert!(looks_like(source));
        let cleaned = String::from_utf8(clean(source.as_bytes()).unwrap()).unwrap();
        assert_eq!(
            cleaned,
            "<?xml version=\"1.0\"?><svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 8 6\">\
             <path d=\"M0 0h8\"/><text>Hall &amp; stairs</text></svg>"
        );
    }

    #[test]
    fn other_xml_is_refused() {
        assert!(matches!(clean(b"<html><svg/></html>"), Err(CleanError::UnknownKind)));
        assert!(matches!(clean(b"<svg"), Err(CleanError::Svg(_))));
    }
}
