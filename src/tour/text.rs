//! Texts that visitors read, in one language or in several.

use std::collections::BTreeMap;

/// A text in the tour's own language, and in others where it was given in several.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Text {
    own: String,
    /// Every language of the text, the tour's own among them, by BCP 47 tag. Empty where the text is one for all.
    spoken: BTreeMap<String, String>,
}

impl Text {
    /// A text in several languages; nothing where the tour's own is not among them.
    pub fn spoken(own: &str, spoken: BTreeMap<String, String>) -> Option<Self> {
        let text = spoken.get(own)?.clone();
        Some(Text { own: text, spoken: if spoken.len() > 1 { spoken } else { BTreeMap::new() } })
    }

    /// In the tour's own language.
    pub fn as_str(&self) -> &str {
        &self.own
    }

    /// By language, the tour's own among them; empty where the text is one for all.
    pub fn by_language(&self) -> &BTreeMap<String, String> {
        &self.spoken
    }

    /// The same change in every language.
    #[must_use]
    pub fn map(&self, change: impl Fn(&str) -> String) -> Self {
        let spoken = self.spoken.iter().map(|(language, text)| (language.clone(), change(text)));
        Text { own: change(&self.own), spoken: spoken.collect() }
    }
}

/// One for all languages.
impl From<String> for Text {
    fn from(own: String) -> Self {
        Text { own, spoken: BTreeMap::new() }
    }
}

impl From<&str> for Text {
    fn from(own: &str) -> Self {
        own.to_owned().into()
    }
}

impl std::fmt::Display for Text {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.own)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(texts: &[(&str, &str)]) -> BTreeMap<String, String> {
        texts.iter().map(|(tag, text)| ((*tag).to_owned(), (*text).to_owned())).collect()
    }

    #[test]
    fn the_tours_own_language_speaks_first_and_must_be_there() {
        let text = Text::spoken("de", texts(&[("de", "Küche"), ("en", "Kitchen")])).unwrap();
        assert_eq!(text.as_str(), "Küche");
        assert_eq!(text.map(str::to_uppercase).by_language()["en"], "KITCHEN");
        assert_eq!(Text::spoken("fr", texts(&[("de", "Küche")])), None);
    }

    #[test]
    fn a_text_in_the_own_language_alone_is_a_plain_text() {
        assert_eq!(Text::spoken("de", texts(&[("de", "Küche")])), Some("Küche".into()));
    }
}
