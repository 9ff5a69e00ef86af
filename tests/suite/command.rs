//! Runs the real command on a tour in a temporary folder.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A temporary folder that a test fills with a tour.
pub struct TourFolder {
    folder: tempfile::TempDir,
}

impl TourFolder {
    /// An empty one.
    pub fn new() -> Self {
        TourFolder { folder: tempfile::tempdir().unwrap() }
    }

    /// Writes a file; folders on the way are made.
    pub fn file(self, name: &str, content: impl AsRef<[u8]>) -> Self {
        self.write(name, content);
        self
    }

    /// Writes an equirectangular JPEG of a smooth gradient.
    pub fn shot(self, name: &str, width: u32) -> Self {
        let picture = image::RgbImage::from_fn(width, width / 2, |x, y| {
            image::Rgb([(x * 255 / width) as u8, (y * 510 / width) as u8, 128])
        });
        let mut jpeg = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut jpeg, image::ImageFormat::Jpeg).unwrap();
        self.file(name, jpeg.into_inner())
    }

    /// Writes a file of a tour that is in use.
    pub fn write(&self, name: &str, content: impl AsRef<[u8]>) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, content).unwrap();
    }

    /// A file's path.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The command in this folder, not yet started, with nothing of the tester's terminal in its surroundings.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_enfilade"));
        command.args(arguments).current_dir(self.folder.path()).stdin(Stdio::null());
        for name in ["COLUMNS", "NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "RAYON_NUM_THREADS"] {
            command.env_remove(name);
        }
        command
    }

    /// Runs the command in this folder to its end.
    pub fn run(&self, arguments: &[&str]) -> Ran {
        Ran::of(self.command(arguments).output().unwrap(), arguments)
    }
}

/// What a command came to. Every check returns it again.
#[derive(Debug)]
pub struct Ran {
    /// What was run, for failures.
    arguments: String,
    /// Exit code; −1 where a signal ended it.
    pub code: i32,
    /// Standard output.
    pub stdout: String,
    /// Standard error.
    pub stderr: String,
}

impl Ran {
    /// Of a process that has ended.
    pub fn of(output: Output, arguments: &[&str]) -> Self {
        Ran {
            arguments: arguments.join(" "),
            code: output.status.code().unwrap_or(-1),
            stdout: String::from_utf8(output.stdout).unwrap(),
            stderr: String::from_utf8(output.stderr).unwrap(),
        }
    }

    /// The exit code.
    #[track_caller]
    pub fn code(self, expected: i32) -> Self {
        assert_eq!(self.code, expected, "exit code of {:?}\n{}\n{}", self.arguments, self.stdout, self.stderr);
        self
    }

    /// All of the standard output.
    #[track_caller]
    pub fn stdout(self, expected: &str) -> Self {
        assert_eq!(self.stdout, expected, "standard output of {:?}", self.arguments);
        self
    }

    /// All of the standard error.
    #[track_caller]
    pub fn stderr(self, expected: &str) -> Self {
        assert_eq!(self.stderr, expected, "standard error of {:?}", self.arguments);
        self
    }

    /// A part of the standard output, where the rest is another test's business.
    #[track_caller]
    pub fn stdout_has(self, part: &str) -> Self {
        assert!(self.stdout.contains(part), "{part:?} is missing in {:?}:\n{}", self.arguments, self.stdout);
        self
    }

    /// A part of the standard error, where the rest is another test's business.
    #[track_caller]
    pub fn stderr_has(self, part: &str) -> Self {
        assert!(self.stderr.contains(part), "{part:?} is missing in {:?}:\n{}", self.arguments, self.stderr);
        self
    }

    /// The standard output as the JSON it is.
    #[track_caller]
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|error| panic!("{error} in {:?}", self.stdout))
    }

    /// All of the standard output, held in a file of `tests/fixtures`. `ENFILADE_REFRESH=1` writes the file anew.
    #[track_caller]
    pub fn stdout_is_fixture(self, name: &str) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(name);
        if std::env::var_os("ENFILADE_REFRESH").is_some() {
            std::fs::write(&path, &self.stdout).unwrap();
        }
        let expected = std::fs::read_to_string(&path).unwrap();
        self.stdout(&expected)
    }
}
