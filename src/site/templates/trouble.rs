//! What Tera says of a template, as a problem with as much of its place as can be known: Tera's parser tells line and
//! column, its renderer only names.

use super::{Template, Templates, includes};
use crate::problem::{Place, Problem};
use std::error::Error;
use std::path::Path;
use std::sync::Arc;

impl Templates {
    /// The problem behind an error that arose while `page` was made.
    pub(super) fn problem(&self, page: &str, error: &tera::Error) -> Problem {
        let messages = messages(error);
        let innermost = messages.last().map_or("", String::as_str);
        let name = self.asking_for_missing(innermost).or_else(|| self.blamed(&messages)).unwrap_or(page);
        let said = innermost.lines().last().unwrap_or_default().trim().trim_start_matches("= ");
        let template = &self.0[name];
        let shown = template.file.as_ref().map_or_else(|| name.to_string(), |file| file.display().to_string());
        let problem = Problem::error(
            format!("template `{shown}` cannot be used: {said}"),
            "mend it, or delete it to have Enfilade's own page again",
        );
        let Some(file) = &template.file else { return problem };
        match place_in(innermost).or_else(|| find(&template.text, quoted(innermost)?)) {
            Some(position) => problem.at(&place(file, position)),
            None => problem.about(file),
        }
    }

    /// Templates that would include one another for ever.
    pub(super) fn circle(&self) -> Option<Problem> {
        let texts = self.0.iter().map(|(name, template)| (name.as_str(), template.text.as_str())).collect();
        let circle = includes::circle(&texts)?;
        let Template { text, file } = &self.0[circle.template];
        let shown = file.as_ref().map_or_else(|| circle.template.to_string(), |file| file.display().to_string());
        let what = format!("template `{shown}` includes itself by way of `{}`", circle.includes);
        let problem = Problem::error(what, "take that `include` out");
        Some(match file {
            Some(file) => problem.at(&place(file, line_and_column(text, circle.at))),
            None => problem,
        })
    }

    /// The template that includes one which is not there.
    fn asking_for_missing(&self, message: &str) -> Option<&str> {
        let missing = quoted(message).filter(|_| message.starts_with("Template"))?;
        self.0.iter().find(|(_, template)| template.text.contains(missing)).map(|(name, _)| name.as_str())
    }

    /// The template that an error is about: the innermost message that names one decides.
    fn blamed(&self, messages: &[String]) -> Option<&str> {
        let names = |message: &String| {
            let named =
                |name: &&String| message.contains(&format!("'{name}'")) || message.contains(&format!("\"{name}\""));
            self.0.keys().find(named).map(String::as_str)
        };
        messages.iter().rev().find_map(names)
    }
}

/// Whether the parser refused it.
pub(super) fn is_of_syntax(error: &tera::Error) -> bool {
    messages(error).last().is_some_and(|message| place_in(message).is_some())
}

/// What an error says, then what caused it, down to the first cause.
fn messages(error: &tera::Error) -> Vec<String> {
    let first: &dyn Error = error;
    std::iter::successors(Some(first), |&error| error.source()).map(ToString::to_string).collect()
}

/// Line and column, where the parser drew them: ` --> 3:5`.
fn place_in(message: &str) -> Option<(u32, u32)> {
    let (line, column) = message.split_once("--> ")?.1.lines().next()?.trim().split_once(':')?;
    Some((line.parse().ok()?, column.parse().ok()?))
}

/// The name that a message of Tera's is about: `` `name` ``, or `'[name]'` for a template.
fn quoted(message: &str) -> Option<&str> {
    let (_, after) = message.split_once("'[").or_else(|| message.split_once('`'))?;
    after.split(['`', ']']).next().filter(|name| !name.is_empty())
}

/// Where a template first uses a name.
fn find(text: &str, name: &str) -> Option<(u32, u32)> {
    text.find(name).map(|at| line_and_column(text, at))
}

/// Of a byte of a text, both counted from 1, columns in characters.
fn line_and_column(text: &str, at: usize) -> (u32, u32) {
    let before = &text[..at];
    let column = before.rsplit('\n').next().unwrap_or_default().chars().count();
    (before.matches('\n').count() as u32 + 1, column as u32 + 1)
}

fn place(file: &Path, (line, column): (u32, u32)) -> Place {
    Place { file: Arc::from(file), line, column, length: 0 }
}
