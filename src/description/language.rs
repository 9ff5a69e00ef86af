//! Language tags, as far as their form goes (BCP 47, RFC 5646 section 2.1; the rule is from memory).

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

#[cfg(test)]
mod tests {
    use super::is_well_formed;

    #[test]
    fn tags_have_the_form_of_the_standard() {
        // Examples of RFC 5646, appendix A (from memory).
        for tag in ["en", "de-CH", "zh-Hant-TW", "sl-rozaj-biske", "es-419", "de-DE-u-co-phonebk"] {
            assert!(is_well_formed(tag), "{tag}");
        }
        for tag in ["", "e", "english language", "en_GB", "en-", "-en", "de-toolongpart", "ar-a", "12"] {
            assert!(!is_well_formed(tag), "{tag}");
        }
    }
}
