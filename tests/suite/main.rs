//! The one integration suite: a module a feature.

mod cli;
mod command;
