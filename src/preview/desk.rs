//! What stands at present: the last good site, the problems since, and how far the pictures are. Tells the open pages.

use super::classify::Kind;
use super::making::Outcome;
use super::server::Shown;
use super::shelf::{Difference, Shelf, Stamps};
use crate::problem::{Problem, Problems, Severity};
use crate::site::Site;
use crate::workshop::Progress;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::sync::{Arc, PoisonError};

/// Takes in what is made, and keeps what is good.
#[derive(Debug)]
pub struct Desk {
    shown: Arc<Shown>,
    /// A template was changed since the site that stands was made.
    templates_changed: bool,
    /// The last making failed.
    troubled: bool,
    to_cut: usize,
    cut: usize,
    stations: usize,
}

/// What came of a making.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Everything that somebody should look at, errors or warnings.
    pub problems: Problems,
    /// What an open page has to do now; `None` where the last good site stays.
    pub difference: Option<Difference>,
    /// The making before had failed, and this one did not.
    pub mended: bool,
}

impl Desk {
    /// Nothing stands yet.
    pub fn new(shown: Arc<Shown>) -> Self {
        Desk { shown, templates_changed: false, troubled: false, to_cut: 0, cut: 0, stations: 0 }
    }

    /// Whether no site stands yet.
    pub fn is_empty(&self) -> bool {
        self.shown.standing().is_none()
    }

    /// Remembers what a making is for.
    pub fn expect(&mut self, changes: &BTreeSet<Kind>) {
        self.templates_changed |= changes.contains(&Kind::Template);
    }

    /// Takes in how far the pictures are. Returns a line for the terminal, where there is something to say.
    pub fn progress(&mut self, progress: &Progress) -> Option<String> {
        let line = match progress {
            Progress::Planned { to_cut, stations } => {
                (self.to_cut, self.cut, self.stations) = (*to_cut, 0, *stations);
                (*to_cut > 0).then(|| format!("Making the pictures of {to_cut} of {stations} stations."))
            }
            Progress::Cut(station) | Progress::StillDrawn(station) | Progress::Kept(station) => {
                self.cut += 1;
                Some(format!("{station} is made ({} of {}).", self.cut, self.to_cut))
            }
        };
        self.tell_progress();
        line
    }

    /// Takes in what a making came to. A failed one leaves the last good site where it is.
    pub fn take(&mut self, outcome: Outcome) -> Taken {
        let standing = self.shown.standing();
        let laid_out = outcome.and_then(|(site, warnings)| {
            let (shelf, difference) = Shelf::new(site, standing.as_deref(), self.templates_changed)
                .map_err(|error| Problem::error(format!("a page cannot be read: {error}"), "save it again"))?;
            Ok((shelf, difference, warnings))
        });
        let was_troubled = self.troubled;
        let (problems, difference) = match laid_out {
            Ok((shelf, difference, warnings)) => {
                (self.troubled, self.templates_changed) = (false, false);
                self.put_up(shelf, difference);
                (warnings, Some(difference))
            }
            Err(problems) => {
                self.troubled = true;
                (problems, None)
            }
        };
        let standing = self.shown.standing().is_some();
        self.shown.hub.tell("problems", &problems_json(&problems, standing).to_string());
        // Whatever came of it, nothing is being cut any more.
        self.to_cut = self.cut;
        self.tell_progress();
        Taken { problems, difference, mended: was_troubled && difference.is_some() }
    }

    /// Puts up a site that will soon be followed by the finished one. One that cannot be laid out is passed over.
    pub fn interim(&mut self, site: Site) {
        let standing = self.shown.standing();
        if let Ok((shelf, difference)) = Shelf::new(site, standing.as_deref(), self.templates_changed) {
            self.put_up(shelf, difference);
        }
    }

    fn put_up(&self, shelf: Shelf, difference: Difference) {
        let told = site_json(shelf.stamps()).to_string();
        *self.shown.shelf.write().unwrap_or_else(PoisonError::into_inner) = Some(Arc::new(shelf));
        // Only after it stands: a page that is told asks for it at once.
        if difference != Difference::None {
            self.shown.hub.tell("site", &told);
        }
    }

    fn tell_progress(&self) {
        let progress = json!({ "stations": self.stations, "toCut": self.to_cut, "cut": self.cut });
        self.shown.hub.tell("progress", &progress.to_string());
    }
}

fn site_json(stamps: &Stamps) -> Value {
    json!({ "page": stamps.page, "walk": stamps.walk })
}

fn problems_json(problems: &Problems, standing: bool) -> Value {
    let list: Vec<Value> = problems.iter().map(problem_json).collect();
    json!({ "standing": standing, "problems": list })
}

fn problem_json(problem: &Problem) -> Value {
    let place = problem.place.as_ref();
    json!({
        "severity": match problem.severity { Severity::Error => "error", Severity::Warning => "warning" },
        "what": problem.what,
        "instead": problem.instead,
        "file": place.map(|place| place.file.display().to_string()),
        "line": place.map(|place| place.line),
        "column": place.map(|place| place.column),
        "about": problem.about.as_ref().map(|about| about.display().to_string()),
        "station": problem.station,
    })
}

#[cfg(test)]
mod tests {
    use super::super::shelf::tests::site;
    use super::*;
    use crate::problem::Place;
    use crate::site::Content;
    use std::path::Path;

    fn walk(desk: &Desk) -> Vec<u8> {
        let item = desk.shown.standing().unwrap().get("walk.json").unwrap();
        let Content::Bytes(bytes) = item.content else { panic!("held in memory") };
        bytes.to_vec()
    }

    fn broken() -> Problems {
        let place = Place { file: Arc::from(Path::new("tour.yaml")), line: 3, column: 7, length: 2 };
        Problem::error("“x\ny” is no heading", "write a number").at(&place).station("hall").into()
    }

    #[test]
    fn a_failed_making_keeps_the_last_good_site_and_a_good_one_clears_the_problems() {
        let mut desk = Desk::new(Arc::default());
        assert_eq!(desk.take(Err(broken())).difference, None);
        assert!(desk.shown.standing().is_none());

        let first = desk.take(Ok((site("a", "1", "1"), Problems::new())));
        assert_eq!(first, Taken { problems: Problems::new(), difference: Some(Difference::Page), mended: true });

        let failed = desk.take(Err(broken()));
        assert_eq!(failed, Taken { problems: broken(), difference: None, mended: false });
        assert_eq!(walk(&desk), b"1");

        let warned: Problems = Problem::warning("dark", "").into();
        let mended = desk.take(Ok((site("b", "2", "1"), warned.clone())));
        assert_eq!(mended, Taken { problems: warned, difference: Some(Difference::Walk), mended: true });
        assert_eq!(walk(&desk), b"2");
    }

    #[test]
    fn a_changed_template_is_remembered_over_a_failed_making() {
        let mut desk = Desk::new(Arc::default());
        desk.take(Ok((site("a", "1", "1"), Problems::new())));
        desk.expect(&BTreeSet::from([Kind::Template]));
        desk.take(Err(broken()));
        desk.expect(&BTreeSet::from([Kind::Description]));
        assert_eq!(desk.take(Ok((site("b", "2", "1"), Problems::new()))).difference, Some(Difference::Page));
        desk.expect(&BTreeSet::from([Kind::Description]));
        assert_eq!(desk.take(Ok((site("c", "3", "1"), Problems::new()))).difference, Some(Difference::Walk));
    }

    #[test]
    fn a_problem_tells_the_page_where_it_stands() {
        assert_eq!(
            problems_json(&broken(), true).to_string(),
            "{\"problems\":[{\"about\":null,\"column\":7,\"file\":\"tour.yaml\",\"instead\":\"write a number\",\
             \"line\":3,\"severity\":\"error\",\"station\":\"hall\",\"what\":\"“x\\ny” is no heading\"}],\
             \"standing\":true}"
        );
    }

    #[test]
    fn progress_is_said_in_the_terminal_only_where_something_is_cut() {
        let mut desk = Desk::new(Arc::default());
        assert_eq!(desk.progress(&Progress::Planned { to_cut: 0, stations: 12 }), None);
        let line = desk.progress(&Progress::Planned { to_cut: 2, stations: 12 });
        assert_eq!(line.as_deref(), Some("Making the pictures of 2 of 12 stations."));
    }
}
