//! The files of a plan: the page, and its drawings one by one.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use crate::cli::cli_error::CliError;
use crate::cli::output::slugs;
use crate::cli::terminal::print_bytes;
use crate::draw::glue_map::glue_map;
use crate::draw::object_map::object_map_svg;
use crate::draw::step_drawings::step_drawings;
use crate::files::{make_folder, same_file, write_whole};
use crate::rack::largest::Largest;
use crate::session::planned::objects::outlined;
use crate::session::planned::{Planned, html};
use crate::session::visible::shown_path;

/// Most maps of sub-assemblies that are written for one panel.
const MOST_MAPS: usize = 999;

/// The standard output, as a file's name.
const STANDARD: &str = "-";

/// Whether the page goes to the standard output, which then takes nothing else.
pub(super) fn to_standard(out: Option<&Path>) -> bool {
    out == Some(Path::new(STANDARD))
}

/// Whether a file takes the plan as JSON: its name ends in `.json`.
pub(super) fn is_json(out: &Path) -> bool {
    ending(out).as_deref() == Some("json")
}

fn ending(out: &Path) -> Option<String> {
    out.extension().map(|e| e.to_string_lossy().to_lowercase())
}

/// Checks where the page or the JSON is to go.
///
/// # Errors
/// When its name ends neither in `.html` nor in `.json`, or one of `sources` would be replaced.
pub(super) fn check(out: &Path, sources: &[&Path]) -> Result<(), CliError> {
    if to_standard(Some(out)) {
        return Ok(());
    }
    if !matches!(ending(out).as_deref(), Some("html" | "htm" | "json")) {
        return Err(CliError::Usage {
            message: format!("`{}` ends neither in `.html` nor in `.json`", out.display()),
            help: "the plan is written as a page, `--out plan.html`, or as data, `--out plan.json`; its \
                   drawings alone with `--drawings FOLDER`"
                .to_owned(),
        });
    }
    for source in sources {
        if same_file(out, source) {
            return Err(CliError::Usage {
                message: format!("`{}` is read for this plan", out.display()),
                help: "choose another file for the page".to_owned(),
            });
        }
    }
    Ok(())
}

/// Writes the page, or the JSON.
pub(super) fn page(
    planned: &Planned<'_>,
    largest: Option<&Largest>,
    out: &Path,
) -> Result<(), CliError> {
    if is_json(out) {
        return Ok(write_whole(
            out,
            super::json::json(planned, largest).as_bytes(),
        )?);
    }
    let html = html(planned);
    if to_standard(Some(out)) {
        print_bytes(html.as_bytes())
    } else {
        Ok(write_whole(out, html.as_bytes())?)
    }
}

/// Writes the drawings of the steps and the maps for gluing up, each as a drawing of its own; gives how many.
pub(super) fn drawings(planned: &Planned<'_>, folder: &Path) -> Result<usize, CliError> {
    make_folder(folder)?;
    let mut written = 0;
    let mut write = |name: String, svg: &str| -> Result<(), CliError> {
        write_whole(&folder.join(name), svg.as_bytes())?;
        written += 1;
        Ok(())
    };
    let shop = planned.shop;
    for drawn in step_drawings(planned.plan, shop) {
        write(format!("{}-{}.svg", drawn.kind, drawn.number), &drawn.svg)?;
    }
    let names: Vec<&str> = planned.panels.iter().map(|p| p.name.as_str()).collect();
    for (number, ((panel, plan), slug)) in planned
        .panels
        .iter()
        .zip(&planned.plan.gluing)
        .zip(slugs(&names))
        .enumerate()
    {
        let objects = outlined(&planned.cutouts, number, shop.units);
        if !objects.is_empty() {
            let svg = object_map_svg(panel, &objects, "");
            write(format!("{slug}-objects.svg"), &svg)?;
        }
        write(
            format!("{slug}-glue-up.svg"),
            &glue_map(panel, plan, None, ""),
        )?;
        let many = plan.assemblies.len();
        for i in (0..many).take(if many > 1 { MOST_MAPS } else { 0 }) {
            let svg = glue_map(panel, plan, Some(i), "");
            write(format!("{slug}-glue-up-{}.svg", i + 1), &svg)?;
        }
    }
    Ok(written)
}

/// The text that is printed where files were written.
pub(super) fn told(out: Option<&PathBuf>, drawings: Option<(&PathBuf, usize)>) -> String {
    let mut text = String::new();
    if let Some(out) = out {
        let shown = shown_path(out);
        let _ = writeln!(text, "wrote {shown}");
    }
    if let Some((folder, number)) = drawings {
        let shown = shown_path(folder);
        let _ = writeln!(text, "{number} drawings are written to {shown}");
    }
    text
}
