//! What commands print, and how it looks: colour and bars on a terminal, plain lines elsewhere.

use super::draw::draw;
use super::words::count;
use crate::problem::Problems;
use crate::workshop::Progress;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{IsTerminal, Write};
use std::sync::Mutex;

/// The two output streams of this process.
pub(super) struct Terminal {
    quiet: bool,
    result_colour: bool,
    error_colour: bool,
    bars: bool,
}

impl Terminal {
    /// `quiet`: print problems and results, no progress.
    pub fn new(quiet: bool) -> Terminal {
        let says = |name| std::env::var_os(name).filter(|value| !value.is_empty());
        let capable = says("TERM").is_none_or(|term| term != "dumb");
        let colour = capable && says("NO_COLOR").is_none();
        let error_terminal = std::io::stderr().is_terminal();
        Terminal {
            quiet,
            result_colour: colour && std::io::stdout().is_terminal(),
            error_colour: colour && error_terminal,
            bars: capable && error_terminal,
        }
    }

    /// A line of progress on the standard error. Nobody may be listening.
    pub fn say(&self, line: &str) {
        if !self.quiet {
            let _ = writeln!(std::io::stderr(), "{line}");
        }
    }

    /// Problems on the standard error, quiet or not.
    pub fn show(&self, problems: &Problems) {
        let _ = std::io::stderr().write_all(draw(problems, self.error_colour).as_bytes());
    }

    /// A result on the standard output, as it is.
    ///
    /// # Errors
    /// It cannot be written, or nobody reads it.
    pub fn result(&self, text: &str) -> std::io::Result<()> {
        let mut out = std::io::stdout().lock();
        out.write_all(text.as_bytes())?;
        out.flush()
    }

    /// Problems on the standard output, for commands whose result they are.
    ///
    /// # Errors
    /// As [`Terminal::result`].
    pub fn result_problems(&self, problems: &Problems) -> std::io::Result<()> {
        self.result(&draw(problems, self.result_colour))
    }

    /// Shows the workshop's progress until it is dropped.
    pub fn bar(&self) -> Bar<'_> {
        let target = if self.bars && !self.quiet { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
        let bar = ProgressBar::with_draw_target(Some(0), target);
        bar.set_style(ProgressStyle::with_template("{bar:24} {pos}/{len} {msg}").expect("a template of known keys"));
        Bar { terminal: self, bar, step: Mutex::default() }
    }
}

/// The progress of cutting: a bar on a terminal, a line a station elsewhere.
pub(super) struct Bar<'a> {
    terminal: &'a Terminal,
    bar: ProgressBar,
    step: Mutex<Step>,
}

/// How far it is.
#[derive(Default)]
struct Step {
    done: usize,
    of: usize,
}

impl Bar<'_> {
    /// Shows one thing that happened.
    pub fn tell(&self, progress: &Progress) {
        let line = self.step.lock().unwrap_or_else(std::sync::PoisonError::into_inner).line(progress);
        let Some(line) = line else { return };
        if !self.terminal.bars {
            return self.terminal.say(&line);
        }
        match progress {
            Progress::Planned { to_cut, .. } => self.bar.set_length(*to_cut as u64),
            Progress::Cut(key) | Progress::StillDrawn(key) | Progress::Kept(key) => {
                self.bar.set_message(key.to_string());
                self.bar.inc(1);
            }
        }
    }
}

impl Drop for Bar<'_> {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

impl Step {
    /// What a plain line says of it; nothing where there is nothing to do.
    fn line(&mut self, progress: &Progress) -> Option<String> {
        let (what, key) = match progress {
            Progress::Planned { to_cut: 0, .. } => return None,
            Progress::Planned { to_cut, stations } => {
                self.of = *to_cut;
                return Some(format!("Reading {} of {stations}", count(*to_cut, "shot")));
            }
            Progress::Cut(key) => ("cut", key),
            Progress::StillDrawn(key) => ("still drawn", key),
            Progress::Kept(key) => ("unchanged", key),
        };
        self.done += 1;
        Some(format!("{}/{} {key}: {what}", self.done, self.of))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tour::{Id, StationKey};

    #[test]
    fn plain_lines_count_what_was_planned() {
        let key = |room: &str, station: &str| StationKey { room: Id(room.into()), station: Id(station.into()) };
        let mut step = Step::default();
        let told = [
            Progress::Planned { to_cut: 3, stations: 12 },
            Progress::Cut(key("hall", "hall")),
            Progress::Kept(key("barn", "hearth")),
            Progress::StillDrawn(key("loft", "loft")),
        ];
        let lines: Vec<_> = told.iter().filter_map(|progress| step.line(progress)).collect();
        assert_eq!(
            lines,
            ["Reading 3 shots of 12", "1/3 hall: cut", "2/3 barn/hearth: unchanged", "3/3 loft: still drawn"]
        );
        assert_eq!(Step::default().line(&Progress::Planned { to_cut: 0, stations: 12 }), None);
    }
}
