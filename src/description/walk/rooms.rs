//! Rooms, stations, shots and notes.

use super::entries::Entries;
use super::scalars::{flag, placed_pair};
use super::texts::{any_text, placed_title, title};
use super::{angles, at_least_one, camera_height, file_name, identity, links, list, quality, retouch, tone, ways};
use crate::description::placed::Placed;
use crate::description::tree::{Kind, Node};
use crate::description::types::{Note, NotePicture, Room, Shots, Sighting, Station};
use crate::problem::{Problem, Problems};

/// Keys that describe a station: those of a room, too, if it has only one.
const STATION_KEYS: [&str; 10] = [
    "shots",
    "heading",
    "stands-at",
    "camera-height",
    "tilt",
    "quality",
    "full-colour",
    "opening-view",
    "notes",
    "retouch",
];

/// Exposures of one view: more than any camera's bracket has. Common practice, no source.
const MOST_SHOTS: usize = 9;

/// Keys of work that is not done yet.
const NOT_YET: [&str; 1] = ["camera"];

pub fn room(node: &Node, problems: &mut Problems) -> Option<Placed<Room>> {
    let mut entries = Entries::of(node, "a room", problems)?;
    let id = entries.required("id", identity).unwrap_or_default();
    let title = entries.required("title", placed_title).unwrap_or_default();
    let large = entries.has("stations");
    if large {
        for key in STATION_KEYS.into_iter().filter(|key| entries.has(key)).collect::<Vec<_>>() {
            let what = format!("`{key}` stands beside `stations`");
            entries.problem_at(key, what, "move it into the station that it belongs to");
        }
    }
    let stations = entries.optional("stations", |node, problems| at_least_one(node, problems, "stations", station));
    let steps = entries.optional("steps", |node, problems| list(node, problems, "steps", ways::step));
    let shots = if large { entries.optional("shots", shots) } else { entries.required("shots", shots) };
    let own = station_keys(&mut entries, Placed::default(), shots.clone().unwrap_or_default());
    entries.not_yet(&NOT_YET);
    entries.finish();
    let room = Room {
        id,
        title,
        stations,
        steps,
        shots,
        heading: own.heading,
        stands_at: own.stands_at,
        camera_height: own.camera_height,
        tilt: own.tilt,
        tone: own.tone,
        quality: own.quality,
        full_colour: own.full_colour,
        opening_view: own.opening_view,
        notes: own.notes,
        retouch: own.retouch,
    };
    Some(Placed::new(room, &node.place))
}

fn station(node: &Node, problems: &mut Problems) -> Option<Placed<Station>> {
    let mut entries = Entries::of(node, "a station", problems)?;
    let id = entries.required("id", identity).unwrap_or_default();
    let shots = entries.required("shots", shots).unwrap_or_default();
    let station = station_keys(&mut entries, id, shots);
    entries.not_yet(&NOT_YET);
    entries.finish();
    Some(Placed::new(station, &node.place))
}

/// What a station and a room of one station have in common, `shots` apart.
fn station_keys(entries: &mut Entries<'_, '_>, id: Placed<String>, shots: Placed<Shots>) -> Station {
    Station {
        id,
        shots,
        heading: entries.optional("heading", angles::heading),
        stands_at: entries.optional("stands-at", placed_pair),
        camera_height: entries.optional("camera-height", camera_height),
        tilt: entries.optional("tilt", angles::tilt),
        tone: entries.optional("tone", tone::tone).unwrap_or_default(),
        quality: entries.optional("quality", quality),
        full_colour: entries.optional("full-colour", flag),
        opening_view: entries.optional("opening-view", angles::opening_view),
        notes: entries.optional("notes", |node, problems| list(node, problems, "notes", note)).unwrap_or_default(),
        retouch: entries.optional("retouch", retouch::retouch).unwrap_or_default(),
    }
}

/// One file, or several exposures of one view.
fn shots(node: &Node, problems: &mut Problems) -> Option<Placed<Shots>> {
    let Kind::Sequence(items) = &node.kind else {
        return file_name(node, problems).map(|file| Placed::new(Shots::One(file), &node.place));
    };
    let files: Vec<_> = items.iter().filter_map(|item| file_name(item, problems)).collect();
    if items.is_empty() {
        problems.push(Problem::error("`shots` is an empty list", "name the picture's file").at(&node.place));
    } else if items.len() > MOST_SHOTS {
        let what = format!("`shots` lists {} files; at most {MOST_SHOTS} exposures are merged", items.len());
        let instead = "list the exposures of one view only: each place of the tripod is a station of its own";
        problems.push(Problem::error(what, instead).at(&node.place));
    }
    let usable = !items.is_empty() && items.len() == files.len() && items.len() <= MOST_SHOTS;
    usable.then(|| Placed::new(Shots::List(files), &node.place))
}

fn note(node: &Node, problems: &mut Problems) -> Option<Placed<Note>> {
    let mut entries = Entries::of(node, "a note", problems)?;
    let says_something = ["text", "picture", "link"].into_iter().any(|key| entries.has(key));
    let Sighting { spot, heading, elevation } = angles::direction(&mut entries);
    let note = Note {
        spot,
        heading,
        elevation,
        title: entries.optional("title", title),
        text: entries.optional("text", title).unwrap_or_default(),
        picture: entries.optional("picture", note_picture),
        link: entries.optional("link", links::link),
    };
    if !says_something {
        entries.problem("this note says nothing", "write a `text`, a `picture` or a `link`");
    }
    entries.finish();
    Some(Placed::new(note, &node.place))
}

fn note_picture(node: &Node, problems: &mut Problems) -> Option<NotePicture> {
    let mut entries = Entries::of(node, "a note's picture", problems)?;
    let picture = NotePicture {
        file: entries.required("file", file_name).unwrap_or_default(),
        alternative: entries.required("alternative", any_text).unwrap_or_default(),
    };
    entries.finish();
    Some(picture)
}
