//! Which file lies where in a site: `walk.json`, the pages, and everything they name.

use super::about::{self, ABOUT_PAGE, About, AboutWords};
use super::clean::{CleanError, CleanFile};
use super::page::{Page, Picture};
use super::templates;
use super::viewer::Viewer;
use super::walk::{self, Number, Target, Walk};
use super::{Content, Site, StationFiles, UNALTERED_FOLDER};
use crate::problem::{Place, Problem, Problems};
use crate::sphere::Heading;
use crate::store::ContentHash;
use crate::tiles::layout::BORDER_PX;
use crate::tour::sight::{Hotspot, HotspotKind, Sights};
use crate::tour::{Floor, Note, Plan, Repair, Room, Station, StationKey, Text, Tour, Unaltered};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// Composes the whole site. Reads the tour's own `templates/`, its plans and its notes' pictures; writes nothing.
///
/// # Errors
/// All at once: a template of the tour that Tera refuses, with file and line where Tera says them; a plan or picture that
/// no browser shows; a station that was not made.
pub fn compose(
    tour: &Tour,
    sights: &BTreeMap<StationKey, Sights>,
    stations: &BTreeMap<StationKey, StationFiles>,
) -> Result<Site, Problems> {
    compose_with(tour, sights, stations, &Viewer::embedded())
}

/// The same with a viewer of the caller's choice.
pub(super) fn compose_with(
    tour: &Tour,
    sights: &BTreeMap<StationKey, Sights>,
    stations: &BTreeMap<StationKey, StationFiles>,
    viewer: &Viewer,
) -> Result<Site, Problems> {
    let mut composer = Composer {
        tour,
        sights,
        stations,
        lasting: BTreeMap::new(),
        sizes: BTreeMap::new(),
        problems: Problems::new(),
    };
    let about = composer.about();
    let mut walk = composer.walk();
    walk.about = about.as_ref().map(|about| walk::About {
        page: ABOUT_PAGE.to_owned(),
        name: about.words.title.to_owned(),
        language: about.words.language.to_owned(),
    });
    for (name, bytes) in &viewer.files {
        composer.lasting.insert(format!("{}/{name}", viewer.folder), Content::Bytes(bytes.clone()));
    }
    let page = Page::of(&walk, &composer.sizes, about, viewer);
    let pages = templates::render(&page, &tour.folder).unwrap_or_else(|problems| {
        composer.problems.extend(problems);
        Vec::new()
    });
    if composer.problems.has_errors() {
        return Err(composer.problems.sorted());
    }
    let changing = std::iter::once(("walk.json".to_string(), walk.to_json())).chain(pages);
    let changing = changing.map(|(name, bytes)| (name, Content::Bytes(bytes.into()))).collect();
    Ok(Site { lasting: composer.lasting, changing })
}

struct Composer<'a> {
    tour: &'a Tour,
    sights: &'a BTreeMap<StationKey, Sights>,
    stations: &'a BTreeMap<StationKey, StationFiles>,
    lasting: BTreeMap<String, Content>,
    /// Width and height of pictures, by their path in the site.
    sizes: BTreeMap<String, [u32; 2]>,
    problems: Problems,
}

impl Composer<'_> {
    fn walk(&mut self) -> Walk {
        let tour = self.tour;
        Walk {
            version: walk::VERSION,
            title: tour.title.clone(),
            summary: tour.summary.clone(),
            language: tour.language.clone(),
            languages: several(tour.languages()),
            opens_in: Target::of(&tour.opens_in),
            about: None,
            tile_border_px: BORDER_PX,
            floors: tour.floors.iter().map(|floor| self.floor(floor)).collect(),
            rooms: tour.rooms().map(|(floor, room)| self.room(floor, room)).collect(),
        }
    }

    fn floor(&mut self, floor: &Floor) -> walk::Floor {
        let plan = floor.plan.as_ref().and_then(|plan| self.plan(floor, plan));
        walk::Floor { id: floor.id.to_string(), title: floor.title.clone(), plan }
    }

    fn plan(&mut self, floor: &Floor, plan: &Plan) -> Option<walk::Plan> {
        let drawing = self.file(&format!("plans/{}", floor.id), &plan.drawing, &plan.place)?;
        let [width, height] = plan.size;
        // A drawing has no pixels: a page only needs its shape, before it has loaded.
        self.sizes.entry(drawing.clone()).or_insert([1000, (1000.0 * height / width).round().max(1.0) as u32]);
        Some(walk::Plan {
            drawing,
            origin: plan.origin.map(Number::of),
            size: plan.size.map(Number::of),
            north_deg: plan.north_deg.map(Number::heading),
            metres_per_unit: plan.metres_per_unit.map(Number::scale),
        })
    }

    fn room(&mut self, floor: &Floor, room: &Room) -> walk::Room {
        walk::Room {
            id: room.id.to_string(),
            title: room.title.clone(),
            floor: floor.id.to_string(),
            stations: room.stations.iter().filter_map(|station| self.station(station)).collect(),
        }
    }

    fn station(&mut self, station: &Station) -> Option<walk::Station> {
        let (Some(sights), Some(files)) = (self.sights.get(&station.key), self.stations.get(&station.key)) else {
            self.problems.push(not_made(&station.key).at(&station.place));
            return None;
        };
        let folder = format!("stations/{}-{}", station.key.slug(), files.hash);
        let is_unaltered = |name: &str| name.starts_with(UNALTERED_FOLDER);
        let shows_unaltered = self.tour.unaltered.value == Unaltered::View;
        for (name, _) in files.pack.entries().filter(|(name, _)| shows_unaltered || !is_unaltered(name)) {
            let content = Content::Packed(files.pack.clone(), name.to_string());
            self.lasting.insert(format!("{folder}/{name}"), content);
        }
        let unaltered = if shows_unaltered { self.unaltered(&folder, files) } else { None };
        Some(walk::Station {
            id: station.key.station.to_string(),
            folder,
            first_light: "first-light.jpg".to_string(),
            unaltered,
            still: self.still(&station.key, files),
            levels: levels(files),
            heading_deg: sights.heading.map(|heading| Number::heading(heading.degrees())),
            opening: walk::Opening {
                heading: Number::heading(sights.opening.heading_deg),
                elevation: Number::of(sights.opening.elevation_deg),
                field_of_view: sights.opening.field_of_view_deg.map(Number::of),
            },
            stands_at: station.stands_at.map(|place| place.map(Number::of)),
            hotspots: sights.hotspots.iter().filter_map(|hotspot| self.hotspot(station, hotspot)).collect(),
        })
    }

    /// Takes in the list of the files that differ where the picture is not altered, as a file of its own that only who asks for it loads.
    /// Returns its path below the station's folder; `None` where nothing differs.
    fn unaltered(&mut self, folder: &str, files: &StationFiles) -> Option<String> {
        let below = format!("{UNALTERED_FOLDER}/");
        let names: Vec<&str> = files.pack.entries().filter_map(|(name, _)| name.strip_prefix(&below)).collect();
        if names.is_empty() {
            return None;
        }
        let path = format!("{below}files.json");
        let json = serde_json::to_vec(&names).expect("a list of texts always has a JSON form");
        self.lasting.insert(format!("{folder}/{path}"), Content::Bytes(json.into()));
        Some(path)
    }

    fn still(&mut self, key: &StationKey, files: &StationFiles) -> String {
        self.flat(&key.slug(), &files.still)
    }

    /// Takes a flat picture of our own into the site, and returns its path.
    fn flat(&mut self, name: &str, jpeg: &Arc<[u8]>) -> String {
        let path = format!("stills/{name}-{}.jpg", ContentHash::of(jpeg).short());
        let dimensions = image::ImageReader::with_format(std::io::Cursor::new(jpeg), image::ImageFormat::Jpeg);
        if let Ok((width, height)) = dimensions.into_dimensions() {
            self.sizes.insert(path.clone(), [width, height]);
        }
        self.lasting.insert(path.clone(), Content::Bytes(jpeg.clone()));
        path
    }

    /// What was altered, room by room; `None` where nothing was.
    fn about(&mut self) -> Option<About> {
        let words = AboutWords::of(&self.tour.language);
        let mut rooms = Vec::new();
        for (_, room) in self.tour.rooms() {
            let repairs: Vec<_> = room.stations.iter().flat_map(|station| self.altered(station, &words)).collect();
            if !repairs.is_empty() {
                rooms.push(about::Room { title: room.title.to_string(), repairs });
            }
        }
        (!rooms.is_empty()).then_some(About { words, rooms })
    }

    fn altered(&mut self, station: &Station, words: &AboutWords) -> Vec<about::Altered> {
        let stills = self.stations.get(&station.key).map(|files| files.unaltered_stills.clone()).unwrap_or_default();
        let mut stills = stills.iter();
        let name = format!("{}-before", station.key.slug());
        let altered = |repair: &Repair| {
            let still = if repair.is_alteration() { stills.next() } else { None };
            let said = words.altered(repair);
            let before = still.map(|still| {
                let path = self.flat(&name, still);
                Picture::of(&path, &said.name, &self.sizes)
            });
            let view = if repair.is_alteration() { self.view_of(station, repair) } else { None };
            about::Altered { before, view, ..said }
        };
        station.retouch.iter().map(altered).collect()
    }

    /// The address of what a repair covers, as it was; `None` where the tour shows that as a still only.
    fn view_of(&self, station: &Station, repair: &Repair) -> Option<String> {
        let sights = self.sights.get(&station.key).filter(|_| self.tour.unaltered.value == Unaltered::View)?;
        let seen = sights.level.apply(repair.whereabouts().0);
        let centre_deg = sights.heading.map_or(0.0, |heading| heading.degrees());
        let (heading, elevation) = (Heading::wrapping(centre_deg + seen.longitude()).degrees(), seen.latitude());
        let StationKey { room, station } = &station.key;
        let place = format!("room={room}&station={station}");
        Some(format!("index.html#{place}&heading={heading:.0}&elevation={elevation:.0}&fov={VIEW_DEG}&unaltered=1"))
    }

    fn hotspot(&mut self, station: &Station, hotspot: &Hotspot) -> Option<walk::Hotspot> {
        let heading = Number::heading(hotspot.heading_deg);
        let elevation = Number::of(hotspot.elevation_deg);
        Some(match &hotspot.kind {
            HotspotKind::Door { to, arrive_heading_deg, door, doorway } => walk::Hotspot::Door {
                heading,
                elevation,
                name: self.room_title(to),
                to: Target::of(to),
                arrive_heading: arrive_heading_deg.map(Number::heading),
                at: self.tour.doors.get(*door).and_then(|door| door.at).map(|at| at.map(Number::of)),
                doorway: doorway.into(),
            },
            HotspotKind::Step { to, arrive_heading_deg } => walk::Hotspot::Step {
                heading,
                elevation,
                name: self.room_title(to),
                to: Target::of(to),
                arrive_heading: arrive_heading_deg.map(Number::heading),
            },
            HotspotKind::Note(index) => {
                let note = station.notes.get(*index)?;
                let (name, text) = (note_name(note), note.text.clone());
                let (picture, link) = (self.note_picture(station, note), note.link.clone());
                walk::Hotspot::Note { heading, elevation, name, text, picture, link }
            }
        })
    }

    fn note_picture(&mut self, station: &Station, note: &Note) -> Option<walk::Picture> {
        let picture = note.picture.as_ref()?;
        let src = self.file(&format!("notes/{}", station.key.slug()), &picture.path, &picture.place)?;
        Some(walk::Picture { src, alternative: picture.alternative.clone() })
    }

    fn room_title(&self, key: &StationKey) -> Text {
        let room = self.tour.rooms().find(|(_, room)| room.id == key.room);
        room.map_or_else(|| key.room.as_str().into(), |(_, room)| room.title.clone())
    }

    /// Takes a picture or drawing of the photographer's into the site, and returns its path: `NAME-HASH.ENDING`.
    fn file(&mut self, name: &str, path: &Path, place: &Place) -> Option<String> {
        match CleanFile::open(path) {
            Ok(file) => {
                let path = format!("{name}-{}.{}", file.hash().short(), file.ending());
                self.sizes.extend(file.size_px().map(|size| (path.clone(), size)));
                let ending = file.ending().to_string();
                self.lasting.insert(path.clone(), Content::Packed(Arc::new(file), ending));
                Some(path)
            }
            Err(error) => {
                self.problems.push(not_usable(path, &error).at(place));
                None
            }
        }
    }
}

fn levels(files: &StationFiles) -> Vec<walk::Level> {
    let level = |level: &crate::tiles::Level| walk::Level {
        face_px: level.face_px,
        content_px: level.content_px,
        files: level.files,
    };
    files.layout.levels.iter().map(level).collect()
}

fn not_made(key: &StationKey) -> Problem {
    Problem::error(format!("the pictures of `{key}` have not been made"), "build again").station(key.to_string())
}

fn not_usable(path: &Path, error: &CleanError) -> Problem {
    Problem::error(format!("`{}` {error}", path.display()), error.remedy()).about(path)
}

/// Across the view that a link on the page about the pictures opens.
const VIEW_DEG: u32 = 75;

/// Longest beginning of a text that serves as a note's name, in characters.
const NAME_LENGTH: usize = 48;

/// What a mark is called: its title, else the beginning of its text, else what its picture shows, else its link.
fn note_name(note: &Note) -> Text {
    let picture = note.picture.as_ref().map(|picture| &picture.alternative);
    let says_something = |text: &&Text| !text.as_str().trim().is_empty();
    let words = [note.title.as_ref(), Some(&note.text), picture].into_iter().flatten().find(says_something);
    let link = || Text::from(note.link.as_deref().map_or("", link_name));
    words.cloned().unwrap_or_else(link).map(beginning)
}

/// A link without what only a browser needs of it.
pub(super) fn link_name(link: &str) -> &str {
    let (_, rest) = link.split_once(':').unwrap_or(("", link));
    rest.trim_start_matches('/').trim_end_matches('/')
}

/// The languages, if there are more than one.
fn several(languages: Vec<&str>) -> Vec<String> {
    if languages.len() > 1 { languages.into_iter().map(str::to_owned).collect() } else { Vec::new() }
}

/// A text in one line, cut after a whole word where it is long.
pub(super) fn beginning(text: &str) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let Some((limit, _)) = line.char_indices().nth(NAME_LENGTH) else { return line };
    let end = line[..limit].rfind(' ').unwrap_or(limit);
    format!("{}…", line[..end].trim_end_matches([',', ';', ':', '.', '–', '-']))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::testing::{House, viewer};
    use crate::sphere::{Region, Spot};
    use crate::tour::{RepairKind, Why};

    fn compose(house: &House) -> Result<Site, Problems> {
        compose_with(&house.tour, &house.sights, &house.stations, &viewer())
    }

    fn text(site: &Site, path: &str) -> String {
        String::from_utf8(site.get(path).unwrap_or_else(|| panic!("no {path}")).read().unwrap()).unwrap()
    }

    /// Sixteen hexadecimal digits become `HASH`: the pictures' bytes are their encoder's affair.
    fn without_hashes(walk: &str) -> String {
        let is_hash = |word: &&str| word.len() == 16 && word.bytes().all(|byte| byte.is_ascii_hexdigit());
        let hashes: Vec<_> = walk.split(|next: char| !next.is_alphanumeric()).filter(is_hash).collect();
        hashes.iter().fold(walk.to_string(), |walk, hash| walk.replace(hash, "HASH"))
    }

    #[test]
    fn walk_json_is_as_agreed() {
        let house = House::new();
        let walk = text(&compose(&house).unwrap(), "walk.json");
        assert!(
            walk.starts_with(
                r#"{"version":1,"title":"Larkmere Mill","summary":"A mill by the water.","language":"en","#
            )
        );
        let walk: serde_json::Value = serde_json::from_str(&without_hashes(&walk)).unwrap();
        let golden = include_str!("../../tests/fixtures/site/walk.json");
        assert_eq!(format!("{walk:#}\n"), golden);
    }

    #[test]
    fn texts_in_several_languages_are_objects_and_the_languages_are_named() {
        let mut house = House::new();
        let spoken = |texts: &[(&str, &str)]| {
            let texts = texts.iter().map(|(tag, text)| ((*tag).to_owned(), (*text).to_owned()));
            Text::spoken("en", texts.collect()).unwrap()
        };
        house.tour.floors[0].rooms[1].title = spoken(&[("en", "Kitchen"), ("fr", "Cuisine")]);
        let note = &mut house.tour.floors[0].rooms[0].stations[0].notes[0];
        note.text = spoken(&[("en", "The hoist dates from 1871. It works."), ("de", "Der Aufzug ist von 1871.")]);
        note.link = Some("https://example.org/mill".to_owned());
        let walk: serde_json::Value = serde_json::from_str(&text(&compose(&house).unwrap(), "walk.json")).unwrap();
        assert_eq!(walk["languages"], serde_json::json!(["en", "de", "fr"]));
        let kitchen = serde_json::json!({ "en": "Kitchen", "fr": "Cuisine" });
        assert_eq!(walk["rooms"][1]["title"], kitchen);
        let hotspots = &walk["rooms"][0]["stations"][0]["hotspots"];
        assert_eq!(hotspots[0]["name"], kitchen);
        assert_eq!(hotspots[2]["name"]["de"], "Der Aufzug ist von 1871.");
        assert_eq!(hotspots[2]["link"], "https://example.org/mill");
        assert_eq!(walk["title"], "Larkmere Mill");
    }

    #[test]
    fn every_path_that_walk_json_names_is_in_the_site() {
        let house = House::new();
        let site = compose(&house).unwrap();
        let walk: serde_json::Value = serde_json::from_str(&text(&site, "walk.json")).unwrap();
        let mut named = Vec::new();
        for room in walk["rooms"].as_array().unwrap() {
            for station in room["stations"].as_array().unwrap() {
                named.push(station["still"].as_str().unwrap().to_string());
                let folder = station["folder"].as_str().unwrap();
                named.push(format!("{folder}/{}", station["firstLight"].as_str().unwrap()));
                let layout = &house.layout();
                named.extend(layout.tiles().map(|tile| format!("{folder}/{}", layout.file_name(tile))));
                for hotspot in station["hotspots"].as_array().unwrap() {
                    named.extend(hotspot["picture"]["src"].as_str().map(str::to_string));
                }
            }
        }
        named.extend(
            walk["floors"]
                .as_array()
                .unwrap()
                .iter()
                .filter_map(|floor| Some(floor["plan"]["drawing"].as_str()?.into())),
        );
        named.sort();
        let lasting: Vec<_> = site.lasting.keys().filter(|path| !path.starts_with("viewer-")).cloned().collect();
        assert_eq!(named, lasting);
        for (path, content) in &site.lasting {
            assert!(!content.read().unwrap().is_empty(), "{path} is empty");
        }
    }

    #[test]
    fn what_was_altered_is_told_on_a_page_and_private_things_are_never_shown_before() {
        let mut house = House::new();
        let repair = |kind, why, name: Option<&str>| Repair {
            kind,
            why,
            name: name.map(Text::from),
            place: house.tour.floors[0].rooms[0].place.clone(),
        };
        let region = || Region::disc(Spot::new(10.0, 5.0).unwrap(), 4.0);
        let retouch = vec![
            repair(RepairKind::Blur(region()), Why::Privacy, Some("A family <portrait>")),
            repair(RepairKind::FillTripod { radius_deg: None, with_shadow: false }, Why::Equipment, None),
        ];
        house.tour.floors[0].rooms[0].stations[0].retouch = retouch;
        let key = house.tour.floors[0].rooms[0].stations[0].key.clone();
        let before: Arc<[u8]> = crate::site::testing::jpeg(20, 20, 7).into();
        house.stations.get_mut(&key).unwrap().unaltered_stills = vec![before.clone()];

        let site = compose(&house).unwrap();
        let page = text(&site, "pictures.html");
        assert!(page.contains("A family &lt;portrait&gt;</strong> (for privacy)</p></li>"), "{page}");
        assert!(page.contains("The camera’s stand</strong> (the photographer’s own equipment)</p><p>Before:</p><img src=\"stills/hall-before-"), "{page}");
        assert_eq!(page.matches("<img").count(), 1);
        assert!(page.contains("width=\"20\" height=\"20\""));
        let still = site.lasting.iter().find(|(path, _)| path.starts_with("stills/hall-before-")).unwrap();
        assert_eq!(still.1.read().unwrap(), before.to_vec());
        assert!(text(&site, "index.html").contains("<a href=\"pictures.html\" lang=\"en\">About these pictures</a>"));
        let walk: serde_json::Value = serde_json::from_str(&text(&site, "walk.json")).unwrap();
        assert_eq!(walk["about"]["page"], "pictures.html");
        // Where nothing was altered there is nothing to tell.
        let plain = compose(&House::new()).unwrap();
        assert!(plain.get("pictures.html").is_none());
        assert!(!text(&plain, "index.html").contains("pictures.html"));
    }

    #[test]
    fn the_unaltered_picture_is_published_as_a_view_or_not_at_all() {
        let mut house = House::new();
        let station = &mut house.tour.floors[0].rooms[0].stations[0];
        let key = station.key.clone();
        station.retouch = vec![Repair {
            kind: RepairKind::Fill(Region::disc(Spot::new(10.0, 5.0).unwrap(), 4.0)),
            why: Why::Clutter,
            name: None,
            place: station.place.clone(),
        }];
        let files = house.stations.get_mut(&key).unwrap();
        files.unaltered_stills = vec![crate::site::testing::jpeg(20, 20, 7).into()];
        let mut packed: BTreeMap<String, Vec<u8>> =
            files.pack.entries().map(|(name, _)| (name.to_owned(), files.pack.read(name).unwrap())).collect();
        packed.insert("unaltered/656/pz-r0-c1.jpg".to_owned(), b"another".to_vec());
        packed.insert("unaltered/first-light.jpg".to_owned(), b"another light".to_vec());
        files.pack = Arc::new(crate::site::testing::Files(packed));
        let of_station = |walk: &str| {
            let walk: serde_json::Value = serde_json::from_str(walk).unwrap();
            walk["rooms"][0]["stations"][0].clone()
        };

        let site = compose(&house).unwrap();
        let station = of_station(&text(&site, "walk.json"));
        assert_eq!(station["unaltered"], "unaltered/files.json");
        let folder = station["folder"].as_str().unwrap();
        assert_eq!(
            text(&site, &format!("{folder}/unaltered/files.json")),
            "[\"656/pz-r0-c1.jpg\",\"first-light.jpg\"]"
        );
        assert_eq!(text(&site, &format!("{folder}/unaltered/656/pz-r0-c1.jpg")), "another");
        let page = text(&site, "pictures.html");
        // The hall faces 92 in the middle, and the spot lies 10 to its right and 5 up.
        assert!(page.contains("index.html#room=hall&amp;station=hall&amp;heading="), "{page}");
        assert!(
            page.contains("&amp;elevation=5&amp;fov=75&amp;unaltered=1\">Look round there, as it was</a>"),
            "{page}"
        );
        // Other stations say nothing of it.
        assert_eq!(text(&site, "walk.json").matches("\"unaltered\"").count(), 1);

        house.tour.unaltered = Unaltered::Still.into();
        let site = compose(&house).unwrap();
        assert_eq!(of_station(&text(&site, "walk.json"))["unaltered"], serde_json::Value::Null);
        assert!(site.lasting.keys().all(|path| !path.contains("/unaltered/")));
        let page = text(&site, "pictures.html");
        assert!(page.contains("stills/hall-before-") && !page.contains("#room="), "{page}");
    }

    #[test]
    fn sites_hold_walk_json_before_the_pages() {
        let site = compose(&House::new()).unwrap();
        let names: Vec<_> = site.changing.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names, ["walk.json", "index.html"]);
        assert!(site.changing.iter().all(|(_, content)| matches!(content, Content::Bytes(_))));
    }

    #[test]
    fn the_same_tour_gives_the_same_bytes() {
        let house = House::new();
        let all = |site: Site| {
            let changing = site.changing.into_iter();
            site.lasting
                .into_iter()
                .chain(changing)
                .map(|(path, content)| (path, content.read().unwrap()))
                .collect::<Vec<_>>()
        };
        assert_eq!(all(compose(&house).unwrap()), all(compose(&house).unwrap()));
    }

    #[test]
    fn a_note_without_a_title_is_named_by_its_text() {
        assert_eq!(link_name("https://example.org/mill/"), "example.org/mill");
        assert_eq!(link_name("mailto:miller@example.org"), "miller@example.org");
        assert_eq!(beginning("The  hoist\ndates from 1871."), "The hoist dates from 1871.");
        let long = "The great stones were dressed by hand, every third week, by two men with bills.";
        assert_eq!(beginning(long), "The great stones were dressed by hand, every…");
        assert_eq!(beginning(&"é".repeat(60)), format!("{}…", "é".repeat(48)));
    }

    #[test]
    fn what_cannot_be_published_is_reported_all_at_once() {
        let mut house = House::new();
        std::fs::write(&house.tour.floors[0].plan.as_ref().unwrap().drawing, "no drawing").unwrap();
        let kitchen = house.tour.floors[0].rooms[1].stations[0].key.clone();
        house.stations.remove(&kitchen);
        let problems = compose(&house).unwrap_err();
        let said: Vec<_> = problems.iter().map(|problem| problem.what.as_str()).collect();
        assert_eq!(said.len(), 2, "{said:?}");
        assert!(said[0].ends_with("ground.svg` is not a picture that every browser shows"), "{said:?}");
        assert_eq!(said[1], "the pictures of `kitchen` have not been made");
        assert!(problems.iter().all(|problem| problem.place.is_some()));
    }
}
