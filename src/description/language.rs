//! Language tags (BCP 47, RFC 5646; its rules are from memory): their form, their usual spelling, and whether the language of
//! two letters exists.

/// The two-letter languages of ISO 639-1 (from memory; 183 of them, without those that were withdrawn).
const TWO_LETTERS: &str = "aa ab ae af ak am an ar as av ay az ba be bg bi bm bn bo br bs ca ce ch co cr cs cu cv cy da de dv dz ee \
    el en eo es et eu fa ff fi fj fo fr fy ga gd gl gn gu gv ha he hi ho hr ht hu hy hz ia id ie ig ii ik io is it iu ja jv ka kg \
    ki kj kk kl km kn ko kr ks ku kv kw ky la lb lg li ln lo lt lu lv mg mh mi mk ml mn mr ms mt my na nb nd ne ng nl nn no nr nv \
    ny oc oj om or os pa pi pl ps pt qu rm rn ro ru rw sa sc sd se sg si sk sl sm sn so sq sr ss st su sv sw ta te tg th ti tk tl \
    tn to tr ts tt tw ty ug uk ur uz ve vi vo wa wo xh yi yo za zh zu";

/// Codes of countries that are often written for the language spoken there, with that language.
const COUNTRIES: [(&str, &str); 9] = [
    ("gb", "en"),
    ("us", "en"),
    ("at", "de"),
    ("cz", "cs"),
    ("dk", "da"),
    ("gr", "el"),
    ("jp", "ja"),
    ("cn", "zh"),
    ("ua", "uk"),
];

/// True for a well-formed tag such as `en`, `de-CH` or `zh-Hant-TW`: a language of two to eight letters, then
/// parts of one to eight letters or digits. Whether the language exists is not looked up.
pub fn is_well_formed(tag: &str) -> bool {
    let mut parts = tag.split('-');
    let language = parts.next().unwrap_or("");
    let letters = |part: &str| part.chars().all(|c| c.is_ascii_alphabetic());
    (2..=8).contains(&language.len())
        && letters(language)
        && parts.all(|part| (1..=8).contains(&part.len()) && part.chars().all(|c| c.is_ascii_alphanumeric()))
        && tag.rsplit('-').next().is_none_or(|last| last.len() != 1)
}

/// False where the language has two letters that stand for none, or more than three: such codes were never given out.
pub fn is_known(tag: &str) -> bool {
    let language = tag.split('-').next().unwrap_or("").to_ascii_lowercase();
    match language.len() {
        2 => TWO_LETTERS.split_ascii_whitespace().any(|known| known == language),
        length => length == 3,
    }
}

/// The tag that was probably meant by a country's code.
pub fn of_country(code: &str) -> Option<&'static str> {
    COUNTRIES.iter().find(|(country, _)| country.eq_ignore_ascii_case(code)).map(|(_, language)| *language)
}

/// The tag as it is usually spelt: everything small, but countries large and scripts with a large first letter.
pub fn usual(tag: &str) -> String {
    let mut after_single = false;
    let spell = |(index, part): (usize, &str)| {
        let small = part.to_ascii_lowercase();
        let spelt = match part.len() {
            2 if index > 0 && !after_single => small.to_ascii_uppercase(),
            4 if index > 0 && !after_single => small[..1].to_ascii_uppercase() + &small[1..],
            _ => small,
        };
        after_single |= part.len() == 1;
        spelt
    };
    tag.split('-').enumerate().map(spell).collect::<Vec<_>>().join("-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_have_the_form_of_the_standard() {
        // Examples of RFC 5646, appendix A (from memory).
        for tag in ["en", "de-CH", "zh-Hant-TW", "sl-rozaj-biske", "es-419", "de-DE-u-co-phonebk"] {
            assert!(is_well_formed(tag), "{tag}");
            assert!(is_known(tag), "{tag}");
            assert_eq!(usual(&tag.to_uppercase()), tag);
            assert_eq!(usual(&tag.to_lowercase()), tag);
        }
        for tag in ["", "e", "english language", "en_GB", "en-", "-en", "de-toolongpart", "ar-a", "12"] {
            assert!(!is_well_formed(tag), "{tag}");
        }
    }

    #[test]
    fn countries_are_no_languages() {
        for (country, language) in COUNTRIES {
            assert!(!is_known(country), "{country}");
            assert!(is_known(language), "{language}");
        }
        for tag in ["xx", "german", "Deutsch"] {
            assert!(!is_known(tag), "{tag}");
        }
        assert_eq!(TWO_LETTERS.split_ascii_whitespace().count(), 183);
        assert!(TWO_LETTERS.split_ascii_whitespace().is_sorted());
    }
}
