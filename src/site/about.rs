//! What visitors are told of altered pictures: room by room, what, why, and how it looked before.

use super::page::Picture;
use crate::tour::{Repair, RepairKind, Why};
use serde::Serialize;

/// The page's name in the site.
pub(super) const ABOUT_PAGE: &str = "pictures.html";

/// What the page about the pictures tells.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct About {
    pub words: AboutWords,
    /// Rooms with something altered, in the tour's order.
    pub rooms: Vec<Room>,
}

/// One room's.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Room {
    pub title: String,
    pub repairs: Vec<Altered>,
}

/// One repair, as visitors read it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Altered {
    /// In the photographer's words, else by its kind.
    pub name: String,
    pub why: &'static str,
    /// What it covers, as it was; none for privacy.
    pub before: Option<Picture>,
    /// A link to that place in the walkthrough, as it was; none for privacy, and where the tour shows stills only.
    pub view: Option<String>,
}

/// What the page says, in each language that the viewer speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub(super) struct AboutWords {
    pub language: &'static str,
    pub title: &'static str,
    /// What the list is, and what it is not.
    pub introduction: &'static str,
    /// Before the picture of what was there.
    pub before: &'static str,
    /// The link to it in the walkthrough.
    pub view: &'static str,
    /// The link back.
    pub back: &'static str,
    /// By kind, where the photographer gave no name: tripod, filled, covered, painted, unreadable, disc.
    kinds: [&'static str; 6],
    /// By reason, in the order of [`Why`].
    whys: [&'static str; 7],
}

const LANGUAGES: [AboutWords; 4] = [
    AboutWords {
        language: "en",
        title: "About these pictures",
        introduction: "Something was altered in the pictures of these rooms. Each entry says what and why, and shows what was \
                       there. What was made unreadable for privacy is named, not shown. Levelling, exposure, white balance and \
                       merging several exposures are not listed: they change how light a picture is, not what it shows.",
        before: "Before:",
        view: "Look round there, as it was",
        back: "To the walkthrough",
        kinds: [
            "The camera’s stand",
            "Something filled from its surroundings",
            "Something covered with its surroundings",
            "Something painted over",
            "Something made unreadable",
            "The camera’s stand, under a disc",
        ],
        whys: [
            "the photographer’s own equipment",
            "for privacy",
            "things lying about",
            "a fixture of the house",
            "damage or wear",
            "the sky, or a view",
            "another reason",
        ],
    },
    AboutWords {
        language: "de",
        title: "Über diese Bilder",
        introduction: "In den Bildern dieser Räume wurde etwas verändert. Jeder Eintrag sagt, was und warum, und zeigt, was \
                       dort war. Was zum Schutz der Privatsphäre unkenntlich gemacht wurde, wird genannt, aber nicht gezeigt. \
                       Ausrichten, Belichtung, Weißabgleich und das Verbinden mehrerer Belichtungen stehen hier nicht: Sie \
                       ändern, wie hell ein Bild ist, nicht was es zeigt.",
        before: "Vorher:",
        view: "Sich dort umsehen, wie es war",
        back: "Zum Rundgang",
        kinds: [
            "Das Stativ der Kamera",
            "Etwas wurde aus der Umgebung ergänzt",
            "Etwas wurde mit Teilen der Umgebung bedeckt",
            "Etwas wurde übermalt",
            "Etwas wurde unkenntlich gemacht",
            "Das Stativ der Kamera, unter einer Scheibe",
        ],
        whys: [
            "Ausrüstung der Fotografin oder des Fotografen",
            "zum Schutz der Privatsphäre",
            "herumliegende Dinge",
            "fester Bestandteil des Hauses",
            "Schaden oder Abnutzung",
            "der Himmel oder eine Aussicht",
            "anderer Grund",
        ],
    },
    AboutWords {
        language: "fr",
        title: "À propos de ces images",
        introduction: "Quelque chose a été modifié dans les images de ces pièces. Chaque entrée dit quoi et pourquoi, et montre \
                       ce qui s’y trouvait. Ce qui a été rendu illisible pour protéger la vie privée est nommé, mais pas \
                       montré. La mise à niveau, l’exposition, la balance des blancs et la fusion de plusieurs expositions ne \
                       figurent pas ici : elles changent la clarté d’une image, pas ce qu’elle montre.",
        before: "Avant :",
        view: "Regarder sur place, comme c’était",
        back: "Vers la visite",
        kinds: [
            "Le pied de l’appareil",
            "Quelque chose de complété d’après les alentours",
            "Quelque chose de couvert par les alentours",
            "Quelque chose de repeint",
            "Quelque chose rendu illisible",
            "Le pied de l’appareil, sous un disque",
        ],
        whys: [
            "matériel du photographe",
            "protection de la vie privée",
            "objets qui traînaient",
            "élément fixe de la maison",
            "dégât ou usure",
            "le ciel, ou une vue",
            "autre raison",
        ],
    },
    AboutWords {
        language: "es",
        title: "Sobre estas imágenes",
        introduction: "En las imágenes de estas estancias se ha modificado algo. Cada entrada dice qué y por qué, y muestra lo \
                       que había. Lo que se ha hecho ilegible para proteger la privacidad se nombra, pero no se muestra. \
                       Nivelar, exponer, equilibrar el blanco y unir varias exposiciones no figuran aquí: cambian lo clara que \
                       es una imagen, no lo que muestra.",
        before: "Antes:",
        view: "Mirar allí, como era",
        back: "Al recorrido",
        kinds: [
            "El soporte de la cámara",
            "Algo completado a partir de su entorno",
            "Algo cubierto con su entorno",
            "Algo repintado",
            "Algo hecho ilegible",
            "El soporte de la cámara, bajo un disco",
        ],
        whys: [
            "equipo del fotógrafo",
            "por privacidad",
            "objetos sueltos",
            "elemento fijo de la casa",
            "daño o desgaste",
            "el cielo, o una vista",
            "otro motivo",
        ],
    },
];

impl AboutWords {
    /// The words of a language (`de-CH` falls back on `de`); English where nobody has written them.
    pub fn of(language: &str) -> Self {
        let first = language.split('-').next().unwrap_or(language);
        *LANGUAGES.iter().find(|words| words.language.eq_ignore_ascii_case(first)).unwrap_or(&LANGUAGES[0])
    }

    /// One repair as visitors read it.
    pub fn altered(&self, repair: &Repair) -> Altered {
        let kind = match &repair.kind {
            RepairKind::FillTripod { .. } => 0,
            RepairKind::Fill(_) => 1,
            RepairKind::Clone { .. } => 2,
            RepairKind::Patch { .. } => 3,
            RepairKind::Blur(_) => 4,
            RepairKind::Disc { .. } => 5,
        };
        let why = match repair.why {
            Why::Equipment => 0,
            Why::Privacy => 1,
            Why::Clutter => 2,
            Why::Fixture => 3,
            Why::Damage => 4,
            Why::Sky => 5,
            Why::Other => 6,
        };
        let name = repair.name.as_ref().map_or_else(|| self.kinds[kind].to_owned(), ToString::to_string);
        Altered { name, why: self.whys[why], before: None, view: None }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_language_says_everything_in_its_own_words() {
        for (index, words) in LANGUAGES.iter().enumerate() {
            let said = |words: &AboutWords| {
                let own = [words.title, words.introduction, words.before, words.view, words.back];
                own.into_iter().chain(words.kinds).chain(words.whys).collect::<Vec<_>>()
            };
            assert!(said(words).iter().all(|text| !text.trim().is_empty()));
            for other in &LANGUAGES[..index] {
                assert!(said(words).iter().zip(said(other)).all(|(a, b)| *a != b), "{}", words.language);
            }
        }
        assert_eq!(AboutWords::of("de-CH").language, "de");
        assert_eq!(AboutWords::of("it").language, "en");
    }
}
