//! The one integration suite: a module a feature.

mod preview;
mod pyramid;
mod reference;
mod site;
mod spheres;
