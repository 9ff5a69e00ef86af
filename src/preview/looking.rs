//! Which station an open page shows at present: it is made first, and proofs are made of it.

use super::making::{Maker, Visitor};
use std::sync::{Condvar, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

/// The longest name of a station that is taken in: ids have at most 63 characters.
const LONGEST_NAME: usize = 127;

/// The last station that a page said it shows, as `room` or `room/station`.
#[derive(Debug, Default)]
pub struct Looking {
    at: Mutex<(u64, Option<String>)>,
    changed: Condvar,
    /// When a picture was asked for last.
    served: Mutex<Option<Instant>>,
}

/// So long after a page asked for a picture it may ask for another, or be busy showing it.
const SERVED: Duration = Duration::from_millis(800);

impl Visitor for Looking {
    fn stands_in(&self) -> Option<String> {
        self.at()
    }

    fn takes_up(&self) -> Duration {
        // Nobody is told where no page is open.
        if self.at().is_some() { SERVED } else { Duration::ZERO }
    }

    fn is_served(&self) -> bool {
        let served = self.served.lock().unwrap_or_else(PoisonError::into_inner);
        served.is_some_and(|when| when.elapsed() < SERVED)
    }
}

impl Looking {
    /// Takes in what a page says. Anything that cannot be a station's name is passed over.
    pub fn is_at(&self, name: &str) {
        let is_name = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '-' | '/');
        if name.is_empty() || name.len() > LONGEST_NAME || !name.chars().all(is_name) {
            return;
        }
        let mut at = self.at.lock().unwrap_or_else(PoisonError::into_inner);
        if at.1.as_deref() != Some(name) {
            *at = (at.0 + 1, Some(name.to_owned()));
            self.changed.notify_all();
        }
    }

    /// A page asks for a picture.
    pub fn wants_a_picture(&self) {
        *self.served.lock().unwrap_or_else(PoisonError::into_inner) = Some(Instant::now());
    }

    /// Where somebody looks, if anybody said.
    pub fn at(&self) -> Option<String> {
        self.at.lock().unwrap_or_else(PoisonError::into_inner).1.clone()
    }

    /// Has proofs of what is looked at got ready on a thread of its own, as long as the process lives. Without the thread the first proof
    /// of a station takes longer.
    pub fn prepare_proofs(this: &std::sync::Arc<super::server::Shown>, maker: &std::sync::Arc<Maker>) {
        let (shown, maker) = (std::sync::Arc::clone(this), std::sync::Arc::clone(maker));
        let _ = thread::Builder::new().name("preview proofs".into()).spawn(move || {
            let mut known = 0;
            loop {
                known = shown.looking.wait(known);
                if let Some(name) = shown.looking.at() {
                    maker.prepare_proof(&name);
                }
            }
        });
    }

    /// Waits until somebody looks elsewhere than when `known` was returned.
    fn wait(&self, known: u64) -> u64 {
        let at = self.at.lock().unwrap_or_else(PoisonError::into_inner);
        self.changed.wait_while(at, |at| at.0 == known).unwrap_or_else(PoisonError::into_inner).0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_stations_are_taken_in() {
        let looking = Looking::default();
        for name in ["", "../..", "Hall", "hall?x", &"a".repeat(200)] {
            looking.is_at(name);
            assert_eq!(looking.at(), None, "{name}");
        }
        looking.is_at("barn/hearth");
        looking.is_at("hall");
        assert_eq!(looking.at().as_deref(), Some("hall"));
    }
}
