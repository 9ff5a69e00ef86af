//! `enfilade check`: every problem of a tour, without making anything.

use super::Outcome;
use super::json;
use super::terminal::Terminal;
use super::words::count;
use crate::problem::{Problems, Severity};
use crate::tour::{self, Tour};
use crate::{check, workshop};
use std::path::PathBuf;

/// Look for mistakes in a tour and its pictures
///
/// Lists every problem with its file, line and column, and what to write instead. Makes nothing and changes nothing.
/// Of each picture that stands upright by itself (`tilt: auto`) it says how it leaned, and how sure that is.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Check {
    /// A folder with a tour.yaml, or that file
    #[arg(default_value = ".")]
    tour: PathBuf,
    /// Print all problems as JSON
    #[arg(long)]
    json: bool,
}

const EXAMPLES: &str = "\
Examples:
  enfilade check                          The tour in this folder
  enfilade check larkmere/tour.yaml       Another tour
  enfilade check --json | jq .problems    For another program

Exit status: 0 no error (there may be warnings), 1 at least one error, 2 wrong usage.";

impl Check {
    pub(super) fn run(&self) -> std::io::Result<Outcome> {
        let terminal = Terminal::new(false);
        let mut problems = Problems::new();
        let mut uprights = Vec::new();
        let tour = self.check(&mut problems, &mut uprights).map_err(|errors| problems.extend(errors)).ok();
        let problems = problems.sorted();
        if self.json {
            terminal.result(&json::check(&problems))?;
        } else {
            terminal.result_problems(&problems)?;
            for upright in uprights {
                terminal.result(&format!("{upright}\n"))?;
            }
            terminal.result(&summary(tour.as_ref(), &problems))?;
        }
        Ok(if problems.has_errors() { Outcome::Failed } else { Outcome::Done })
    }

    /// The whole tour, unless its description is broken. Warnings, and what pictures tell of their tilt, are added on the way.
    fn check(&self, warnings: &mut Problems, uprights: &mut Vec<String>) -> Result<Tour, Problems> {
        let (tour, found) = tour::read_tour(&self.tour)?;
        warnings.extend(found);
        let surveyed = workshop::survey(&tour)?;
        warnings.extend(surveyed.warnings);
        uprights.extend(surveyed.uprights);
        warnings.extend(workshop::check_patches(&tour)?);
        warnings.extend(check::honesty(&tour));
        Ok(tour)
    }
}

fn summary(tour: Option<&Tour>, problems: &Problems) -> String {
    let of = |severity| problems.iter().filter(|problem| problem.severity == severity).count();
    let (errors, warnings) = (of(Severity::Error), of(Severity::Warning));
    match tour {
        Some(tour) if errors + warnings == 0 => format!(
            "No problem found in {} and {}.\n",
            count(tour.rooms().count(), "room"),
            count(tour.stations().count(), "station")
        ),
        _ => format!("Found {} and {}.\n", count(errors, "error"), count(warnings, "warning")),
    }
}
