//! The sentences that pages say of themselves, in each language that the viewer speaks. Being fields of one struct, none can
//! be missing; the viewer's own words are in `static/words-*.js`.

use serde::Serialize;

/// What a page says where the viewer's words do not reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub(super) struct Words {
    /// The language's BCP 47 tag.
    pub language: &'static str,
    /// To who opened the page from disk; ends where the commands follow that serve a folder.
    pub from_disk: &'static str,
    /// To who runs no script.
    pub no_script: &'static str,
    /// What a plan's picture is called, before the floor's title.
    pub plan: &'static str,
    /// The link of a note, before the address.
    pub read_on: &'static str,
    /// Before the links to the rooms beyond the doors.
    pub ways: &'static str,
}

const LANGUAGES: [Words; 4] = [
    Words {
        language: "en",
        from_disk: "If you have opened this page straight from disk: browsers do not let such a page run its script or read its \
                    own pictures, so the rooms below are flat pictures only. To walk through them, put this folder on any web \
                    host, or serve it on this computer with one of these commands:",
        no_script: "The walkthrough needs JavaScript. Without it, every room is here as a flat picture.",
        plan: "Plan:",
        read_on: "Read on:",
        ways: "From here to:",
    },
    Words {
        language: "de",
        from_disk: "Falls Sie diese Seite direkt von der Festplatte geöffnet haben: Browser lassen eine solche Seite weder ihr \
                    Skript ausführen noch ihre eigenen Bilder lesen; deshalb stehen die Räume unten nur als flache Bilder. Um \
                    hindurchzugehen, legen Sie diesen Ordner auf einen beliebigen Webserver, oder stellen Sie ihn auf diesem \
                    Rechner mit einem dieser Befehle bereit:",
        no_script: "Der Rundgang braucht JavaScript. Ohne es ist hier jeder Raum als flaches Bild zu sehen.",
        plan: "Grundriss:",
        read_on: "Weiterlesen:",
        ways: "Von hier nach:",
    },
    Words {
        language: "fr",
        from_disk: "Si vous avez ouvert cette page directement depuis le disque : les navigateurs ne laissent pas une telle page \
                    exécuter son script ni lire ses propres images ; les pièces ci-dessous ne sont donc que des images planes. \
                    Pour les parcourir, placez ce dossier chez n’importe quel hébergeur, ou servez-le depuis cet ordinateur \
                    avec l’une de ces commandes :",
        no_script: "La visite a besoin de JavaScript. Sans lui, chaque pièce est présentée ici en image plane.",
        plan: "Plan :",
        read_on: "En savoir plus :",
        ways: "D’ici vers :",
    },
    Words {
        language: "es",
        from_disk: "Si ha abierto esta página directamente desde el disco: los navegadores no dejan que una página así ejecute \
                    su programa ni lea sus propias imágenes, de modo que las estancias de abajo son solo imágenes planas. Para \
                    recorrerlas, ponga esta carpeta en cualquier servidor web, o sírvala desde este ordenador con una de estas \
                    órdenes:",
        no_script: "El recorrido necesita JavaScript. Sin él, cada estancia se muestra aquí como imagen plana.",
        plan: "Plano:",
        read_on: "Más información:",
        ways: "De aquí a:",
    },
];

impl Words {
    /// The words of a language (`de-CH` falls back on `de`); English where nobody has written them.
    pub(super) fn of(language: &str) -> Self {
        let first = language.split('-').next().unwrap_or(language);
        *LANGUAGES.iter().find(|words| words.language.eq_ignore_ascii_case(first)).unwrap_or(&LANGUAGES[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_language_says_everything_in_its_own_words() {
        let said = |words: &Words| serde_json::to_value(words).unwrap().as_object().unwrap().clone();
        let english = said(&LANGUAGES[0]);
        for words in &LANGUAGES {
            let words = said(words);
            assert!(words.values().all(|text| !text.as_str().unwrap().trim().is_empty()));
            let own = |key: &str| words["language"] == "en" || words[key] != english[key];
            for key in ["from_disk", "no_script", "plan", "read_on", "ways"] {
                assert!(own(key), "{key} in {}", words["language"]);
            }
        }
    }

    #[test]
    fn they_are_the_languages_of_the_viewer() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("static");
        let names = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let viewers = names.filter_map(|name| Some(name.strip_prefix("words-")?.strip_suffix(".js")?.to_owned()));
        let mut viewers: Vec<_> = viewers.collect();
        viewers.sort();
        let mut pages: Vec<_> = LANGUAGES.iter().map(|words| words.language.to_owned()).collect();
        pages.sort();
        assert_eq!(pages, viewers);
    }

    #[test]
    fn a_country_makes_no_difference_and_an_unknown_language_falls_back() {
        assert_eq!(Words::of("de-CH").language, "de");
        assert_eq!(Words::of("ES").language, "es");
        assert_eq!(Words::of("it").language, "en");
    }
}
