//! mutations
