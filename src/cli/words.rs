//! Small pieces of the sentences that commands print.

use std::path::Path;

/// `1 room`, `2 rooms`. For words that take an s.
pub(super) fn count(number: usize, what: &str) -> String {
    if number == 1 { format!("1 {what}") } else { format!("{number} {what}s") }
}

/// A path as one word of a command line: quoted where a shell could misread it.
pub(super) fn shell_word(path: &Path) -> String {
    let text = path.display().to_string();
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '/' | '\\' | '.' | '-' | '_' | ':');
    match () {
        () if !text.is_empty() && text.chars().all(plain) => text,
        () if cfg!(windows) => format!("\"{text}\""),
        () => format!("'{}'", text.replace('\'', r"'\''")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_counted_and_quoted() {
        assert_eq!(["0 rooms", "1 room", "2 rooms"], [0, 1, 2].map(|number| count(number, "room")));
        assert_eq!(shell_word(Path::new("tours/mill-2.yaml")), "tours/mill-2.yaml");
        if cfg!(unix) {
            assert_eq!(shell_word(Path::new("Larkmere Mill's")), r"'Larkmere Mill'\''s'");
        }
    }
}
