//! The tours that README and guide show are ones that a newcomer may copy: they are read without a word of complaint.

use crate::written_tour::WrittenTour;

/// The whole tours among a page's YAML examples; pieces of one do not begin with a title.
fn tours(page: &str) -> Vec<&str> {
    let examples = page.split("```yaml\n").skip(1).map(|rest| rest.split("```").next().unwrap());
    examples.filter(|example| example.starts_with("title:")).collect()
}

#[test]
fn the_tours_in_readme_and_guide_are_read_without_a_problem() {
    for page in [include_str!("../../README.md"), include_str!("../../docs/guide.md")] {
        let tours = tours(page);
        assert!(!tours.is_empty(), "a page without a tour");
        for tour in tours {
            let written =
                WrittenTour::new(tour).shots(["shots/hall.jpg", "shots/kitchen.jpg"]).plan("plans/ground.svg");
            written.expect(&[]);
        }
    }
}

/// The page on the darkroom quotes the sample tour, from which its pictures are made; one line stands in the script that makes them.
#[test]
fn the_darkroom_page_quotes_what_its_pictures_are_made_of() {
    const PAGE: &str = include_str!("../../docs/darkroom.md");
    const SAMPLE: &str = include_str!("../../sample-tour/tour.yaml");
    const SCRIPT: &str = include_str!("../../docs/pictures/darkroom.mjs");
    let examples: Vec<&str> =
        PAGE.split("```yaml\n").skip(1).map(|rest| rest.split("```").next().unwrap().trim()).collect();
    assert_eq!(examples.len(), 4);
    for line in examples.iter().flat_map(|example| example.lines()).map(str::trim) {
        let quoted = SAMPLE.lines().any(|written| written.split(" #").next().unwrap().trim() == line);
        assert!(quoted || SCRIPT.contains(line), "`{line}` is neither in the sample tour nor in the script");
    }
}
