//! One station's work: what goes in, and the keys under which the store holds what comes out.

use super::Options;
use super::shots::Seen;
use crate::darkroom::{Recipe, retouch};
use crate::picture::Chroma;
use crate::sphere::{Rotation, wrap_degrees};
use crate::store::ContentHash;
use crate::tiles::layout::BORDER_PX;
use crate::tiles::{Encoding, Layout, StillView};
use crate::tour::sight::Sights;
use crate::tour::{Repair, Shot, Station};

/// Raise it whenever the same shot and recipe would give other bytes than before: decoding, the darkroom, sampling, encoding.
const PIPELINE: u32 = 9;

/// Large enough for a page without script and for a share card, at the proportions of a photograph.
const STILL_PX: (u32, u32) = (1200, 800);
/// What an architectural photograph of a room shows; common practice, no source.
const STILL_FIELD_OF_VIEW_DEG: f64 = 90.0;

/// Large enough to see what was altered.
const UNALTERED_PX: u32 = 640;
/// How wide a view of an alteration is, by how far it reaches; and at least and at most, in degrees.
const SURROUNDINGS: f64 = 4.0;
const UNALTERED_DEG: (f64, f64) = (30.0, 110.0);

/// One station's work. Depends on nothing but what it holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Job<'a> {
    pub station: &'a Station,
    /// Its shots, in the order of the station's list.
    pub seen: Vec<Seen>,
    /// What its repairs need, in their order.
    pub materials: Vec<Seen>,
    /// What is done to them before they are cut.
    pub recipe: Recipe,
    /// From the camera's frame to the level frame.
    pub level: Rotation,
    pub chroma: Chroma,
    pub encoding: Encoding,
    pub layout: Layout,
    pub still_view: StillView,
    /// Where each of its alterations is seen, in their order.
    pub unaltered_views: Vec<StillView>,
}

impl<'a> Job<'a> {
    pub fn new(
        station: &'a Station,
        (seen, materials): (Vec<Seen>, Vec<Seen>),
        sights: &Sights,
        options: Options,
    ) -> Self {
        Job {
            station,
            level: sights.level,
            chroma: if station.full_chroma { Chroma::Full } else { Chroma::Half },
            encoding: Encoding { quality: station.quality, small: options.small },
            layout: Layout::for_width(main(&seen).facts.sphere_width),
            recipe: Recipe { retouch: retouch::repairs(&station.retouch), matched: None, tone: station.tone },
            still_view: still_view(sights),
            unaltered_views: unaltered_views(station, sights),
            seen,
            materials,
        }
    }

    /// Every file that its picture is made of, with what was seen of it: its shots, then the materials of its repairs.
    pub fn files(&self) -> impl Iterator<Item = (&'a Shot, &Seen)> {
        self.station.files().zip(self.seen.iter().chain(&self.materials))
    }

    /// Columns of its sphere.
    pub fn layout_width(&self) -> u32 {
        main(&self.seen).facts.sphere_width
    }

    /// Content of all its files, if it is known without reading them.
    pub fn content(&self) -> Option<ContentHash> {
        let hashes: Option<Vec<ContentHash>> = self.files().map(|(_, seen)| seen.hash).collect();
        Some(joined(&hashes?))
    }

    /// The same of its shots alone.
    pub fn shots_content(&self) -> Option<ContentHash> {
        let hashes: Option<Vec<ContentHash>> = self.seen.iter().map(|seen| seen.hash).collect();
        Some(joined(&hashes?))
    }

    /// Names the tiles and first light that come of shots with this content.
    pub fn tiles_key(&self, shot: ContentHash) -> ContentHash {
        let mut key = self.picture_key("tiles", shot);
        key.update(&[self.encoding.quality, u8::from(self.encoding.small)]).update(&BORDER_PX.to_le_bytes());
        for level in &self.layout.levels {
            for number in [level.face_px, level.content_px, level.files] {
                key.update(&number.to_le_bytes());
            }
        }
        ContentHash(*key.finalize().as_bytes())
    }

    /// Names the still that comes of shots with this content. The tiles' encoding does not matter to it.
    pub fn still_key(&self, shot: ContentHash) -> ContentHash {
        let mut key = self.picture_key("still", shot);
        let StillView { longitude_deg, elevation_deg, field_of_view_deg, width, height } = self.still_view;
        for number in [longitude_deg, elevation_deg, field_of_view_deg] {
            key.update(&bits(number));
        }
        key.update(&width.to_le_bytes()).update(&height.to_le_bytes());
        ContentHash(*key.finalize().as_bytes())
    }

    /// What tiles and stills have in common. Every part has a fixed length, so no two inputs run into each other.
    fn picture_key(&self, kind: &str, shot: ContentHash) -> blake3::Hasher {
        let mut key = blake3::Hasher::new();
        key.update(kind.as_bytes()).update(&PIPELINE.to_le_bytes()).update(&shot.0);
        key.update(&[u8::from(self.chroma == Chroma::Full)]);
        self.recipe.name(&mut key);
        for number in self.level.0.as_flattened() {
            key.update(&bits(*number));
        }
        key
    }
}

/// One name for the content of one shot or several, in their order.
pub(super) fn joined(shots: &[ContentHash]) -> ContentHash {
    match shots {
        [one] => *one,
        several => {
            let mut joined = blake3::Hasher::new();
            joined.update(b"bracket").update(&several.len().to_le_bytes());
            several.iter().for_each(|shot| _ = joined.update(&shot.0));
            ContentHash(*joined.finalize().as_bytes())
        }
    }
}

/// The shot that says what the picture is; the same as [`Station::main_shot`].
fn main(seen: &[Seen]) -> &Seen {
    &seen[seen.len() / 2]
}

/// The opening view, counted from the level picture's centre column.
fn still_view(sights: &Sights) -> StillView {
    let centre_deg = sights.heading.map_or(0.0, |heading| heading.degrees());
    StillView {
        longitude_deg: wrap_degrees(sights.opening.heading_deg - centre_deg),
        elevation_deg: sights.opening.elevation_deg,
        field_of_view_deg: sights.opening.field_of_view_deg.unwrap_or(STILL_FIELD_OF_VIEW_DEG),
        width: STILL_PX.0,
        height: STILL_PX.1,
    }
}

/// A view of each alteration with its surroundings.
fn unaltered_views(station: &Station, sights: &Sights) -> Vec<StillView> {
    let alterations = station.retouch.iter().filter(|repair| repair.is_alteration());
    let view = |repair: &Repair| {
        let (middle, reach_deg) = repair.whereabouts();
        let seen = sights.level.apply(middle);
        StillView {
            longitude_deg: seen.longitude(),
            elevation_deg: seen.latitude(),
            field_of_view_deg: (SURROUNDINGS * reach_deg).clamp(UNALTERED_DEG.0, UNALTERED_DEG.1),
            width: UNALTERED_PX,
            height: UNALTERED_PX,
        }
    };
    alterations.map(view).collect()
}

/// A number to the last bit, with one zero only.
fn bits(number: f64) -> [u8; 8] {
    (number + 0.0).to_bits().to_le_bytes()
}
