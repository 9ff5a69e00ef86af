//! The production line: while one picture is cut, the next is read and decoded and the one before is stored.
//!
//! The three stations of the line hand over through channels without room, so that at most two decoded pictures exist at
//! any time: one that is being cut, one that waits. Cutting uses all cores itself.

use super::Progress;
use super::job::{Job, joined};
use super::pieces::{Stills, Tiles};
use super::shots::{Seen, read_unchanged};
use super::stages::{ShotFault, Spheres, Stages};
use crate::store::{ContentHash, Pack, Store, StoreError};
use crate::tour::Shot;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

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
    /// Content of each of its files.
    pub files: Vec<ContentHash>,
    pub pack: Arc<Pack>,
    pub stills: Stills,
    pub tiles_cut: bool,
    stills_drawn: bool,
}

impl Finished {
    /// One that was in the store.
    fn stored(files: Vec<ContentHash>, pack: Arc<Pack>, stills: Stills) -> Self {
        Finished { files, pack, stills, tiles_cut: false, stills_drawn: false }
    }

    /// Content of all its files.
    pub fn content(&self) -> ContentHash {
        joined(&self.files)
    }

    /// What to say of it.
    pub fn told(&self, job: &Job) -> Progress {
        let key = job.station.key.clone();
        match (self.tiles_cut, self.stills_drawn) {
            (true, _) => Progress::Cut(key),
            (false, true) => Progress::StillDrawn(key),
            (false, false) => Progress::Kept(key),
        }
    }
}

/// What the store has of a station.
struct Found {
    pack: Option<Arc<Pack>>,
    stills: Option<Stills>,
}

/// A finished station, if it is known without reading a file and nothing of it is missing.
pub(super) fn find_unread(bench: &Bench, job: &Job) -> Option<Finished> {
    let found = find(bench, job, job.content()?);
    let files = job.files().filter_map(|(_, seen)| seen.hash).collect();
    Some(Finished::stored(files, found.pack?, found.stills?))
}

/// Looks in the store for what comes of files with this content.
fn find(bench: &Bench, job: &Job, content: ContentHash) -> Found {
    let stills = bench.store.pack(job.still_key(content));
    Found {
        pack: bench.store.pack(job.tiles_key(content)).filter(|pack| !bench.verify || pack.verify().is_ok()),
        stills: stills.and_then(|pack| Stills::read(&pack, job.unaltered_views.len())),
    }
}

/// Files whose content is known; developed unless the store has everything.
enum Material {
    Stored(Finished),
    Developed { files: Vec<ContentHash>, found: Found, spheres: Box<Spheres> },
}

/// A station that only needs storing.
enum Piece {
    Stored(Finished),
    Made { files: Vec<ContentHash>, tiles: Origin<Arc<Pack>, Tiles>, stills: Origin<Stills, Stills> },
}

/// Where a part of a station comes from.
enum Origin<Stored, New> {
    Stored(Stored),
    New(New),
}

/// Which job is to be begun next; none when all are. Asked from a thread of its own while others are under way.
pub(super) type Next<'n, 'j, 'a> = dyn FnMut() -> Option<&'j Job<'a>> + Send + 'n;

/// Runs jobs as `next` names them and hands each result to `done`, on this thread, in the same order.
///
/// # Errors
/// The store cannot be written; the jobs after that are not run.
pub(super) fn run<'j, 'a>(
    bench: &Bench,
    next: &mut Next<'_, 'j, 'a>,
    mut done: impl FnMut(&'j Job<'a>, Result<Finished, ShotFault>),
) -> Result<(), StoreError> {
    std::thread::scope(|scope| {
        let (developed, to_cut) = sync_channel(0);
        let (cut, to_store) = sync_channel(0);
        scope.spawn(move || develop_all(bench, next, &developed));
        scope.spawn(move || cut_all(bench, &to_cut, &cut));
        for (job, piece) in to_store {
            match piece {
                Ok(piece) => done(job, Ok(store(bench, job, piece)?)),
                Err(fault) => done(job, Err(fault)),
            }
        }
        Ok(())
    })
}

/// A job on its way down the line.
type Under<'j, 'a, T> = (&'j Job<'a>, Result<T, ShotFault>);

/// Ends early when nobody takes its results any more.
fn develop_all<'j, 'a>(bench: &Bench, next: &mut Next<'_, 'j, 'a>, to: &SyncSender<Under<'j, 'a, Material>>) {
    while let Some(job) = next() {
        if to.send((job, develop(bench, job))).is_err() {
            return;
        }
    }
}

fn develop(bench: &Bench, job: &Job) -> Result<Material, ShotFault> {
    let bytes = read_files(job)?;
    let files: Vec<ContentHash> = bytes.iter().map(|bytes| ContentHash::of(bytes)).collect();
    match find(bench, job, joined(&files)) {
        Found { pack: Some(pack), stills: Some(stills) } => Ok(Material::Stored(Finished::stored(files, pack, stills))),
        found => {
            let spheres = bench.stages.develop(bytes, job.seen.len(), &job.recipe, job.chroma)?;
            Ok(Material::Developed { files, found, spheres: Box::new(spheres) })
        }
    }
}

/// All files that a job's picture is made of.
///
/// # Errors
/// The first that changed since it was looked at, or that cannot be read.
pub(super) fn read_files(job: &Job) -> Result<Vec<Vec<u8>>, ShotFault> {
    job.files().enumerate().map(read).collect()
}

/// Those that its repairs need.
///
/// # Errors
/// As [`read_files`].
pub(super) fn read_materials(job: &Job) -> Result<Vec<Vec<u8>>, ShotFault> {
    job.files().enumerate().skip(job.seen.len()).map(read).collect()
}

fn read((index, (file, seen)): (usize, (&Shot, &Seen))) -> Result<Vec<u8>, ShotFault> {
    read_unchanged(&file.path, &seen.stamp).map_err(|fault| (index, fault))
}

/// Ends early when nobody takes its results any more.
fn cut_all<'j, 'a>(bench: &Bench, from: &Receiver<Under<'j, 'a, Material>>, to: &SyncSender<Under<'j, 'a, Piece>>) {
    for (job, material) in from {
        if to.send((job, material.map(|material| cut(bench, job, material)))).is_err() {
            return;
        }
    }
}

fn cut(bench: &Bench, job: &Job, material: Material) -> Piece {
    let (files, found, spheres) = match material {
        Material::Stored(finished) => return Piece::Stored(finished),
        Material::Developed { files, found, spheres } => (files, found, spheres),
    };
    // The small pictures are drawn beside the tiles: alone they would leave all cores but one idle.
    let tiles = || match found.pack {
        Some(pack) => Origin::Stored(pack),
        None => Origin::New(Tiles::of(bench.stages, job, &spheres)),
    };
    let stills = || match found.stills {
        Some(stills) => Origin::Stored(stills),
        None => Origin::New(Stills::of(bench.stages, job, &spheres)),
    };
    let (tiles, stills) = rayon::join(tiles, stills);
    Piece::Made { files, tiles, stills }
}

fn store(bench: &Bench, job: &Job, piece: Piece) -> Result<Finished, StoreError> {
    let (files, tiles, stills) = match piece {
        Piece::Stored(finished) => return Ok(finished),
        Piece::Made { files, tiles, stills } => (files, tiles, stills),
    };
    let (tiles_cut, stills_drawn) = (matches!(tiles, Origin::New(_)), matches!(stills, Origin::New(_)));
    let content = joined(&files);
    let pack = match tiles {
        Origin::Stored(pack) => pack,
        Origin::New(tiles) => bench.store.put(job.tiles_key(content), &tiles.entries())?,
    };
    let stills = match stills {
        Origin::Stored(stills) => stills,
        Origin::New(stills) => {
            let entries = stills.entries();
            let entries: Vec<(&str, &[u8])> = entries.iter().map(|(name, bytes)| (name.as_str(), &bytes[..])).collect();
            bench.store.put(job.still_key(content), &entries)?;
            stills
        }
    };
    Ok(Finished { files, pack, stills, tiles_cut, stills_drawn })
}
