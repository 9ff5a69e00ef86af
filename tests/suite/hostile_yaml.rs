//! Files that nobody writes by hand: never a panic, never long, never much memory, always a problem with a place.

use crate::written_tour::lines;
use enfilade::description::{Source, read};
use enfilade::tour::read_tour;
use proptest::prelude::*;
use std::path::Path;
use std::time::{Duration, Instant};

/// Far above what any of these takes (tens of milliseconds), far below what a runaway would.
const LONGEST: Duration = Duration::from_secs(8);

/// The problems of a text, found in time.
#[track_caller]
fn problems(name: &str, text: impl AsRef<[u8]>) -> Vec<String> {
    let begun = Instant::now();
    let found = match Source::from_bytes(Path::new("tour.yaml"), text.as_ref().to_vec()) {
        Ok(source) => lines(&read(&source).1),
        Err(problem) => lines(&problem.into()),
    };
    let took = begun.elapsed();
    assert!(took < LONGEST, "{name} took {took:?}");
    found
}

#[track_caller]
fn refused(name: &str, text: impl AsRef<[u8]>, expected: &str) {
    let found = problems(name, text);
    assert!(found.iter().any(|line| line.contains(expected)), "{name}: {:?}", &found[..found.len().min(3)]);
    assert!(found.len() < 200_000, "{name}: {} problems", found.len());
}

#[test]
fn nesting_without_end() {
    const DEEP: &str = "more than 40 deep";
    for (name, piece) in [("flow lists", "["), ("flow groups", "{a: "), ("block lists", "- "), ("anchors", "[&a ")] {
        refused(name, piece.repeat(400_000), DEEP);
    }
    let staircase: String = (0..300).map(|depth| format!("{}a:\n", " ".repeat(depth))).collect();
    refused("block groups", staircase, DEEP);
    let nested_aliases: String = (1..60)
        .map(|n| format!("a{n}: &a{n} [*a{}]\n", n - 1))
        .fold("a0: &a0 [x]\n".to_owned(), |all, line| all + &line);
    refused("aliases", nested_aliases, DEEP);
}

#[test]
fn aliases_that_multiply() {
    const LARGE: &str = "grows too large";
    let mut laughs = "a0: &a0 [ha, ha, ha, ha, ha, ha, ha, ha, ha, ha]\n".to_owned();
    for n in 1..12 {
        let ten = format!("*a{}, ", n - 1).repeat(10);
        laughs += &format!("a{n}: &a{n} [{ten}]\n");
    }
    refused("many values", laughs, LARGE);
    let long = format!("a: &a \"{}\"\nb: [{}]\n", "x".repeat(1_000_000), "*a, ".repeat(1000));
    refused("much text", long, LARGE);
}

#[test]
fn files_of_the_largest_size() {
    let four_mebibytes = |piece: &str| piece.repeat(4 * 1024 * 1024 / piece.len());
    refused("one long word", four_mebibytes("x"), "keys of the tour");
    refused("one long key", four_mebibytes("x") + ":", "");
    refused("one long title", format!("title: \"{}\"", &four_mebibytes("x")[..4_000_000]), "no `floors`");
    refused("keys", (0..300_000).map(|n| format!("k{n}: 1\n")).collect::<String>(), "grows too large");
    refused("fewer keys", (0..40_000).map(|n| format!("k{n}: 1\n")).collect::<String>(), "39980 more are no keys");
    refused("the same key", "k: 1\n".repeat(45_000), "written twice");
    refused("commas", format!("a: [{}", four_mebibytes("1,")), "grows too large");
    refused("colons", four_mebibytes(":"), "");
    refused("quotes", four_mebibytes("'"), "");
    refused("comments", four_mebibytes("# x\n"), "is empty");
    refused("blank lines", four_mebibytes("\n"), "is empty");
    refused("spaces", four_mebibytes(" "), "is empty");
    refused("documents", four_mebibytes("---\n"), "second document");
    refused("question marks", four_mebibytes("? "), "");
    refused("ampersands", four_mebibytes("&a "), "");
    refused("tags", four_mebibytes("!a "), "");
    refused("percent signs", four_mebibytes("%a\n"), "");
    refused("folded text", format!("title: >\n{}", four_mebibytes("  x\n")), "no `floors`");
}

#[test]
fn a_file_larger_than_that_is_not_read() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("tour.yaml"), "#".repeat(5 * 1024 * 1024)).unwrap();
    let problems = lines(&read_tour(folder.path()).unwrap_err());
    assert_eq!(problems, ["error 1:1+0: the description is larger than 4 MiB -> check that this is the right file"]);
}

#[test]
fn thousands_of_rooms_and_doors() {
    let mut yaml = "title: x\nfloors:\n- id: g\n  title: g\n  rooms:\n".to_owned();
    for n in 0..4000 {
        yaml += &format!("  - {{ id: r{n}, title: r, shots: r.jpg }}\n");
    }
    yaml += "doors:\n";
    for n in 0..8000 {
        yaml += &format!("- between: [r{}, r{}x]\n", n % 4000, n % 3999);
    }
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("tour.yaml"), yaml).unwrap();
    let begun = Instant::now();
    let problems = read_tour(folder.path()).unwrap_err();
    assert!(begun.elapsed() < LONGEST, "{:?}", begun.elapsed());
    assert_eq!(problems.iter().count(), 12_000);
}

#[test]
fn there_is_no_description() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tour.yaml");
    let expected = format!(
        "error: there is no description at `{}` -> name a folder that holds a tour.yaml, or that file",
        path.display()
    );
    let expected = [expected];
    assert_eq!(lines(&read_tour(folder.path()).unwrap_err()), expected);
    assert_eq!(lines(&read_tour(&path).unwrap_err()), expected);
}

/// Characters that mean something in YAML, and words that mean something here.
fn yaml_like() -> impl Strategy<Value = String> {
    let pieces = [
        "title", "floors", "rooms", "id", "shots", "heading", "doors", "between", ": ", ":", "- ", "-", "\n", "\n  ",
        "\n    ", "[", "]", "{", "}", ", ", "&a ", "*a", "!t ", "!!str ", "|\n", ">-\n", "'", "\"", "\\", "\\x", "# c",
        "%", "---\n", "...\n", "\t", "\r\n", "\r", "~", "no", "1e9", "-0.5", "é", "\u{feff}", "\u{85}", "? ", "<<",
        "@", "`", "\0", " ",
    ];
    proptest::collection::vec(proptest::sample::select(pieces.to_vec()), 0..60).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_give_problems_and_no_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        problems("bytes", bytes);
    }

    #[test]
    fn any_mixture_of_yaml_gives_problems_with_places(text in yaml_like()) {
        if let Ok(source) = Source::from_bytes(Path::new("tour.yaml"), text.into_bytes()) {
            let line_count = source.text.split('\n').count() as u32;
            let (_, problems) = read(&source);
            for problem in &problems {
                let place = problem.place.as_ref().unwrap();
                prop_assert!((1..=line_count + 1).contains(&place.line) && place.column >= 1, "{problem:?}");
            }
        }
    }
}
