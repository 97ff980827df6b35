//! `plyloom` alone: what to do next.

use std::path::Path;

use super::cli_error::CliError;
use super::new::quoted;
use super::terminal::print;
use crate::files::recipes_of;
use crate::session::visible::on_one_line;

/// No more recipes of the folder than this are named.
const MOST_NAMED: usize = 5;

pub(super) fn run() -> Result<(), CliError> {
    let here = recipes_of(Path::new(".")).unwrap_or_default();
    let names: Vec<String> = here
        .iter()
        .filter_map(|path| path.file_name())
        .map(|name| quoted(&on_one_line(&name.to_string_lossy())))
        .collect();
    let next = match names.first() {
        None => "Start here:\n  \
                 plyloom new                         write a first recipe, my-panel.rhai\n  \
                 plyloom watch my-panel.rhai --page  see it in your browser, and change it there\n"
            .to_owned(),
        Some(first) => {
            let mut shown = names[..names.len().min(MOST_NAMED)].join(", ");
            if names.len() > MOST_NAMED {
                shown = format!("{shown} and {} more", names.len() - MOST_NAMED);
            }
            format!(
                "Recipes in this folder: {shown}\n\n\
                 See one in your browser, and change it there:\n  plyloom watch {first} --page\n\
                 Take one to the saw:\n  plyloom plan {first} --out plan.html\n\
                 Write another:\n  plyloom new\n"
            )
        }
    };
    print(&format!(
        "Plyloom draws patterned plywood from short recipes and plans how to saw it.\n\n\
         {next}\nAll commands: plyloom --help\n"
    ))
}
