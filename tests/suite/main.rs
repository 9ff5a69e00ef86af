//! The one integration suite: a module a feature.

mod cli;
mod command;
mod pictures;
mod preview;
mod pyramid;
mod reference;
mod site;
mod spheres;
