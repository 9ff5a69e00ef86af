//! The darkroom's steps, each against something outside the program.

mod colour_difference;
mod doorway;
mod merge;
mod patch;
mod retouch;
mod tone;
mod upright;
