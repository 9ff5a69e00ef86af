//! One broken tour for each thing that can be wrong with a description: the whole list of problems, with their places.

use crate::written_tour::{WrittenTour, picture};

/// A tour of one room with more keys in it, each on a line of its own from line 7 on, indented by six.
fn hall(keys: &str) -> WrittenTour {
    let keys: String = keys.lines().map(|line| format!("      {line}\n")).collect();
    let yaml = format!(
        "title: Larkmere Mill\nfloors:\n- id: ground\n  title: Ground floor\n  rooms:\n    - id: hall\n{keys}      title: Hall\n      shots: shots/hall.jpg\n"
    );
    WrittenTour::new(yaml).shots(["shots/hall.jpg"])
}

#[test]
fn probe() {
    for keys in [
        "headign: 5",
        "heading: 400",
        "heading: \"90\"",
        "heading: 90°",
        "heading: 1:30",
        "heading:",
        "heading: [1]",
        "heading: .nan",
        "heading: 1e999",
        "tilt: auto",
        "tilt: levl",
        "tilt: {}",
        "tilt: { pitch: 91 }",
        "quality: 85.5",
        "quality: 0",
        "full-colour: yes",
        "camera-height: 12",
        "retouch: []",
        "stands-at: [1, 2]",
        "stands-at: [1]",
        "notes: [{ text: 5, spot: [0, 0] }]",
        "notes: [{ text: hi }]",
        "notes: [{ spot: [181, 0] }]",
        "<<: {a: b}",
        "opening-view: { spot: [0, 0], heading: 5 }",
        "steps: [{between: [a, b]}]",
        "title: no",
        "heading: 1\nheading: 2",
        "\theading: 5",
        "heading: *x",
        "notes: { text: x }",
        "heading: !!int 5",
        "summary: 5",
        "steps: 5",
    ] {
        println!("== {keys}");
        for line in hall(keys).problems() {
            println!("   {line}");
        }
    }
    let _ = picture;
}
