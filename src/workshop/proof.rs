//! Proofs: a station's picture small and at once, while its full one is being made.
//!
//! Somebody who turns a number wants to see what it does now. The light of the station that is looked at is kept small;
//! a changed tone is worked out on it, and cut, in a fraction of the time.

use super::job::{Job, joined};
use super::line::{read_files, read_materials};
use super::pieces::{Stills, Tiles};
use super::plan::Plan;
use super::shots::file_problem;
use super::stages::{House, ShotFault, Spheres, shot_fault};
use crate::darkroom;
use crate::picture::linear::LinearPicture;
use crate::picture::{Chroma, YccPicture};
use crate::problem::Problems;
use crate::site::{Bundle, StationFiles};
use crate::sphere::Rotation;
use crate::store::ContentHash;
use crate::tiles::{Layout, Source};
use crate::tour::StationKey;
use std::collections::BTreeMap;
use std::io;
use std::sync::Arc;

/// Columns of a proof. Its largest faces are as fine as a phone's screen.
const PROOF_WIDTH: usize = 2048;
/// Columns of what stands for a picture that is not made yet, and how light it is.
const PENDING_WIDTH: usize = 64;
const PENDING_GREY: u8 = 118;

/// The light of the station that proofs were last wanted of.
#[derive(Debug, Default)]
pub struct ProofBench {
    kept: Option<Kept>,
}

#[derive(Debug)]
struct Kept {
    /// Of its shots.
    content: ContentHash,
    /// Before its repairs and its tone.
    light: LinearPicture,
}

impl ProofBench {
    /// The light of a job's shots, kept for the next time.
    fn light(&mut self, job: &Job) -> Result<&Kept, ShotFault> {
        let known = job.shots_content();
        let is_kept = |content| self.kept.as_ref().is_some_and(|kept| kept.content == content);
        if !known.is_some_and(is_kept) {
            let mut shots = read_files(job)?;
            shots.truncate(job.seen.len());
            let hashes: Vec<ContentHash> = shots.iter().map(|bytes| ContentHash::of(bytes)).collect();
            let content = joined(&hashes);
            if self.kept.as_ref().is_none_or(|kept| kept.content != content) {
                let light = darkroom::small_light(&shots, PROOF_WIDTH).map_err(shot_fault)?;
                self.kept = Some(Kept { content, light });
            }
        }
        Ok(self.kept.as_ref().expect("it was just put there"))
    }
}

impl Plan<'_> {
    /// Makes a proof of a station: its picture with at most 2048 columns, as visitors see it. `None` where the tour has no such
    /// station, or where its picture is no larger than a proof would be.
    ///
    /// # Errors
    /// A file that cannot be decoded or that changed since the plan was made.
    pub fn proof(&self, key: &StationKey, bench: &mut ProofBench) -> Option<Result<StationFiles, Problems>> {
        let job = self.job(key).filter(|job| job.layout_width() as usize > PROOF_WIDTH)?;
        let made = bench.light(job).and_then(|kept| proof(job, kept));
        Some(made.map_err(|fault| file_problem(self.tour(), job.station, fault).into()))
    }

    /// What stands for every station whose picture is not made yet: one shade of grey.
    ///
    /// # Panics
    /// Never: a plan has at least one station.
    pub fn pending(&self) -> StationFiles {
        let (width, height) = (PENDING_WIDTH, PENDING_WIDTH / 2);
        let chroma = vec![128; width / 2 * (height / 2)];
        let y = vec![PENDING_GREY; width * height];
        let picture = YccPicture { width, height, chroma: Chroma::Half, y, cb: chroma.clone(), cr: chroma };
        let spheres = Spheres { picture: Source::new(picture), unaltered: None, doubts: Vec::new() };
        let station = self.tour().stations().next().expect("a tour has a station");
        let like = self.job(&station.key).expect("a plan has a job for each station");
        let small = Job {
            layout: Layout::for_width(PENDING_WIDTH as u32),
            level: Rotation::IDENTITY,
            unaltered_views: Vec::new(),
            ..like.clone()
        };
        let (tiles, stills) = (Tiles::of(&House, &small, &spheres), Stills::of(&House, &small, &spheres));
        let pack = Arc::new(Held(tiles.into_files()));
        let (layout, hash) = (small.layout, "pending".to_owned());
        StationFiles { hash, layout, pack, still: stills.opening, unaltered_stills: Vec::new() }
    }

    /// Whether a station's picture is its shot as it is: then the whole picture is there as soon as a proof would be.
    pub fn is_plain(&self, key: &StationKey) -> bool {
        self.job(key).is_some_and(|job| job.recipe.is_plain() && job.seen.len() == 1)
    }

    /// Gets a station's light ready, so that its first proof is as quick as the next. What cannot be read is passed over: making it will
    /// say so.
    pub fn prepare_proof(&self, key: &StationKey, bench: &mut ProofBench) {
        if let Some(job) = self.job(key).filter(|job| job.layout_width() as usize > PROOF_WIDTH) {
            let _ = bench.light(job);
        }
    }
}

fn proof(job: &Job, kept: &Kept) -> Result<StationFiles, ShotFault> {
    let materials = read_materials(job)?;
    let mut contents = vec![kept.content];
    contents.extend(materials.iter().map(|bytes| ContentHash::of(bytes)));
    let picture = darkroom::proof(&kept.light, &materials, &job.recipe, job.chroma);
    let picture = picture.map_err(shot_fault).map_err(|(index, fault)| (job.seen.len() + index, fault))?;
    let spheres = Spheres { picture: Source::new(picture), unaltered: None, doubts: Vec::new() };
    let small = Job { layout: Layout::for_width(kept.light.width as u32), ..job.clone() };
    let (tiles, stills) = rayon::join(|| Tiles::of(&House, &small, &spheres), || Stills::of(&House, &small, &spheres));
    let hash = format!("{}-proof", job.tiles_key(joined(&contents)).short());
    let pack = Arc::new(Held(tiles.into_files()));
    Ok(StationFiles { hash, layout: small.layout, pack, still: stills.opening, unaltered_stills: Vec::new() })
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
