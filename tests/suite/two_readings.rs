//! The reading with places, serde's reading, and what was meant: three ways to one description, held equal.
//!
//! Descriptions are generated as plain values. As JSON they are read by `serde_json`, which knows no YAML: that is what
//! was meant. As YAML they are written in every style (block and flow, plain, quoted and literal texts, anchors and
//! aliases, comments, both line ends) and read in both ways.

use crate::written_tour::lines;
use enfilade::description::{Description, Source, read};
use proptest::prelude::*;
use serde_json::{Map, Value, json};
use std::collections::HashMap;
use std::path::Path;

/// Writes values as YAML; each decision takes the next of a list of random numbers.
struct Writer {
    choices: Vec<u8>,
    next: usize,
    anchors: HashMap<String, String>,
}

impl Writer {
    fn choose(&mut self, among: u8) -> u8 {
        self.next += 1;
        self.choices[self.next % self.choices.len()] % among
    }

    /// The end of a line, sometimes with a comment.
    fn line_end(&mut self) -> &'static str {
        if self.choose(8) == 0 { " # a comment: with signs\n" } else { "\n" }
    }

    /// A value after `key:` or `-`, with the space before it and the line's end.
    fn block(&mut self, value: &Value, indent: usize) -> String {
        let pad = " ".repeat(indent);
        match value {
            Value::Object(entries) if !entries.is_empty() && self.choose(3) > 0 => {
                let entries: String = entries
                    .iter()
                    .map(|(key, value)| format!("{pad}{}:{}", self.key(key), self.block(value, indent + 2)))
                    .collect();
                format!("{}{entries}", self.line_end())
            }
            Value::Array(items) if !items.is_empty() && self.choose(3) > 0 => {
                let items: String =
                    items.iter().map(|item| format!("{pad}-{}", self.block(item, indent + 2))).collect();
                format!("{}{items}", self.line_end())
            }
            Value::String(text) if is_literal(text) && self.choose(3) == 0 => {
                let lines: String = text.split('\n').map(|line| format!("{pad}{line}\n")).collect();
                format!(" |-\n{lines}")
            }
            _ => format!(" {}{}", self.flow(value), self.line_end()),
        }
    }

    /// A value on one line, sometimes under an anchor or as an alias to one.
    fn flow(&mut self, value: &Value) -> String {
        let same = value.to_string();
        match self.anchors.get(&same).cloned() {
            Some(name) if self.choose(2) == 0 => return format!("*{name} "),
            Some(_) => return self.written(value),
            None => {}
        }
        let written = self.written(value);
        if self.choose(4) > 0 {
            return written;
        }
        let name = format!("a{}", self.anchors.len());
        self.anchors.insert(same, name.clone());
        format!("&{name} {written}")
    }

    fn written(&mut self, value: &Value) -> String {
        match value {
            Value::Object(entries) => {
                let entries: Vec<String> =
                    entries.iter().map(|(key, value)| format!("{}: {}", self.key(key), self.flow(value))).collect();
                format!("{{ {} }}", entries.join(", "))
            }
            Value::Array(items) => {
                let items: Vec<String> = items.iter().map(|item| self.flow(item)).collect();
                format!("[{}]", items.join(", "))
            }
            Value::Number(number) => self.number(number),
            Value::String(text) => self.text(text),
            other => other.to_string(),
        }
    }

    fn key(&mut self, key: &str) -> String {
        match self.choose(6) {
            0 => format!("'{key}'"),
            1 => format!("\"{key}\""),
            _ if key.contains('/') || !is_plain(key) => format!("\"{key}\""),
            _ => key.to_owned(),
        }
    }

    fn number(&mut self, number: &serde_json::Number) -> String {
        let whole = number.is_u64();
        match self.choose(4) {
            0 if !whole => format!("{:e}", number.as_f64().unwrap()),
            1 if !whole && number.as_f64().unwrap() >= 0.0 => format!("+{number}"),
            _ => number.to_string(),
        }
    }

    fn text(&mut self, text: &str) -> String {
        match self.choose(3) {
            0 if is_plain(text) => text.to_owned(),
            1 if !text.contains('\n') => format!("'{}'", text.replace('\'', "''")),
            // JSON's escapes are YAML's.
            _ => Value::String(text.to_owned()).to_string(),
        }
    }
}

/// Letters and single hyphens or spaces between them: plain in every context and version of YAML.
fn is_plain(text: &str) -> bool {
    let words = ["yes", "no", "on", "off", "true", "false", "null", "y", "n"];
    text.starts_with(|c: char| c.is_alphabetic())
        && text.ends_with(|c: char| c.is_alphabetic())
        && text.chars().all(|c| c.is_alphabetic() || matches!(c, ' ' | '-'))
        && !words.contains(&text.to_lowercase().as_str())
}

fn is_literal(text: &str) -> bool {
    text.split('\n').all(|line| line.starts_with(|c: char| c.is_alphanumeric()) && line.trim_end() == line)
}

fn text() -> impl Strategy<Value = Value> {
    let tricky = [
        "no",
        "Yes",
        "~",
        "1871",
        "1:30",
        "1e3",
        "0x1F",
        "a: b",
        "a #b",
        "# c",
        "- d",
        "[e]",
        "{f}",
        "it's",
        "\"g\"",
        "two\nlines",
        "&h",
        "*i",
        "!j",
        "%k",
        "@l",
        "`m`",
        "|",
        ">",
        "Küche",
        "日本の家",
        "a\\b",
        " inside ",
        "null",
        "2026-11-25",
        "?",
        ":",
        "𝒎",
    ];
    prop_oneof![
        proptest::sample::select(tricky.to_vec()).prop_map(|text| json!(text)),
        "[A-Za-z][A-Za-z ]{0,20}[a-z]".prop_map(|text| json!(text)),
        "[ -~]{0,20}[!-~]".prop_map(|text| json!(text)),
    ]
}

/// A text, or one for each of several languages.
fn spoken() -> BoxedStrategy<Value> {
    let several = (text(), text(), text()).prop_map(|(en, de, ch)| json!({ "en": en, "de": de, "de-CH": ch }));
    prop_oneof![3 => text().boxed(), 1 => several.boxed()].boxed()
}

fn id() -> impl Strategy<Value = Value> {
    "[a-z][a-z0-9]{0,8}(-[a-z0-9]{1,4})?"
        .prop_filter("a device's name", |id| {
            !["con", "prn", "aux", "nul", "com", "lpt"].iter().any(|device| id.starts_with(device))
        })
        .prop_map(|id| json!(id))
}

/// Thousandths, so that every way of writing means the same number exactly.
fn number(low: i32, high: i32) -> impl Strategy<Value = Value> {
    (low * 1000..=high * 1000).prop_map(|thousandths| json!(f64::from(thousandths) / 1000.0))
}

fn pair(first: i32, second: i32) -> impl Strategy<Value = Value> {
    (number(-first, first), number(-second, second)).prop_map(|(a, b)| json!([a, b]))
}

/// A group of keys, of which some may be left out.
fn group(
    required: Vec<(&'static str, BoxedStrategy<Value>)>,
    optional: Vec<(&'static str, BoxedStrategy<Value>)>,
) -> BoxedStrategy<Value> {
    let keys: Vec<&str> = required.iter().chain(&optional).map(|(key, _)| *key).collect();
    let always = required.len();
    let values: Vec<BoxedStrategy<Value>> = required.into_iter().chain(optional).map(|(_, value)| value).collect();
    (values, proptest::collection::vec(any::<bool>(), keys.len()))
        .prop_map(move |(values, kept)| {
            let entries = keys.iter().zip(values).zip(kept).enumerate();
            let kept = entries.filter(|(index, (_, kept))| *index < always || *kept);
            Value::Object(kept.map(|(_, ((key, value), _))| ((*key).to_owned(), value)).collect::<Map<_, _>>())
        })
        .boxed()
}

fn list(value: BoxedStrategy<Value>, at_least: usize) -> BoxedStrategy<Value> {
    proptest::collection::vec(value, at_least..3).prop_map(Value::Array).boxed()
}

fn direction(further: Vec<(&'static str, BoxedStrategy<Value>)>) -> BoxedStrategy<Value> {
    let spot = group(vec![("spot", pair(180, 90).boxed())], further.clone());
    let mut beside = further;
    beside.push(("elevation", number(-90, 90).boxed()));
    prop_oneof![spot, group(vec![("heading", number(0, 360).boxed())], beside)].boxed()
}

fn station_keys() -> (BoxedStrategy<Value>, Vec<(&'static str, BoxedStrategy<Value>)>) {
    let shots = prop_oneof![text(), proptest::collection::vec(text(), 1..4).prop_map(Value::Array)].prop_filter(
        "paths",
        |shots| {
            let files = shots.as_array().map_or(std::slice::from_ref(shots), Vec::as_slice);
            files.iter().all(|file| !file.as_str().unwrap().contains('\\'))
        },
    );
    let angles = group(vec![("pitch", number(-90, 90).boxed())], vec![("roll", number(-180, 180).boxed())]);
    let tilt = prop_oneof![Just(json!("none")), Just(json!("auto")), Just(json!("from-file")), angles];
    let picture = group(vec![("file", id().boxed()), ("alternative", spoken())], vec![]);
    let link = Just(json!("https://example.org/mill?a=b#c")).boxed();
    let note = direction(vec![("title", spoken()), ("picture", picture), ("link", link)]);
    let note = (note, spoken()).prop_map(|(mut note, text)| {
        note["text"] = text;
        note
    });
    let optional = vec![
        ("heading", number(0, 360).boxed()),
        ("stands-at", pair(1000, 1000).boxed()),
        ("camera-height", number(1, 5).boxed()),
        ("tilt", tilt.boxed()),
        ("tone", tone(vec![("match", id().boxed())])),
        ("quality", (1..=100u8).prop_map(|quality| json!(quality)).boxed()),
        ("full-colour", any::<bool>().prop_map(|full| json!(full)).boxed()),
        ("opening-view", direction(vec![("field-of-view", number(10, 140).boxed())])),
        ("notes", list(note.boxed(), 0)),
        ("retouch", list(repair(), 0)),
    ];
    (shots.boxed(), optional)
}

/// Without a grey spot, which the tour's defaults must not have; with keys that only a picture of its own may have.
fn tone(further: Vec<(&'static str, BoxedStrategy<Value>)>) -> BoxedStrategy<Value> {
    let light = group(vec![("temperature", number(2000, 25_000).boxed())], vec![("tint", number(-50, 50).boxed())]);
    let mut balances = vec![Just(json!("as-shot")).boxed(), Just(json!("auto")).boxed(), light];
    if !further.is_empty() {
        balances.push(group(vec![("neutral", pair(180, 90).boxed())], vec![]));
    }
    let mut keys = vec![
        ("exposure", number(-5, 5).boxed()),
        ("white-balance", proptest::strategy::Union::new(balances).boxed()),
        ("sharpening", number(0, 1).boxed()),
    ];
    let shares = ["highlights", "shadows", "contrast", "local-contrast", "saturation"];
    keys.extend(shares.map(|key| (key, number(-1, 1).boxed())));
    keys.extend(further);
    group(vec![], keys)
}

fn flag() -> BoxedStrategy<Value> {
    any::<bool>().prop_map(|flag| json!(flag)).boxed()
}

/// Of any kind.
fn repair() -> BoxedStrategy<Value> {
    let disc = group(vec![("spot", pair(180, 90).boxed()), ("radius", number(1, 60).boxed())], vec![]);
    let corners = proptest::collection::vec(pair(180, 90), 3..6).prop_map(|corners| json!({ "corners": corners }));
    let region = prop_oneof![disc, corners.boxed()].boxed();
    let why = || proptest::sample::select(vec!["equipment", "privacy", "fixture", "other"]).prop_map(|why| json!(why));
    let always = || vec![("name", spoken()), ("off", flag())];
    let explained = |kind: &'static str, value: BoxedStrategy<Value>, further| {
        group(vec![(kind, value), ("why", why().boxed())], [always(), further].concat())
    };
    let view = vec![("spot", pair(180, 90).boxed()), ("field-of-view", number(1, 120).boxed())];
    let painted = vec![("patch", id().boxed()), ("why", why().boxed())];
    prop_oneof![
        of_every_picture(),
        explained("fill", region.clone(), vec![]),
        group(
            vec![("clone", region.clone()), ("from", pair(180, 90).boxed()), ("why", why().boxed())],
            [always(), vec![("from-shot", id().boxed()), ("turned", number(-180, 180).boxed())]].concat(),
        ),
        group([painted, view].concat(), [always(), vec![("twin", id().boxed())]].concat()),
        group(vec![("blur", region)], always()),
    ]
    .boxed()
}

/// About the tripod.
fn of_every_picture() -> BoxedStrategy<Value> {
    let radius = || ("radius", number(2, 60).boxed());
    let look = prop_oneof![Just(json!("#6b6259")).boxed(), id().boxed()].boxed();
    prop_oneof![
        group(vec![("fill", Just(json!("tripod")).boxed())], vec![radius(), ("shadow", flag()), ("off", flag())]),
        group(vec![("disc", look)], vec![radius()]),
    ]
    .boxed()
}

fn seen_from() -> BoxedStrategy<Value> {
    let names = prop_oneof![
        id().boxed(),
        (id(), id()).prop_map(|(a, b)| json!(format!("{}/{}", a.as_str().unwrap(), b.as_str().unwrap()))).boxed()
    ];
    proptest::collection::vec((names, direction(vec![])), 0..3)
        .prop_map(|seen| {
            Value::Object(seen.into_iter().map(|(name, seen)| (name.as_str().unwrap().to_owned(), seen)).collect())
        })
        .boxed()
}

fn description() -> BoxedStrategy<Value> {
    let between = || (id(), id()).prop_map(|(a, b)| json!([a, b])).boxed();
    let (shots, optional) = station_keys();
    let small = group(vec![("id", id().boxed()), ("title", spoken()), ("shots", shots.clone())], optional.clone());
    let station = group(vec![("id", id().boxed()), ("shots", shots)], optional);
    let step = group(vec![("between", between())], vec![("seen-from", seen_from())]);
    let large = group(
        vec![("id", id().boxed()), ("title", spoken()), ("stations", list(station, 1))],
        vec![("steps", list(step, 0))],
    );
    let scale = (pair(9, 9), number(1, 1000))
        .prop_map(|(from, metres)| json!({ "from": from, "to": [20, 20.5], "metres": metres }));
    let plan =
        group(vec![("drawing", id().boxed())], vec![("north", number(-180, 360).boxed()), ("scale", scale.boxed())]);
    let floor = group(
        vec![("id", id().boxed()), ("title", spoken()), ("rooms", list(prop_oneof![small, large].boxed(), 1))],
        vec![("plan", plan)],
    );
    let door = group(
        vec![("between", between())],
        vec![
            ("at", pair(1000, 1000).boxed()),
            ("one-way", any::<bool>().prop_map(|one| json!(one)).boxed()),
            ("seen-from", seen_from()),
        ],
    );
    let defaults = group(
        vec![],
        vec![
            ("quality", (1..=100u8).prop_map(|quality| json!(quality)).boxed()),
            ("full-colour", any::<bool>().prop_map(|full| json!(full)).boxed()),
            ("tilt", prop_oneof![Just(json!("none")), Just(json!("from-file"))].boxed()),
            ("camera-height", number(1, 5).boxed()),
            ("tone", tone(vec![])),
            ("retouch", list(of_every_picture(), 0)),
        ],
    );
    group(
        vec![("title", spoken()), ("floors", list(floor, 1))],
        vec![
            ("summary", spoken()),
            ("language", Just(json!("de-CH")).boxed()),
            ("opens-in", id().boxed()),
            ("unaltered", prop_oneof![Just(json!("view")), Just(json!("still"))].boxed()),
            ("defaults", defaults),
            ("doors", list(door, 0)),
        ],
    )
}

proptest! {
    // A failing case prints its seed and its smallest form.
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, max_shrink_iters: 2000, ..ProptestConfig::default() })]

    #[test]
    fn both_readings_say_what_was_meant(
        value in description(),
        choices in proptest::collection::vec(any::<u8>(), 200),
        windows in any::<bool>(),
    ) {
        let mut writer = Writer { choices, next: 0, anchors: HashMap::new() };
        let Value::Object(entries) = &value else { unreachable!() };
        let mut yaml: String =
            entries.iter().map(|(key, value)| format!("{}:{}", writer.key(key), writer.block(value, 2))).collect();
        if windows {
            yaml = yaml.replace('\n', "\r\n");
        }
        let meant: Description = serde_json::from_value(value.clone()).unwrap();
        let second: Description = serde_yaml::from_str(&yaml)
            .map_err(|error| TestCaseError::fail(format!("serde_yaml: {error}\n{yaml}")))?;
        prop_assert_eq!(&second, &meant, "serde_yaml\n{}", yaml);
        let source = Source::from_bytes(Path::new("tour.yaml"), yaml.clone().into_bytes()).unwrap();
        let (first, problems) = read(&source);
        prop_assert!(problems.is_empty(), "{:#?}\n{}", lines(&problems), yaml);
        prop_assert_eq!(&first.unwrap(), &meant, "the reading with places\n{}", yaml);
    }
}

/// What one reader takes for a text and another for a number cannot pass unnoticed: should the walk ever let it through,
/// the second reading refuses it.
#[test]
fn words_of_other_versions_of_yaml_are_refused() {
    for word in
        ["yes", "No", "on", "0o17", "0x1F", "1_000", "12:30:45", "2026-11-25", "~", "Null", ".inf", "+.5", "1.", "0b11"]
    {
        let yaml =
            format!("title: {word}\nfloors: [{{ id: g, title: G, rooms: [{{ id: r, title: R, shots: r.jpg }}] }}]\n");
        let source = Source::from_bytes(Path::new("tour.yaml"), yaml.into_bytes()).unwrap();
        let problems = lines(&read(&source).1);
        assert_eq!(problems.len(), 1, "{word}: {problems:?}");
        assert!(problems[0].starts_with(&format!("error 1:8+{}: `{word}` is read as", word.len())), "{problems:?}");
    }
}
