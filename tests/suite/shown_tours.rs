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
