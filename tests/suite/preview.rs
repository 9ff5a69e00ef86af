//! The preview's server and watcher with real sockets and real files. What is made is a stand-in: the walkthrough's text
//! is the description and the shots put together, so that a test sees which of them a making read.

mod files;
mod house;
mod proofs;
mod server;

pub use house::get;
