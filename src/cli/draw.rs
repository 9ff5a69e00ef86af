//! Problems drawn under the lines they stand on.

use crate::problem::{Place, Problem, Problems, Severity};
use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet, normalize_untrusted_str};
use std::collections::BTreeMap;
use std::ops::Range;
use std::path::Path;

/// All problems, each with the line it stands on and the value underlined, followed by what to write instead. A file that
/// cannot be read any more, or that changed since, is named without its line. Empty where there is no problem.
pub(super) fn draw(problems: &Problems, colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let mut files = BTreeMap::new();
    let mut drawn = String::new();
    for problem in problems {
        let text = problem.place.as_ref().and_then(|place| {
            let read = || std::fs::read_to_string(&place.file).ok();
            files.entry(place.file.as_ref()).or_insert_with(read).as_deref()
        });
        drawn.push_str(&renderer.render(&report(problem, text)));
        drawn.push_str("\n\n");
    }
    drawn
}

/// The problem and, as its help, what to write instead.
fn report<'a>(problem: &'a Problem, text: Option<&'a str>) -> Vec<Group<'a>> {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let group = Group::with_title(level.primary_title(&problem.what));
    let group = match element(problem, text) {
        Some(element) => group.element(element),
        None => group,
    };
    if problem.instead.is_empty() {
        return vec![group];
    }
    vec![group.element(Level::HELP.message(normalize_untrusted_str(&problem.instead)))]
}

/// The line with its value underlined; without the line, the place; without a place, the picture it is about.
fn element<'a>(problem: &'a Problem, text: Option<&'a str>) -> Option<Element<'a>> {
    let Some(place) = &problem.place else {
        return problem.about.as_deref().map(|about| Origin::path(about.to_string_lossy()).into());
    };
    let path = |file: &'a Path| file.to_string_lossy();
    let element = match text.and_then(|text| line_and_span(text, place)) {
        Some((line, span)) => Snippet::source(line)
            .line_start(place.line as usize)
            .path(path(&place.file))
            .annotation(AnnotationKind::Primary.span(span))
            .into(),
        None => Origin::path(path(&place.file)).line(place.line as usize).char_column(place.column as usize).into(),
    };
    Some(element)
}

/// The line of a place, and the value's bytes in it. `None` where the text has no such line or column.
fn line_and_span<'a>(text: &'a str, place: &Place) -> Option<(&'a str, Range<usize>)> {
    let line = text.lines().nth(place.line.checked_sub(1)? as usize)?;
    let line = if place.line == 1 { line.trim_start_matches('\u{feff}') } else { line };
    let first = place.column.checked_sub(1)? as usize;
    let byte_of = |character| line.char_indices().map(|(byte, _)| byte).chain([line.len()]).nth(character);
    let start = byte_of(first)?;
    let end = byte_of(first.saturating_add(place.length as usize)).unwrap_or(line.len());
    Some((line, start..end))
}

#[cfg(test)]
mod tests {
    use super::*;

    const YAML: &str = "title: Larkmere Mill\nopens-in: Brückenzimmer  # hall\n\nrooms: []\n";

    fn drawn(line: u32, column: u32, length: u32, instead: &str) -> String {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("tour.yaml");
        std::fs::write(&file, YAML).unwrap();
        let place = Place { file: file.into(), line, column, length };
        let problem = Problem::error("`Brückenzimmer` is no room", instead).at(&place);
        draw(&problem.into(), false).replace(folder.path().to_str().unwrap(), "TOUR")
    }

    #[test]
    fn the_value_is_underlined_and_the_remedy_follows() {
        assert_eq!(
            drawn(2, 11, 13, "write the id of a room, such as `hall`"),
            "\
error: `Brückenzimmer` is no room
 --> TOUR/tour.yaml:2:11
  |
2 | opens-in: Brückenzimmer  # hall
  |           ^^^^^^^^^^^^^
  |
  = help: write the id of a room, such as `hall`

"
        );
    }

    #[test]
    fn a_point_and_an_empty_line_can_be_shown() {
        assert!(drawn(1, 21, 0, "").contains(":1:21\n  |\n1 | title: Larkmere Mill\n  |                     ^"));
        assert!(drawn(3, 1, 0, "").contains(":3:1\n"), "{}", drawn(3, 1, 0, ""));
    }

    #[test]
    fn a_length_beyond_the_line_ends_with_it() {
        assert!(drawn(4, 8, u32::MAX, "").contains("4 | rooms: []\n  |        ^^\n"), "{}", drawn(4, 8, 99, ""));
    }

    #[test]
    fn a_line_that_is_gone_is_named_without_it() {
        assert_eq!(
            drawn(99, 3, 4, "write it again"),
            "\
error: `Brückenzimmer` is no room
--> TOUR/tour.yaml:99:3
 = help: write it again

"
        );
        assert!(drawn(2, 400, 1, "").contains(":2:400\n"), "{}", drawn(2, 400, 1, ""));
        assert!(drawn(0, 0, 1, "").starts_with("error: "));
    }

    #[test]
    fn a_file_that_is_gone_is_named_without_its_line() {
        let place = Place { file: Path::new("no-such/tour.yaml").into(), line: 2, column: 3, length: 4 };
        let drawn = draw(&Problem::warning("odd", "").at(&place).into(), false);
        assert_eq!(drawn, "warning: odd\n--> no-such/tour.yaml:2:3\n\n");
    }

    #[test]
    fn without_a_place_the_picture_is_named_or_nothing() {
        let drawn = draw(&Problem::error("it is cut short", "copy it again").about("shots/hall.jpg").into(), false);
        assert_eq!(drawn, "error: it is cut short\n--> shots/hall.jpg\n = help: copy it again\n\n");
        let drawn = draw(&Problem::error("no port is free", "").into(), false);
        assert_eq!(drawn, "error: no port is free\n\n");
        assert_eq!(draw(&Problems::new(), true), "");
    }

    /// What a file says must not steer the terminal it is shown in.
    #[test]
    fn control_characters_are_shown_not_sent() {
        let problem = Problem::error("`\u{1b}[31m` is no room", "do not write `\u{1b}[2J`");
        let drawn = draw(&problem.into(), false);
        assert!(!drawn.contains('\u{1b}'), "{drawn:?}");
    }

    #[test]
    fn colour_only_where_it_is_asked_for() {
        let problems: Problems = Problem::error("odd", "write even").into();
        assert!(draw(&problems, true).contains("\u{1b}["));
        assert!(!draw(&problems, false).contains("\u{1b}["));
    }
}
