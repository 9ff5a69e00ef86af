//! Proofs: a station's picture small and at once, while its full one is being made.
//!
//! Somebody who turns a number wants to see what it does now. The light of the station that is looked at is kept small;
//! a changed tone is worked out on it, and cut, in a fraction of the time.

use super::job::{Job, joined};
use super::line::read_shots;
use super::plan::Plan;
use super::shots::shot_problem;
use super::stages::ShotFault;
use crate::darkroom;
use crate::picture::linear::LinearPicture;
use crate::problem::Problems;
use crate::site::{Bundle, StationFiles};
use crate::store::ContentHash;
use crate::tiles::{self, Layout, Source};
use crate::tour::StationKey;
use std::collections::BTreeMap;
use std::io;
use std::sync::Arc;

/// Columns of a proof. Its largest faces are as fine as a phone's screen.
const PROOF_WIDTH: usize = 2048;

/// The light of the station that proofs were last wanted of.
#[derive(Debug, Default)]
pub struct ProofBench {
    kept: Option<Kept>,
}

#[derive(Debug)]
struct Kept {
    content: ContentHash,
    light: LinearPicture,
    sphere_width: u32,
}

impl ProofBench {
    /// The light of a job's shots, kept for the next time.
    fn light(&mut self, job: &Job) -> Result<&Kept, ShotFault> {
        let known = job.content();
        let is_kept = |content| self.kept.as_ref().is_some_and(|kept| kept.content == content);
        if !known.is_some_and(is_kept) {
            let files = read_shots(job)?;
            let hashes: Vec<ContentHash> = files.iter().map(|bytes| ContentHash::of(bytes)).collect();
            let content = joined(&hashes);
            if self.kept.as_ref().is_none_or(|kept| kept.content != content) {
                let light = darkroom::small_light(&files, PROOF_WIDTH).map_err(super::stages::shot_fault)?;
                self.kept = Some(Kept { content, light, sphere_width: job.layout_width() });
            }
        }
        Ok(self.kept.as_ref().expect("it was just put there"))
    }
}

impl Plan<'_> {
    /// Makes a proof of a station: its picture with at most 2048 columns. `None` where the tour has no such station, or where its
    /// picture is no larger than a proof would be.
    ///
    /// # Errors
    /// A shot that cannot be decoded or that changed since the plan was made.
    pub fn proof(&self, key: &StationKey, bench: &mut ProofBench) -> Option<Result<StationFiles, Problems>> {
        let job = self.job(key).filter(|job| job.layout_width() as usize > PROOF_WIDTH)?;
        let made = bench.light(job).map(|kept| proof(job, kept));
        Some(made.map_err(|(shot, fault)| self.problem(job, shot, fault).into()))
    }

    /// Gets a station's light ready, so that its first proof is as quick as the next. What cannot be read is passed over: making it will
    /// say so.
    pub fn prepare_proof(&self, key: &StationKey, bench: &mut ProofBench) {
        if let Some(job) = self.job(key).filter(|job| job.layout_width() as usize > PROOF_WIDTH) {
            let _ = bench.light(job);
        }
    }

    fn problem(&self, job: &Job, shot: usize, fault: super::stages::Fault) -> crate::problem::Problem {
        shot_problem(self.tour(), job.station, &job.station.shots[shot], fault)
    }
}

fn proof(job: &Job, kept: &Kept) -> StationFiles {
    debug_assert_eq!(kept.sphere_width, job.layout_width());
    let finished = darkroom::tone::develop(&kept.light, &job.recipe.tone, job.recipe.matched.as_ref());
    let source = Source::new(finished.ycc(job.chroma));
    let layout = Layout::for_width(kept.light.width as u32);
    let ((tiles, first_light), still) = rayon::join(
        || {
            rayon::join(
                || tiles::cut(&source, job.level, &layout, job.encoding),
                || tiles::first_light(&source, job.level),
            )
        },
        || tiles::still(&source, job.level, job.still_view),
    );
    let mut files: BTreeMap<String, Vec<u8>> =
        tiles.into_iter().map(|tile| (layout.file_name(tile.id), tile.jpeg)).collect();
    files.insert(super::line::FIRST_LIGHT.to_owned(), first_light);
    let hash = format!("{}-proof", job.tiles_key(kept.content).short());
    StationFiles { hash, layout, pack: Arc::new(Held(files)), still: Arc::from(still) }
}

/// Files that are held in memory.
#[derive(Debug)]
struct Held(BTreeMap<String, Vec<u8>>);

impl Bundle for Held {
    fn entries(&self) -> Box<dyn Iterator<Item = (&str, u64)> + '_> {
        Box::new(self.0.iter().map(|(name, bytes)| (name.as_str(), bytes.len() as u64)))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        self.0.get(name).cloned().ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}
