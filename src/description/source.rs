//! The text of a description: found, bounded in size, and known to be plain UTF-8 before any parser sees it.

use crate::problem::{Place, Problem};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The file's name where a folder is given.
pub const FILE_NAME: &str = "tour.yaml";
/// Largest description that is read, in bytes: far above any tour, far below what would hurt.
pub const MAX_BYTES: u64 = 4 * 1024 * 1024;

/// A description's text and where it came from.
#[derive(Clone, Debug)]
pub struct Source {
    /// The file.
    pub file: Arc<Path>,
    /// UTF-8 without a byte order mark, without control characters.
    pub text: String,
}

impl Source {
    /// Opens a description. `path` is a folder with a `tour.yaml`, or that file.
    ///
    /// # Errors
    /// No such file, too large, not UTF-8, or a character that has no business in a text; with its place.
    pub fn open(path: &Path) -> Result<Source, Problem> {
        let file = if path.is_dir() { path.join(FILE_NAME) } else { path.to_owned() };
        let bytes = read_bounded(&file)?;
        Source::from_bytes(&file, bytes)
    }

    /// The same for bytes that were read already.
    ///
    /// # Errors
    /// As [`Source::open`].
    pub fn from_bytes(file: &Path, bytes: Vec<u8>) -> Result<Source, Problem> {
        let file: Arc<Path> = file.into();
        if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
            let what = "the description is saved as UTF-16";
            return Err(Problem::error(what, "save it as UTF-8 in your editor").at(&at(&file, 1, 1, 0)));
        }
        let bytes = if bytes.starts_with(b"\xef\xbb\xbf") { bytes[3..].to_vec() } else { bytes };
        let text = String::from_utf8(bytes).map_err(|error| {
            let valid = error.utf8_error().valid_up_to();
            let before = String::from_utf8_lossy(&error.as_bytes()[..valid]).into_owned();
            let (line, column) = end_of(&before);
            let what = format!("the byte 0x{:02x} is not UTF-8", error.as_bytes()[valid]);
            Problem::error(what, "save the file as UTF-8 in your editor").at(&at(&file, line, column, 1))
        })?;
        let source = Source { file, text };
        source.refuse_hidden_characters()?;
        Ok(source)
    }

    /// A place in this file; line and column count from 1.
    pub fn place(&self, line: usize, column: usize, length: usize) -> Place {
        at(&self.file, line, column, length)
    }

    /// The folder that paths in the description start from.
    pub fn folder(&self) -> PathBuf {
        match self.file.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
            _ => PathBuf::from("."),
        }
    }

    /// Control characters, and the rare line ends that one version of YAML counts as such and the next does not.
    fn refuse_hidden_characters(&self) -> Result<(), Problem> {
        let hidden = |c: char| {
            (c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
                || matches!(c, '\u{2028}' | '\u{2029}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
        };
        // A carriage return of its own would be a line end to YAML and none to an editor.
        let lone_return = |i: usize| !self.text[i + 1..].starts_with('\n');
        let found = self.text.char_indices().find(|&(i, c)| hidden(c) || (c == '\r' && lone_return(i)));
        let Some((index, character)) = found else { return Ok(()) };
        let (line, column) = end_of(&self.text[..index]);
        let what = format!("the invisible character U+{:04X} stands here", u32::from(character));
        Err(Problem::error(what, "delete it").at(&self.place(line, column, 1)))
    }
}

fn read_bounded(file: &Path) -> Result<Vec<u8>, Problem> {
    let cannot = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => Problem::error(
            format!("there is no description at `{}`", file.display()),
            format!("name a folder that holds a {FILE_NAME}, or that file"),
        ),
        _ => Problem::error(format!("`{}` cannot be read ({error})", file.display()), "make it readable"),
    };
    let mut bytes = Vec::new();
    let opened = std::fs::File::open(file).map_err(cannot)?;
    if !opened.metadata().map_err(cannot)?.is_file() {
        let what = format!("`{}` is not a file", file.display());
        return Err(Problem::error(what, format!("name a folder that holds a {FILE_NAME}, or that file")));
    }
    opened.take(MAX_BYTES + 1).read_to_end(&mut bytes).map_err(cannot)?;
    if bytes.len() as u64 > MAX_BYTES {
        let what = format!("the description is larger than {} MiB", MAX_BYTES / 1024 / 1024);
        return Err(Problem::error(what, "check that this is the right file").at(&at(&file.into(), 1, 1, 0)));
    }
    Ok(bytes)
}

/// Line and column just after a text, counted from 1.
fn end_of(text: &str) -> (usize, usize) {
    let last = text.rsplit('\n').next().unwrap_or("");
    (text.matches('\n').count() + 1, last.chars().count() + 1)
}

fn at(file: &Arc<Path>, line: usize, column: usize, length: usize) -> Place {
    let small = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Place { file: file.clone(), line: small(line), column: small(column), length: small(length) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problem(bytes: &[u8]) -> (String, u32, u32) {
        let problem = Source::from_bytes(Path::new("tour.yaml"), bytes.to_vec()).unwrap_err();
        let place = problem.place.unwrap();
        (problem.what, place.line, place.column)
    }

    #[test]
    fn bytes_that_are_no_text_are_named_with_their_place() {
        assert_eq!(problem(b"a: b\nc: \xff"), ("the byte 0xff is not UTF-8".into(), 2, 4));
        assert_eq!(problem(b"\xff\xfea\0").0, "the description is saved as UTF-16");
        assert_eq!(problem(b"a: \0"), ("the invisible character U+0000 stands here".into(), 1, 4));
        assert_eq!(problem("é: \u{2028}".as_bytes()), ("the invisible character U+2028 stands here".into(), 1, 4));
        assert_eq!(problem(b"a: b\rc: d").0, "the invisible character U+000D stands here");
    }

    #[test]
    fn a_byte_order_mark_and_windows_line_ends_are_fine() {
        let source = Source::from_bytes(Path::new("tour.yaml"), b"\xef\xbb\xbfa: b\r\nc: d\r\n".to_vec()).unwrap();
        assert_eq!(source.text, "a: b\r\nc: d\r\n");
    }
}
