//! The live server: the same site as `build` makes, kept up to date while the photographer works.
//!
//! | file | concern |
//! | --- | --- |
//! | [`classify`] | what is watched, and what an event on disk means |
//! | [`snapshot`] | what files look like from outside |
//! | [`watch`] | waits until a change has come to rest |
//! | [`making`] | one making: description, pictures, pages |
//! | `lan` | what is said when others may look |
//! | [`looking`] | which station an open page shows, and proofs of it |
//! | [`desk`] | what stands: the last good site, problems, progress |
//! | [`shelf`] | a site laid out for requests; how two sites differ |
//! | [`reply`] | from a request to its answer |
//! | [`events`] | what open pages are told |
//! | [`page`] | what the preview adds to a page |
//! | [`gate`] | bounds on connections and requests |
//! | [`head`] | a request's head, as the gate reads it |
//! | [`server`] | sockets |

pub mod classify;
pub mod desk;
pub mod events;
pub mod gate;
pub mod head;
mod lan;
pub mod looking;
pub mod making;
pub mod page;
pub mod reply;
pub mod server;
pub mod shelf;
pub mod snapshot;
pub mod watch;

use crate::problem::{Problem, Problems};
use classify::{Kind, Table};
use desk::Desk;
use looking::Looking;
use making::{Make, Maker, News, Outcome};
use server::Shown;
use shelf::Difference;
use snapshot::Snapshot;
use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::channel;
use watch::{Timing, Watcher};

/// What `enfilade preview` was asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PreviewOptions {
    /// A folder with a `tour.yaml`, or that file.
    pub tour: PathBuf,
    /// The port, or the first free one from [`server::FIRST_PORT`] on.
    pub port: Option<u16>,
    /// Whether others on this computer's network may look.
    pub lan: bool,
    /// Only the address and problems are said.
    pub quiet: bool,
}

/// How the terminal is spoken to.
#[derive(Clone, Copy)]
pub struct Voice<'a> {
    /// Prints a line.
    pub say: &'a dyn Fn(&str),
    /// Draws problems.
    pub show: &'a dyn Fn(&Problems),
    /// Leaves out what need not be read.
    pub quiet: bool,
}

impl Voice<'_> {
    fn aside(&self, line: &str) {
        if !self.quiet {
            (self.say)(line);
        }
    }
}

/// Serves a tour on loopback and keeps it up to date, until the process is ended. The address is said as soon as it
/// answers, before anything is made.
///
/// # Errors
/// There is no such tour, or the port cannot be had. What is wrong with the tour itself is shown and waited for.
pub fn run(options: &PreviewOptions, say: &dyn Fn(&str), show: &dyn Fn(&Problems)) -> Result<(), Problems> {
    if !options.tour.exists() {
        let what = format!("there is no “{}”", options.tour.display());
        return Err(Problem::error(what, "name a folder with a tour.yaml in it").into());
    }
    let listener = server::bind(options.port)?;
    let no_server = |error: std::io::Error| Problem::error(format!("the preview cannot be served: {error}"), "");
    let port = listener.local_addr().map_err(no_server)?.port();
    let shown = Arc::new(Shown::default());
    let network = if options.lan { Some(server::bind_to_network(port)?) } else { None };
    let address = network.as_ref().map(|(_, address)| *address);
    server::serve(listener, network, Arc::clone(&shown), gate::Limits::default()).map_err(no_server)?;
    say(&format!("The preview is at http://127.0.0.1:{port}/ (Ctrl-C ends it)"));
    if let Some(address) = address {
        lan::told(&format!("http://{address}:{port}/")).iter().for_each(|line| say(line));
    }

    let maker = Arc::new(Maker::new(&options.tour));
    Looking::prepare_proofs(&shown, &maker);
    let mut preview = Preview::new(&options.tour, Arc::clone(&shown), Timing::default());
    let voice = Voice { say, show, quiet: options.quiet };
    preview.keep_up(&mut |news| maker.make(&shown.looking, news), &voice, &|| false);
    Ok(())
}

/// A tour that is watched, and made again whenever it changes.
#[derive(Debug)]
pub struct Preview {
    folder: PathBuf,
    /// Files of the last description that could be read.
    made_of: Vec<(PathBuf, Kind)>,
    description: PathBuf,
    desk: Desk,
    watcher: Watcher,
    last_shown: Problems,
}

impl Preview {
    /// Watches `tour`, a folder with a `tour.yaml` or that file. Makes nothing yet.
    pub fn new(tour: &Path, shown: Arc<Shown>, timing: Timing) -> Self {
        let description = if tour.is_dir() { tour.join("tour.yaml") } else { tour.to_path_buf() };
        let folder = match description.parent() {
            Some(folder) if folder != Path::new("") => folder.to_path_buf(),
            _ => PathBuf::from("."),
        };
        let folder = std::fs::canonicalize(&folder).unwrap_or(folder);
        // Until it was read, nothing is known of what the tour is made of.
        let table = Table::new(&folder, [(description.clone(), Kind::Description)], true);
        let watcher = Watcher::new(table, timing);
        Preview {
            folder,
            made_of: Vec::new(),
            description,
            desk: Desk::new(shown),
            watcher,
            last_shown: Problems::new(),
        }
    }

    /// Makes the site, and again after every change, until `ended` says so.
    pub fn keep_up(&mut self, make: &mut Make<'_>, voice: &Voice<'_>, ended: &dyn Fn() -> bool) {
        let mut changes = BTreeSet::new();
        loop {
            self.desk.expect(&changes);
            let outcome = self.make_aside(make, voice);
            self.watch_after(&outcome);
            self.report(outcome, voice);
            if let Some(reason) = self.watcher.complaint() {
                voice.aside(&format!("Changes on disk are not told here ({reason}); they are looked for instead."));
            }
            match self.watcher.wait(ended) {
                Some(more) => changes = more,
                None => return,
            }
        }
    }

    /// Makes the site on a thread of its own, and passes on here what it tells meanwhile.
    fn make_aside(&mut self, make: &mut Make<'_>, voice: &Voice<'_>) -> Outcome {
        let (sender, told) = channel();
        std::thread::scope(|scope| {
            let folder = self.folder.clone();
            let making = scope.spawn(move || {
                let news = |news| {
                    // Looked at here and now, before the first picture is read.
                    let seen = match &news {
                        News::MadeOf(files) => Some(look_at(&folder, files.clone(), false)),
                        News::Progress(_) | News::Interim(_) => None,
                    };
                    // The receiver outlives this thread.
                    let _ = sender.send((news, seen));
                };
                // A fault of the program must not take the last good walkthrough from the photographer.
                catch_unwind(AssertUnwindSafe(|| make(&news))).unwrap_or_else(|_| Err(fault()))
            });
            for (news, seen) in told {
                match (news, seen) {
                    (News::MadeOf(files), Some((table, seen))) => {
                        self.made_of = files;
                        self.watcher.watch(table, seen);
                    }
                    (News::Progress(progress), _) => {
                        self.desk.progress(&progress).iter().for_each(|line| voice.aside(line));
                    }
                    (News::Interim(site), _) => self.desk.interim(site),
                    (News::MadeOf(_), None) => {}
                }
            }
            making.join().unwrap_or_else(|_| Err(fault()))
        })
    }

    /// Where the making failed, the remedy may be any file: those of the last good description, those that the problems
    /// are about, or one that is not there yet.
    fn watch_after(&mut self, outcome: &Outcome) {
        if let Err(problems) = outcome {
            let about = problems.iter().filter_map(|problem| problem.about.clone()).map(|path| (path, Kind::Unknown));
            let description = (self.description.clone(), Kind::Description);
            let files = about.chain(self.made_of.iter().cloned()).chain([description]).collect();
            let (table, seen) = look_at(&self.folder, files, true);
            self.watcher.watch(table, seen);
        }
    }

    fn report(&mut self, outcome: Outcome, voice: &Voice<'_>) {
        let first = self.desk.is_empty();
        let taken = self.desk.take(outcome);
        // What was shown already need not be shown again after every save.
        if !taken.problems.is_empty() && taken.problems != self.last_shown {
            (voice.show)(&taken.problems);
        }
        self.last_shown = taken.problems;
        match taken.difference {
            None if first => voice.aside("There is no walkthrough yet. Waiting for a change."),
            None => voice.aside("The last good walkthrough stays. Waiting for a change."),
            Some(_) if first => voice.aside("The walkthrough stands."),
            Some(_) if taken.mended => voice.aside("Mended: the walkthrough is up to date."),
            Some(Difference::Walk | Difference::Page) => voice.aside("The walkthrough is up to date."),
            Some(Difference::None) => {}
        }
    }
}

fn look_at(folder: &Path, files: Vec<(PathBuf, Kind)>, wide: bool) -> (Table, Snapshot) {
    let table = Table::new(folder, files, wide);
    let seen = Snapshot::of(&table);
    (table, seen)
}

fn fault() -> Problems {
    Problem::error("a fault of Enfilade stopped the making", "change something and save it to try again").into()
}
