//! The one integration suite: a module a feature.

mod pyramid;
mod reference;
mod spheres;
