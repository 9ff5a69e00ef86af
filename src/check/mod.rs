//! What a careful colleague would notice in a tour that can be built: one file a family of checks.

mod honesty;

pub use honesty::honesty;
