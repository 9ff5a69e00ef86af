//! refusals
