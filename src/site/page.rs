//! What a page's template may name: the walkthrough as a plain page tells it, without script.

use super::about::About;
use super::compose::{beginning, link_name};
use super::viewer::Viewer;
use super::walk::{self, Hotspot, Walk};
use super::words::Words;
use serde::Serialize;
use std::collections::BTreeMap;

/// What a template may name.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Page {
    title: String,
    /// As written; may be empty.
    summary: String,
    /// For search engines: the summary, else the rooms.
    description: String,
    language: String,
    /// The opening station's small picture, which the viewer asks for before anything else.
    first_light: Option<String>,
    /// The viewer's folder.
    viewer: String,
    /// Modules below it that its first one imports, and its words.
    modules: Vec<String>,
    /// In the tour's language, as far as there are any.
    words: Words,
    floors: Vec<Floor>,
    /// What was altered in the pictures, if anything was.
    pub(super) about: Option<About>,
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
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Picture {
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
    link: Option<Link>,
}

/// A way out of the walkthrough.
#[derive(Clone, Debug, Serialize)]
struct Link {
    address: String,
    /// The address as people read it.
    name: String,
}

impl Page {
    /// From what the viewer knows; `sizes` holds width and height of pictures by path.
    pub(super) fn of(walk: &Walk, sizes: &BTreeMap<String, [u32; 2]>, about: Option<About>, viewer: &Viewer) -> Self {
        let titles = || walk.rooms.iter().map(|room| room.title.as_str()).collect::<Vec<_>>().join(", ");
        let summary = walk.summary.to_string();
        let description = if summary.trim().is_empty() { titles() } else { summary.clone() };
        let words = Words::of(&walk.language);
        Page {
            title: walk.title.to_string(),
            summary,
            description,
            language: walk.language.clone(),
            first_light: first_light(walk),
            viewer: viewer.folder.clone(),
            modules: viewer.loaded_at_once(words.language),
            words,
            about,
            floors: walk.floors.iter().map(|floor| Floor::of(floor, walk, sizes, &words)).collect(),
        }
    }
}

fn first_light(walk: &Walk) -> Option<String> {
    let room = walk.rooms.iter().find(|room| room.id == walk.opens_in.room)?;
    let station = room.stations.iter().find(|station| station.id == walk.opens_in.station)?;
    Some(format!("{}/{}", station.folder, station.first_light))
}

impl Floor {
    fn of(floor: &walk::Floor, walk: &Walk, sizes: &BTreeMap<String, [u32; 2]>, words: &Words) -> Self {
        let rooms = walk.rooms.iter().filter(|room| room.floor == floor.id);
        let alternative = format!("{} {}", words.plan, floor.title);
        Floor {
            anchor: format!("floor-{}", floor.id),
            title: floor.title.to_string(),
            plan: floor.plan.as_ref().map(|plan| Picture::of(&plan.drawing, &alternative, sizes)),
            rooms: rooms.map(|room| Room::of(room, walk, sizes)).collect(),
        }
    }
}

impl Room {
    fn of(room: &walk::Room, walk: &Walk, sizes: &BTreeMap<String, [u32; 2]>) -> Self {
        let count = room.stations.len();
        let stations = room.stations.iter().enumerate().map(|(index, station)| {
            let which =
                if count > 1 { format!("{} ({}/{count})", room.title, index + 1) } else { room.title.to_string() };
            Station {
                anchor: station_anchor(&room.id, &station.id),
                still: Picture::of(&station.still, &which, sizes),
                ways: station.hotspots.iter().filter_map(|hotspot| Way::of(hotspot, walk)).collect(),
                notes: station.hotspots.iter().filter_map(|hotspot| Note::of(hotspot, sizes)).collect(),
            }
        });
        Room { anchor: format!("room-{}", room.id), title: room.title.to_string(), stations: stations.collect() }
    }
}

/// No id holds two hyphens behind one another, so that no two stations share an anchor.
fn station_anchor(room: &str, station: &str) -> String {
    format!("station-{room}--{station}")
}

impl Picture {
    pub(super) fn of(src: &str, alternative: &str, sizes: &BTreeMap<String, [u32; 2]>) -> Self {
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
        let name = if count > 1 { format!("{name} ({}/{count})", index + 1) } else { name.to_string() };
        let anchor = if index == 0 { format!("room-{}", room.id) } else { station_anchor(&room.id, &to.station) };
        Some(Way { name, anchor })
    }
}

impl Note {
    fn of(hotspot: &Hotspot, sizes: &BTreeMap<String, [u32; 2]>) -> Option<Self> {
        let Hotspot::Note { name, text, picture, link, .. } = hotspot else { return None };
        let picture = picture.as_ref().map(|picture| Picture::of(&picture.src, picture.alternative.as_str(), sizes));
        let link = link.as_ref().map(|link| Link { address: link.clone(), name: link_name(link).to_string() });
        let name = name.as_str();
        let is_own = name != beginning(text.as_str())
            && picture.as_ref().is_none_or(|picture| name != beginning(&picture.alternative))
            && link.as_ref().is_none_or(|link| name != beginning(&link.name));
        Some(Note { title: is_own.then(|| name.to_string()), text: text.to_string(), picture, link })
    }
}

#[cfg(test)]
mod tests {
    use crate::site::Site;
    use crate::site::compose::compose_with;
    use crate::site::testing::{House, viewer};
    use crate::tour::Text;

    fn compose(house: &House) -> Site {
        compose_with(&house.tour, &house.sights, &house.stations, &viewer()).unwrap()
    }

    fn index(site: &Site) -> String {
        String::from_utf8(site.get("index.html").unwrap().read().unwrap()).unwrap()
    }

    /// The page is written so that it is well-formed XML too, and an XML reader is stricter than any browser.
    fn parsed(page: &str) -> roxmltree::Document<'_> {
        let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
        roxmltree::Document::parse_with_options(page, options).unwrap_or_else(|error| panic!("{error}\n{page}"))
    }

    #[test]
    fn the_page_keeps_its_own_security_policy() {
        let site = compose(&House::new());
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
        let site = compose(&House::new());
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

    /// Browsers load what the head names in its order.
    #[test]
    fn the_opening_stations_first_light_is_asked_for_before_anything_else() {
        let site = compose(&House::new());
        let page = index(&site);
        let document = parsed(&page);
        let asked =
            document.descendants().find(|node| node.has_tag_name("link") && node.attribute("href") != Some("data:,"));
        let link = asked.unwrap();
        assert_eq!(link.attribute("rel"), Some("preload"));
        let href = link.attribute("href").unwrap();
        assert!(href.starts_with("stations/hall-") && href.ends_with("/first-light.jpg"), "{href}");
        assert!(!page[..page.find("<link").unwrap()].contains("<script"), "{page}");
    }

    #[test]
    fn without_script_the_page_shows_every_room() {
        let site = compose(&House::new());
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

    /// A text given in several languages is shown in the tour's own, and so is what the page says of itself.
    #[test]
    fn the_page_speaks_the_tours_language() {
        let mut house = House::new();
        let both = |de: &str, en: &str| {
            Text::spoken("de", [("de".to_owned(), de.to_owned()), ("en".to_owned(), en.to_owned())].into()).unwrap()
        };
        house.tour.language = "de".to_owned();
        house.tour.floors[0].rooms[1].title = both("Küche", "Kitchen");
        let note = &mut house.tour.floors[0].rooms[0].stations[0].notes[1];
        (note.title, note.text) = (None, "".into());
        note.link = Some("https://example.org/mühle?a=1&b=2".to_owned());
        let page = index(&compose(&house));
        for text in [
            "<html lang=\"de\">",
            "<h3>Küche</h3>",
            "Der Rundgang braucht JavaScript.",
            "alt=\"Grundriss: Ground floor\"",
            "<p class=\"onward\" lang=\"de\">Von hier nach:</p>",
            "<a href=\"https://example.org/mühle?a=1&amp;b=2\" rel=\"noopener\">",
        ] {
            assert!(page.contains(text), "{text} is missing:\n{page}");
        }
        assert!(!page.contains("Kitchen"), "{page}");
        parsed(&page);
    }

    /// Whatever is written in the description is shown as it is written.
    #[test]
    fn no_text_of_the_description_becomes_markup() {
        let nasty = r#"<b onclick='x'>"A" & B</b> {{ title }} ]]>"#;
        let mut house = House::new();
        house.tour.title = nasty.into();
        house.tour.summary = nasty.into();
        house.tour.floors[0].title = nasty.into();
        let hall = &mut house.tour.floors[0].rooms[0];
        hall.title = nasty.into();
        for note in &mut hall.stations[0].notes {
            note.title = Some(nasty.into());
            note.text = nasty.into();
            note.picture.iter_mut().for_each(|picture| picture.alternative = nasty.into());
        }
        let site = compose(&house);
        let page = index(&site);
        let document = parsed(&page);
        assert!(document.descendants().all(|node| !node.has_tag_name("b") && node.attribute("onclick").is_none()));
        let texts = document.descendants().filter(|node| node.text() == Some(nasty) && node.is_element()).count();
        // Title twice, summary, floor, room, two notes' texts (their titles are the same and therefore not said again), a way.
        assert_eq!(texts, 8, "{page}");
        let attributes =
            document.descendants().flat_map(|node| node.attributes()).filter(|attribute| attribute.value() == nasty);
        assert_eq!(attributes.count(), 3, "{page}");
        let escaped = page.matches("alt=\"Plan: &lt;b onclick=").count();
        assert_eq!(escaped, 1, "{page}");
    }
}
