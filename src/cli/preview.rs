//! `enfilade preview`: the walkthrough in a browser, kept up to date while the photographer works.

use super::Outcome;
use super::terminal::Terminal;
use crate::preview::{self, PreviewOptions};
use std::cell::RefCell;
use std::path::PathBuf;

/// Look at the walkthrough in a browser while you work on it
///
/// Serves the tour on this computer only, unless --lan is given. The page follows every change of tour.yaml, a picture, a plan or a template,
/// and keeps its room and view. Press Ctrl-C to end it.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Preview {
    /// A folder with a tour.yaml, or that file
    #[arg(default_value = ".")]
    tour: PathBuf,
    /// The port to serve on [default: the first that is free]
    #[arg(long, value_name = "N")]
    port: Option<u16>,
    /// Let other devices on this network look, at an address of their own and a code to scan
    #[arg(long)]
    lan: bool,
    /// Print nothing but the address and problems
    #[arg(long, short)]
    quiet: bool,
}

const EXAMPLES: &str = "\
Examples:
  enfilade preview                     The tour in this folder
  enfilade preview larkmere            Another tour
  enfilade preview --port 8000         At the same address every time
  enfilade preview --lan               On the phone in your hand, too";

impl Preview {
    pub(super) fn run(&self) -> std::io::Result<Outcome> {
        let terminal = Terminal::new(self.quiet);
        let options = PreviewOptions { tour: self.tour.clone(), port: self.port, lan: self.lan, quiet: self.quiet };
        let unwritten = RefCell::new(None);
        let say = |line: &str| {
            if let Err(error) = terminal.result(&format!("{line}\n")) {
                unwritten.replace(Some(error));
            }
        };
        match preview::run(&options, &say, &|problems| terminal.show(problems)) {
            Ok(()) => unwritten.take().map_or(Ok(Outcome::Done), Err),
            Err(problems) => {
                terminal.show(&problems);
                Ok(Outcome::Failed)
            }
        }
    }
}
