//! The production line: while one picture is cut, the next is read and decoded and the one before is stored.
//!
//! The three stations of the line hand over through channels without room, so that at most two decoded pictures exist at
//! any time: one that is being cut, one that waits. Cutting uses all cores itself.

use super::Progress;
use super::job::{Job, joined};
use super::shots::read_unchanged;
use super::stages::{ShotFault, Stages};
use crate::store::{ContentHash, Pack, Store, StoreError};
use crate::tiles::{Source, Tile};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

/// The small equirectangular picture's name in a pack.
pub(super) const FIRST_LIGHT: &str = "first-light.jpg";
/// The still's name in its own pack.
const STILL: &str = "still.jpg";

/// What all stations of the line share.
#[derive(Clone, Copy)]
pub(super) struct Bench<'a> {
    pub stages: &'a dyn Stages,
    pub store: &'a Store,
    /// Whether stored files are read to see that they are whole.
    pub verify: bool,
}

/// A finished station.
#[derive(Clone, Debug)]
pub(super) struct Finished {
    /// Content of each of its shots.
    pub shots: Vec<ContentHash>,
    pub pack: Arc<Pack>,
    pub still: Arc<[u8]>,
    pub tiles_cut: bool,
    still_drawn: bool,
}

impl Finished {
    /// One that was in the store.
    fn stored(shots: Vec<ContentHash>, pack: Arc<Pack>, still: Arc<[u8]>) -> Self {
        Finished { shots, pack, still, tiles_cut: false, still_drawn: false }
    }

    /// Content of all its shots.
    pub fn content(&self) -> ContentHash {
        joined(&self.shots)
    }

    /// What to say of it.
    pub fn told(&self, job: &Job) -> Progress {
        let key = job.station.key.clone();
        match (self.tiles_cut, self.still_drawn) {
            (true, _) => Progress::Cut(key),
            (false, true) => Progress::StillDrawn(key),
            (false, false) => Progress::Kept(key),
        }
    }
}

/// What the store has of a station.
struct Found {
    pack: Option<Arc<Pack>>,
    still: Option<Arc<[u8]>>,
}

/// A finished station, if it is known without reading a shot and nothing of it is missing.
pub(super) fn find_unread(bench: &Bench, job: &Job) -> Option<Finished> {
    let found = find(bench, job, job.content()?);
    let shots = job.seen.iter().filter_map(|seen| seen.hash).collect();
    Some(Finished::stored(shots, found.pack?, found.still?))
}

/// Looks in the store for what comes of shots with this content.
fn find(bench: &Bench, job: &Job, content: ContentHash) -> Found {
    let still = bench.store.pack(job.still_key(content)).and_then(|pack| pack.read(STILL).ok());
    Found {
        pack: bench.store.pack(job.tiles_key(content)).filter(|pack| !bench.verify || pack.verify().is_ok()),
        still: still.map(Arc::from),
    }
}

/// Shots whose content is known; developed unless the store has everything.
enum Material {
    Stored(Finished),
    Developed { shots: Vec<ContentHash>, found: Found, source: Source },
}

/// A station that only needs storing.
enum Piece {
    Stored(Finished),
    Made { shots: Vec<ContentHash>, tiles: Origin<Arc<Pack>, Tiles>, still: Origin<Arc<[u8]>, Vec<u8>> },
}

/// Where a part of a station comes from.
enum Origin<Stored, New> {
    Stored(Stored),
    New(New),
}

struct Tiles {
    tiles: Vec<Tile>,
    first_light: Vec<u8>,
}

/// Runs jobs in their order and hands each result to `done`, on this thread, in the same order.
///
/// # Errors
/// The store cannot be written; the jobs after that are not run.
pub(super) fn run<'j, 'a>(
    bench: &Bench,
    jobs: &[&'j Job<'a>],
    mut done: impl FnMut(&'j Job<'a>, Result<Finished, ShotFault>),
) -> Result<(), StoreError> {
    if jobs.is_empty() {
        return Ok(());
    }
    std::thread::scope(|scope| {
        let (developed, to_cut) = sync_channel(0);
        let (cut, to_store) = sync_channel(0);
        scope.spawn(move || develop_all(bench, jobs, &developed));
        scope.spawn(move || cut_all(bench, jobs, &to_cut, &cut));
        for (job, piece) in jobs.iter().zip(to_store) {
            match piece {
                Ok(piece) => done(job, Ok(store(bench, job, piece)?)),
                Err(fault) => done(job, Err(fault)),
            }
        }
        Ok(())
    })
}

/// Ends early when nobody takes its results any more.
fn develop_all(bench: &Bench, jobs: &[&Job], to: &SyncSender<Result<Material, ShotFault>>) {
    for job in jobs {
        if to.send(develop(bench, job)).is_err() {
            return;
        }
    }
}

fn develop(bench: &Bench, job: &Job) -> Result<Material, ShotFault> {
    let files = read_shots(job)?;
    let shots: Vec<ContentHash> = files.iter().map(|bytes| ContentHash::of(bytes)).collect();
    match find(bench, job, joined(&shots)) {
        Found { pack: Some(pack), still: Some(still) } => Ok(Material::Stored(Finished::stored(shots, pack, still))),
        found => {
            let source = bench.stages.develop(files, &job.recipe, job.chroma)?;
            Ok(Material::Developed { shots, found, source })
        }
    }
}

/// The files of all of a job's shots.
///
/// # Errors
/// The first that changed since it was looked at, or that cannot be read.
pub(super) fn read_shots(job: &Job) -> Result<Vec<Vec<u8>>, ShotFault> {
    let shots = job.station.shots.iter().zip(&job.seen).enumerate();
    shots.map(|(index, (shot, seen))| read_unchanged(&shot.path, &seen.stamp).map_err(|fault| (index, fault))).collect()
}

/// Ends early when nobody takes its results any more.
fn cut_all(
    bench: &Bench,
    jobs: &[&Job],
    from: &Receiver<Result<Material, ShotFault>>,
    to: &SyncSender<Result<Piece, ShotFault>>,
) {
    for (job, material) in jobs.iter().zip(from) {
        if to.send(material.map(|material| cut(bench, job, material))).is_err() {
            return;
        }
    }
}

fn cut(bench: &Bench, job: &Job, material: Material) -> Piece {
    let Job { level, ref layout, encoding, still_view, .. } = *job;
    let (shots, found, source) = match material {
        Material::Stored(finished) => return Piece::Stored(finished),
        Material::Developed { shots, found, source } => (shots, found, source),
    };
    // The small pictures are drawn beside the tiles: alone they would leave all cores but one idle.
    let tiles = || match found.pack {
        Some(pack) => Origin::Stored(pack),
        None => {
            let (tiles, first_light) = rayon::join(
                || bench.stages.cut(&source, level, layout, encoding),
                || bench.stages.first_light(&source, level),
            );
            Origin::New(Tiles { tiles, first_light })
        }
    };
    let still = || match found.still {
        Some(still) => Origin::Stored(still),
        None => Origin::New(bench.stages.still(&source, level, still_view)),
    };
    let (tiles, still) = rayon::join(tiles, still);
    Piece::Made { shots, tiles, still }
}

fn store(bench: &Bench, job: &Job, piece: Piece) -> Result<Finished, StoreError> {
    let (shots, tiles, still) = match piece {
        Piece::Stored(finished) => return Ok(finished),
        Piece::Made { shots, tiles, still } => (shots, tiles, still),
    };
    let (tiles_cut, still_drawn) = (matches!(tiles, Origin::New(_)), matches!(still, Origin::New(_)));
    let content = joined(&shots);
    let pack = match tiles {
        Origin::Stored(pack) => pack,
        Origin::New(tiles) => store_tiles(bench, job, content, &tiles)?,
    };
    let still = match still {
        Origin::Stored(still) => still,
        Origin::New(still) => {
            bench.store.put(job.still_key(content), &[(STILL, &still)])?;
            Arc::from(still)
        }
    };
    Ok(Finished { shots, pack, still, tiles_cut, still_drawn })
}

fn store_tiles(bench: &Bench, job: &Job, content: ContentHash, made: &Tiles) -> Result<Arc<Pack>, StoreError> {
    let names: Vec<String> = made.tiles.iter().map(|tile| job.layout.file_name(tile.id)).collect();
    let tiles = names.iter().map(String::as_str).zip(made.tiles.iter().map(|tile| tile.jpeg.as_slice()));
    let files: Vec<(&str, &[u8])> = tiles.chain([(FIRST_LIGHT, made.first_light.as_slice())]).collect();
    bench.store.put(job.tiles_key(content), &files)
}
