//! Takes the comments out of the viewer's style sheets. The rules are those of CSS Syntax Module Level 3, section 4:
//! comments stand anywhere but in strings and in bare `url(…)`.

use super::script_comments::quoted_length;

/// The same style sheet without its comments, blank lines, indentation and blanks at line ends.
pub(super) fn strip(source: &str) -> String {
    let mut out = String::with_capacity(source.len());
    let mut rest = source;
    while let Some(next) = rest.chars().next() {
        let length = match next {
            '/' if rest.starts_with("/*") => {
                rest = &rest[rest[2..].find("*/").map_or(rest.len(), |end| end + 4)..];
                // `a/**/.b` means `a.b`, `a/**/b` does not mean `ab`: between two that touch it, a comment stays, emptied.
                if touches(out.chars().next_back()) && touches(rest.chars().next()) {
                    out.push_str("/**/");
                }
                continue;
            }
            '\n' => {
                end_line(&mut out);
                1
            }
            _ if next.is_whitespace() && (out.is_empty() || out.ends_with('\n')) => next.len_utf8(),
            '\'' | '"' => copy(&mut out, rest, quoted_length(rest, next)),
            // An escape stands for the character after it.
            '\\' => copy(&mut out, rest, rest.char_indices().nth(2).map_or(rest.len(), |(index, _)| index)),
            _ => copy(&mut out, rest, bare_url_length(rest).unwrap_or(next.len_utf8())),
        };
        rest = &rest[length..];
    }
    out
}

fn copy(out: &mut String, rest: &str, length: usize) -> usize {
    out.push_str(&rest[..length]);
    length
}

fn touches(neighbour: Option<char>) -> bool {
    neighbour.is_some_and(|next| !next.is_whitespace())
}

fn end_line(out: &mut String) {
    out.truncate(out.trim_end_matches([' ', '\t', '\r']).len());
    if !out.is_empty() && !out.ends_with('\n') {
        out.push('\n');
    }
}

/// Bytes of a `url(…)` whose address stands without quotes.
fn bare_url_length(rest: &str) -> Option<usize> {
    let opening = rest.get(..4).filter(|opening| opening.eq_ignore_ascii_case("url("))?;
    let address = rest[opening.len()..].trim_start();
    if address.starts_with(['\'', '"']) { None } else { rest.find(')').map(|end| end + 1) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_go_where_nothing_changes_its_meaning() {
        assert_eq!(strip("/* a */\n\na { /* b */\n  color: red; /* c\n d */\n}\n"), "a {\ncolor: red;\n}\n");
        assert_eq!(strip("a/* x */.b c/* y */ d"), "a/**/.b c d");
    }

    #[test]
    fn what_only_looks_like_a_comment_stays() {
        for source in [
            "a::before { content: '/* \\' */'; }",
            "a { background: url(data:image/*;base64,AA/*==); }",
            "a { background: URL( \"a/*b*/\" ); }",
            ".a\\'b { color: red } .c\\'d { color: blue }",
        ] {
            assert_eq!(strip(source), source);
        }
    }

    #[test]
    fn unfinished_text_is_no_panic() {
        for source in ["/*", "'a", "a\\", "url(", "url(é", "é", "\\é"] {
            strip(source);
        }
    }
}
