//! The darkroom's steps, each by itself.

mod upright;
