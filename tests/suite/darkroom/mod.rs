//! The darkroom's steps, each against something outside the program.

mod clipped;
mod colour_difference;
mod doorway;
mod merge;
mod retouch;
mod tone;
mod upright;
