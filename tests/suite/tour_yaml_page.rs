//! The reference page of `tour.yaml`: it names every key that is read and no other, in the words of the types, and its
//! example is a tour that works.

use crate::written_tour::WrittenTour;
use enfilade::description::types;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

const PAGE: &str = include_str!("../../docs/tour-yaml.md");
const TYPES: &str = include_str!("../../src/description/types.rs");

/// The keys that serde takes for a type, as it names them itself when it refuses another one.
fn keys<T: DeserializeOwned>() -> Vec<String> {
    let refusal = serde_yaml::from_str::<T>("no such key: 0").err().unwrap().to_string();
    let (_, expected) = refusal.split_once("expected").unwrap_or_else(|| panic!("{refusal}"));
    expected.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

/// Key and meaning of each row of the table under a heading of the page.
fn table(heading: &str) -> Vec<(String, String)> {
    let (_, after) = PAGE.split_once(&format!("\n## {heading}\n")).unwrap_or_else(|| panic!("no section {heading}"));
    let section = after.split("\n## ").next().unwrap();
    let rows = section.lines().filter_map(|line| line.strip_prefix("| `")?.strip_suffix(" |"));
    rows.map(|row| row.split_once("` | ").unwrap()).map(|(key, meaning)| (key.to_owned(), meaning.to_owned())).collect()
}

/// The doc lines of a struct's fields, by key.
fn doc_lines(name: &str) -> BTreeMap<String, String> {
    let (_, after) = TYPES.split_once(&format!("pub struct {name} {{\n")).unwrap();
    let mut docs = BTreeMap::new();
    let mut doc = Vec::new();
    for line in after.split("\n}").next().unwrap().lines().map(str::trim) {
        if let Some(text) = line.strip_prefix("/// ") {
            doc.push(text);
        } else if let Some(field) = line.strip_prefix("pub ") {
            let (field, _) = field.split_once(':').unwrap();
            // The one key that is a word of Rust.
            let key = if field == "like" { "match".to_owned() } else { field.replace('_', "-") };
            docs.insert(key, std::mem::take(&mut doc).join(" "));
        }
    }
    docs
}

#[track_caller]
fn agrees<T: DeserializeOwned>(heading: &str) {
    let rows = table(heading);
    let named: Vec<String> = rows.iter().map(|(key, _)| key.clone()).collect();
    assert_eq!(named, keys::<T>(), "keys under {heading}");
    let name = std::any::type_name::<T>().rsplit("::").next().unwrap();
    assert_eq!(rows.into_iter().collect::<BTreeMap<_, _>>(), doc_lines(name), "meanings under {heading}");
}

#[test]
fn every_key_is_on_the_page_in_the_words_of_its_type() {
    agrees::<types::Description>("The tour");
    agrees::<types::Defaults>("`defaults`");
    agrees::<types::Floor>("A floor");
    agrees::<types::Plan>("A plan");
    agrees::<types::Scale>("A scale");
    agrees::<types::Room>("A room");
    agrees::<types::Station>("A station");
    agrees::<types::TiltAngles>("A tilt");
    agrees::<types::Tone>("Tone");
    agrees::<types::MeasuredWhiteBalance>("A measured white balance");
    agrees::<types::OpeningView>("`opening-view`");
    agrees::<types::Note>("A note");
    agrees::<types::NotePicture>("A note's picture");
    agrees::<types::Repair>("A repair");
    agrees::<types::Region>("A region");
    agrees::<types::Door>("A door");
    agrees::<types::Step>("A step");
    agrees::<types::Sighting>("A direction in `seen-from`");
    assert_eq!(PAGE.matches("\n## ").count(), 18, "a section of the page is not compared");
}

#[test]
fn the_defaults_are_those_on_the_page() {
    let types::Defaults { quality, full_colour, tilt, camera_height, tone, retouch } = types::Defaults::default();
    let shown = [
        quality.to_string(),
        full_colour.to_string(),
        "none".to_owned(),
        camera_height.to_string(),
        "as they came".to_owned(),
        "none".to_owned(),
    ];
    assert_eq!(tone, types::Tone::default());
    assert_eq!(retouch, Vec::new());
    assert_eq!(tilt, types::Tilt::Named(types::NamedTilt::None));
    for ((key, meaning), shown) in table("`defaults`").into_iter().zip(shown) {
        let default = meaning.split_once("default ").unwrap().1.trim_end_matches('.').trim_matches('`');
        assert_eq!(default, shown, "{key}");
    }
    assert_eq!(types::english().value, "en");
}

#[test]
fn the_example_on_the_page_is_a_tour() {
    let example = PAGE.split("```yaml\n").nth(1).unwrap().split("```").next().unwrap();
    WrittenTour::new(example)
        .shots(["shots/hall.jpg", "shots/barn-1.jpg", "shots/barn-2.jpg", "shots/landing.jpg", "notes/mill-1902.jpg"])
        .plan("plans/ground.svg")
        .expect(&[]);
}
