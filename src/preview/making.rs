//! One making of the site, from the description to the pages, and what it tells meanwhile.

use super::classify::Kind;
use crate::problem::Problems;
use crate::site;
use crate::site::Site;
use crate::tour::{self, Tour};
use crate::workshop::{self, Options, Progress};
use std::path::{Path, PathBuf};

/// What a making tells while it goes on.
#[derive(Clone, Debug)]
pub enum News {
    /// Which files the tour is made of. Told before any picture is read.
    MadeOf(Vec<(PathBuf, Kind)>),
    /// How the pictures come along.
    Progress(Progress),
}

/// The finished site with its warnings, or why there is none.
pub type Outcome = Result<(Site, Problems), Problems>;

/// Makes the site anew. A seam: tests put something quicker here.
pub type Make<'a> = dyn FnMut(&(dyn Fn(News) + Sync)) -> Outcome + Send + 'a;

/// Reads the description, makes what is missing, and composes the site. `path` is a tour's folder or its description.
///
/// # Errors
/// Everything that is wrong with the tour.
pub fn make(path: &Path, news: &(dyn Fn(News) + Sync)) -> Outcome {
    let (tour, mut warnings) = tour::read_tour(path)?;
    news(News::MadeOf(made_of(&tour)));
    let made = workshop::make(&tour, Options::default(), &|progress| news(News::Progress(progress)))?;
    warnings.extend(made.warnings);
    let site = site::compose(&tour, &made.sights, &made.stations)?;
    Ok((site, warnings.sorted()))
}

/// Every file that a tour names, and its description.
fn made_of(tour: &Tour) -> Vec<(PathBuf, Kind)> {
    let plans = tour.floors.iter().filter_map(|floor| floor.plan.as_ref());
    let plans = plans.map(|plan| (plan.drawing.clone(), Kind::Plan));
    let shots = tour.stations().flat_map(|station| &station.shots).map(|shot| (shot.path.clone(), Kind::Shot));
    let notes = tour.stations().flat_map(|station| &station.notes).filter_map(|note| note.picture.as_ref());
    let notes = notes.map(|picture| (picture.path.clone(), Kind::NotePicture));
    std::iter::once((tour.file.clone(), Kind::Description)).chain(plans).chain(shots).chain(notes).collect()
}
