//! The darkroom's steps, each against something outside the program.

mod clipped;
mod colour_difference;
mod doorway;
mod known_light;
mod merge;
mod tone;
mod upright;
