//! The darkroom's steps, each against something outside the program.

mod clipped;
mod colour_difference;
mod doorway;
mod fill;
mod known_light;
mod merge;
mod patch;
mod retouch;
mod same_bytes;
mod tone;
mod tripod;
mod upright;
