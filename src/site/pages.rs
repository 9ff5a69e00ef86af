//! The pages, from Tera templates: Enfilade's own, each of which a file of the same name in the tour's `templates/`
//! replaces. Every value is escaped, whatever a template is called.

use super::compose::beginning;
use super::viewer::Viewer;
use super::walk::{self, Hotspot, Walk};
use crate::problem::{Place, Problem, Problems};
use include_dir::{Dir, include_dir};
use serde::Serialize;
use std::collections::BTreeMap;
use std::error::Error;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tera::Tera;

static OWN: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates");

/// Templates that become files of the site under their own name; all others are parts of these.
const PAGES: [&str; 1] = ["index.html"];

/// What a template may name.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Page {
    title: String,
    /// As written; may be empty.
    summary: String,
    /// For search engines: the summary, else the rooms.
    description: String,
    language: String,
    /// The viewer's folder.
    viewer: String,
    /// Modules below it that its first one imports.
    modules: Vec<String>,
    floors: Vec<Floor>,
}

#[derive(Clone, Debug, Serialize)]
struct Floor {
    anchor: String,
    title: String,
    plan: Option<Picture>,
    rooms: Vec<Room>,
}

#[derive(Clone, Debug, Serialize)]
struct Room {
    anchor: String,
    title: String,
    stations: Vec<Station>,
}

#[derive(Clone, Debug, Serialize)]
struct Station {
    anchor: String,
    still: Picture,
    ways: Vec<Way>,
    notes: Vec<Note>,
}

/// `width` and `height` are missing only where a file hides them.
#[derive(Clone, Debug, Serialize)]
struct Picture {
    src: String,
    alternative: String,
    width: Option<u32>,
    height: Option<u32>,
}

#[derive(Clone, Debug, Serialize)]
struct Way {
    name: String,
    anchor: String,
}

#[derive(Clone, Debug, Serialize)]
struct Note {
    /// Where it has one of its own.
    title: Option<String>,
    text: String,
    picture: Option<Picture>,
}

impl Page {
    /// From what the viewer knows; `sizes` holds width and height of pictures by path.
    pub(super) fn of(walk: &Walk, sizes: &BTreeMap<String, [u32; 2]>, viewer: &Viewer) -> Self {
        let titles = || walk.rooms.iter().map(|room| room.title.as_str()).collect::<Vec<_>>().join(", ");
        let description = if walk.summary.trim().is_empty() { titles() } else { walk.summary.clone() };
        Page {
            title: walk.title.clone(),
            summary: walk.summary.clone(),
            description,
            language: walk.language.clone(),
            viewer: viewer.folder.clone(),
            modules: viewer.imported(),
            floors: walk.floors.iter().map(|floor| Floor::of(floor, walk, sizes)).collect(),
        }
    }
}

impl Floor {
    fn of(floor: &walk::Floor, walk: &Walk, sizes: &BTreeMap<String, [u32; 2]>) -> Self {
        let rooms = walk.rooms.iter().filter(|room| room.floor == floor.id);
        Floor {
            anchor: format!("floor-{}", floor.id),
            title: floor.title.clone(),
            plan: floor.plan.as_ref().map(|plan| Picture::of(&plan.drawing, &floor.title, sizes)),
            rooms: rooms.map(|room| Room::of(room, walk, sizes)).collect(),
        }
    }
}

impl Room {
    fn of(room: &walk::Room, walk: &Walk, sizes: &BTreeMap<String, [u32; 2]>) -> Self {
        let count = room.stations.len();
        let stations = room.stations.iter().enumerate().map(|(index, station)| {
            let which = if count > 1 { format!("{} ({}/{count})", room.title, index + 1) } else { room.title.clone() };
            Station {
                anchor: station_anchor(&room.id, &station.id),
                still: Picture::of(&station.still, &which, sizes),
                ways: station.hotspots.iter().filter_map(|hotspot| Way::of(hotspot, walk)).collect(),
                notes: station.hotspots.iter().filter_map(|hotspot| Note::of(hotspot, sizes)).collect(),
            }
        });
        Room { anchor: format!("room-{}", room.id), title: room.title.clone(), stations: stations.collect() }
    }
}

/// No id holds two hyphens behind one another, so that no two stations share an anchor.
fn station_anchor(room: &str, station: &str) -> String {
    format!("station-{room}--{station}")
}

impl Picture {
    fn of(src: &str, alternative: &str, sizes: &BTreeMap<String, [u32; 2]>) -> Self {
        let size = sizes.get(src);
        Picture {
            src: src.to_string(),
            alternative: alternative.to_string(),
            width: size.map(|size| size[0]),
            height: size.map(|size| size[1]),
        }
    }
}

impl Way {
    fn of(hotspot: &Hotspot, walk: &Walk) -> Option<Self> {
        let (Hotspot::Door { name, to, .. } | Hotspot::Step { name, to, .. }) = hotspot else { return None };
        let room = walk.rooms.iter().find(|room| room.id == to.room)?;
        let index = room.stations.iter().position(|station| station.id == to.station)?;
        let count = room.stations.len();
        let name = if count > 1 { format!("{name} ({}/{count})", index + 1) } else { name.clone() };
        let anchor = if index == 0 { format!("room-{}", room.id) } else { station_anchor(&room.id, &to.station) };
        Some(Way { name, anchor })
    }
}

impl Note {
    fn of(hotspot: &Hotspot, sizes: &BTreeMap<String, [u32; 2]>) -> Option<Self> {
        let Hotspot::Note { name, text, picture, .. } = hotspot else { return None };
        let picture = picture.as_ref().map(|picture| Picture::of(&picture.src, &picture.alternative, sizes));
        let is_own = *name != beginning(text) && picture.as_ref().is_none_or(|picture| *name != picture.alternative);
        Some(Note { title: is_own.then(|| name.clone()), text: text.clone(), picture })
    }
}

/// Renders every page: its name and its bytes.
///
/// # Errors
/// Every template of the tour's own that cannot be read or that Tera refuses.
pub(super) fn render(page: &Page, tour_folder: &Path) -> Result<Vec<(String, Vec<u8>)>, Problems> {
    let templates = Templates::gather(&tour_folder.join("templates"))?;
    let tera = templates.parse()?;
    let context = tera::Context::from_serialize(page).expect("a page's fields always have a JSON form");
    let mut problems = Problems::new();
    let mut pages = Vec::new();
    for name in PAGES {
        match tera.render(name, &context) {
            Ok(text) => pages.push((name.to_string(), text.into_bytes())),
            Err(error) => problems.push(templates.problem(name, &error)),
        }
    }
    if problems.is_empty() { Ok(pages) } else { Err(problems) }
}

/// Templates by name: their text, and their file where they are the tour's own.
struct Templates(BTreeMap<String, (String, Option<PathBuf>)>);

impl Templates {
    fn gather(folder: &Path) -> Result<Self, Problems> {
        let mut templates = BTreeMap::new();
        for file in OWN.files() {
            let name = file.path().to_string_lossy().into_owned();
            templates.insert(name, (file.contents_utf8().unwrap_or_default().to_string(), None));
        }
        let mut problems = Problems::new();
        let mut refuse = |path: &Path, why: String| {
            let what = format!("template `{}` cannot be read: {why}", path.display());
            problems.push(Problem::error(what, "save it as text in UTF-8").about(path));
        };
        let walk = if folder.is_dir() {
            Some(walkdir::WalkDir::new(folder).follow_links(true).sort_by_file_name())
        } else {
            None
        };
        for entry in walk.into_iter().flatten() {
            match entry {
                Ok(entry)
                    if entry.path().extension().is_some_and(|ending| ending == "html") && entry.path().is_file() =>
                {
                    match std::fs::read_to_string(entry.path()) {
                        Ok(text) => {
                            drop(templates.insert(name_below(folder, entry.path()), (text, Some(entry.into_path()))))
                        }
                        Err(error) => refuse(entry.path(), error.to_string()),
                    }
                }
                Ok(_) => {}
                Err(error) => refuse(error.path().unwrap_or(folder), error.to_string()),
            }
        }
        if problems.is_empty() { Ok(Templates(templates)) } else { Err(problems) }
    }

    fn parse(&self) -> Result<Tera, Problems> {
        let mut problems = Problems::new();
        for (name, (text, _)) in &self.0 {
            // Alone, so that each broken template is reported; what it includes or extends is looked for below.
            let alone = Tera::default().add_raw_template(name, text);
            if let Err(error) = alone.as_ref().map_err(deepest).map_err(|error| error.to_string())
                && place_in(&error).is_some()
            {
                problems.push(self.problem(name, alone.as_ref().unwrap_err()));
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let mut tera = Tera::default();
        tera.autoescape_on(vec![""]);
        tera.set_escape_fn(escaped);
        let all = self.0.iter().map(|(name, (text, _))| (name.as_str(), text.as_str()));
        match tera.add_raw_templates(all) {
            Ok(()) => Ok(tera),
            Err(error) => Err(self.problem(PAGES[0], &error).into()),
        }
    }

    /// What Tera says of a template, as a problem with as much of its place as can be known.
    fn problem(&self, page: &str, error: &tera::Error) -> Problem {
        let innermost = deepest(error).to_string();
        let name = self.asking_for_missing(&innermost).or_else(|| self.blamed(error)).unwrap_or(page);
        let (text, file) = &self.0[name];
        let position = place_in(&innermost).or_else(|| find(text, quoted(&innermost)?));
        let said = innermost.lines().last().unwrap_or_default().trim().trim_start_matches("= ").to_string();
        let shown = file.as_ref().map_or_else(|| name.to_string(), |file| file.display().to_string());
        let problem = Problem::error(
            format!("template `{shown}` cannot be used: {said}"),
            "mend it, or delete it to have Enfilade's own page again",
        );
        let Some(file) = file else { return problem };
        match position {
            Some((line, column)) => problem.at(&Place { file: Arc::from(file.as_path()), line, column, length: 0 }),
            None => problem.about(file),
        }
    }

    /// The template that includes one which is not there.
    fn asking_for_missing(&self, message: &str) -> Option<&str> {
        let missing = quoted(message).filter(|_| message.starts_with("Template"))?;
        self.0.iter().find(|(_, (text, _))| text.contains(missing)).map(|(name, _)| name.as_str())
    }

    /// The template that an error is about: the innermost message that names one decides.
    fn blamed(&self, error: &tera::Error) -> Option<&str> {
        let mut chain: Vec<String> = vec![error.to_string()];
        let mut source = error.source();
        while let Some(cause) = source {
            chain.push(cause.to_string());
            source = cause.source();
        }
        chain.iter().rev().find_map(|message| {
            let named =
                |name: &&String| message.contains(&format!("'{name}'")) || message.contains(&format!("\"{name}\""));
            self.0.keys().find(named).map(String::as_str)
        })
    }
}

/// The five characters that mean something in HTML. Tera's own function escapes `/` too, which makes links unreadable.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for next in text.chars() {
        match next {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(next),
        }
    }
    out
}

/// With forward slashes, as templates name one another.
fn name_below(folder: &Path, path: &Path) -> String {
    let below = path.strip_prefix(folder).unwrap_or(path);
    below.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

fn deepest(error: &tera::Error) -> &dyn Error {
    let mut innermost: &dyn Error = error;
    while let Some(source) = innermost.source() {
        innermost = source;
    }
    innermost
}

/// Line and column, where the parser drew them: ` --> 3:5`.
fn place_in(message: &str) -> Option<(u32, u32)> {
    let (line, column) = message.split_once("--> ")?.1.lines().next()?.trim().split_once(':')?;
    Some((line.parse().ok()?, column.parse().ok()?))
}

/// The name that a message of Tera's is about: `` `name` ``, or `'[name]'` for a template.
fn quoted(message: &str) -> Option<&str> {
    let (_, after) = message.split_once("'[").or_else(|| message.split_once('`'))?;
    after.split(['`', ']']).next().filter(|name| !name.is_empty())
}

/// Where a template first uses a name.
fn find(text: &str, name: &str) -> Option<(u32, u32)> {
    let before = &text[..text.find(name)?];
    let line = before.matches('\n').count() as u32 + 1;
    let column = before.rsplit('\n').next().unwrap_or_default().chars().count() as u32 + 1;
    Some((line, column))
}

#[cfg(test)]
mod tests {
    use super::super::compose::compose_with;
    use super::super::testing::{House, viewer};
    use super::super::{Content, Site};
    use super::*;

    fn compose(house: &House) -> Result<Site, Problems> {
        compose_with(&house.tour, &house.sights, &house.stations, &viewer())
    }

    fn index(site: &Site) -> String {
        String::from_utf8(site.get("index.html").and_then(|content| content.read().ok()).unwrap()).unwrap()
    }

    fn own_template(house: &House, name: &str, text: &str) -> PathBuf {
        let path = house.tour.folder.join("templates").join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        path
    }

    fn only_problem(house: &House) -> Problem {
        let problems = compose(house).unwrap_err();
        assert_eq!(problems.iter().count(), 1, "{problems:?}");
        problems.iter().next().unwrap().clone()
    }

    /// The page is written so that it is well-formed XML too, and an XML reader is stricter than any browser.
    fn parsed(page: &str) -> roxmltree::Document<'_> {
        let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
        roxmltree::Document::parse_with_options(page, options).unwrap_or_else(|error| panic!("{error}\n{page}"))
    }

    #[test]
    fn the_page_keeps_its_own_security_policy() {
        let site = compose(&House::new()).unwrap();
        let page = index(&site);
        let document = parsed(&page);
        let head = document.descendants().find(|node| node.has_tag_name("head")).unwrap();
        let policy = head.first_element_child().unwrap();
        assert_eq!(policy.attribute("http-equiv"), Some("Content-Security-Policy"));
        assert!(policy.attribute("content").unwrap().starts_with("default-src 'none'; script-src 'self';"));
        for node in document.descendants().filter(|node| node.is_element()) {
            assert!(!node.has_tag_name("style"), "inline style");
            if node.has_tag_name("script") {
                assert!(node.attribute("src").is_some() && node.text().is_none(), "inline script");
            }
            for attribute in node.attributes() {
                let (name, value) = (attribute.name(), attribute.value());
                assert!(name != "style" && !name.starts_with("on"), "{name}");
                assert!(!value.contains("http:") && !value.contains("https:") && !value.contains("//"), "{value}");
            }
        }
    }

    #[test]
    fn every_link_leads_somewhere_and_every_id_is_unique() {
        let site = compose(&House::new()).unwrap();
        let page = index(&site);
        let document = parsed(&page);
        let mut ids: Vec<_> = document.descendants().filter_map(|node| node.attribute("id")).collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!((ids.len(), count), (11, 11), "{ids:?}");
        let mut anchors = 0;
        for node in document.descendants() {
            for link in ["src", "href"].into_iter().filter_map(|name| node.attribute(name)) {
                match link.strip_prefix('#') {
                    Some(anchor) => {
                        anchors += 1;
                        assert!(ids.contains(&anchor), "{link}");
                    }
                    None => assert!(link == "data:," || site.get(link).is_some(), "{link}"),
                }
            }
        }
        assert_eq!(anchors, 5);
    }

    #[test]
    fn without_script_the_page_shows_every_room() {
        let site = compose(&House::new()).unwrap();
        let page = index(&site);
        let document = parsed(&page);
        let of_class =
            |class: &str| document.descendants().filter(|node| node.attribute("class") == Some(class)).count();
        assert_eq!(of_class("room"), 4);
        assert_eq!(of_class("still"), 5);
        assert_eq!(of_class("plan"), 1);
        assert_eq!(of_class("from-disk"), 1);
        for image in document.descendants().filter(|node| node.has_tag_name("img")) {
            assert!(!image.attribute("alt").unwrap().is_empty());
            assert_eq!(image.attribute("loading"), Some("lazy"));
            for side in ["width", "height"] {
                assert!(image.attribute(side).unwrap().parse::<u32>().unwrap() > 0);
            }
        }
        for text in [
            "<h1>Larkmere Mill</h1>",
            "<h4>Stones</h4><p>Two pairs.</p>",
            "alt=\"Great barn (2/2)\"",
            "width=\"12\" height=\"8\"",
            "width=\"1000\" height=\"750\"",
        ] {
            assert!(page.contains(text), "{text} is missing:\n{page}");
        }
        assert!(page.contains("<li><p>The hoist dates from 1871.</p><img src=\"notes/hall-"), "{page}");
    }

    /// Whatever is written in the description is shown as it is written.
    #[test]
    fn no_text_of_the_description_becomes_markup() {
        let nasty = r#"<b onclick='x'>"A" & B</b> {{ title }} ]]>"#;
        let mut house = House::new();
        house.tour.title = nasty.to_string();
        house.tour.summary = nasty.to_string();
        house.tour.floors[0].title = nasty.to_string();
        let hall = &mut house.tour.floors[0].rooms[0];
        hall.title = nasty.to_string();
        for note in &mut hall.stations[0].notes {
            note.title = Some(nasty.to_string());
            note.text = nasty.to_string();
            note.picture.iter_mut().for_each(|picture| picture.alternative = nasty.to_string());
        }
        let site = compose(&house).unwrap();
        let page = index(&site);
        let document = parsed(&page);
        assert!(document.descendants().all(|node| !node.has_tag_name("b") && node.attribute("onclick").is_none()));
        let texts = document.descendants().filter(|node| node.text() == Some(nasty) && node.is_element()).count();
        // Title twice, summary, floor, room, two notes' texts (their titles are the same and therefore not said again), a way.
        assert_eq!(texts, 8, "{page}");
        let attributes =
            document.descendants().flat_map(|node| node.attributes()).filter(|attribute| attribute.value() == nasty);
        assert_eq!(attributes.count(), 4, "{page}");
    }

    #[test]
    fn a_template_of_the_tour_replaces_ours_by_name() {
        let house = House::new();
        own_template(&house, "room.html", "<p>{{ room.title }}{% include \"parts/sign.html\" %}</p>");
        own_template(&house, "parts/sign.html", "!");
        own_template(&house, "notes.txt", "{{ not a template");
        let page = index(&compose(&house).unwrap());
        assert!(page.contains("<p>Entrance hall!</p>") && page.contains("<h1>Larkmere Mill</h1>"), "{page}");
    }

    #[test]
    fn a_broken_template_is_named_with_line_and_column() {
        let house = House::new();
        let path = own_template(&house, "room.html", "<p>\n  {{ room.title | }}\n</p>");
        let problem = only_problem(&house);
        let place = problem.place.unwrap();
        assert_eq!((&*place.file, place.line), (path.as_path(), 2));
        assert!(problem.what.contains("room.html` cannot be used: expected"), "{}", problem.what);
    }

    #[test]
    fn every_broken_template_is_named() {
        let house = House::new();
        own_template(&house, "room.html", "{% if %}");
        own_template(&house, "index.html", "{{ title");
        assert_eq!(compose(&house).unwrap_err().iter().count(), 2);
    }

    #[test]
    fn a_name_that_no_page_knows_is_found_in_its_template() {
        let house = House::new();
        let path = own_template(&house, "room.html", "<p>\n {{ rooom.title }}</p>");
        let problem = only_problem(&house);
        let place = problem.place.unwrap();
        assert_eq!((&*place.file, place.line, place.column), (path.as_path(), 2, 5));
        assert!(problem.what.contains("`rooom.title` not found"), "{}", problem.what);
    }

    #[test]
    fn a_missing_part_and_a_file_that_is_no_text_are_problems_not_panics() {
        let house = House::new();
        let path = own_template(&house, "room.html", "{% include \"nowhere.html\" %}");
        let problem = only_problem(&house);
        assert_eq!(
            problem.about.as_deref().or(problem.place.as_ref().map(|place| &*place.file)),
            Some(path.as_path()),
            "{problem:?}"
        );
        std::fs::write(&path, [0xff, 0xfe]).unwrap();
        assert!(only_problem(&house).what.contains("cannot be read"));
    }

    #[test]
    fn sites_hold_walk_json_before_the_pages() {
        let site = compose(&House::new()).unwrap();
        let names: Vec<_> = site.changing.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names, ["walk.json", "index.html"]);
        assert!(site.changing.iter().all(|(_, content)| matches!(content, Content::Bytes(_))));
    }
}
