//! One broken tour for each thing that can be wrong with a description: the whole list of problems, with their places.

use crate::written_tour::{WrittenTour, picture};

/// A tour of one room with more keys in it, which begin on line 7 and at column 7.
fn hall(keys: &str) -> WrittenTour {
    let keys: String = keys.lines().map(|line| format!("      {line}\n")).collect();
    let yaml = format!(
        "title: Larkmere Mill\nfloors:\n- id: ground\n  title: Ground floor\n  rooms:\n    - id: hall\n{keys}      \
         title: Hall\n      shots: shots/hall.jpg\n"
    );
    WrittenTour::new(yaml).shots(["shots/hall.jpg"])
}

/// The keys of a room, and what is said about them.
const ROOM_KEYS: &[(&str, &[&str])] = &[
    ("headign: 5", &["error 7:7+7: `headign` is not a key of a room -> write `heading`"]),
    (
        "heading: 400",
        &["error 7:16+3: `heading` is `400`, outside 0 to 360 degrees -> write a number from 0 to 360 degrees"],
    ),
    ("heading: \"90\"", &["error 7:16+4: `heading` is the text `90` -> write 90 without quotes"]),
    ("heading: 90°", &["error 7:16+3: `heading` is `90°`, not a plain number -> write 90"]),
    ("heading: 1,5", &["error 7:16+3: `heading` is `1,5`, not a plain number -> write 1.5"]),
    ("heading: 007", &["error 7:16+3: `heading` is `007`, not a plain number -> write 7"]),
    ("heading: 1:30", &["error 7:16+4: `heading` is `1:30`, not a number -> write a number from 0 to 360 degrees"]),
    ("heading:", &["error 7:7+7: `heading` has no value -> write one, or delete the key"]),
    ("heading: [1]", &["error 7:16+3: `heading` holds a list -> write a number from 0 to 360 degrees"]),
    ("heading: .nan", &["error 7:16+4: `heading` is `.nan`, not a number -> write a number from 0 to 360 degrees"]),
    (
        "heading: 1e999",
        &["error 7:16+5: `heading` is `1e999`, too large for a number -> write a number from 0 to 360 degrees"],
    ),
    ("heading: north", &["error 7:16+5: `heading` is `north`, not a number -> write a number from 0 to 360 degrees"]),
    ("tilt: from-fle", &["error 7:13+8: `from-fle` is not a tilt -> write `from-file`"]),
    (
        "tilt: levelled",
        &[
            "error 7:13+8: `levelled` is not a tilt -> write `none`, `auto`, `from-file` or `{ pitch: 0.4, roll: -1.2 }`",
        ],
    ),
    (
        "tilt: {}",
        &["error 7:13+2: `tilt` names neither pitch nor roll -> write `{ pitch: 0.4, roll: -1.2 }`, or `none`"],
    ),
    (
        "tilt: [1]",
        &["error 7:13+3: a list is not a tilt -> write `none`, `auto`, `from-file` or `{ pitch: 0.4, roll: -1.2 }`"],
    ),
    (
        "tilt: { pitch: 91 }",
        &["error 7:22+2: `pitch` is `91`, outside -90 to 90 degrees -> write a number from -90 to 90 degrees"],
    ),
    ("tilt: { rol: 1 }", &["error 7:15+3: `rol` is not a key of `tilt` -> write `roll`"]),
    ("quality: 85.5", &["error 7:16+4: `quality` is `85.5`, not a whole number -> write 86"]),
    ("quality: 0", &["error 7:16+1: `quality` is `0`, outside 1 to 100 -> write a number from 1 to 100"]),
    ("full-colour: yes", &["error 7:20+3: `yes` is neither `true` nor `false` -> write `true`"]),
    ("full-colour: maybe", &["error 7:20+5: `maybe` is neither `true` nor `false` -> write `true` or `false`"]),
    (
        "camera-height: 12",
        &["error 7:22+2: `camera-height` is `12`, outside 0.2 to 5 metres -> write a number from 0.2 to 5 metres"],
    ),
    ("camera-height: 1.58 m", &["error 7:22+6: `camera-height` is `1.58 m`, not a plain number -> write 1.58"]),
    (
        "retouch: tripod",
        &[
            "error 7:16+6: `retouch` holds `tripod` where a list belongs -> begin each entry with `- ` on a line of its own",
        ],
    ),
    ("retouch: [{ fill: tripot }]", &["error 7:25+6: `tripot` is not a fill -> write `tripod`"]),
    (
        "retouch: [{ why: clutter }]",
        &["error 7:17+16: no kind of repair is said here -> write one of `fill`, `clone`, `patch`, `blur`, `disc`"],
    ),
    (
        "retouch: [{ fill: tripod, blur: { spot: [0, 0], radius: 2 } }]",
        &["error 7:33+4: `blur` stands beside `fill` -> make two repairs of them, each with a `- ` of its own"],
    ),
    (
        "retouch: [{ fill: { spot: [0, 0], radius: 2 } }]",
        &[
            "error 7:17+37: this repair does not say why -> write `why:` and one of `equipment`, `privacy`, `clutter`, `fixture`, `damage`, `sky`, `other`",
        ],
    ),
    (
        "retouch: [{ fill: { spot: [0, 0], radius: 2 }, why: cluter }]",
        &["error 7:59+6: `cluter` is not a reason -> write `clutter`"],
    ),
    (
        "retouch: [{ fill: { spot: [0, 0], radius: 61 }, why: clutter }]",
        &["error 7:49+2: `radius` is `61`, outside 0.2 to 60 degrees -> write a number from 0.2 to 60 degrees"],
    ),
    (
        "retouch: [{ fill: { spot: [0, 91], radius: 2 }, why: clutter }]",
        &["error 7:37+2: `latitude` is `91`, outside -90 to 90 degrees -> write a number from -90 to 90 degrees"],
    ),
    (
        "retouch: [{ fill: { spot: [0, 0] }, why: clutter }]",
        &[
            "error 7:25+16: this region says no place -> write `{ spot: [12, -20], radius: 3 }` or `{ corners: [[10, -20], [14, -20], [12, -17]] }`",
        ],
    ),
    (
        "retouch: [{ fill: { spot: [0, 0], radius: 2 }, why: clutter, shadow: true }]",
        &["error 7:17+65: `shadow` is for `fill: tripod` only -> make the region so large that it holds the shadow"],
    ),
    (
        "retouch: [{ blur: { corners: [[0, 0], [1, 1]] } }]",
        &["error 7:36+17: `corners` has 2 where 3 to 64 belong -> write the corners in order, around the region"],
    ),
    (
        "retouch: [{ blur: { corners: [[0, 0], [5, 0], [10, 0]] } }]",
        &["error 7:25+39: this region has no area -> write at least three corners that do not lie on one line"],
    ),
    (
        "retouch: [{ blur: { corners: [[-80, 0], [80, 0], [0, 80]] } }]",
        &[
            "error 7:25+42: this region covers most of what is seen -> write corners within 60 degrees of their middle, or make several repairs of it",
        ],
    ),
    (
        "retouch: [{ blur: { spot: [0, 0], radius: 2, corners: [] } }]",
        &[
            "error 7:52+7: `corners` stand beside `spot` or `radius` -> keep one of the two",
            "error 7:61+3: `corners` has 0 where 3 to 64 belong -> write the corners in order, around the region",
        ],
    ),
    (
        "retouch: [{ clone: { spot: [0, 0], radius: 2 }, why: other }]",
        &[
            "error 7:17+50: this clone does not say what it copies -> write `from: [longitude, latitude]` or `from-shot: shots/…`",
        ],
    ),
    (
        "retouch: [{ clone: { spot: [0, 0], radius: 2 }, from-shot: shots/none.jpg, why: other }]",
        &["error 7:66+14: there is no file `shots/none.jpg` -> check the path: it starts from the tour's folder"],
    ),
    (
        "retouch: [{ patch: shots/hall.jpg, why: fixture }]",
        &[
            "error 7:17+39: a patch has no `spot` -> write `spot: [longitude, latitude]`",
            "error 7:17+39: a patch has no `field-of-view` -> write `field-of-view: 30`",
            "error 7:26+14: the patch's untouched twin `shots/hall.twin.jpg` is missing -> put it back, name it with `twin:`, or write the flat view anew with `enfilade patch`",
        ],
    ),
    (
        "retouch: [{ patch: shots/hall.jpg, spot: [0, 0], field-of-view: 30, why: fixture }]",
        &[
            "error 7:26+14: the patch's untouched twin `shots/hall.twin.jpg` is missing -> put it back, name it with `twin:`, or write the flat view anew with `enfilade patch`",
        ],
    ),
    (
        "retouch: [{ disc: \"#6b62\" }]",
        &["error 7:25+8: `#6b62` is not a colour -> write six digits, 0 to f: `\"#6b6259\"`"],
    ),
    (
        "retouch: [{ disc: retouch/logo.png }]",
        &["error 7:25+16: there is no file `retouch/logo.png` -> check the path: it starts from the tour's folder"],
    ),
    (
        "retouch: [{ fill: tripod, from: [0, 0] }]",
        &["error 7:33+4: `from` says nothing of a `fill` -> delete it: it belongs to `clone`"],
    ),
    (
        "tone: bright",
        &["error 7:13+6: `bright` stands where the keys of `tone` belong -> write `key: value`, one a line"],
    ),
    ("tone: { exposur: 1 }", &["error 7:15+7: `exposur` is not a key of `tone` -> write `exposure`"]),
    (
        "tone: { exposure: 5.5 }",
        &["error 7:25+3: `exposure` is `5.5`, outside -5 to 5 stops -> write a number from -5 to 5 stops"],
    ),
    (
        "tone: { highlights: -2 }",
        &["error 7:27+2: `highlights` is `-2`, outside -1 to 1 -> write a number from -1 to 1"],
    ),
    (
        "tone: { sharpening: -0.5 }",
        &["error 7:27+4: `sharpening` is `-0.5`, outside 0 to 1 -> write a number from 0 to 1"],
    ),
    ("tone: { white-balance: atuo }", &["error 7:30+4: `atuo` is not a white balance -> write `auto`"]),
    (
        "tone: { white-balance: warm }",
        &[
            "error 7:30+4: `warm` is not a white balance -> write `as-shot`, `auto`, `{ temperature: 4000 }` or `{ neutral: [longitude, latitude] }`",
        ],
    ),
    (
        "tone: { white-balance: {} }",
        &[
            "error 7:30+3: no white balance is said here -> write `temperature` in kelvin, or `neutral: [longitude, latitude]`",
        ],
    ),
    (
        "tone: { white-balance: { tint: 5 } }",
        &["error 7:32+4: `tint` stands without `temperature` -> write a `temperature` too; 6504 is daylight"],
    ),
    (
        "tone: { white-balance: { temperature: 4000, neutral: [1, 2] } }",
        &["error 7:51+7: `neutral` stands beside the light's colour -> keep one of the two"],
    ),
    (
        "tone: { white-balance: { temperature: 900 } }",
        &[
            "error 7:45+3: `temperature` is `900`, outside 2000 to 25000 kelvin -> write a number from 2000 to 25000 kelvin",
        ],
    ),
    ("tone: { match: hall }", &["error 7:22+4: `hall` cannot be matched to its own room -> name a neighbouring room"]),
    ("tone: { match: kitchn }", &["error 7:22+6: there is no room named `kitchn` -> write one of `hall`"]),
    (
        "stands-at: [1, 2]",
        &[
            "error 7:18+6: `stands-at` is a place on a plan, and this floor has none -> give the floor a `plan`, or delete this line",
        ],
    ),
    ("stands-at: [1]", &["error 7:18+3: this list has one value where two values belong -> write `[right, down]`"]),
    ("stands-at: 5", &["error 7:18+1: `5` stands where a list of two belongs -> write `[right, down]`"]),
    (
        "stands-at: [1e7, 2]",
        &[
            "error 7:19+3: `right` is `1e7`, outside -1000000 to 1000000 of the plan's units -> write a number from -1000000 to 1000000 of the plan's units",
        ],
    ),
    (
        "notes: [{ text: 5, spot: [0, 0] }]",
        &["error 7:23+1: `5` is read as a number, not as a text -> put quotes around it: \"5\""],
    ),
    (
        "notes: [{ text: hi }]",
        &[
            "error 7:15+12: no direction is said here -> write `spot: [longitude, latitude]` as seen in the picture, or `heading` and `elevation`",
        ],
    ),
    (
        "notes: [{ spot: [0, 0] }]",
        &["error 7:15+16: this note says nothing -> write a `text`, a `picture` or a `link`"],
    ),
    (
        "notes: [{ text: hi, spot: [181, 0] }]",
        &["error 7:34+3: `longitude` is `181`, outside -180 to 180 degrees -> write a number from -180 to 180 degrees"],
    ),
    (
        "notes: [{ text: hi, elevation: 5 }]",
        &["error 7:27+9: `elevation` stands without `heading` -> write a `heading` too"],
    ),
    (
        "notes: [{ text: hi, spot: [0, 0], elevation: 5 }]",
        &["error 7:41+9: `elevation` stands beside `spot` -> delete it: the spot's second number is its latitude"],
    ),
    (
        "notes: [{ text: \"\", spot: [0, 0] }]",
        &["error 7:23+2: this text is empty -> write the words that visitors will see"],
    ),
    (
        "notes: [{ spot: [0, 0], picture: { file: n.jpg } }]",
        &[
            "error 7:40+16: a note's picture has no `alternative` -> write `alternative:`",
            "error 7:48+5: there is no file `n.jpg` -> check the path: it starts from the tour's folder",
        ],
    ),
    (
        "notes: [{ spot: [0, 0], link: \"javascript:alert(1)\" }]",
        &[
            "error 7:37+22: the link `javascript:alert(1)` is no link that a note may have -> write an address with `https:`, `http:` or `mailto:`",
        ],
    ),
    (
        "notes: [{ spot: [0, 0], link: example.org/mill }]",
        &["error 7:37+16: the link `example.org/mill` has no scheme -> write `https://example.org/mill`"],
    ),
    (
        "notes: [{ spot: [0, 0], link: https:/example.org }]",
        &["error 7:37+18: the link `https:/example.org` names no host -> write `https://example.org/…`"],
    ),
    (
        "notes: [{ spot: [0, 0], link: \"https://larkmere.test@example.org/\" }]",
        &[
            "error 7:37+37: the link `https://larkmere.test@example.org/` names no host -> write `https://example.org/…`",
        ],
    ),
    (
        "notes: [{ spot: [0, 0], link: mailto:miller }]",
        &["error 7:37+13: the link `mailto:miller` names nobody to write to -> write `mailto:somebody@example.org`"],
    ),
    (
        "notes: [{ spot: [0, 0], link: miller@example.org }]",
        &["error 7:37+18: the link `miller@example.org` has no scheme -> write `mailto:miller@example.org`"],
    ),
    (
        "notes: [{ spot: [0, 0], link: \"https://example.org/a b\" }]",
        &[
            "error 7:37+26: the link `https://example.org/a b` holds a character that no address has -> write it as the browser's address bar shows it",
        ],
    ),
    (
        "notes: [{ spot: [0, 0], text: { german: Hallo, en: Hello } }]",
        &["error 7:39+6: `german` is not a language tag -> write `de`"],
    ),
    (
        "notes: [{ spot: [0, 0], text: { jp: a, DE-ch: b, xx: c, en: d } }]",
        &[
            "error 7:39+2: `jp` is not a language tag -> write `ja`",
            "error 7:46+5: `DE-ch` is not a language tag -> write `de-CH`",
            "error 7:56+2: `xx` is not a language tag -> write a BCP 47 tag such as `en`, `de` or `pt-BR`",
        ],
    ),
    (
        "notes: [{ spot: [0, 0], text: { de: Hallo, fr: Bonjour } }]",
        &["error 7:39+2: this text is not given in `en`, the tour's own language -> add `en: …`"],
    ),
    (
        "notes: [{ spot: [0, 0], text: {} }]",
        &["error 7:37+3: this group of languages is empty -> write `{ en: Kitchen, de: Küche }`, or the text alone"],
    ),
    (
        "notes: [{ spot: [0, 0], text: { en: Hello, de: \"\" } }]",
        &["error 7:54+3: this text is empty -> write the words that visitors will see"],
    ),
    (
        "notes: { text: x }",
        &[
            "error 7:14+11: `notes` holds a group of keys where a list belongs -> begin each entry with `- ` on a line of its own",
        ],
    ),
    (
        "notes: [hello]",
        &["error 7:15+5: `hello` stands where the keys of a note belong -> write `key: value`, one a line"],
    ),
    (
        "<<: { a: b }",
        &["error 7:7+2: `<<` is not a key of a room -> write the keys out: merging groups is not part of YAML 1.2"],
    ),
    (
        "opening-view: { spot: [0, 0], heading: 5 }",
        &["error 7:37+7: `heading` stands beside `spot` -> keep one of the two"],
    ),
    (
        "opening-view: { heading: 5, field-of-view: 170 }",
        &["error 7:50+3: `field-of-view` is `170`, outside 10 to 140 degrees -> write a number from 10 to 140 degrees"],
    ),
    (
        "opening-view: { }",
        &[
            "error 7:21+3: no direction is said here -> write `spot: [longitude, latitude]` as seen in the picture, or `heading` and `elevation`",
        ],
    ),
    (
        "steps: [{ between: [a, hall] }]",
        &["error 7:27+1: there is no station of `hall` named `a` -> write one of `hall`"],
    ),
    (
        "steps: [{ between: [hall, hall] }]",
        &["error 7:33+4: both ends of this step are the station `hall` -> join two stations"],
    ),
    (
        "steps: 5",
        &["error 7:14+1: `steps` holds `5` where a list belongs -> begin each entry with `- ` on a line of its own"],
    ),
    (
        "summary: A mill",
        &[
            "error 7:7+7: `summary` is not a key of a room -> write one of `id`, `title`, `stations`, `steps`, `shots`, `heading`, `stands-at`, `camera-height`, `tilt`, `tone`, `quality`, `full-colour`, `opening-view`, `notes`, `retouch`",
        ],
    ),
    ("heading: 1\nheading: 2", &["error 8:7+7: `heading` is written twice in one group -> delete one of the two"]),
    ("\theading: 5", &["error 7:7+1: a tab indents this line -> indent with spaces"]),
    (
        "heading: *north",
        &[
            "error 7:16+0: this is not valid YAML (while parsing node, found unknown anchor) -> write the value out, or mark it with `&name` further up",
        ],
    ),
    (
        "heading: !!int 5",
        &["error 7:16+7: tags such as `!!str` are not used in a description -> delete the tag; put a text in quotes"],
    ),
    (
        "heading: &north 400",
        &["error 7:23+3: `heading` is `400`, outside 0 to 360 degrees -> write a number from 0 to 360 degrees"],
    ),
    (
        "? [a]\n: b",
        &[
            "error 7:9+3: a list stands where a key belongs -> write `key: value`; put quotes around a text that begins with `[` or `{`",
        ],
    ),
    (
        "stations: [{ id: a, shots: shots/hall.jpg }]",
        &["error 9:7+5: `shots` stands beside `stations` -> move it into the station that it belongs to"],
    ),
];

#[test]
fn keys_of_a_room() {
    for (keys, expected) in ROOM_KEYS {
        let found = hall(keys).problems();
        assert_eq!(&found, expected, "{keys}\n{}", found.join("\n"));
    }
}

/// A whole tour of two rooms with some lines replaced, and what is said about it.
const MILL: &str = "\
title: Larkmere Mill
floors:
  - id: ground
    title: Ground floor
    plan: { drawing: ground.svg }
    rooms:
      - { id: hall, title: Hall, shots: hall.jpg, stands-at: [100, 300] }
      - { id: kitchen, title: Kitchen, shots: kitchen.jpg, stands-at: [300, 300] }
  - id: first
    title: First floor
    rooms:
      - id: barn
        title: Barn
        stations:
          - { id: window, shots: w.jpg }
          - { id: hearth, shots: h.jpg }
doors:
  - { between: [hall, kitchen] }
  - { between: [hall, barn] }
";

fn mill(from: &str, to: &str) -> WrittenTour {
    assert!(MILL.contains(from), "{from}");
    WrittenTour::new(MILL.replacen(from, to, 1)).shots(["hall.jpg", "kitchen.jpg", "w.jpg", "h.jpg"]).plan("ground.svg")
}

const MILLS: &[(&str, &str, &[&str])] = &[
    (
        "id: hall",
        "id: Hall",
        &[
            "error 7:15+4: the id `Hall` holds something other than lower-case letters a to z, digits and hyphens -> write `hall`",
        ],
    ),
    (
        "id: hall",
        "id: con",
        &[
            "error 7:15+3: the id `con` is a device's name on Windows and cannot be a folder there -> write `con-room`",
            "error 18:17+4: there is no room named `hall` -> write one of `con`, `kitchen`, `barn`",
            "error 19:17+4: there is no room named `hall` -> write one of `con`, `kitchen`, `barn`",
        ],
    ),
    (
        "id: kitchen",
        "id: hall",
        &[
            "error 8:15+4: the id `hall` is taken already by the room on line 7 -> choose another one",
            "error 18:23+7: there is no room named `kitchen` -> write one of `hall`, `hall`, `barn`",
        ],
    ),
    (
        "id: first",
        "id: ground",
        &["error 9:9+6: the id `ground` is taken already by the floor on line 3 -> choose another one"],
    ),
    (
        "id: hearth",
        "id: window",
        &["error 16:19+6: the id `window` is taken already by the station on line 15 -> choose another one"],
    ),
    (
        "id: hearth",
        "id: barn",
        &[
            "error 16:19+4: the station `barn` has the name of its room -> name it for its place in the room, such as `window`",
        ],
    ),
    (
        "id: kitchen",
        "id: barn-window",
        &[
            "error 15:13+28: `barn/window` would lie in the same folder as `barn-window` -> choose another id for one of them",
            "error 18:23+7: there is no room named `kitchen` -> write one of `hall`, `barn-window`, `barn`",
        ],
    ),
    ("[hall, kitchen]", "[hall, kichen]", &["error 18:23+6: there is no room named `kichen` -> write `kitchen`"]),
    (
        "[hall, kitchen]",
        "[hall, hall]",
        &[
            "error 18:23+4: both ends of this door are the room `hall` -> join two rooms; stations of one room are joined by its `steps`",
        ],
    ),
    (
        "[hall, kitchen]",
        "[hall, kitchen, barn]",
        &["error 18:16+22: this list has 3 values where two values belong -> write `[hall, kitchen]`"],
    ),
    (
        "[hall, barn]",
        "[hall, barn/harth]",
        &["error 19:23+10: there is no station of `barn` named `harth` -> write `hearth`"],
    ),
    (
        "[hall, barn]",
        "[hall, barn], at: [1, 2]",
        &[
            "error 19:34+7: `at` needs both rooms on one floor, and `hall` and `barn` are not -> delete it, and write `seen-from` for both rooms",
        ],
    ),
    (
        "[hall, kitchen]",
        "[hall, kitchen], at: [900, 2]",
        &[
            "warning 18:37+9: `at` [900, 2] lies outside the plan's drawing -> write a place between [0, 0] and [800, 600]",
        ],
    ),
    (
        "[hall, barn]",
        "[hall, barn], seen-from: { kitchen: { spot: [0, 0] } }",
        &["error 19:43+7: `kitchen` is neither end of this door -> write `hall` or `barn`"],
    ),
    (
        "[hall, barn]",
        "[hall, barn], seen-from: { barn: { spot: [0, 0] }, barn/window: { spot: [1, 0] } }",
        &["error 19:67+11: `barn/window` says a second time where this door is seen -> keep one of the two"],
    ),
    (
        "[hall, barn]",
        "[hall, barn], seen-from: { hall: { spot: [0] } }",
        &["error 19:57+4: this list has one value where two values belong -> write `[longitude, latitude]`"],
    ),
    (
        "[hall, barn]",
        "[hall, barn], seen-from: [hall]",
        &[
            "error 19:41+7: `seen-from` holds a list where stations and directions belong -> write `{ hall: { spot: [118, -6] } }`",
        ],
    ),
    (
        "[hall, barn]",
        "[hall, kitchen]",
        &[
            "warning 12:9+2: no way leads from `hall` to the room `barn` -> write a door, such as `{ between: [hall, barn] }`",
            "warning 19:5+28: this door stands on line 18 already -> delete one of the two, or give each its `at`",
        ],
    ),
    (
        "[hall, barn]",
        "[barn, hall], one-way: true",
        &[
            "warning 12:9+2: no way leads from `hall` to the room `barn` -> write a door, such as `{ between: [hall, barn] }`",
        ],
    ),
    (
        "  - { between: [hall, barn] }\n",
        "",
        &[
            "warning 12:9+2: no way leads from `hall` to the room `barn` -> write a door, such as `{ between: [hall, barn] }`",
        ],
    ),
    (
        "        stations:",
        "        steps: []\n        stations:",
        &[
            "warning 17:13+28: no way leads from `hall` to the station `barn/hearth` -> write a step to it in the room `barn`",
        ],
    ),
    (
        "title: Larkmere Mill\n",
        "title: Larkmere Mill\nopens-in: barm\n",
        &["error 2:11+4: there is no room named `barm` -> write `barn`"],
    ),
    (
        "title: Larkmere Mill\n",
        "title: Larkmere Mill\nunaltered: stil\n",
        &["error 2:12+4: `stil` is not a way to show unaltered pictures -> write `still`"],
    ),
    (
        "title: Larkmere Mill\n",
        "title: Larkmere Mill\nlanguage: english language\n",
        &[
            "error 2:11+16: `english language` is not a language tag -> write a BCP 47 tag such as `en`, `de` or `pt-BR`",
        ],
    ),
    (
        "title: Larkmere Mill\n",
        "language: de\ntitle: { en: Larkmere Mill }\n",
        &["error 2:10+2: this text is not given in `de`, the tour's own language -> add `de: …`"],
    ),
    (
        "title: Larkmere Mill\n",
        "title: Larkmere Mill\nsummary: { en: A mill, no: Ei mølle }\n",
        &["error 2:24+2: `no` is read as yes or no, not as a text -> put quotes around it: \"no\""],
    ),
    (
        "title: Larkmere Mill\n",
        "title: 1871\n",
        &["error 1:8+4: `1871` is read as a number, not as a text -> put quotes around it: \"1871\""],
    ),
    (
        "title: Larkmere Mill\n",
        "title: \"Mill\\x1b[31m\"\n",
        &["error 1:8+14: this text holds the invisible character U+001B -> delete its escape, such as `\\x1b`"],
    ),
    (
        "        stations:",
        "        steps: [{ between: [window, hearth], seen-from: { barn/window: { spot: [0, 0] }, door: { spot: [0, 0] } } }]\n        stations:",
        &["error 14:90+4: there is no station of `barn` named `door` -> write one of `window`, `hearth`"],
    ),
    (
        "          - { id: hearth, shots: h.jpg }",
        "          - { id: hearth, shots: h.jpg }\n        steps: [{ between: [window, window] }]",
        &["error 17:37+6: both ends of this step are the station `window` -> join two stations"],
    ),
    (
        "title: Larkmere Mill\n",
        "titel: Larkmere Mill\n",
        &["error 1:1+5: `titel` is not a key of the tour -> write `title`"],
    ),
    ("title: Larkmere Mill\n", "", &["error 1:1+6: the tour has no `title` -> write `title:`"]),
    (
        "title: Larkmere Mill\n",
        "title: ''\n",
        &["error 1:8+2: this text is empty -> write the words that visitors will see"],
    ),
    (
        "title: Larkmere Mill\n",
        "title: no\n",
        &["error 1:8+2: `no` is read as yes or no, not as a text -> put quotes around it: \"no\""],
    ),
    (
        "title: Larkmere Mill\n",
        "title: Larkmere Mill\ntemplates: t\n",
        &["error 2:1+9: `templates` is not understood yet by this version -> delete it for now"],
    ),
    (
        "title: Larkmere Mill\n",
        "title: Larkmere Mill\ndefaults: { quality: 101, tone: { exposure: 0.2 } }\n",
        &["error 2:22+3: `quality` is `101`, outside 1 to 100 -> write a number from 1 to 100"],
    ),
    (
        "title: Larkmere Mill\n",
        "title: Larkmere Mill\ndefaults: { tone: { match: hall } }\n",
        &["error 2:21+5: `match` stands in `defaults` -> move it to the room that is to look like another"],
    ),
    (
        "title: Larkmere Mill\n",
        "title: Larkmere Mill\ndefaults: { tone: { white-balance: { neutral: [1, 2] } } }\n",
        &[
            "error 2:19+39: a spot that is grey lies in one picture, not in all -> move `white-balance` to the room that it is for",
        ],
    ),
    ("shots: hall.jpg", "shots: Hall.jpg", &["error 7:41+8: there is no file `Hall.jpg` -> write `hall.jpg`"]),
    ("shots: hall.jpg", "shots: hal.jpg", &["error 7:41+7: there is no file `hal.jpg` -> write `hall.jpg`"]),
    (
        "shots: hall.jpg",
        "shots: elsewhere/pictures.jpg",
        &[
            "error 7:41+22: there is no file `elsewhere/pictures.jpg` -> check the path: it starts from the tour's folder",
        ],
    ),
    ("shots: hall.jpg", "shots: .", &["error 7:41+1: `.` is not a file -> name a file in it"]),
    (
        "shots: hall.jpg",
        "shots: \"pictures\\\\hall.jpg\"",
        &[
            "error 7:41+20: the path `pictures\\hall.jpg` has backslashes -> write `pictures/hall.jpg`, which works on every system",
        ],
    ),
    (
        "shots: hall.jpg",
        "shots: [a.jpg, b.jpg, c.jpg, d.jpg, e.jpg, f.jpg, g.jpg, h.jpg, i.jpg, j.jpg]",
        &[
            "error 7:41+70: `shots` lists 10 files; at most 9 exposures are merged -> list the exposures of one view only: each place of the tripod is a station of its own",
        ],
    ),
    (
        "shots: hall.jpg",
        "shots: [hall.jpg, hall.jpg]",
        &["error 7:52+8: `hall.jpg` stands twice in this list -> delete one of the two"],
    ),
    ("shots: hall.jpg", "shots: []", &["error 7:41+2: `shots` is an empty list -> name the picture's file"]),
    (
        "shots: hall.jpg",
        "shots: kitchen.jpg",
        &["warning 8:47+11: `kitchen` shows the same shot as `hall` -> name the shot that was taken here"],
    ),
    (
        "shots: hall.jpg",
        "shots: [5]",
        &["error 7:42+1: `5` is read as a number, not as a text -> put quotes around it: \"5\""],
    ),
    (
        "drawing: ground.svg",
        "drawing: hall.jpg, north: -200",
        &[
            "error 5:39+4: `north` is `-200`, outside -180 to 360 degrees -> write a number from -180 to 360 degrees",
            "warning 7:62+11: `stands-at` [100, 300] lies outside the plan's drawing -> write a place between [0, 0] and [4, 2]",
            "warning 8:71+11: `stands-at` [300, 300] lies outside the plan's drawing -> write a place between [0, 0] and [4, 2]",
        ],
    ),
    (
        "drawing: ground.svg",
        "drawing: grund.svg",
        &["error 5:22+9: there is no file `grund.svg` -> write `ground.svg`"],
    ),
    (
        "drawing: ground.svg",
        "drawing: ground.svg, scale: { from: [1, 1], to: [1, 1], metres: 2 }",
        &[
            "error 5:41+40: `from` and `to` of the scale are the same place -> write the two ends of a length that you know",
        ],
    ),
    (
        "drawing: ground.svg",
        "drawing: ground.svg, scale: { from: [1, 1], to: [1, 5], metres: 0 }",
        &["error 5:77+1: `metres` is `0`, outside 0.01 to 10000 metres -> write a number from 0.01 to 10000 metres"],
    ),
    (
        "stands-at: [100, 300]",
        "stands-at: [100, 3000]",
        &[
            "warning 7:62+12: `stands-at` [100, 3000] lies outside the plan's drawing -> write a place between [0, 0] and [800, 600]",
        ],
    ),
    (
        "    rooms:\n      - id: barn",
        "    rooms: []\n    x:\n      - id: barn",
        &[
            "error 11:12+2: `rooms` is an empty list -> write at least one",
            "error 12:5+1: `x` is not a key of a floor -> write one of `id`, `title`, `plan`, `rooms`",
            "error 20:23+4: there is no room named `barn` -> write one of `hall`, `kitchen`",
        ],
    ),
];

#[test]
fn the_mill_itself_is_whole() {
    mill("Barn", "Barn").expect(&[]);
}

#[test]
fn whole_tours() {
    for (from, to, expected) in MILLS {
        let found = mill(from, to).problems();
        assert_eq!(&found, expected, "{from} -> {to}\n{}", found.join("\n"));
    }
}

#[test]
fn a_picture_that_is_missing_is_laid_to_its_station() {
    let tour = mill("h.jpg", "gone/h.jpg");
    let problems = enfilade::tour::read_tour(tour.path()).unwrap_err();
    let [problem] = &problems.iter().collect::<Vec<_>>()[..] else { panic!("{problems:?}") };
    assert_eq!(problem.station.as_deref(), Some("barn/hearth"));
    assert_eq!(problem.about.as_deref(), Some(tour.path().join("gone/h.jpg").as_path()));
}

/// Files that are no description at all.
const TEXTS: &[(&[u8], &[&str])] = &[
    (b"", &["error 1:1+0: the description is empty -> write at least `title:` and `floors:`"]),
    (b"# nothing yet\n", &["error 1:1+0: the description is empty -> write at least `title:` and `floors:`"]),
    (b"hello", &["error 1:1+5: `hello` stands where the keys of the tour belong -> write `key: value`, one a line"]),
    (b"- a", &["error 1:1+0: a list stands where the keys of the tour belong -> write `key: value`, one a line"]),
    (b"title: Larkmere Mill", &["error 1:1+5: the tour has no `floors` -> write `floors:`"]),
    (b"title: x\nfloors: []\n", &["error 2:9+2: `floors` is an empty list -> write at least one"]),
    (b"a: \xff", &["error 1:4+1: the byte 0xff is not UTF-8 -> save the file as UTF-8 in your editor"]),
    (b"\xff\xfea", &["error 1:1+0: the description is saved as UTF-16 -> save it as UTF-8 in your editor"]),
    (b"title: a\x07b", &["error 1:9+1: the invisible character U+0007 stands here -> delete it"]),
    (
        b"title: \"Mill\nfloors: []\n",
        &["error 1:8+0: this is not valid YAML (invalid indentation in quoted scalar) -> close the quotes"],
    ),
    (
        b"title: x\nfloors: [\n",
        &[
            "error 3:1+0: this is not valid YAML (while parsing a node, did not find expected node content) -> check indentation, brackets and quotes of this line and the one before",
        ],
    ),
    (
        b"title: Mill: the house\nfloors: []",
        &[
            "error 1:12+0: this is not valid YAML (mapping values are not allowed in this context) -> check the indentation of this line and the one before; put quotes around a text that holds `: `",
        ],
    ),
    (
        b"title: a\n---\ntitle: b",
        &["error 2:1+3: a second document begins here -> keep one tour in one file and delete the `---`"],
    ),
    (
        b"title: @mill",
        &["error 1:8+0: this is not valid YAML (unexpected character: `@') -> put quotes around the text"],
    ),
    (b"a: &x [*x]", &["error 1:8+2: `*x` stands inside the very value that it repeats -> write the value out"]),
    (b"title: x\n\tfloors: []", &["error 2:1+1: a tab indents this line -> indent with spaces"]),
];

#[test]
fn texts_that_are_no_description() {
    for (text, expected) in TEXTS {
        let found = WrittenTour::new(text).problems();
        assert_eq!(&found, expected, "{}\n{}", String::from_utf8_lossy(text), found.join("\n"));
    }
}

fn with_plan(name: &str, bytes: &[u8]) -> WrittenTour {
    let yaml = MILL.replace("ground.svg", name);
    WrittenTour::new(yaml).shots(["hall.jpg", "kitchen.jpg", "w.jpg", "h.jpg"]).file(name, bytes)
}

#[test]
fn drawings_that_cannot_serve() {
    with_plan("plan.svg", b"<svg viewBox='0 0 8 6'/>").expect(&["error 5:22+8: the drawing does not say that it is SVG, and browsers will not show it -> write `xmlns=\"http://www.w3.org/2000/svg\"` in its `svg` element"]);
    with_plan("plan.svg", b"<svg xmlns='http://www.w3.org/2000/svg' width='100%'/>")
        .expect(&["error 5:22+8: the drawing has neither a viewBox nor a width and height -> give it a viewBox"]);
    with_plan("plan.svg", b"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 8'/>").expect(&["error 5:22+8: the drawing's viewBox `0 0 8` is not four usable numbers -> write left, top, width and height, such as `0 0 800 600`"]);
    with_plan("plan.pdf", b"%PDF-1.7").expect(&[
        "error 5:22+8: the drawing is no SVG, PNG or JPEG (unknown token at 1:1) -> save it as one of these",
    ]);
    with_plan("plan.png", &picture("plan.png", 800, 600)[..20]).expect(&[
        "error 5:22+8: the drawing is damaged (unexpected end of file) -> save it again as PNG, JPEG or SVG",
    ]);
    with_plan("plan.png", &picture("plan.png", 800, 600)).expect(&[]);
    with_plan("plan.jpg", &picture("plan.jpg", 800, 600)).expect(&[]);
    let scripted =
        b"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 800 600'><script/><image href='logo.png'/></svg>";
    with_plan("plan.svg", scripted).expect(&[
        "warning 5:22+8: the drawing holds a script, which will not run -> delete it from the drawing",
        "warning 5:22+8: the drawing refers to `logo.png`, which will not be loaded -> put it into the drawing itself",
    ]);
}

#[test]
fn every_problem_is_found_in_one_run() {
    let broken = MILL
        .replace("title: Larkmere Mill", "titel: Larkmere Mill")
        .replace("id: hall", "id: Hall")
        .replace("[100, 300]", "[100, north]")
        .replace("shots: kitchen.jpg", "shots: kitchen.jpg, heading: 361")
        .replace("w.jpg", "window.jpg")
        .replace("[hall, barn]", "[Hall, attic]");
    WrittenTour::new(broken).shots(["hall.jpg", "kitchen.jpg", "h.jpg"]).plan("ground.svg").expect(&["error 1:1+5: `titel` is not a key of the tour -> write `title`", "error 7:15+4: the id `Hall` holds something other than lower-case letters a to z, digits and hyphens -> write `hall`", "error 7:68+5: `down` is `north`, not a number -> write a number from -1000000 to 1000000 of the plan's units", "error 8:69+3: `heading` is `361`, outside 0 to 360 degrees -> write a number from 0 to 360 degrees", "error 15:34+10: there is no file `window.jpg` -> check the path: it starts from the tour's folder", "error 19:23+5: there is no room named `attic` -> write one of `Hall`, `kitchen`, `barn`"]);
}
