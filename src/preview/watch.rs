//! Waits until something that the tour is made of has changed, and has come to rest.
//!
//! Events of the file system are taken as hints that come at once where they work. Sizes and times of the watched
//! files are looked at as well, seldom, because events are lost when a folder is replaced, on network drives, and when
//! the system's limit is reached; without events the looking is done often.

use super::classify::{Happening, Kind, Meaning, Table};
use super::snapshot::{Snapshot, identity};
use notify::{RecommendedWatcher, RecursiveMode, Watcher as _};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};
use walkdir::WalkDir;

/// How long to wait for what.
#[derive(Clone, Copy, Debug)]
pub struct Timing {
    /// After the last event, until a text counts as saved.
    pub quiet: Duration,
    /// From the first event, even if texts go on changing.
    pub at_most: Duration,
    /// After the last event, until a picture counts as copied.
    pub copied: Duration,
    /// From the first event, even if pictures go on growing.
    pub copying_at_most: Duration,
    /// Between two looks, where events work.
    pub look: Duration,
    /// Between two looks, where they do not.
    pub look_without_events: Duration,
}

impl Default for Timing {
    fn default() -> Self {
        Timing {
            quiet: Duration::from_millis(60),
            at_most: Duration::from_millis(300),
            copied: Duration::from_millis(250),
            copying_at_most: Duration::from_secs(60),
            look: Duration::from_secs(2),
            look_without_events: Duration::from_millis(200),
        }
    }
}

/// Changes that belong together: when they began and when the last one was seen.
#[derive(Clone, Debug)]
struct Gathered {
    kinds: BTreeSet<Kind>,
    first: Instant,
    last: Instant,
    last_slow: Option<Instant>,
}

impl Gathered {
    fn note(gathered: &mut Option<Gathered>, kind: Kind, now: Instant) {
        let all =
            gathered.get_or_insert_with(|| Gathered { kinds: BTreeSet::new(), first: now, last: now, last_slow: None });
        all.kinds.insert(kind);
        all.last = now;
        if kind.takes_long_to_write() {
            all.last_slow = Some(now);
        }
    }

    /// When they count as complete.
    fn due(&self, timing: &Timing) -> Instant {
        let text = (self.last + timing.quiet).min(self.first + timing.at_most);
        self.last_slow.map_or(text, |slow| text.max((slow + timing.copied).min(self.first + timing.copying_at_most)))
    }
}

/// Waits for changes of what a [`Table`] names.
#[derive(Debug)]
pub struct Watcher {
    table: Table,
    seen: Snapshot,
    timing: Timing,
    events: Receiver<notify::Result<notify::Event>>,
    /// `None` where events do not work.
    notify: Option<RecommendedWatcher>,
    /// Folders under watch, and which folder it was.
    armed: BTreeMap<PathBuf, u64>,
    /// Why events do not work, until it was asked for.
    complaint: Option<String>,
}

impl Watcher {
    /// Watches from now on.
    pub fn new(table: Table, timing: Timing) -> Self {
        let (sender, events) = channel();
        let notify = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
            // The preview's own reading of shots makes most events: they do not even reach the queue.
            if !event.as_ref().is_ok_and(|event| event.kind.is_access()) {
                // Nobody listens any more when the preview ends.
                let _ = sender.send(event);
            }
        });
        let (notify, complaint) = match notify {
            Ok(notify) => (Some(notify), None),
            Err(error) => (None, Some(error.to_string())),
        };
        let seen = Snapshot::of(&table);
        let mut watcher = Watcher { table, seen, timing, events, notify, armed: BTreeMap::new(), complaint };
        watcher.arm();
        watcher
    }

    /// The same without events, as where the system gives none.
    pub fn without_events(table: Table, timing: Timing) -> Self {
        let mut watcher = Watcher::new(table, timing);
        watcher.notify = None;
        watcher
    }

    /// Watches other files from now on. `seen` was taken of them before they were read. What was under watch already
    /// is still compared with what was seen of it before, so that no change in between is lost.
    pub fn watch(&mut self, table: Table, seen: Snapshot) {
        let before = std::mem::take(&mut self.seen);
        self.seen = seen.carrying_on(before, |path| self.table.watches(path) && table.watches(path));
        self.table = table;
        self.arm();
    }

    /// Why changes are looked for instead of being told, once.
    pub fn complaint(&mut self) -> Option<String> {
        self.complaint.take()
    }

    /// Waits for the next change, and until it has come to rest. `None` as soon as `ended` says so.
    pub fn wait(&mut self, ended: &dyn Fn() -> bool) -> Option<BTreeSet<Kind>> {
        let mut gathered = None;
        let mut next_look = Instant::now();
        loop {
            if ended() {
                return None;
            }
            let now = Instant::now();
            let due = gathered.as_ref().map(|gathered: &Gathered| gathered.due(&self.timing));
            let is_due = due.is_some_and(|due| due <= now);
            if now >= next_look || is_due {
                self.look(&mut gathered);
                next_look = Instant::now() + self.look_interval();
            }
            // The look may have found a picture that still grows.
            if let Some(complete) = gathered.take_if(|gathered| is_due && gathered.due(&self.timing) <= Instant::now())
            {
                self.arm();
                return Some(complete.kinds);
            }
            let until = gathered.as_ref().map_or(next_look, |gathered| gathered.due(&self.timing).min(next_look));
            if self.take_events(until, &mut gathered) {
                next_look = Instant::now();
            }
        }
    }

    fn look_interval(&self) -> Duration {
        if self.notify.is_some() { self.timing.look } else { self.timing.look_without_events }
    }

    fn look(&mut self, gathered: &mut Option<Gathered>) {
        let now_seen = Snapshot::of(&self.table);
        for kind in self.seen.differences(&now_seen) {
            Gathered::note(gathered, kind, Instant::now());
        }
        self.seen = now_seen;
    }

    /// Waits for events until then at most. True where a look has to follow.
    fn take_events(&mut self, until: Instant, gathered: &mut Option<Gathered>) -> bool {
        let mut event = match self.events.recv_timeout(until.saturating_duration_since(Instant::now())) {
            Ok(event) => event,
            Err(RecvTimeoutError::Timeout) => return false,
            Err(RecvTimeoutError::Disconnected) => {
                // Without a watcher nobody sends.
                std::thread::sleep(until.saturating_duration_since(Instant::now()));
                return false;
            }
        };
        let mut look = false;
        loop {
            look |= self.take_event(event, gathered);
            match self.events.try_recv() {
                Ok(next) => event = next,
                Err(_) => break,
            }
        }
        if look {
            // A folder may be another one now, and its files' events would be missed.
            self.arm();
        }
        look
    }

    fn take_event(&self, event: notify::Result<notify::Event>, gathered: &mut Option<Gathered>) -> bool {
        // Lost events, too, are a reason to look.
        let Ok(event) = event else { return true };
        let mut look = event.need_rescan();
        let happening = Happening::from(&event.kind);
        for path in &event.paths {
            match self.table.classify(happening, path) {
                Meaning::Changed(kind) => {
                    Gathered::note(gathered, kind, Instant::now());
                    // So that the look before the end finds only what came after this.
                    look = true;
                }
                Meaning::Look => look = true,
                Meaning::Nothing => {}
            }
        }
        look
    }

    /// Puts every folder that matters under watch, those again that are not the same folder any more.
    fn arm(&mut self) {
        let mut wanted = self.table.folders();
        if self.table.is_wide() {
            wanted.extend(self.seen.folders().map(Path::to_path_buf));
        }
        wanted.extend(folders_inside(&self.table.templates()));
        let wanted: BTreeMap<PathBuf, u64> = wanted
            .into_iter()
            .filter_map(|folder| std::fs::metadata(&folder).ok().map(|metadata| (folder, identity(&metadata))))
            .collect();
        let Some(notify) = &mut self.notify else { return };
        for (folder, identity) in &self.armed {
            if wanted.get(folder) != Some(identity) {
                // A folder that was deleted is no longer under watch anyway.
                let _ = notify.unwatch(folder);
            }
        }
        for (folder, identity) in &wanted {
            if self.armed.get(folder) == Some(identity) {
                continue;
            }
            match notify.watch(folder, RecursiveMode::NonRecursive) {
                Ok(()) => {}
                // Gone between looking and watching.
                Err(_) if !folder.exists() => {}
                Err(error) => {
                    self.complaint = Some(error.to_string());
                    self.notify = None;
                    self.armed.clear();
                    return;
                }
            }
        }
        self.armed = wanted;
    }
}

fn folders_inside(folder: &Path) -> impl Iterator<Item = PathBuf> {
    let entries = WalkDir::new(folder).max_depth(6).into_iter().filter_map(Result::ok);
    entries.filter(|entry| entry.file_type().is_dir()).map(walkdir::DirEntry::into_path)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// When changes are due that were noted at these times, all in milliseconds.
    fn due_ms(notes: &[(Kind, u64)]) -> u128 {
        let begun = Instant::now();
        let mut gathered = None;
        for (kind, at) in notes {
            Gathered::note(&mut gathered, *kind, begun + Duration::from_millis(*at));
        }
        gathered.unwrap().due(&Timing::default()).duration_since(begun).as_millis()
    }

    #[test]
    fn a_text_is_due_once_it_is_quiet_or_has_changed_long_enough() {
        assert_eq!(due_ms(&[(Kind::Description, 0)]), 60);
        assert_eq!(due_ms(&[(Kind::Description, 0), (Kind::Template, 40)]), 100);
        let constant: Vec<_> = (0..40).map(|step| (Kind::Description, step * 10)).collect();
        assert_eq!(due_ms(&constant), 300);
    }

    #[test]
    fn a_picture_is_waited_for_until_it_no_longer_grows() {
        assert_eq!(due_ms(&[(Kind::Shot, 0)]), 250);
        let growing: Vec<_> = (0..100).map(|step| (Kind::Shot, step * 100)).collect();
        assert_eq!(due_ms(&growing), 9900 + 250);
        let for_ever: Vec<_> = (0..1000).map(|step| (Kind::Shot, step * 100)).collect();
        assert_eq!(due_ms(&for_ever), 60_000);
        // A text saved meanwhile waits with it: half a picture would only make a problem.
        assert_eq!(due_ms(&[(Kind::Shot, 0), (Kind::Description, 100), (Kind::Shot, 200)]), 450);
    }
}
