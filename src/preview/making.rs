//! One making of the site, from the description to the pages, and what it tells meanwhile.

use super::classify::Kind;
use crate::problem::Problems;
use crate::site;
use crate::site::{Site, StationFiles};
use crate::tour::sight::Sights;
use crate::tour::{self, Station, StationKey, Tour};
use crate::workshop::{Options, Plan, Progress, ProofBench};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, OnceLock, PoisonError};
use std::time::{Duration, Instant};

/// What a making tells while it goes on.
#[derive(Clone, Debug)]
pub enum News {
    /// Which files the tour is made of. Told before any picture is read.
    MadeOf(Vec<(PathBuf, Kind)>),
    /// How the pictures come along.
    Progress(Progress),
    /// A site to stand until the finished one does.
    Interim(Site),
}

/// The finished site with its warnings, or why there is none.
pub type Outcome = Result<(Site, Problems), Problems>;

/// Makes the site anew. A seam: tests put something quicker here.
pub type Make<'a> = dyn FnMut(&(dyn Fn(News) + Sync)) -> Outcome + Send + 'a;

/// Who looks at the preview while it is made.
pub trait Visitor: Sync {
    /// Which station they look at, as `room` or `room/station`, if they said.
    fn stands_in(&self) -> Option<String>;

    /// How long it takes them, at most, to ask for a picture after they were told of it.
    fn takes_up(&self) -> Duration {
        Duration::ZERO
    }

    /// Whether they asked for pictures just now: whatever else is to be made waits a moment for that.
    fn is_served(&self) -> bool {
        false
    }
}

impl<F: Fn() -> Option<String> + Sync> Visitor for F {
    fn stands_in(&self) -> Option<String> {
        self()
    }
}

/// What is looked at has the machine to itself until it is made and shown, but not longer than this.
const LONGEST_ALONE: Duration = Duration::from_secs(4);
const LOOK_AGAIN: Duration = Duration::from_millis(5);

/// Makes a tour's site again and again. Between two makings it keeps what makes the next one quick to be seen.
#[derive(Debug, Default)]
pub struct Maker {
    /// A tour's folder or its description.
    path: PathBuf,
    proofs: Mutex<ProofBench>,
    /// Every station's files as they were made last.
    last: Mutex<BTreeMap<StationKey, StationFiles>>,
}

impl Maker {
    /// For a tour's folder or its description.
    pub fn new(path: &Path) -> Self {
        Maker { path: path.to_path_buf(), ..Maker::default() }
    }

    /// Reads the description, makes what is missing, and composes the site. As long as pictures are missing, others stand for them: the site
    /// is there at once. What is looked at comes first, as a proof where the whole takes longer, then its neighbours; the visitor is asked again before
    /// each. Whenever one is made, a site with it is handed over.
    ///
    /// # Errors
    /// Everything that is wrong with the tour.
    pub fn make(&self, visitor: &dyn Visitor, news: &(dyn Fn(News) + Sync)) -> Outcome {
        let (tour, mut warnings) = tour::read_tour(&self.path)?;
        news(News::MadeOf(made_of(&tour)));
        let mut plan = Plan::new(&tour, Options::default())?;
        warnings.extend(plan.warnings().clone());
        let mut standing = self.last.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let stored = plan.stored();
        let is_missing = |key: &StationKey| !stored.contains_key(key);
        standing.extend(stored.clone());
        let looked_at = || visitor.stands_in().and_then(|name| named(&tour, &name));
        if tour.stations().any(|station| !standing.contains_key(&station.key)) {
            let pending = plan.pending();
            for station in tour.stations() {
                standing.entry(station.key.clone()).or_insert_with(|| pending.clone());
            }
            interim(&tour, plan.sights(), &standing, news);
        }
        if let Some(key) = looked_at().filter(|key| is_missing(key) && !plan.is_plain(key))
            && let Some(Ok(proof)) = plan.proof(&key, &mut self.proofs.lock().unwrap_or_else(PoisonError::into_inner))
        {
            standing.insert(key, proof);
            interim(&tour, plan.sights(), &standing, news);
        }
        let sights = plan.sights().clone();
        let all: Vec<StationKey> = tour.stations().map(|station| station.key.clone()).collect();
        let (begun, made) = (AtomicUsize::new(0), OnceLock::new());
        let first_is_shown =
            || made.get().is_some_and(|when: &Instant| when.elapsed() > visitor.takes_up()) && !visitor.is_served();
        let choose = |left: &[&StationKey]| {
            if begun.fetch_add(1, Ordering::Relaxed) == 1 {
                let since = Instant::now();
                while !first_is_shown() && since.elapsed() < LONGEST_ALONE {
                    std::thread::sleep(LOOK_AGAIN);
                }
            }
            let from = looked_at().unwrap_or_else(|| tour.opens_in.clone());
            let nearest = tour::nearest_first(&tour, &from);
            nearest.iter().find_map(|key| left.iter().position(|other| *other == key)).unwrap_or(0)
        };
        let run = plan.run_telling(&all, &choose, &|progress| news(News::Progress(progress)), &mut |key, files| {
            standing.insert(key.clone(), files);
            interim(&tour, &sights, &standing, news);
            made.get_or_init(Instant::now);
        })?;
        warnings.extend(run.warnings);
        let site = site::compose(&tour, &sights, &run.stations)?;
        *self.last.lock().unwrap_or_else(PoisonError::into_inner) = run.stations;
        Ok((site, warnings.sorted()))
    }

    /// Gets ready what a proof of a station needs. What is wrong with the tour is passed over: making it says so.
    pub fn prepare_proof(&self, name: &str) {
        let Ok((tour, _)) = tour::read_tour(&self.path) else { return };
        let Some(key) = named(&tour, name) else { return };
        let Ok(plan) = Plan::new(&tour, Options::default()) else { return };
        plan.prepare_proof(&key, &mut self.proofs.lock().unwrap_or_else(PoisonError::into_inner));
    }
}

/// A station by `room` or `room/station`.
fn named(tour: &Tour, name: &str) -> Option<StationKey> {
    tour.stations().find(|station| station.key.to_string() == name).map(|station| station.key.clone())
}

/// Composes a site that will not stand for long.
fn interim(
    tour: &Tour,
    sights: &BTreeMap<StationKey, Sights>,
    standing: &BTreeMap<StationKey, StationFiles>,
    news: &(dyn Fn(News) + Sync),
) {
    if let Ok(site) = site::compose(tour, sights, standing) {
        news(News::Interim(site));
    }
}

/// Every file that a tour names, and its description.
fn made_of(tour: &Tour) -> Vec<(PathBuf, Kind)> {
    let plans = tour.floors.iter().filter_map(|floor| floor.plan.as_ref());
    let plans = plans.map(|plan| (plan.drawing.clone(), Kind::Plan));
    let shots = tour.stations().flat_map(Station::files).map(|shot| (shot.path.clone(), Kind::Shot));
    let notes = tour.stations().flat_map(|station| &station.notes).filter_map(|note| note.picture.as_ref());
    let notes = notes.map(|picture| (picture.path.clone(), Kind::NotePicture));
    std::iter::once((tour.file.clone(), Kind::Description)).chain(plans).chain(shots).chain(notes).collect()
}
