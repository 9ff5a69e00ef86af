//! Ids: names that are safe as a folder on Linux, macOS and Windows, and in an address.

/// Longest id, in characters: short enough that a path with two of them stays below every system's limit.
const MAX_LENGTH: usize = 63;

/// Names that Windows keeps for devices, whatever folder they lie in (Microsoft, "Naming Files, Paths, and
/// Namespaces"; list from memory).
const RESERVED: [&str; 4] = ["con", "prn", "aux", "nul"];

/// What is wrong with an id, and the nearest one that is right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadId {
    /// As the end of a sentence that begins with the id.
    pub why: String,
    /// A correct id made from it; empty where nothing is left.
    pub nearest: String,
}

/// Lower-case letters, digits and single hyphens between them; not a device's name; at most 63 characters.
///
/// # Errors
/// The first rule that it breaks.
pub fn check(id: &str) -> Result<(), BadId> {
    let bad = |why: &str| Err(BadId { why: why.to_owned(), nearest: nearest(id) });
    if id.len() > MAX_LENGTH {
        return bad("is longer than 63 characters");
    }
    if !id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-') {
        return bad("holds something other than lower-case letters a to z, digits and hyphens");
    }
    if id.starts_with('-') || id.ends_with('-') || id.contains("--") {
        return bad("has a hyphen at an end, or two in a row");
    }
    if is_reserved(id) {
        return bad("is a device's name on Windows and cannot be a folder there");
    }
    Ok(())
}

fn is_reserved(id: &str) -> bool {
    let numbered = |device: &str| {
        id.strip_prefix(device).is_some_and(|rest| rest.len() == 1 && rest.as_bytes()[0].is_ascii_digit())
    };
    RESERVED.contains(&id) || numbered("com") || numbered("lpt")
}

/// The nearest id that keeps the rules; empty where nothing is left.
pub fn nearest(id: &str) -> String {
    let mut out = String::new();
    for c in id.chars().flat_map(char::to_lowercase) {
        match plain_letters(c) {
            "" if c.is_ascii_alphanumeric() => out.push(c),
            "" if !out.ends_with('-') && !out.is_empty() => out.push('-'),
            letters => out.push_str(letters),
        }
        if out.len() >= MAX_LENGTH - 5 {
            break;
        }
    }
    let mut out = out.trim_end_matches('-').to_owned();
    if is_reserved(&out) {
        out.push_str("-room");
    }
    out
}

/// Letters of Latin scripts without their marks; nothing for everything else.
fn plain_letters(c: char) -> &'static str {
    match c {
        'à' | 'á' | 'â' | 'ã' | 'å' | 'ā' | 'ă' | 'ą' => "a",
        'ä' | 'æ' => "ae",
        'ç' | 'ć' | 'č' => "c",
        'ď' | 'đ' | 'ð' => "d",
        'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ę' | 'ě' => "e",
        'ì' | 'í' | 'î' | 'ï' | 'ī' => "i",
        'ł' => "l",
        'ñ' | 'ń' | 'ň' => "n",
        'ò' | 'ó' | 'ô' | 'õ' | 'ō' | 'ő' => "o",
        'ö' | 'ø' | 'œ' => "oe",
        'ŕ' | 'ř' => "r",
        'ś' | 'š' | 'ş' => "s",
        'ß' => "ss",
        'ť' | 'ţ' => "t",
        'ù' | 'ú' | 'û' | 'ů' | 'ū' | 'ű' => "u",
        'ü' => "ue",
        'ý' | 'ÿ' => "y",
        'ź' | 'ż' | 'ž' => "z",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_names_the_nearest_id() {
        let cases = [
            ("Hall", "hall"),
            ("Küche & Diele", "kueche-diele"),
            ("great  barn", "great-barn"),
            ("-barn-", "barn"),
            ("a--b", "a-b"),
            ("con", "con-room"),
            ("com1", "com1-room"),
            ("../etc", "etc"),
            ("a.b", "a-b"),
            ("日本", ""),
        ];
        for (wrong, right) in cases {
            let bad = check(wrong).unwrap_err();
            assert_eq!(bad.nearest, right, "{wrong}");
            assert!(right.is_empty() || check(right).is_ok(), "{right}");
        }
        assert_eq!(check(&"x".repeat(64)).unwrap_err().nearest, "x".repeat(58));
    }

    #[test]
    fn ordinary_ids_are_fine() {
        for id in ["hall", "101", "bed-room-2", "com10", "console", "x"] {
            assert_eq!(check(id), Ok(()), "{id}");
        }
    }
}
