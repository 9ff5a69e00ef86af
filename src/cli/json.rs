//! What `--json` prints, for other programs: one object on one line.
//!
//! `enfilade build --json`:
//! ```json
//! { "site": "larkmere/site",
//!   "stations": { "cut": 1, "kept": 11 },
//!   "files": { "written": 260, "kept": 2900, "removed": 258 },
//!   "problems": [] }
//! ```
//! `site`, `stations` and `files` are null where the build failed; then at least one problem is an error.
//!
//! `enfilade check --json`:
//! ```json
//! { "errors": 1, "warnings": 0,
//!   "problems": [ { "severity": "error",
//!                   "what": "`heading: 400` is outside 0..360",
//!                   "instead": "write a compass angle from 0 to 360",
//!                   "file": "larkmere/tour.yaml", "line": 12, "column": 18, "length": 3,
//!                   "about": null,
//!                   "station": "hall" } ] }
//! ```
//! `enfilade export --json`:
//! ```json
//! { "files": ["finished/hall.jpg", "finished/kitchen.jpg"],
//!   "problems": [] }
//! ```
//! `files` is null where the export failed; what was written before stays.
//!
//! `enfilade patch --json`:
//! ```json
//! { "painted": "larkmere/retouch/hall-patch.png", "twin": "larkmere/retouch/hall-patch.twin.png", "sidePx": 950,
//!   "line": "- { patch: retouch/hall-patch.png, spot: [20, -30], field-of-view: 40, why: other }",
//!   "problems": [] }
//! ```
//! All but `problems` are null where nothing was written.
//!
//! `severity` is `error` or `warning`. Lines, columns and lengths count characters, lines and columns from 1; `file`, `line`,
//! `column` and `length` are null where a problem stands in no file, `length` is 0 where only a point is known. `about` is
//! the picture or drawing that the problem is about, `station` a room, or room and station as `room/station`; both may be
//! null. Paths are as the user gave them or as they were found from there; what is not Unicode in them is replaced.

use crate::problem::{Problem, Problems, Severity};
use crate::site::Published;
use serde::Serialize;
use std::borrow::Cow;
use std::path::{Path, PathBuf};

/// What a build came to.
#[derive(Serialize)]
pub(super) struct Built<'a> {
    site: Cow<'a, str>,
    stations: Stations,
    files: Files,
}

#[derive(Clone, Copy, Serialize)]
pub(super) struct Stations {
    pub cut: usize,
    pub kept: usize,
}

#[derive(Clone, Copy, Serialize)]
struct Files {
    written: usize,
    kept: usize,
    removed: usize,
}

impl<'a> Built<'a> {
    pub fn new(site: &'a Path, stations: Stations, published: Published) -> Self {
        let Published { files_written: written, files_kept: kept, files_removed: removed } = published;
        Built { site: site.to_string_lossy(), stations, files: Files { written, kept, removed } }
    }
}

#[derive(Serialize)]
struct BuildResult<'a> {
    site: Option<&'a str>,
    stations: Option<Stations>,
    files: Option<Files>,
    problems: Vec<JsonProblem<'a>>,
}

#[derive(Serialize)]
struct CheckResult<'a> {
    errors: usize,
    warnings: usize,
    problems: Vec<JsonProblem<'a>>,
}

#[derive(Serialize)]
struct JsonProblem<'a> {
    severity: &'static str,
    what: &'a str,
    instead: &'a str,
    file: Option<Cow<'a, str>>,
    line: Option<u32>,
    column: Option<u32>,
    length: Option<u32>,
    about: Option<Cow<'a, str>>,
    station: Option<&'a str>,
}

/// The result of `build`; `built` is `None` where it failed.
pub(super) fn build(built: Option<Built>, problems: &Problems) -> String {
    let built = built.as_ref();
    line(&BuildResult {
        site: built.map(|built| &*built.site),
        stations: built.map(|built| built.stations),
        files: built.map(|built| built.files),
        problems: all(problems),
    })
}

#[derive(Serialize)]
struct ExportResult<'a> {
    files: Option<Vec<Cow<'a, str>>>,
    problems: Vec<JsonProblem<'a>>,
}

/// The result of `export`; `written` is `None` where it failed.
pub(super) fn export(written: Option<&[PathBuf]>, problems: &Problems) -> String {
    let files = written.map(|written| written.iter().map(|path| path.to_string_lossy()).collect());
    line(&ExportResult { files, problems: all(problems) })
}

/// A flat view that was written.
pub(super) struct Patched<'a> {
    pub painted: &'a Path,
    pub twin: &'a Path,
    pub side_px: usize,
    pub line: &'a str,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct PatchResult<'a> {
    painted: Option<Cow<'a, str>>,
    twin: Option<Cow<'a, str>>,
    side_px: Option<usize>,
    line: Option<&'a str>,
    problems: Vec<JsonProblem<'a>>,
}

/// The result of `patch`; `written` is `None` where it failed.
pub(super) fn patch(written: Option<&Patched>, problems: &Problems) -> String {
    line(&PatchResult {
        painted: written.map(|written| written.painted.to_string_lossy()),
        twin: written.map(|written| written.twin.to_string_lossy()),
        side_px: written.map(|written| written.side_px),
        line: written.map(|written| written.line),
        problems: all(problems),
    })
}

/// The result of `check`.
pub(super) fn check(problems: &Problems) -> String {
    let of = |severity| problems.iter().filter(|problem| problem.severity == severity).count();
    line(&CheckResult { errors: of(Severity::Error), warnings: of(Severity::Warning), problems: all(problems) })
}

fn line(result: &impl Serialize) -> String {
    let mut text = serde_json::to_string(result).expect("text and numbers can always be written as JSON");
    text.push('\n');
    text
}

fn all(problems: &Problems) -> Vec<JsonProblem<'_>> {
    problems.iter().map(json_problem).collect()
}

fn json_problem(problem: &Problem) -> JsonProblem<'_> {
    let place = problem.place.as_ref();
    JsonProblem {
        severity: match problem.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        },
        what: &problem.what,
        instead: &problem.instead,
        file: place.map(|place| place.file.to_string_lossy()),
        line: place.map(|place| place.line),
        column: place.map(|place| place.column),
        length: place.map(|place| place.length),
        about: problem.about.as_ref().map(|about| about.to_string_lossy()),
        station: problem.station.as_deref(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::Place;

    #[test]
    fn a_failed_build_has_problems_and_no_site() {
        let place = Place { file: Path::new("tour.yaml").into(), line: 3, column: 9, length: 4 };
        let problem = Problem::error("`barn` is no room", "write `hall`").at(&place).station("hall");
        let expected = concat!(
            r#"{"site":null,"stations":null,"files":null,"problems":[{"severity":"error","what":"`barn` is no room","#,
            r#""instead":"write `hall`","file":"tour.yaml","line":3,"column":9,"length":4,"about":null,"station":"hall"}]}"#,
            "\n"
        );
        assert_eq!(build(None, &problem.into()), expected);
    }

    #[test]
    fn a_build_says_where_the_site_is() {
        let published = Published { files_written: 260, files_kept: 2900, files_removed: 258 };
        let built = Built::new(Path::new("mill/site"), Stations { cut: 1, kept: 11 }, published);
        let expected = concat!(
            r#"{"site":"mill/site","stations":{"cut":1,"kept":11},"#,
            r#""files":{"written":260,"kept":2900,"removed":258},"problems":[]}"#,
            "\n"
        );
        assert_eq!(build(Some(built), &Problems::new()), expected);
    }

    #[test]
    fn a_check_counts_and_lists() {
        let warning = Problem::warning("two stations share one shot", "").about("shots/hall.jpg");
        let expected = concat!(
            r#"{"errors":0,"warnings":1,"problems":[{"severity":"warning","what":"two stations share one shot","#,
            r#""instead":"","file":null,"line":null,"column":null,"length":null,"about":"shots/hall.jpg","station":null}]}"#,
            "\n"
        );
        assert_eq!(check(&warning.into()), expected);
    }
}
