//! The one integration suite: a module a feature.

mod pyramid;
mod small;
mod spheres;
