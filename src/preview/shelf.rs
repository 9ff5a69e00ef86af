//! A composed site, laid out so that a request is one look into a map.
//!
//! What is asked for can only ever be one of the names that the site holds: no path is joined to a folder, so none can
//! leave it.

use super::page;
use crate::site::{Content, Site};
use crate::store::ContentHash;
use std::collections::BTreeMap;
use std::io;
use std::sync::Arc;

/// The name of the file that the viewer reads.
pub const WALK: &str = "walk.json";

/// One thing that can be asked for.
#[derive(Clone, Debug)]
pub struct Item {
    /// Its bytes, or where they are.
    pub content: Content,
    /// Whether its name follows from its content.
    pub lasting: bool,
}

/// All that can be asked for, and what tells two sites apart.
#[derive(Clone, Debug, Default)]
pub struct Shelf {
    items: Arc<BTreeMap<String, Item>>,
    /// Of the sites that stood before, newest first: an open page may still be on its way through one of them.
    former: Vec<Arc<BTreeMap<String, Item>>>,
    stamps: Stamps,
}

/// So many sites back, files that are named by their content can still be had.
const FORMER_SITES: usize = 4;

/// Hashes by which a page knows whether it is still up to date.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stamps {
    /// Of the pages, as they were when an open page last had to be loaded again.
    pub page: String,
    /// Of `walk.json`.
    pub walk: String,
}

/// What an open page has to do when another site takes this one's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Difference {
    /// Nothing.
    None,
    /// Read `walk.json` again.
    Walk,
    /// Be loaded again.
    Page,
}

/// Reads a content's bytes.
///
/// # Errors
/// As the file or the pack says.
pub fn read(content: &Content) -> io::Result<Arc<[u8]>> {
    match content {
        Content::Bytes(bytes) => Ok(Arc::clone(bytes)),
        Content::Packed(pack, name) => pack.read(name).map(Arc::from),
        Content::File(path) => std::fs::read(path).map(Arc::from),
    }
}

impl Shelf {
    /// Lays a site out. `before` is the shelf it takes the place of; `templates_changed` says whether a template was
    /// changed since that one was laid out.
    ///
    /// # Errors
    /// A page that cannot be read.
    pub fn new(site: Site, before: Option<&Shelf>, templates_changed: bool) -> io::Result<(Shelf, Difference)> {
        let mut items = BTreeMap::new();
        for (name, content) in site.lasting {
            items.insert(name, Item { content, lasting: true });
        }
        // Pages are held as they were composed; what the preview adds depends on the stamps, which follow from them.
        for (name, content) in site.changing {
            let content = Content::Bytes(read(&content)?);
            items.insert(name, Item { content, lasting: false });
        }
        let former = before.map(|before| std::iter::once(&before.items).chain(&before.former).take(FORMER_SITES));
        let former = former.into_iter().flatten().cloned().collect();
        let mut shelf = Shelf { items: Arc::new(items), former, stamps: Stamps::default() };
        let viewer = shelf.viewer().map(String::as_str).collect::<Vec<_>>().join("\n");
        let pages = shelf.hash_of(|name| name != WALK);
        shelf.stamps = Stamps {
            page: ContentHash::of(format!("{pages}\n{viewer}").as_bytes()).short(),
            walk: shelf.hash_of(|name| name == WALK),
        };
        let difference = before.map_or(Difference::Page, |before| shelf.difference(before, templates_changed));
        if let (Some(before), Difference::None | Difference::Walk) = (before, difference) {
            shelf.stamps.page.clone_from(&before.stamps.page);
        }
        Ok((shelf, difference))
    }

    /// By its path in the site, without a leading slash.
    pub fn get(&self, name: &str) -> Option<Item> {
        let former = || self.former.iter().find_map(|items| items.get(name)).filter(|item| item.lasting);
        let item = self.items.get(name).or_else(former)?;
        match &item.content {
            Content::Bytes(bytes) if !item.lasting && name.ends_with(".html") => {
                let page = page::with_live_part(bytes, name, &self.stamps);
                Some(Item { content: Content::Bytes(page.into()), lasting: false })
            }
            _ => Some(item.clone()),
        }
    }

    /// What tells this site from others.
    pub fn stamps(&self) -> &Stamps {
        &self.stamps
    }

    /// A page holds the rooms' names and texts once more, for who runs no script. A changed description therefore
    /// changes the page too, yet an open page needs only the new `walk.json`: it has to be loaded again if the viewer
    /// is another, if a template changed, or if the change is nowhere but in the page.
    fn difference(&self, before: &Shelf, templates_changed: bool) -> Difference {
        let pages_differ = self.hash_of(|name| name != WALK) != before.hash_of(|name| name != WALK);
        if !self.viewer().eq(before.viewer()) || (templates_changed && pages_differ) {
            Difference::Page
        } else if self.stamps.walk != before.stamps.walk {
            Difference::Walk
        } else if pages_differ {
            Difference::Page
        } else {
            Difference::None
        }
    }

    fn viewer(&self) -> impl Iterator<Item = &String> {
        self.items.keys().filter(|name| name.starts_with("viewer-"))
    }

    fn hash_of(&self, wanted: impl Fn(&str) -> bool) -> String {
        let mut text = Vec::new();
        for (name, item) in self.items.iter().filter(|(name, item)| !item.lasting && wanted(name)) {
            if let Content::Bytes(bytes) = &item.content {
                text.extend_from_slice(name.as_bytes());
                text.push(0);
                text.extend_from_slice(&ContentHash::of(bytes).0);
            }
        }
        ContentHash::of(&text).short()
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A site with a page, a `walk.json` and a viewer.
    pub(crate) fn site(page: &str, walk: &str, viewer: &str) -> Site {
        let bytes = |text: &str| Content::Bytes(Arc::from(text.as_bytes()));
        let mut site = Site::default();
        site.lasting.insert(format!("viewer-{viewer}/enfilade.css"), bytes("body{}"));
        site.changing.push(("walk.json".into(), bytes(walk)));
        site.changing.push(("index.html".into(), bytes(&format!("<html><head></head><body>{page}"))));
        site
    }

    fn shelf(page: &str, walk: &str, viewer: &str) -> Shelf {
        Shelf::new(site(page, walk, viewer), None, false).unwrap().0
    }

    #[test]
    fn files_of_the_sites_before_can_still_be_had_and_their_pages_cannot() {
        let with = |tile: &str| {
            let mut site = site("<p>hall</p>", "{}", "1");
            site.lasting.insert(format!("stations/{tile}.jpg"), Content::Bytes(Arc::from(*b"tile")));
            site.changing.push((format!("{tile}.html"), Content::Bytes(Arc::from(*b"page"))));
            site
        };
        let mut shelf = Shelf::new(with("first"), None, false).unwrap().0;
        for later in 0..FORMER_SITES {
            shelf = Shelf::new(with(&format!("later-{later}")), Some(&shelf), false).unwrap().0;
            assert!(shelf.get("stations/first.jpg").is_some() && shelf.get("first.html").is_none(), "{later}");
        }
        shelf = Shelf::new(with("last"), Some(&shelf), false).unwrap().0;
        assert!(shelf.get("stations/first.jpg").is_none() && shelf.get("stations/later-0.jpg").is_some());
    }

    #[test]
    fn a_description_changes_the_walk_and_not_the_open_page() {
        let before = shelf("a", "a", "1");
        for (page, walk, viewer, templates, wanted) in [
            ("a", "a", "1", false, Difference::None),
            ("a", "a", "1", true, Difference::None),
            ("b", "b", "1", false, Difference::Walk),
            ("a", "b", "1", true, Difference::Walk),
            ("b", "b", "1", true, Difference::Page),
            ("b", "a", "1", false, Difference::Page),
            ("a", "a", "2", false, Difference::Page),
        ] {
            let (after, difference) = Shelf::new(site(page, walk, viewer), Some(&before), templates).unwrap();
            assert_eq!(difference, wanted, "{page} {walk} {viewer} {templates}");
            let same_page = after.stamps().page == before.stamps().page;
            assert_eq!(same_page, wanted != Difference::Page, "{page} {walk} {viewer}");
        }
    }
}
