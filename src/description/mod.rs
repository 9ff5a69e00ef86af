//! What the photographer wrote: `tour.yaml`, read with the place of every value.
//!
//! Derived deserialising stops at the first error and forgets where values stand. So the file is read twice:
//!
//! 1. `tree` turns it into one tree in which every value has its place, `walk` goes through that tree, collects
//!    *all* problems, and makes a [`Description`] whose values remember their places;
//! 2. `serde` and `serde_yaml` read what passed into the same [`types`], by their own rules.
//!
//! The two readings must be equal. Where they are not, the file says different things to different readers of YAML,
//! and is refused with a problem instead of being guessed at.
//!
//! What a description *means* (files, references, plans) is decided one layer up, in [`crate::tour`].

pub(crate) mod id;
pub(crate) mod language;
mod placed;
mod source;
mod tree;
pub mod types;
mod walk;

pub use placed::Placed;
pub use source::Source;
pub(crate) use tree::quote;
pub use types::Description;

// Callers know the way from a file to a tour by this name.

use crate::problem::{Problem, Problems};

/// Reads a description: what it holds, as far as it could be understood, and every problem of its writing. Where
/// there is a description beside errors, values that could not be read are left out, so that the rest can be checked
/// in the same run.
pub fn read(source: &Source) -> (Option<Description>, Problems) {
    let (root, mut problems) = match tree::read(source) {
        Ok(read) => read,
        Err(problem) => return (None, problem.into()),
    };
    let description = walk::description(&root, &mut problems);
    if let (Some(description), false) = (&description, problems.has_errors()) {
        problems.extend(second_opinion(source, description));
    }
    (description, problems)
}

/// Compares with serde's reading of the same text.
fn second_opinion(source: &Source, first: &Description) -> Problems {
    const INSTEAD: &str = "put quotes around every text, and write numbers plainly, such as 1.6";
    let start = source.place(1, 1, 0);
    match serde_yaml::from_str::<Description>(&source.text) {
        Ok(second) if &second == first => Problems::new(),
        Ok(_) => Problem::error("the description says different things to different readers of YAML", INSTEAD)
            .at(&start)
            .into(),
        Err(error) => {
            let at = error.location().map_or((1, 1), |at| (at.line(), at.column()));
            let what = format!("the description is not understood by every reader of YAML ({error})");
            Problem::error(what, INSTEAD).at(&source.place(at.0, at.1, 0)).into()
        }
    }
}
