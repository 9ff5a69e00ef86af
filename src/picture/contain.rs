//! A last line of defence around other people's decoders.
//!
//! They are given bytes from anywhere, and a panic in one of them must cost one picture, not the whole build. None is
//! known to panic on what gets past our own checks.

/// What `work` gives, or `None` where it panicked. `work` must leave nothing half-changed outside itself.
pub(super) fn contained<T>(work: impl FnOnce() -> T) -> Option<T> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(work)).ok()
}
