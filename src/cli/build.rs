//! `enfilade build`: the walkthrough as a folder.

use super::Outcome;
use super::json;
use super::terminal::Terminal;
use super::words::{count, shell_word};
use crate::problem::Problems;
use crate::site::Published;
use crate::workshop::Options;
use crate::{site, tour, workshop};
use std::path::{Path, PathBuf};

/// Make the walkthrough: a folder that any web host can serve
///
/// Only what changed since the last time is made again. Finished work is kept in a folder ".enfilade" beside
/// tour.yaml, which can be deleted at any time.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Build {
    /// A folder with a tour.yaml, or that file
    #[arg(default_value = ".")]
    tour: PathBuf,
    /// The folder to make [default: "site" beside tour.yaml]
    #[arg(long, value_name = "DIR")]
    to: Option<PathBuf>,
    /// Take longer for smaller files that look the same: for the final hand-over
    #[arg(long)]
    small: bool,
    /// Read every shot and every stored file, even where nothing seems to have changed
    #[arg(long)]
    verify: bool,
    /// Print nothing but problems
    #[arg(long, short)]
    quiet: bool,
    /// Print the result and all problems as JSON
    #[arg(long)]
    json: bool,
}

const EXAMPLES: &str = "\
Examples:
  enfilade build                         The tour in this folder, into ./site
  enfilade build larkmere --to public    Another tour, into the folder \"public\"
  enfilade build --small                 The smallest files, for the final hand-over
  enfilade build --json | jq .stations   How many stations were cut and kept";

/// What a build came to.
struct Built {
    to: PathBuf,
    stations: usize,
    cut: usize,
    published: Published,
}

impl Build {
    pub(super) fn run(&self) -> std::io::Result<Outcome> {
        let terminal = Terminal::new(self.quiet || self.json);
        let mut problems = Problems::new();
        let built = self.build(&terminal, &mut problems).map_err(|errors| problems.extend(errors)).ok();
        let problems = problems.sorted();
        if self.json {
            terminal.result(&json::build(built.as_ref().map(Built::as_json), &problems))?;
        } else {
            terminal.show(&problems);
            if let (Some(built), false) = (&built, self.quiet) {
                terminal.result(&built.summary(&self.tour))?;
            }
        }
        Ok(if built.is_some() { Outcome::Done } else { Outcome::Failed })
    }

    /// The whole way from the description to the published folder. Warnings are added to `warnings` on the way.
    fn build(&self, terminal: &Terminal, warnings: &mut Problems) -> Result<Built, Problems> {
        let (tour, found) = tour::read_tour(&self.tour)?;
        warnings.extend(found);
        let options = Options { small: self.small, verify: self.verify };
        let bar = terminal.bar();
        let made = workshop::make(&tour, options, &|progress| bar.tell(&progress))?;
        drop(bar);
        warnings.extend(made.warnings);
        let site = site::compose(&tour, &made.sights, &made.stations)?;
        let to = self.to.clone().unwrap_or_else(|| default_folder(&tour.folder));
        let published = site::publish(&site, &to)?;
        Ok(Built { to, stations: made.stations.len(), cut: made.cut, published })
    }
}

/// `site` beside the description; without the `./` that nobody wrote.
fn default_folder(tour_folder: &Path) -> PathBuf {
    tour_folder.strip_prefix(".").unwrap_or(tour_folder).join("site")
}

impl Built {
    fn as_json(&self) -> json::Built<'_> {
        let kept = self.stations - self.cut;
        json::Built::new(&self.to, json::Stations { cut: self.cut, kept }, self.published)
    }

    fn summary(&self, tour: &Path) -> String {
        let Published { files_written, files_kept, files_removed } = self.published;
        let kept = self.stations - self.cut;
        let what = if self.cut + files_written + files_removed == 0 {
            format!("Nothing changed: kept {} and {}.", count(kept, "station"), count(files_kept, "file"))
        } else {
            format!(
                "Cut {}, kept {kept}. Wrote {}, kept {files_kept}, removed {files_removed}.",
                count(self.cut, "station"),
                count(files_written, "file"),
            )
        };
        let preview = match tour.to_str() {
            Some(".") => "enfilade preview".to_owned(),
            _ => format!("enfilade preview {}", shell_word(tour)),
        };
        let to = self.to.display();
        format!("{what}\nThe walkthrough is in {to}: any web host can serve that folder.\nLook at it with: {preview}\n")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn built(cut: usize, published: [usize; 3]) -> Built {
        let [files_written, files_kept, files_removed] = published;
        let published = Published { files_written, files_kept, files_removed };
        Built { to: PathBuf::from("mill/site"), stations: 12, cut, published }
    }

    #[test]
    fn the_summary_says_what_changed_where_it_is_and_how_to_look_at_it() {
        assert_eq!(
            built(1, [260, 2900, 258]).summary(Path::new("mill")),
            "Cut 1 station, kept 11. Wrote 260 files, kept 2900, removed 258.\n\
             The walkthrough is in mill/site: any web host can serve that folder.\n\
             Look at it with: enfilade preview mill\n"
        );
    }

    #[test]
    fn the_site_lies_beside_the_description() {
        for (folder, site) in [(".", "site"), ("", "site"), ("mill", "mill/site"), ("../mill", "../mill/site")] {
            assert_eq!(default_folder(Path::new(folder)), Path::new(site));
        }
    }

    #[test]
    fn the_summary_says_that_nothing_changed() {
        assert_eq!(
            built(0, [0, 3158, 0]).summary(Path::new(".")),
            "Nothing changed: kept 12 stations and 3158 files.\n\
             The walkthrough is in mill/site: any web host can serve that folder.\n\
             Look at it with: enfilade preview\n"
        );
        assert!(built(0, [1, 1, 0]).summary(Path::new(".")).starts_with("Cut 0 stations, kept 12. Wrote 1 file, "));
    }
}
