//! A problem: what is wrong, where it was written, and what to write instead.
//!
//! Every stage collects [`Problems`] and goes on, so that the photographer sees all of them at once.

use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A value's place in a file that the photographer wrote.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The file, as given on the command line or as found.
    pub file: Arc<Path>,
    /// Line, counted from 1.
    pub line: u32,
    /// Column of the value's first character, counted from 1 in characters.
    pub column: u32,
    /// Length of the value on that line, in characters; 0 where only a point is known.
    pub length: u32,
}

/// How much a problem matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The walkthrough cannot be made.
    Error,
    /// It can be made, but somebody should look.
    Warning,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Whether the walkthrough can be made all the same.
    pub severity: Severity,
    /// What is wrong, with the value quoted as it was written. A sentence without its full stop.
    pub what: String,
    /// What to write or do instead. A sentence without its full stop; may be empty.
    pub instead: String,
    /// Where it stands, if it stands in a file that the photographer wrote.
    pub place: Option<Place>,
    /// The picture or drawing it is about, if it is about one.
    pub about: Option<PathBuf>,
    /// The station it belongs to (`room` or `room/station`), for the preview's pages.
    pub station: Option<String>,
}

impl Problem {
    /// An error: `what` is wrong, write `instead`.
    pub fn error(what: impl Into<String>, instead: impl Into<String>) -> Self {
        Problem {
            severity: Severity::Error,
            what: what.into(),
            instead: instead.into(),
            place: None,
            about: None,
            station: None,
        }
    }

    /// The same as a warning.
    pub fn warning(what: impl Into<String>, instead: impl Into<String>) -> Self {
        Problem { severity: Severity::Warning, ..Problem::error(what, instead) }
    }

    /// Says where it stands.
    pub fn at(mut self, place: &Place) -> Self {
        self.place = Some(place.clone());
        self
    }

    /// Says which picture or drawing it is about.
    pub fn about(mut self, file: impl Into<PathBuf>) -> Self {
        self.about = Some(file.into());
        self
    }

    /// Says which station it belongs to.
    pub fn station(mut self, station: impl Into<String>) -> Self {
        self.station = Some(station.into());
        self
    }
}

/// All problems of one run, in the order in which they stand in the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problems(Vec<Problem>);

impl Problems {
    /// None yet.
    pub fn new() -> Self {
        Problems::default()
    }

    /// Adds one.
    pub fn push(&mut self, problem: Problem) {
        self.0.push(problem);
    }

    /// Takes over another list.
    pub fn extend(&mut self, other: Problems) {
        self.0.extend(other.0);
    }

    /// True where nothing was found at all.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// True where at least one is an error.
    pub fn has_errors(&self) -> bool {
        self.0.iter().any(|problem| problem.severity == Severity::Error)
    }

    /// By file, line and column; what has no place comes last, in the order of finding.
    pub fn sorted(mut self) -> Self {
        self.0.sort_by(|a, b| match (&a.place, &b.place) {
            (Some(a), Some(b)) => a.cmp(b),
            (Some(_), None) => std::cmp::Ordering::Less,
            (None, Some(_)) => std::cmp::Ordering::Greater,
            (None, None) => std::cmp::Ordering::Equal,
        });
        self
    }

    /// One after the other.
    pub fn iter(&self) -> std::slice::Iter<'_, Problem> {
        self.0.iter()
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Self {
        Problems(vec![problem])
    }
}

impl<'a> IntoIterator for &'a Problems {
    type Item = &'a Problem;
    type IntoIter = std::slice::Iter<'a, Problem>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}
