//! What becomes of a station's spheres: tiles, first light and stills, and how they are kept in packs.
//!
//! A pack of tiles is what is published as the station's folder. Of the unaltered picture it holds only what differs, under
//! `unaltered/`: a viewer takes everything else from the picture as it is shown.

use super::job::Job;
use super::stages::{Spheres, Stages};
use crate::darkroom::retouch::Doubt;
use crate::site::UNALTERED_FOLDER;
use crate::store::Pack;
use crate::tiles::{Source, Tile};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The small equirectangular picture's name.
const FIRST_LIGHT: &str = "first-light.jpg";
/// The still of the opening view.
const STILL: &str = "still.jpg";
/// What the darkroom was not sure of, a line each: the number of the repair, a tab, and what was said.
const DOUBTS: &str = "doubts.txt";

/// Files of a station's folder, by name.
pub(super) struct Tiles(BTreeMap<String, Vec<u8>>);

impl Tiles {
    /// Cuts both spheres, and keeps of the second one what is not the same.
    pub fn of(stages: &dyn Stages, job: &Job, spheres: &Spheres) -> Tiles {
        let mut files = cut(stages, job, &spheres.picture);
        if let Some(unaltered) = &spheres.unaltered {
            let others = cut(stages, job, unaltered);
            let differing: Vec<(String, Vec<u8>)> =
                others.into_iter().filter(|(name, bytes)| files.get(name) != Some(bytes)).collect();
            files.extend(differing.into_iter().map(|(name, bytes)| (format!("{UNALTERED_FOLDER}/{name}"), bytes)));
        }
        Tiles(files)
    }

    /// As a pack keeps them.
    pub fn entries(&self) -> Vec<(&str, &[u8])> {
        self.0.iter().map(|(name, bytes)| (name.as_str(), &bytes[..])).collect()
    }

    /// The files themselves.
    pub fn into_files(self) -> BTreeMap<String, Vec<u8>> {
        self.0
    }
}

fn cut(stages: &dyn Stages, job: &Job, source: &Source) -> BTreeMap<String, Vec<u8>> {
    let (tiles, first_light) = rayon::join(
        || stages.cut(source, job.level, &job.layout, job.encoding),
        || stages.first_light(source, job.level),
    );
    let named = |tile: Tile| (job.layout.file_name(tile.id), tile.jpeg);
    tiles.into_iter().map(named).chain([(FIRST_LIGHT.to_owned(), first_light)]).collect()
}

/// Flat pictures of a station, and what the darkroom was not sure of.
#[derive(Clone, Debug)]
pub(super) struct Stills {
    /// The opening view.
    pub opening: Arc<[u8]>,
    /// What each alteration covers, as it was, in their order.
    pub unaltered: Vec<Arc<[u8]>>,
    pub doubts: Vec<Doubt>,
}

impl Stills {
    pub fn of(stages: &dyn Stages, job: &Job, spheres: &Spheres) -> Stills {
        let unaltered = spheres.unaltered.iter().flat_map(|sphere| {
            job.unaltered_views.iter().map(|view| Arc::from(stages.still(sphere, job.level, *view)))
        });
        Stills {
            opening: Arc::from(stages.still(&spheres.picture, job.level, job.still_view)),
            unaltered: unaltered.collect(),
            doubts: spheres.doubts.clone(),
        }
    }

    /// From a pack; `None` where something of it is missing.
    pub fn read(pack: &Pack, alterations: usize) -> Option<Stills> {
        let read = |name: &str| pack.read(name).ok();
        let unaltered = (0..alterations).map(|index| Some(Arc::from(read(&unaltered_name(index))?)));
        Some(Stills {
            opening: Arc::from(read(STILL)?),
            unaltered: unaltered.collect::<Option<_>>()?,
            doubts: doubts(&String::from_utf8(read(DOUBTS)?).ok()?),
        })
    }

    /// As a pack keeps them.
    pub fn entries(&self) -> Vec<(String, Arc<[u8]>)> {
        let doubts: String = self.doubts.iter().map(|doubt| format!("{}\t{}\n", doubt.repair, doubt.what)).collect();
        let unaltered = self.unaltered.iter().enumerate();
        let unaltered = unaltered.map(|(index, still)| (unaltered_name(index), Arc::clone(still)));
        let own = [(STILL.to_owned(), Arc::clone(&self.opening)), (DOUBTS.to_owned(), Arc::from(doubts.into_bytes()))];
        unaltered.chain(own).collect()
    }
}

fn unaltered_name(index: usize) -> String {
    format!("unaltered-{index}.jpg")
}

fn doubts(lines: &str) -> Vec<Doubt> {
    let doubt = |line: &str| {
        let (repair, what) = line.split_once('\t')?;
        Some(Doubt { repair: repair.parse().ok()?, what: what.to_owned() })
    };
    lines.lines().filter_map(doubt).collect()
}
