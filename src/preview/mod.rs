//! The live server: the same site as `build` makes, kept up to date while the photographer works.
