//! Looks that are taken over from next door: worked out once for a pair of pictures, and kept in the store.

use super::job::{Job, joined};
use super::line::read_files;
use super::shots::file_problem;
use super::stages::{ShotFault, Stages};
use crate::darkroom::doorway::{Doorway, Match, MatchError};
use crate::darkroom::{Recipe, Tone};
use crate::problem::{Problem, Problems};
use crate::sphere::{Direction, Spot};
use crate::store::{ContentHash, Store};
use crate::tour::sight::{HotspotKind, Sights};
use crate::tour::{Likeness, StationKey, Tour};
use std::collections::BTreeMap;

/// Raise it whenever the same two pictures would give another match than before.
const METHOD: u32 = 2;
/// The name under which a match is kept in its pack.
const MATCH: &str = "match";

/// One side of a comparison: a station's shots, and where it sees the door.
pub(super) struct Side<'a> {
    pub shots: &'a [Vec<u8>],
    pub door: Doorway,
}

/// What settling the looks needs.
pub(super) struct Looks<'p, 'a> {
    pub stages: &'p dyn Stages,
    pub tour: &'a Tour,
    pub store: &'p Store,
    pub sights: &'p BTreeMap<StationKey, Sights>,
}

impl Looks<'_, '_> {
    /// Gives the recipe of every station whose look is taken over what it needs, in an order in which each comes after the one it is
    /// taken from. Warns of those that cannot be matched, which stay as they are.
    ///
    /// # Errors
    /// Every shot that cannot be read or decoded, and a store that cannot be written.
    pub fn settle(&self, jobs: &mut [Job]) -> Result<Problems, Problems> {
        let mut warnings = Problems::new();
        for station in self.tour.in_order_of_looks() {
            let Some(likeness) = &station.like else { continue };
            let at = |key: &StationKey| jobs.iter().position(|job| job.station.key == *key);
            let (Some(own), Some(other)) = (at(&station.key), at(&likeness.to)) else { continue };
            match self.matched(&jobs[own], &jobs[other], likeness)? {
                Ok(matched) => jobs[own].recipe.matched = Some(matched),
                Err(error) => {
                    let what = format!("`{}` cannot be matched to `{}`: {error}", station.key, likeness.to);
                    let warning = Problem::warning(what, error.instead()).at(&likeness.place);
                    warnings.push(warning.station(station.key.to_string()));
                }
            }
        }
        Ok(warnings)
    }

    fn matched(&self, own: &Job, other: &Job, likeness: &Likeness) -> Result<Result<Match, MatchError>, Problems> {
        let doors = (self.door(own, &likeness.to), self.door(other, &own.station.key));
        let (Some(own_door), Some(other_door)) = doors else { return Ok(Err(MatchError::TooLittle)) };
        let light = light_of(&other.recipe);
        let known = own.shots_content().zip(other.shots_content());
        let kept = |(own, other)| self.kept(look_key((own, own_door), (other, other_door), &light));
        if let Some(matched) = known.and_then(kept) {
            return Ok(Ok(matched));
        }
        let trouble = |job: &Job, fault: ShotFault| -> Problems { file_problem(self.tour, job.station, fault).into() };
        let shots = |job: &Job| {
            let mut files = read_files(job).map_err(|fault| trouble(job, fault))?;
            files.truncate(job.seen.len());
            Ok::<_, Problems>(files)
        };
        let (own_shots, other_shots) = (shots(own)?, shots(other)?);
        let key = look_key((content(&own_shots), own_door), (content(&other_shots), other_door), &light);
        if let Some(matched) = self.kept(key) {
            return Ok(Ok(matched));
        }
        let sides = (Side { shots: &own_shots, door: own_door }, Side { shots: &other_shots, door: other_door });
        let found = self.stages.matching(sides, &light);
        let found = found.map_err(|(is_own, fault)| trouble(if is_own { own } else { other }, fault))?;
        if let Ok(matched) = found {
            self.store.put(key, &[(MATCH, &written(&matched))]).map_err(|error| super::plan::store_problem(&error))?;
        }
        Ok(found)
    }

    fn kept(&self, key: ContentHash) -> Option<Match> {
        read(&self.store.pack(key)?.read(MATCH).ok()?)
    }

    /// Where a station sees the door to a room, in its picture's own frame.
    fn door(&self, job: &Job, to: &StationKey) -> Option<Doorway> {
        let sights = self.sights.get(&job.station.key)?;
        let centre_deg = sights.heading.map_or(0.0, |heading| heading.degrees());
        sights.hotspots.iter().find_map(|hotspot| {
            let HotspotKind::Door { to: leads_to, doorway, .. } = &hotspot.kind else { return None };
            if leads_to.room != to.room {
                return None;
            }
            let middle_deg = (doorway.top_deg + doorway.bottom_deg) / 2.0;
            let seen = Direction::from_degrees(hotspot.heading_deg - centre_deg, middle_deg);
            let seen = job.level.inverse().apply(seen);
            Some(Doorway {
                spot: Spot::new(seen.longitude(), seen.latitude()).ok()?,
                width_deg: doorway.width_deg,
                height_deg: doorway.top_deg - doorway.bottom_deg,
            })
        })
    }
}

/// What of a recipe changes how light and how warm a picture is: that is what is taken over.
fn light_of(recipe: &Recipe) -> Recipe {
    let Tone { exposure_ev, white_balance, .. } = recipe.tone;
    Recipe {
        retouch: Vec::new(),
        tone: Tone { exposure_ev, white_balance, ..Tone::default() },
        matched: recipe.matched,
    }
}

fn content(shots: &[Vec<u8>]) -> ContentHash {
    joined(&shots.iter().map(|bytes| ContentHash::of(bytes)).collect::<Vec<_>>())
}

/// Names a match by all that goes into it.
fn look_key(own: (ContentHash, Doorway), other: (ContentHash, Doorway), light: &Recipe) -> ContentHash {
    let mut key = blake3::Hasher::new();
    key.update(b"look").update(&METHOD.to_le_bytes());
    for (shots, door) in [own, other] {
        key.update(&shots.0);
        for number in [door.spot.longitude(), door.spot.latitude(), door.width_deg, door.height_deg] {
            key.update(&(number + 0.0).to_bits().to_le_bytes());
        }
    }
    light.name(&mut key);
    ContentHash(*key.finalize().as_bytes())
}

/// Four numbers to the last bit.
fn written(matched: &Match) -> Vec<u8> {
    let [red, green, blue] = matched.gains;
    [matched.exposure_ev, red, green, blue].iter().flat_map(|number| number.to_bits().to_le_bytes()).collect()
}

fn read(bytes: &[u8]) -> Option<Match> {
    let numbers: Vec<f64> = bytes
        .chunks_exact(8)
        .filter_map(|eight| Some(f64::from_bits(u64::from_le_bytes(eight.try_into().ok()?))))
        .collect();
    let [exposure_ev, red, green, blue] = numbers[..] else { return None };
    Some(Match { exposure_ev, gains: [red, green, blue] })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_match_comes_back_to_the_last_bit() {
        let matched = Match { exposure_ev: 0.1 + 0.2, gains: [1.0 / 3.0, 1.0, -0.0] };
        assert_eq!(read(&written(&matched)), Some(matched));
        assert_eq!(read(b"too short"), None);
    }
}
