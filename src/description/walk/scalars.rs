//! Texts, numbers and flags: what YAML would read as something else is refused, not guessed at.

use super::entries::nearest;
use crate::description::placed::Placed;
use crate::description::tree::{Kind, Node, quote};
use crate::description::types::Pair;
use crate::problem::{Problem, Problems};

/// Largest number on a plan, in its units: far above any drawing, and still exact.
const MAX_PLAN_UNITS: f64 = 1e6;

/// A text. Plain words that a reader of YAML takes for a number, a date, yes or no must be put in quotes. Control
/// characters, which quotes can smuggle in, are refused: they would reach terminals and pages.
pub fn text(node: &Node, problems: &mut Problems) -> Option<String> {
    let Kind::Scalar { text, plain } = &node.kind else {
        let what = format!("{} stands where a text belongs", node.quoted());
        problems.push(Problem::error(what, "write the text in quotes").at(&node.place));
        return None;
    };
    if let (true, Some(kind)) = (*plain, not_a_text(text)) {
        let what = format!("{} is read as {kind}, not as a text", quote(text));
        problems.push(Problem::error(what, format!("put quotes around it: \"{text}\"")).at(&node.place));
        return None;
    }
    if let Some(hidden) = text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t')) {
        let what = format!("this text holds the invisible character U+{:04X}", u32::from(hidden));
        problems.push(Problem::error(what, "delete its escape, such as `\\x1b`").at(&node.place));
        return None;
    }
    Some(text.clone())
}

/// What some reader of YAML (1.1 or 1.2) takes a plain word for, if it is not a text.
fn not_a_text(word: &str) -> Option<&'static str> {
    let lower = word.to_lowercase();
    let digits = word.trim_start_matches(['-', '+']);
    let numeric = |c: char| c.is_ascii_digit() || matches!(c, '.' | '_' | ':');
    let begins_like_number = digits.starts_with(|c: char| c.is_ascii_digit())
        || (digits.starts_with('.') && digits[1..].starts_with(|c: char| c.is_ascii_digit()));
    match lower.as_str() {
        "~" | "null" | "" => Some("nothing"),
        "yes" | "no" | "on" | "off" | "true" | "false" | "y" | "n" => Some("yes or no"),
        ".inf" | "-.inf" | "+.inf" | ".nan" => Some("a number"),
        _ if begins_like_number && digits.contains(':') && digits.chars().all(numeric) => {
            Some("a time or a number to base 60")
        }
        _ if begins_like_number && digits.chars().all(numeric) => Some("a number"),
        _ if begins_like_number && digits.replace('_', "").parse::<f64>().is_ok() => Some("a number"),
        _ if is_based_integer(digits) => Some("a number"),
        _ if is_date(word) => Some("a date"),
        _ => None,
    }
}

fn is_based_integer(word: &str) -> bool {
    ["0x", "0o", "0b"]
        .iter()
        .any(|base| word.strip_prefix(base).is_some_and(|rest| rest.chars().all(|c| c.is_ascii_hexdigit() || c == '_')))
}

fn is_date(word: &str) -> bool {
    let parts: Vec<&str> = word.split('-').collect();
    parts.len() == 3
        && parts[0].len() == 4
        && parts.iter().all(|part| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit()))
}

/// A finite number within a range that includes both ends.
pub fn number(node: &Node, problems: &mut Problems, name: &str, low: f64, high: f64, unit: &str) -> Option<f64> {
    let range = format!("a number from {low} to {high} {unit}");
    let range = range.trim_end();
    let value = decimal(node, problems, name, range)?;
    if !(low..=high).contains(&value) {
        let what = format!("`{name}` is {}, outside {low} to {high} {unit}", quote(node.scalar().unwrap_or_default()));
        problems.push(Problem::error(what.trim_end(), format!("write {range}")).at(&node.place));
        return None;
    }
    Some(value)
}

/// The same in metres.
pub fn metres(node: &Node, problems: &mut Problems, name: &str, low: f64, high: f64) -> Option<f64> {
    number(node, problems, name, low, high, "metres")
}

/// A whole number within a range that includes both ends.
pub fn whole(node: &Node, problems: &mut Problems, name: &str, low: u32, high: u32) -> Option<u32> {
    let value = number(node, problems, name, low.into(), high.into(), "")?;
    let parsed = node.scalar().and_then(|text| text.parse::<u32>().ok());
    if parsed.is_none() {
        let what = format!("`{name}` is {}, not a whole number", node.quoted());
        problems.push(Problem::error(what, format!("write {:.0}", value.round())).at(&node.place));
    }
    parsed
}

/// A decimal number as YAML 1.2 and serde read it alike.
fn decimal(node: &Node, problems: &mut Problems, name: &str, wanted: &str) -> Option<f64> {
    let mut refuse = |what: String, instead: String| {
        problems.push(Problem::error(what, instead).at(&node.place));
        None
    };
    let Kind::Scalar { text, plain } = &node.kind else {
        return refuse(format!("`{name}` holds {}", node.quoted()), format!("write {wanted}"));
    };
    if is_decimal(text) && !plain {
        return refuse(format!("`{name}` is the text {}", quote(text)), format!("write {text} without quotes"));
    }
    if let Some(value) = Some(text).filter(|text| is_decimal(text)).and_then(|text| text.parse::<f64>().ok()) {
        return match value.is_finite() {
            true => Some(value),
            false => refuse(format!("`{name}` is {}, too large for a number", quote(text)), format!("write {wanted}")),
        };
    }
    match meant_number(text) {
        Some(meant) => refuse(format!("`{name}` is {}, not a plain number", quote(text)), format!("write {meant}")),
        None => refuse(format!("`{name}` is {}, not a number", quote(text)), format!("write {wanted}")),
    }
}

/// Digits with or without sign, point and exponent; no leading zeros, which some readers take for octal.
fn is_decimal(text: &str) -> bool {
    let unsigned = text.strip_prefix(['-', '+']).unwrap_or(text);
    let (mantissa, exponent) = match unsigned.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, Some(exponent.strip_prefix(['-', '+']).unwrap_or(exponent))),
        None => (unsigned, None),
    };
    let (before, after) = mantissa.split_once('.').map_or((mantissa, None), |(before, after)| (before, Some(after)));
    let digits = |part: &str| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit());
    digits(before)
        && (before == "0" || !before.starts_with('0'))
        && after.is_none_or(digits)
        && exponent.is_none_or(digits)
}

/// The number that was probably meant by a text with a comma, a unit sign, leading zeros or a typographic minus.
fn meant_number(text: &str) -> Option<String> {
    let mut tidy = text.trim().replace('−', "-").replace(',', ".").replace('_', "");
    for unit in ["°", "deg", "degrees", "m", "metres", "%"] {
        tidy = tidy.strip_suffix(unit).unwrap_or(&tidy).trim().to_owned();
    }
    let value = Some(&tidy).filter(|tidy| tidy.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c)))?;
    let value: f64 = value.parse().ok()?;
    value.is_finite().then(|| value.to_string())
}

/// `true` or `false`.
pub fn flag(node: &Node, problems: &mut Problems) -> Option<bool> {
    let Kind::Scalar { text, plain } = &node.kind else {
        problems.push(
            Problem::error(format!("{} stands where yes or no belongs", node.quoted()), "write `true` or `false`")
                .at(&node.place),
        );
        return None;
    };
    match (text.as_str(), plain) {
        ("true", true) => return Some(true),
        ("false", true) => return Some(false),
        _ => {}
    }
    let instead = match text.to_lowercase().as_str() {
        "true" | "yes" | "on" | "y" | "1" => "write `true`",
        "false" | "no" | "off" | "n" | "0" => "write `false`",
        _ => "write `true` or `false`",
    };
    problems.push(Problem::error(format!("{} is neither `true` nor `false`", quote(text)), instead).at(&node.place));
    None
}

/// A place on a plan, `[right, down]`.
pub fn pair(node: &Node, problems: &mut Problems) -> Option<Pair> {
    let [right, down] = two(node, problems, "[right, down]")?;
    let unit = "of the plan's units";
    let right = number(right, problems, "right", -MAX_PLAN_UNITS, MAX_PLAN_UNITS, unit);
    let down = number(down, problems, "down", -MAX_PLAN_UNITS, MAX_PLAN_UNITS, unit);
    Some([right?, down?])
}

/// The same with its place.
pub fn placed_pair(node: &Node, problems: &mut Problems) -> Option<Placed<Pair>> {
    pair(node, problems).map(|pair| Placed::new(pair, &node.place))
}

/// A list of exactly two values; `form` shows what they are.
pub fn two<'n>(node: &'n Node, problems: &mut Problems, form: &str) -> Option<[&'n Node; 2]> {
    match &node.kind {
        Kind::Sequence(items) if items.len() == 2 => Some([&items[0], &items[1]]),
        Kind::Sequence(items) => {
            let what = format!("this list has {} where two values belong", counted(items.len()));
            problems.push(Problem::error(what, format!("write `{form}`")).at(&node.place));
            None
        }
        _ => {
            let what = format!("{} stands where a list of two belongs", node.quoted());
            problems.push(Problem::error(what, format!("write `{form}`")).at(&node.place));
            None
        }
    }
}

fn counted(values: usize) -> String {
    match values {
        0 => "no value".to_owned(),
        1 => "one value".to_owned(),
        many => format!("{many} values"),
    }
}

/// One word of a few.
pub fn one_of<T: Copy>(node: &Node, problems: &mut Problems, name: &str, words: &[(&str, T)]) -> Option<T> {
    let written = match &node.kind {
        Kind::Scalar { text, .. } => text.as_str(),
        _ => "",
    };
    if let Some((_, value)) = words.iter().find(|(word, _)| *word == written) {
        return Some(*value);
    }
    let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    let shown = if written.is_empty() { node.quoted() } else { quote(written) };
    let instead = match nearest(written, &known) {
        Some(near) => format!("write `{near}`"),
        None => format!("write one of {}", known.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")),
    };
    problems.push(Problem::error(format!("{shown} is not a {name}"), instead).at(&node.place));
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_some_reader_takes_for_something_else_are_no_texts() {
        for word in [
            "no",
            "Yes",
            "OFF",
            "1871",
            "1:30",
            "0x1F",
            "~",
            "null",
            "1e5",
            "1_000",
            "2026-11-25",
            ".inf",
            "-7.5",
            "007",
        ] {
            assert!(not_a_text(word).is_some(), "{word}");
        }
        for word in
            ["Hall", "1st floor", "No. 7", "nobody", "10 Downing Street", "a:b", "3-4", "1.2.3 bis", "..", "-", "x7"]
        {
            assert_eq!(not_a_text(word), None, "{word}");
        }
    }

    #[test]
    fn numbers_are_plain_decimals() {
        for good in ["0", "-1.5", "+3", "1e3", "0.25", "12E-2"] {
            assert!(is_decimal(good), "{good}");
        }
        for bad in ["", "-", ".5", "5.", "007", "0x10", "1_000", "1,5", "1:30", ".nan", "1e", "∞", "٣"] {
            assert!(!is_decimal(bad), "{bad}");
        }
        assert_eq!(meant_number("1,58 m").as_deref(), Some("1.58"));
        assert_eq!(meant_number("90°").as_deref(), Some("90"));
        assert_eq!(meant_number("007").as_deref(), Some("7"));
        assert_eq!(meant_number("north"), None);
        assert_eq!(meant_number(".inf"), None);
    }
}
