//! A tour written into a folder of its own, for tests that need a description and files beside it.

use enfilade::problem::{Problem, Problems, Severity};
use enfilade::tour::{Tour, read_tour};
use std::io::Cursor;
use std::path::Path;

/// A tour in a temporary folder, which goes when this does.
pub struct WrittenTour {
    folder: tempfile::TempDir,
}

impl WrittenTour {
    /// A folder that holds this `tour.yaml`.
    pub fn new(yaml: impl AsRef<[u8]>) -> Self {
        let tour = WrittenTour { folder: tempfile::tempdir().unwrap() };
        tour.file("tour.yaml", yaml)
    }

    /// Adds a file, and the folders above it.
    pub fn file(self, name: &str, bytes: impl AsRef<[u8]>) -> Self {
        let path = self.folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
        self
    }

    /// Adds tiny equirectangular pictures, as JPEG or PNG by the name's ending.
    pub fn shots<const N: usize>(self, names: [&str; N]) -> Self {
        names.into_iter().fold(self, |tour, name| tour.file(name, picture(name, 4, 2)))
    }

    /// Adds an SVG drawing of 800 by 600 units.
    pub fn plan(self, name: &str) -> Self {
        self.file(name, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 800 600\"/>")
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// The tour, which must be without errors.
    pub fn read(&self) -> Tour {
        read_tour(self.path()).unwrap_or_else(|problems| panic!("{:#?}", lines(&problems))).0
    }

    /// Every problem as a line: what, instead, and where.
    pub fn problems(&self) -> Vec<String> {
        match read_tour(self.path()) {
            Ok((_, warnings)) => lines(&warnings),
            Err(problems) => lines(&problems),
        }
    }

    /// Asserts the full list of problems, in order.
    #[track_caller]
    pub fn expect(&self, expected: &[&str]) {
        let found = self.problems();
        assert_eq!(found, expected, "\nfound:\n{}\n", found.join("\n"));
    }
}

/// Problems as lines: `error 3:8+5: what -> instead`.
pub fn lines(problems: &Problems) -> Vec<String> {
    problems.iter().map(line).collect()
}

fn line(problem: &Problem) -> String {
    let severity = match problem.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    let place = problem.place.as_ref().map(|p| format!(" {}:{}+{}", p.line, p.column, p.length)).unwrap_or_default();
    format!("{severity}{place}: {} -> {}", problem.what, problem.instead)
}

/// A grey picture, as JPEG or PNG by the name's ending.
pub fn picture(name: &str, width: u32, height: u32) -> Vec<u8> {
    let format = if name.ends_with(".png") { image::ImageFormat::Png } else { image::ImageFormat::Jpeg };
    let mut bytes = Cursor::new(Vec::new());
    image::RgbImage::from_pixel(width, height, image::Rgb([90, 120, 150])).write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}
