//! The keys of one group: taken one after the other; what nobody asked for is unknown.

use crate::description::tree::{Kind, Node, quote};
use crate::problem::{Problem, Problems};

/// So many unknown keys of one group are named one by one; more are a file of another kind.
const MAX_UNKNOWN: usize = 20;

/// The keys of one group that have not been taken yet.
pub struct Entries<'n, 'p> {
    node: &'n Node,
    /// What the group is, as the beginning of a sentence: "a floor".
    name: &'static str,
    left: Vec<(&'n Node, &'n Node)>,
    known: Vec<&'static str>,
    problems: &'p mut Problems,
}

impl<'n, 'p> Entries<'n, 'p> {
    /// Opens a group of keys; anything else is reported.
    pub fn of(node: &'n Node, name: &'static str, problems: &'p mut Problems) -> Option<Self> {
        match &node.kind {
            Kind::Mapping(entries) => {
                let left = entries.iter().map(|(key, value)| (key, value)).collect();
                Some(Entries { node, name, left, known: Vec::new(), problems })
            }
            _ => {
                let what = format!("{} stands where the keys of {name} belong", node.quoted());
                problems.push(Problem::error(what, "write `key: value`, one a line").at(&node.place));
                None
            }
        }
    }

    /// True where no key is left.
    pub fn is_empty(&self) -> bool {
        self.left.is_empty()
    }

    /// True where this key is written and was not taken yet.
    pub fn has(&self, key: &str) -> bool {
        self.left.iter().any(|(name, _)| name.scalar() == Some(key))
    }

    /// A value that may be left out; nothing where it is left out or not usable. A key without a value is reported.
    pub fn optional<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(&'n Node, &mut Problems) -> Option<T>,
    ) -> Option<T> {
        self.known.push(key);
        let index = self.left.iter().position(|(name, _)| name.scalar() == Some(key))?;
        let (_, value) = self.left.remove(index);
        if value.is_missing() {
            let what = format!("`{key}` has no value");
            self.problems.push(Problem::error(what, "write one, or delete the key").at(&value.place));
            return None;
        }
        read(value, self.problems)
    }

    /// A value that must be there; leaving it out is reported at the group's place.
    pub fn required<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(&'n Node, &mut Problems) -> Option<T>,
    ) -> Option<T> {
        if !self.has(key) && self.misspelt(key).is_none() {
            let what = format!("{} has no `{key}`", self.name);
            self.problems.push(Problem::error(what, format!("write `{key}:`")).at(&self.node.place));
        }
        self.optional(key, read)
    }

    /// Keys that belong to work which this version does not do.
    pub fn not_yet(&mut self, keys: &[&str]) {
        self.left.retain(|(name, _)| {
            let Some(key) = name.scalar().filter(|key| keys.contains(key)) else { return true };
            let what = format!("`{key}` is not understood yet by this version");
            self.problems.push(Problem::error(what, "delete it for now").at(&name.place));
            false
        });
    }

    /// Reports a problem with the group as a whole.
    pub fn problem(&mut self, what: &str, instead: &str) {
        self.problems.push(Problem::error(what, instead).at(&self.node.place));
    }

    /// Reports a problem with a key that was not taken yet, at its place.
    pub fn problem_at(&mut self, key: &str, what: impl Into<String>, instead: &str) {
        let name = self.left.iter().map(|(name, _)| name).find(|name| name.scalar() == Some(key));
        let place = name.map_or(&self.node.place, |name| &name.place);
        self.problems.push(Problem::error(what, instead).at(place));
    }

    /// Reports every key that nobody took, with the nearest one that is known.
    pub fn finish(self) {
        for (name, _) in self.left.iter().take(MAX_UNKNOWN) {
            let written = name.scalar().unwrap_or_default();
            let what = format!("{} is not a key of {}", quote(written), self.name);
            let instead = match (written, nearest(written, &self.known)) {
                ("<<", _) => "write the keys out: merging groups is not part of YAML 1.2".to_owned(),
                (_, Some(key)) => format!("write `{key}`"),
                (_, None) => format!("write one of {}", listed(&self.known)),
            };
            self.problems.push(Problem::error(what, instead).at(&name.place));
        }
        if let Some((name, _)) = self.left.get(MAX_UNKNOWN) {
            let more = self.left.len() - MAX_UNKNOWN;
            let what = format!("from here on, {more} more are no keys of {}", self.name);
            self.problems
                .push(Problem::error(what, "check that the lines above are indented as meant").at(&name.place));
        }
    }

    /// The key written that was most likely meant to be `key`, so that one slip gives one problem.
    fn misspelt(&self, key: &str) -> Option<&str> {
        self.left.iter().filter_map(|(name, _)| name.scalar()).find(|written| similarity(written, key) > 0.7)
    }
}

fn listed(keys: &[&str]) -> String {
    keys.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(", ")
}

/// The known word that is nearest to what was written, if any is near enough to be meant.
pub fn nearest<'k>(written: &str, known: &[&'k str]) -> Option<&'k str> {
    let scored = known.iter().map(|key| (similarity(written, key), *key));
    scored.filter(|(score, _)| *score > 0.6).max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, key)| key)
}

/// 0 to 1; small slips and another spelling of word ends, joints and capitals count little.
fn similarity(written: &str, key: &str) -> f64 {
    // A long text is no slip of the pen, and comparing it would take long.
    if written.len() > 64 {
        return 0.0;
    }
    let written = written.to_lowercase().replace(['_', ' '], "-");
    strsim::normalized_damerau_levenshtein(&written, key)
}
