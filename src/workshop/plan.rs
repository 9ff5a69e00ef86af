//! What there is to do: every shot looked at, every direction settled, one job a station.

use super::job::Job;
use super::line::{self, Finished};
use super::looks::Looks;
use super::shots::{Seen, file_problem, look_at_all, look_at_materials, remembered_as, shot_warnings};
use super::stages::{House, ShotFault, Stages, shot_fault};
use super::{Options, Progress, Run, upright};
use crate::darkroom::{self, Files};
use crate::picture::{Bitmap, Chroma};
use crate::problem::{Problem, Problems};
use crate::site::StationFiles;
use crate::sphere::Rotation;
use crate::store::{Record, Records, Role, Store, StoreError};
use crate::tour::sight::Sights;
use crate::tour::{StationKey, Tour};
use std::collections::BTreeMap;

/// A station's finished sphere, for files of its own.
#[derive(Clone, Debug)]
pub struct FinishedSphere {
    /// In its own frame.
    pub picture: Bitmap,
    /// The bytes of the shot that says what the picture is.
    pub main_shot: Vec<u8>,
    /// From the picture's frame to the level frame.
    pub level: Rotation,
    /// As the station's tiles have it.
    pub chroma: Chroma,
}

/// The light of a station's shots, for a file of its own.
#[derive(Clone, Debug)]
pub struct SphereOfLight {
    /// In its own frame, linear. 1 is white in the shot of middle exposure.
    pub picture: Bitmap<half::f16>,
    /// From the picture's frame to the level frame.
    pub level: Rotation,
}

/// All of a tour's jobs. No picture is decoded until [`Plan::run`].
pub struct Plan<'a> {
    stages: &'a dyn Stages,
    tour: &'a Tour,
    options: Options,
    store: Store,
    /// Before any shot was looked at, nanoseconds since 1970.
    began_ns: i64,
    records: Records,
    sights: BTreeMap<StationKey, Sights>,
    warnings: Problems,
    jobs: Vec<Job<'a>>,
}

impl<'a> Plan<'a> {
    /// Opens the tour's store, looks at every shot and settles every direction. Opens no shot that did not change.
    ///
    /// # Errors
    /// A store that cannot be used; every shot whose headers say that it cannot be used; else doors and steps whose
    /// direction nothing tells.
    pub fn new(tour: &'a Tour, options: Options) -> Result<Self, Problems> {
        Plan::with_stages(&House, tour, options)
    }

    pub(super) fn with_stages(stages: &'a dyn Stages, tour: &'a Tour, options: Options) -> Result<Self, Problems> {
        let store = Store::open(&tour.folder).map_err(|error| store_problem(&error))?;
        let began_ns = stages.now_ns();
        let records = if options.verify { Records::default() } else { store.records() };
        let mut all_seen = look_at_all(tour, &records, stages)?;
        upright::find_all(tour, &mut all_seen, stages)?;
        let (sights, mut warnings) = settle(tour, &all_seen, stages)?;
        let all_seen = all_seen.into_iter().zip(look_at_materials(tour, &records)?);
        let jobs = tour.stations().zip(all_seen);
        let mut jobs: Vec<Job> =
            jobs.map(|(station, seen)| Job::new(station, seen, &sights[&station.key], options)).collect();
        let looks = Looks { stages, tour, store: &store, sights: &sights };
        warnings.extend(looks.settle(&mut jobs)?);
        Ok(Plan { stages, tour, options, store, began_ns, records, sights, warnings, jobs })
    }

    /// Headings and directions of every station.
    pub fn sights(&self) -> &BTreeMap<StationKey, Sights> {
        &self.sights
    }

    /// What somebody should look at.
    pub fn warnings(&self) -> &Problems {
        &self.warnings
    }

    /// Gives up the plan for its headings and directions.
    pub fn into_sights(self) -> BTreeMap<StationKey, Sights> {
        self.sights
    }

    /// Makes some stations, in the order given: what is in the store is taken from there, the rest is cut. The result
    /// does not depend on the order, on other stations, or on the number of cores. Keys that the tour does not have are
    /// passed over.
    ///
    /// `progress` is called from this thread.
    ///
    /// # Errors
    /// Every shot that cannot be decoded or that changed since the plan was made (all others are finished and
    /// stored all the same); a store that cannot be written.
    pub fn run(&mut self, wanted: &[StationKey], progress: &(dyn Fn(Progress) + Sync)) -> Result<Run, Problems> {
        self.run_telling(wanted, &|_| 0, progress, &mut |_, _| {})
    }

    /// The same, and each station that has to be made is handed over as soon as it is. `choose` is asked, whenever a station can be begun, for the place
    /// of the next one in the list of those that are left; it is called from another thread.
    ///
    /// # Errors
    /// As [`Plan::run`].
    pub fn run_telling(
        &mut self,
        wanted: &[StationKey],
        choose: &(dyn Fn(&[&StationKey]) -> usize + Sync),
        progress: &(dyn Fn(Progress) + Sync),
        each: &mut dyn FnMut(&StationKey, StationFiles),
    ) -> Result<Run, Problems> {
        let jobs: Vec<&Job> = wanted.iter().filter_map(|key| self.job(key)).collect();
        let bench = line::Bench { stages: self.stages, store: &self.store, verify: self.options.verify };
        let (mut finished, to_make) = sort_out(&bench, &jobs);
        progress(Progress::Planned { to_cut: to_make.len(), stations: jobs.len() });
        let mut left = to_make.clone();
        let mut next = || {
            let keys: Vec<&StationKey> = left.iter().map(|job| &job.station.key).collect();
            let chosen = if keys.is_empty() { return None } else { choose(&keys).min(keys.len() - 1) };
            Some(left.remove(chosen))
        };
        let problems = self.make_missing(&bench, &mut next, progress, &mut |job, made: Finished| {
            each(&job.station.key, station_files(job, made.clone()));
            finished.push((job, made));
        });
        if !to_make.is_empty() {
            self.store.keep_within_bound();
        }
        let records = self.learned(&finished);
        let cut = finished.iter().filter(|(_, made)| made.tiles_cut).count();
        let mut warnings = Problems::new();
        finished.iter().flat_map(|(job, made)| doubts(job, made)).for_each(|doubt| warnings.push(doubt));
        let stations = finished.into_iter().map(|(job, made)| (job.station.key.clone(), station_files(job, made)));
        let stations = stations.collect();
        warnings.extend(self.remember(records));
        if problems.is_empty() {
            Ok(Run { stations, cut, warnings: warnings.sorted() })
        } else {
            Err(problems.sorted())
        }
    }

    pub(super) fn tour(&self) -> &'a Tour {
        self.tour
    }

    pub(super) fn job(&self, key: &StationKey) -> Option<&Job<'a>> {
        self.jobs.iter().find(|job| job.station.key == *key)
    }

    /// Stations whose pictures are in the store, as far as that is known without reading a shot.
    pub fn stored(&self) -> BTreeMap<StationKey, StationFiles> {
        let bench = line::Bench { stages: self.stages, store: &self.store, verify: false };
        let found = self.jobs.iter().filter_map(|job| Some((job, line::find_unread(&bench, job)?)));
        found.map(|(job, made)| (job.station.key.clone(), station_files(job, made))).collect()
    }

    /// One station's finished sphere with 16 bits a channel, made anew: nothing is taken from the store or put there.
    /// `None` where the tour has no such station.
    ///
    /// # Errors
    /// A shot that cannot be decoded or that changed since the plan was made.
    pub fn finished(&self, key: &StationKey) -> Option<Result<FinishedSphere, Problems>> {
        self.made(key, |job, files| {
            let picture = darkroom::develop_deep(files, &job.recipe).map_err(shot_fault)?;
            let main_shot = files.shots[files.shots.len() / 2].clone();
            Ok(FinishedSphere { picture, main_shot, level: job.level, chroma: job.chroma })
        })
    }

    /// The light of one station's shots with its repairs, before any tone. `None` where the tour has no such station.
    ///
    /// # Errors
    /// As [`Plan::finished`].
    pub fn light(&self, key: &StationKey) -> Option<Result<SphereOfLight, Problems>> {
        self.made(key, |job, files| {
            let light = darkroom::radiance(files, &job.recipe).map_err(shot_fault)?;
            Ok(SphereOfLight { picture: Bitmap::of_light(&light), level: job.level })
        })
    }

    fn made<T>(
        &self,
        key: &StationKey,
        make: impl FnOnce(&Job, Files<'_>) -> Result<T, ShotFault>,
    ) -> Option<Result<T, Problems>> {
        let job = self.job(key)?;
        let made = line::read_files(job).and_then(|files| {
            let (shots, materials) = files.split_at(job.seen.len());
            make(job, Files { shots, materials })
        });
        Some(made.map_err(|fault| file_problem(self.tour, job.station, fault).into()))
    }

    /// Sends jobs down the production line; what cannot be made comes back as problems.
    fn make_missing<'j>(
        &self,
        bench: &line::Bench,
        next: &mut line::Next<'_, 'j, 'a>,
        progress: &dyn Fn(Progress),
        done: &mut dyn FnMut(&'j Job<'a>, Finished),
    ) -> Problems {
        let mut problems = Problems::new();
        let ended = line::run(bench, next, |job, result| match result {
            Ok(made) => {
                progress(made.told(job));
                done(job, made);
            }
            Err(fault) => problems.push(file_problem(self.tour, job.station, fault)),
        });
        if let Err(error) = ended {
            problems.extend(store_problem(&error));
        }
        problems
    }

    /// What is known of the tour's shots after a run; shots that left the tour are forgotten.
    fn learned(&self, finished: &[(&Job, Finished)]) -> Records {
        let of_role = |role: Role, file| (role, remembered_as(self.tour, file));
        let files = self.tour.stations().flat_map(|station| {
            let shots = station.shots.iter().map(|shot| of_role(Role::Shot, shot));
            shots.chain(station.materials().map(|file| of_role(Role::Material, file)))
        });
        let mut records = self.records.only(files);
        for (job, made) in finished {
            let files = job.files().zip(&made.files).enumerate();
            for (index, ((file, seen), &hash)) in files.filter(|(_, ((_, seen), _))| seen.is_news) {
                let Seen { stamp, ref facts, .. } = *seen;
                let record = Record { stamp, recorded_ns: self.began_ns, hash, facts: facts.clone() };
                let role = if index < job.seen.len() { Role::Shot } else { Role::Material };
                records.insert(role, remembered_as(self.tour, file), record);
            }
        }
        records
    }

    /// Writes the records down if they are not what is written already. A failure only costs time, later.
    fn remember(&mut self, records: Records) -> Problems {
        if records == self.records {
            return Problems::new();
        }
        self.records = records;
        match self.store.remember(&self.records) {
            Ok(()) => Problems::new(),
            Err(error) => Problem::warning(error.to_string(), error.remedy()).into(),
        }
    }
}

/// What the store has, and what needs its shot read.
fn sort_out<'j, 'a>(bench: &line::Bench, jobs: &[&'j Job<'a>]) -> (Vec<(&'j Job<'a>, Finished)>, Vec<&'j Job<'a>>) {
    let mut finished = Vec::new();
    let mut to_make = Vec::new();
    for &job in jobs {
        match line::find_unread(bench, job) {
            Some(found) => finished.push((job, found)),
            None => to_make.push(job),
        }
    }
    (finished, to_make)
}

/// Settles every direction with what the pictures say of themselves; `all_seen` is in the order of the stations. The second
/// value holds warnings, those of the pictures among them.
pub(super) fn settle(
    tour: &Tour,
    all_seen: &[Vec<Seen>],
    stages: &dyn Stages,
) -> Result<(BTreeMap<StationKey, Sights>, Problems), Problems> {
    let stations = tour.stations().zip(all_seen);
    let poses = stations
        .filter_map(|(station, seen)| Some((station.key.clone(), seen[seen.len() / 2].pose(station.tilt)?)))
        .collect();
    let (sights, mut warnings) = stages.settle(tour, &poses)?;
    for (station, seen) in tour.stations().zip(all_seen) {
        shot_warnings(tour, station, seen).for_each(|warning| warnings.push(warning));
    }
    upright::warnings(tour, all_seen).for_each(|warning| warnings.push(warning));
    Ok((sights, warnings.sorted()))
}

fn station_files(job: &Job, made: Finished) -> StationFiles {
    StationFiles {
        hash: job.tiles_key(made.content()).short(),
        layout: job.layout.clone(),
        pack: made.pack,
        still: made.stills.opening,
        unaltered_stills: made.stills.unaltered,
    }
}

/// What the darkroom was not sure of, as warnings at the repairs that it is about.
fn doubts<'j>(job: &'j Job, made: &'j Finished) -> impl Iterator<Item = Problem> + 'j {
    made.stills.doubts.iter().filter_map(|doubt| {
        let repair = job.station.retouch.get(doubt.repair)?;
        let what = format!("in `{}`, {}", job.station.key, doubt.what);
        let instead = "look at the result; a `radius`, or a repair of another kind, may do better";
        Some(Problem::warning(what, instead).at(&repair.place).station(job.station.key.to_string()))
    })
}

pub(super) fn store_problem(error: &StoreError) -> Problems {
    Problem::error(error.to_string(), error.remedy()).into()
}
