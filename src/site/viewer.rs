//! The viewer's own files, embedded in the program: modules and style sheets under their own names in one folder, which
//! is named by what is in it, so that a changed viewer never meets an old module in a browser's cache.

use super::{script_comments, style_comments};
use include_dir::{Dir, include_dir};
use std::collections::BTreeSet;
use std::sync::Arc;

static FOLDER: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/static");

/// Endings of files that a page may ask for; what only developers need (types, settings) is not published.
const PUBLISHED: [&str; 6] = ["js", "css", "svg", "png", "jpg", "woff2"];

/// The viewer as it is published.
#[derive(Clone, Debug)]
pub(super) struct Viewer {
    /// `viewer-HASH`.
    pub folder: String,
    /// Names below the folder with their bytes, sorted.
    pub files: Vec<(String, Arc<[u8]>)>,
}

impl Viewer {
    /// The module that a page loads.
    const ENTRY: &str = "enfilade-walk.js";

    /// The one inside this program.
    pub(super) fn embedded() -> Self {
        Viewer::of(FOLDER.files().filter_map(|file| Some((file.path().to_str()?, file.contents()))))
    }

    /// From source files: comments are taken out of scripts and style sheets.
    pub(super) fn of<'a>(sources: impl Iterator<Item = (&'a str, &'a [u8])>) -> Self {
        let mut files: Vec<(String, Arc<[u8]>)> = sources
            .filter_map(|(name, bytes)| Some((name, published(name, bytes)?)))
            .map(|(name, bytes)| (name.to_string(), bytes.into()))
            .collect();
        files.sort();
        let mut hash = blake3::Hasher::new();
        for (name, bytes) in &files {
            for part in [name.as_bytes(), bytes] {
                // Lengths keep the end of one part apart from the beginning of the next.
                hash.update(&(part.len() as u64).to_le_bytes()).update(part);
            }
        }
        let hash = crate::store::ContentHash(*hash.finalize().as_bytes());
        Viewer { folder: format!("viewer-{}", hash.short()), files }
    }

    /// [`Viewer::imported`], and the module of the words of a language, which is asked for as soon as the walk is known.
    pub(super) fn loaded_at_once(&self, language: &str) -> Vec<String> {
        let words = format!("words-{language}.js");
        let mut modules = self.imported();
        if self.files.iter().any(|(file, _)| *file == words) && !modules.contains(&words) {
            modules.push(words);
        }
        modules
    }

    /// Modules that [`Viewer::ENTRY`] imports at once, by way of one another, sorted. A page that names them all lets a
    /// browser ask for them together instead of one import after the other.
    pub(super) fn imported(&self) -> Vec<String> {
        let mut found = BTreeSet::new();
        let mut waiting = vec![Viewer::ENTRY];
        while let Some(name) = waiting.pop() {
            let script =
                self.files.iter().find(|(file, _)| file == name).and_then(|(_, bytes)| str::from_utf8(bytes).ok());
            waiting.extend(script.into_iter().flat_map(imports).filter(|import| found.insert(*import)));
        }
        found.remove(Viewer::ENTRY);
        found.into_iter().map(str::to_string).collect()
    }
}

/// Names in `… from "./name.js"` and `import "./name.js"`.
fn imports(script: &str) -> impl Iterator<Item = &str> {
    let static_import = |before: &str| before.trim_end().ends_with("from") || before.trim_end().ends_with("import");
    let places = script.match_indices("\"./").filter(move |(at, _)| static_import(&script[..*at]));
    places.filter_map(|(at, opening)| Some(script[at + opening.len()..].split_once('"')?.0))
}

/// A file's bytes as they are published, if it is.
fn published(name: &str, bytes: &[u8]) -> Option<Vec<u8>> {
    let ending = name.rsplit_once('.')?.1;
    match (ending, std::str::from_utf8(bytes)) {
        ("js", Ok(script)) => Some(script_comments::strip(script).into_bytes()),
        ("css", Ok(style)) => Some(style_comments::strip(style).into_bytes()),
        _ if PUBLISHED.contains(&ending) => Some(bytes.to_vec()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn viewer(script: &str) -> Viewer {
        Viewer::of([("b.css", b"a {} /* x */\n".as_slice()), ("a.js", script.as_bytes()), ("a.d.ts", b"x")].into_iter())
    }

    #[test]
    fn scripts_and_styles_are_published_without_comments() {
        let viewer = viewer("// why\nexport const a = 1;\n");
        let files: Vec<_> = viewer.files.iter().map(|(name, bytes)| (name.as_str(), &**bytes)).collect();
        assert_eq!(files, [("a.js", b"export const a=1;\n".as_slice()), ("b.css", b"a {}\n")]);
    }

    #[test]
    fn a_changed_viewer_gets_a_new_folder_a_changed_comment_does_not() {
        let first = viewer("const a = 1;\n").folder;
        assert_eq!(first.len(), "viewer-".len() + 16);
        assert_eq!(viewer("const a = 1;\n// explained\n").folder, first);
        assert_ne!(viewer("const a = 2;\n").folder, first);
    }

    #[test]
    fn modules_are_found_by_way_of_one_another() {
        let sources = [
            (
                "enfilade-walk.js",
                "import { a } from \"./a.js\";\nimport \"./b.js\";\nconst later = import(\"./d.js\");\n",
            ),
            ("a.js", "export {\n  c\n} from \"./c.js\";\n"),
            ("b.js", "import { a } from \"./a.js\";\nimport \"./enfilade-walk.js\";\n"),
            ("c.js", "export const c = \"./e.js\";\n"),
            ("d.js", "export {};\n"),
        ];
        let viewer = Viewer::of(sources.into_iter().map(|(name, script)| (name, script.as_bytes())));
        assert_eq!(viewer.imported(), ["a.js", "b.js", "c.js"]);
    }

    /// What a page asks for is inside the program.
    #[test]
    fn the_embedded_viewer_is_whole() {
        let viewer = Viewer::embedded();
        let asked = viewer.imported().into_iter().chain([Viewer::ENTRY.to_string(), "enfilade.css".to_string()]);
        for name in asked {
            assert!(viewer.files.iter().any(|(file, _)| *file == name), "{name} is not in static/");
        }
    }

    /// What is embedded today survives: a second pass finds nothing more to take out.
    #[test]
    fn the_embedded_modules_hold_no_comment() {
        for (name, bytes) in &Viewer::embedded().files {
            let again = published(name, bytes).unwrap();
            assert_eq!(again, **bytes, "{name}");
        }
    }
}
