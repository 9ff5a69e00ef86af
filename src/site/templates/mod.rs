//! The pages, from Tera templates: Enfilade's own, each of which a file of the same name in the tour's `templates/`
//! replaces. Every value is escaped, whatever a template is called.

mod includes;
mod trouble;

use super::about::ABOUT_PAGE;
use super::page::Page;
use crate::problem::{Problem, Problems};
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tera::Tera;
use walkdir::WalkDir;

static OWN: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates");

/// Templates that become files of the site under their own name; all others are parts of these.
const PAGES: [&str; 2] = ["index.html", ABOUT_PAGE];

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
    for name in PAGES.into_iter().filter(|name| *name != ABOUT_PAGE || page.about.is_some()) {
        match tera.render(name, &context) {
            Ok(text) => pages.push((name.to_string(), text.into_bytes())),
            Err(error) => problems.push(templates.problem(name, &error)),
        }
    }
    if problems.is_empty() { Ok(pages) } else { Err(problems) }
}

/// Templates by name, as they name one another.
struct Templates(BTreeMap<String, Template>);

struct Template {
    text: String,
    /// Where it is the tour's own.
    file: Option<PathBuf>,
}

impl Templates {
    /// Ours, then the tour's own over them: every `.html` file below its folder, if it has one.
    fn gather(folder: &Path) -> Result<Self, Problems> {
        let mut templates = Templates(BTreeMap::new());
        for file in OWN.files() {
            let text = file.contents_utf8().unwrap_or_default().to_string();
            templates.0.insert(name_of(file.path()), Template { text, file: None });
        }
        let mut problems = Problems::new();
        let below = folder.is_dir().then(|| WalkDir::new(folder).follow_links(true).sort_by_file_name());
        for entry in below.into_iter().flatten() {
            let added = match &entry {
                Ok(entry) => templates.add(folder, entry.path()),
                Err(error) => Err(not_readable(error.path().unwrap_or(folder), error)),
            };
            added.unwrap_or_else(|found| problems.extend(found));
        }
        if problems.is_empty() { Ok(templates) } else { Err(problems) }
    }

    fn add(&mut self, folder: &Path, path: &Path) -> Result<(), Problems> {
        if path.extension().is_some_and(|ending| ending == "html") && path.is_file() {
            let text = std::fs::read_to_string(path).map_err(|error| not_readable(path, &error))?;
            let name = name_of(path.strip_prefix(folder).unwrap_or(path));
            self.0.insert(name, Template { text, file: Some(path.to_path_buf()) });
        }
        Ok(())
    }

    fn parse(&self) -> Result<Tera, Problems> {
        let mut problems = Problems::new();
        for (name, template) in &self.0 {
            // Alone, so that each broken template is reported; what it extends is looked for below.
            if let Err(error) = Tera::default().add_raw_template(name, &template.text)
                && trouble::is_of_syntax(&error)
            {
                problems.push(self.problem(name, &error));
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let mut tera = Tera::default();
        tera.autoescape_on(vec![""]);
        tera.set_escape_fn(escaped);
        let all = self.0.iter().map(|(name, template)| (name.as_str(), template.text.as_str()));
        tera.add_raw_templates(all).map_err(|error| self.problem(PAGES[0], &error))?;
        match self.circle() {
            Some(problem) => Err(problem.into()),
            None => Ok(tera),
        }
    }
}

/// With forward slashes, on every system.
fn name_of(path: &Path) -> String {
    path.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

fn not_readable(path: &Path, why: &dyn std::error::Error) -> Problems {
    let what = format!("template `{}` cannot be read: {why}", path.display());
    Problem::error(what, "save it as text in UTF-8, where it can be read").about(path).into()
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

#[cfg(test)]
mod tests {
    use crate::problem::{Problem, Problems};
    use crate::site::Site;
    use crate::site::compose::compose_with;
    use crate::site::testing::{House, viewer};
    use std::path::PathBuf;

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
    fn a_template_that_includes_itself_is_a_problem() {
        let house = House::new();
        own_template(&house, "room.html", "{% include \"parts/sign.html\" %}");
        let path = own_template(&house, "parts/sign.html", "<p>\n{% include \"room.html\" %}");
        let problem = only_problem(&house);
        let place = problem.place.unwrap();
        assert_eq!((&*place.file, place.line, place.column), (path.as_path(), 2, 13));
        assert!(problem.what.ends_with("includes itself by way of `room.html`"), "{}", problem.what);
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
}
