//! The limit of open files, which macOS sets so low that a tour of 250 rooms would reach it.

/// What a tour of a thousand stations needs, with room to spare.
#[cfg(unix)]
const WANTED: u64 = 4096;

/// Raises the limit towards what large tours need, as far as the system allows. Without it, only those fail.
#[cfg(unix)]
pub(super) fn raise_limit() {
    use rustix::process::{Resource, getrlimit, setrlimit};
    let mut limit = getrlimit(Resource::Nofile);
    if limit.current.is_some_and(|current| current < WANTED) {
        limit.current = Some(limit.maximum.map_or(WANTED, |maximum| maximum.min(WANTED)));
        let _ = setrlimit(Resource::Nofile, limit);
    }
}

/// Other systems have no such limit.
#[cfg(not(unix))]
pub(super) fn raise_limit() {}
