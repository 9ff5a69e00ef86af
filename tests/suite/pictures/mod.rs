//! Reading picture files: every format and depth, orientation, colour profiles, GPano fields, and what is refused.

mod colours;
mod deep;
mod files;
mod formats;
mod metadata;
mod mutations;
mod refusals;
