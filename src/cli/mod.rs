//! One file a command; how progress and problems look in a terminal.

use std::ffi::OsString;
use std::process::ExitCode;

/// Runs one command line. 0 done, 1 the work failed, 2 wrong usage.
pub fn run(arguments: impl Iterator<Item = OsString>) -> ExitCode {
    let _ = arguments;
    ExitCode::from(2)
}
