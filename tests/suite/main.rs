//! The one integration suite: a module a feature.

mod pictures;
