//! One file a command; how progress and problems look in a terminal.
//!
//! Results go to the standard output, everything else to the standard error. Only this module prints.

mod build;
mod check;
mod draw;
mod export;
mod json;
mod open_files;
mod patch;
mod preview;
mod terminal;
mod words;

use clap::{Parser, Subcommand};
use std::ffi::OsString;
use std::io::ErrorKind;
use std::process::ExitCode;
use terminal::Terminal;

/// How a command ended that did not fail to print.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    Done,
    /// What was wrong has been shown.
    Failed,
}

/// From a folder of 360° shots of a house to a walkthrough that any web host can serve.
#[derive(Debug, Parser)]
#[command(name = "enfilade", version, max_term_width = 100, after_help = EXAMPLES)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

const EXAMPLES: &str = "\
Examples:
  enfilade check              Look for mistakes in ./tour.yaml and its pictures
  enfilade preview            Look at the walkthrough while you work on it
  enfilade build --to public  Make the walkthrough in the folder \"public\"
  enfilade export --to out    Write the finished pictures as files
  enfilade patch --room hall --looking 20,-30
                              Write a flat view of the hall to paint on

Exit status: 0 done, 1 the work failed, 2 wrong usage.";

#[derive(Debug, Subcommand)]
enum Command {
    Build(build::Build),
    Preview(preview::Preview),
    Check(check::Check),
    Export(export::Export),
    Patch(patch::Patch),
}

/// Runs one command line. 0 done, 1 the work failed, 2 wrong usage.
///
/// Who reads the output may stop reading at any time: that is no failure.
pub fn run(arguments: impl Iterator<Item = OsString>) -> ExitCode {
    let command = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments.command,
        Err(usage) => {
            // Help and version go to the standard output, mistakes to the standard error. Nobody may be listening.
            let _ = usage.print();
            return ExitCode::from(usage.exit_code() as u8);
        }
    };
    open_files::raise_limit();
    let ended = match command {
        Command::Build(build) => build.run(),
        Command::Preview(preview) => preview.run(),
        Command::Check(check) => check.run(),
        Command::Export(export) => export.run(),
        Command::Patch(patch) => patch.run(),
    };
    match ended {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::Failed) => ExitCode::FAILURE,
        Err(error) if error.kind() == ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            Terminal::new(false).say(&format!("error: the result cannot be written: {error}"));
            ExitCode::FAILURE
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    /// Clap's own check of names, values and references between them.
    #[test]
    fn the_command_line_is_sound() {
        Arguments::command().debug_assert();
    }
}
