//! The production line: while one picture is cut, the next is read and decoded and the one before is stored.
//!
//! The three stations of the line hand over through channels without room, so that at most two decoded pictures exist at
//! any time: one that is being cut, one that waits. Cutting uses all cores itself.

use super::Progress;
use super::job::Job;
use super::shots::read_unchanged;
use super::stages::{Fault, Stages};
use crate::store::{ContentHash, Pack, Store, StoreError};
use crate::tiles::{Source, Tile};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

/// The small equirectangular picture's name in a pack.
const FIRST_LIGHT: &str = "first-light.jpg";
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
    /// Content of its shot.
    pub shot: ContentHash,
    pub pack: Arc<Pack>,
    pub still: Arc<[u8]>,
    pub tiles_cut: bool,
    still_drawn: bool,
}

impl Finished {
    /// One that was in the store.
    fn stored(shot: ContentHash, pack: Arc<Pack>, still: Arc<[u8]>) -> Self {
        Finished { shot, pack, still, tiles_cut: false, still_drawn: false }
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
pub(super) struct Found {
    pack: Option<Arc<Pack>>,
    still: Option<Arc<[u8]>>,
}

impl Found {
    /// The finished station, if nothing is missing.
    pub fn whole(self, shot: ContentHash) -> Option<Finished> {
        Some(Finished::stored(shot, self.pack?, self.still?))
    }
}

/// Looks in the store for what comes of a shot with this content.
pub(super) fn find(bench: &Bench, job: &Job, shot: ContentHash) -> Found {
    let still = bench.store.pack(job.still_key(shot)).and_then(|pack| pack.read(STILL).ok());
    Found {
        pack: bench.store.pack(job.tiles_key(shot)).filter(|pack| !bench.verify || pack.verify().is_ok()),
        still: still.map(Arc::from),
    }
}

/// A shot whose content is known; decoded unless the store has everything.
enum Material {
    Stored(Finished),
    Decoded { shot: ContentHash, found: Found, source: Source },
}

/// A station that only needs storing.
enum Piece {
    Stored(Finished),
    Made { shot: ContentHash, tiles: Origin<Arc<Pack>, Tiles>, still: Origin<Arc<[u8]>, Vec<u8>> },
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
    mut done: impl FnMut(&'j Job<'a>, Result<Finished, Fault>),
) -> Result<(), StoreError> {
    if jobs.is_empty() {
        return Ok(());
    }
    std::thread::scope(|scope| {
        let (decoded, to_cut) = sync_channel(0);
        let (cut, to_store) = sync_channel(0);
        scope.spawn(move || decode_all(bench, jobs, &decoded));
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
fn decode_all(bench: &Bench, jobs: &[&Job], to: &SyncSender<Result<Material, Fault>>) {
    for job in jobs {
        if to.send(decode(bench, job)).is_err() {
            return;
        }
    }
}

fn decode(bench: &Bench, job: &Job) -> Result<Material, Fault> {
    let bytes = read_unchanged(&job.station.shot.path, &job.seen.stamp)?;
    let shot = ContentHash::of(&bytes);
    match find(bench, job, shot) {
        Found { pack: Some(pack), still: Some(still) } => Ok(Material::Stored(Finished::stored(shot, pack, still))),
        found => Ok(Material::Decoded { shot, found, source: bench.stages.decode(&bytes, job.chroma)? }),
    }
}

/// Ends early when nobody takes its results any more.
fn cut_all(
    bench: &Bench,
    jobs: &[&Job],
    from: &Receiver<Result<Material, Fault>>,
    to: &SyncSender<Result<Piece, Fault>>,
) {
    for (job, material) in jobs.iter().zip(from) {
        if to.send(material.map(|material| cut(bench, job, material))).is_err() {
            return;
        }
    }
}

fn cut(bench: &Bench, job: &Job, material: Material) -> Piece {
    let Job { level, ref layout, encoding, still_view, .. } = *job;
    let (shot, found, source) = match material {
        Material::Stored(finished) => return Piece::Stored(finished),
        Material::Decoded { shot, found, source } => (shot, found, source),
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
    Piece::Made { shot, tiles, still }
}

fn store(bench: &Bench, job: &Job, piece: Piece) -> Result<Finished, StoreError> {
    let (shot, tiles, still) = match piece {
        Piece::Stored(finished) => return Ok(finished),
        Piece::Made { shot, tiles, still } => (shot, tiles, still),
    };
    let (tiles_cut, still_drawn) = (matches!(tiles, Origin::New(_)), matches!(still, Origin::New(_)));
    let pack = match tiles {
        Origin::Stored(pack) => pack,
        Origin::New(tiles) => store_tiles(bench, job, shot, &tiles)?,
    };
    let still = match still {
        Origin::Stored(still) => still,
        Origin::New(still) => {
            bench.store.put(job.still_key(shot), &[(STILL, &still)])?;
            Arc::from(still)
        }
    };
    Ok(Finished { shot, pack, still, tiles_cut, still_drawn })
}

fn store_tiles(bench: &Bench, job: &Job, shot: ContentHash, made: &Tiles) -> Result<Arc<Pack>, StoreError> {
    let names: Vec<String> = made.tiles.iter().map(|tile| job.layout.file_name(tile.id)).collect();
    let tiles = names.iter().map(String::as_str).zip(made.tiles.iter().map(|tile| tile.jpeg.as_slice()));
    let files: Vec<(&str, &[u8])> = tiles.chain([(FIRST_LIGHT, made.first_light.as_slice())]).collect();
    bench.store.put(job.tiles_key(shot), &files)
}
