//! `plyloom outline`: the panel's outlines for a router table, a laser or CAD.

use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::cli_error::CliError;
use super::output::{slugs, with_slug};
use super::recipe_args::RecipeArgs;
use super::recipe_input;
use super::terminal::print;
use crate::draw::outlines::{
    Cutter, Outlines, OutlinesError, outlines_dxf, outlines_pdf, outlines_svg,
};
use crate::files::{same_file, write_whole};
use crate::geom::length;
use crate::layout::panel::Panel;
use crate::session::visible::{on_one_line, shown_path};

/// Write the outlines of a panel as SVG, DXF or PDF, for a router table, a laser or CAD
#[derive(Debug, Args)]
#[command(
    long_about = "Write the outlines of a panel as closed paths in mm, at true size, on named layers: \
                  the finished outline, whole tiles, and what is left of the tiles that it cuts. The \
                  ending of the file says the form. Arcs stay arcs in SVG and DXF; chords lie within \
                  0.005 mm.",
    after_help = "Examples:\n  plyloom outline worktop.rhai --out cut.svg\n  \
                  plyloom outline worktop.rhai --out cut.dxf --cutter 8\n  \
                  plyloom outline worktop.rhai --out recess.dxf --cutter \"1/4 in\" --inside\n\n\
                  Layers: finished, one for each of the panel's pieces, cutter-path, whole-tiles, trimmed-tiles."
)]
pub(super) struct OutlineArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    /// Add the path of a cutter's centre round the finished outline: the diameter of the cutter
    #[arg(long, value_name = "LENGTH", value_parser = diameter)]
    cutter: Option<f64>,

    /// The cutter runs inside the line, for a recess or the opening of a template
    #[arg(long, requires = "cutter")]
    inside: bool,

    /// Only this panel (default: one file for each panel)
    #[arg(long, value_name = "NAME")]
    panel: Option<String>,

    /// Write to this file; its ending is `.svg`, `.dxf` or `.pdf`
    ///
    /// With several panels, each file gets the name of its panel: `cut.svg` becomes `cut-NAME.svg`.
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath)]
    out: PathBuf,
}

fn diameter(text: &str) -> Result<f64, String> {
    let mm =
        length::parse(text).map_err(|error| format!("{error}; write `8`, `8 mm` or `1/4 in`"))?;
    if mm > 0.0 && mm <= 100.0 {
        Ok(mm)
    } else {
        Err("a cutter has a diameter of more than 0 and at most 100 mm".to_owned())
    }
}

/// What a file's ending asks for.
#[derive(Debug, Clone, Copy)]
enum Form {
    Svg,
    Dxf,
    Pdf,
}

impl OutlineArgs {
    fn form(&self) -> Result<Form, CliError> {
        let file = &self.out;
        let ending = file.extension().map(|e| e.to_string_lossy().to_lowercase());
        let form = match ending.as_deref() {
            Some("svg") => Form::Svg,
            Some("dxf") => Form::Dxf,
            Some("pdf") => Form::Pdf,
            _ => {
                return Err(CliError::Usage {
                    message: format!(
                        "`{}` ends in none of `.svg`, `.dxf`, `.pdf`",
                        file.display()
                    ),
                    help: "the ending says the form: `--out cut.dxf`".to_owned(),
                });
            }
        };
        if same_file(file, &self.recipe.recipe) {
            return Err(CliError::Usage {
                message: format!("`{}` is the recipe itself", file.display()),
                help: "choose another file with `--out`".to_owned(),
            });
        }
        Ok(form)
    }

    fn drawn(&self, panel: &Panel, form: Form) -> Result<(Outlines, Vec<u8>), CliError> {
        let cutter = self.cutter.map(|diameter| Cutter {
            diameter,
            inside: self.inside,
        });
        let made = || {
            let outlines = Outlines::of(panel, cutter)?;
            let bytes = match form {
                Form::Svg => outlines_svg(&outlines).into_bytes(),
                Form::Dxf => outlines_dxf(&outlines).into_bytes(),
                Form::Pdf => outlines_pdf(&outlines, &on_one_line(&panel.name))?,
            };
            Ok((outlines, bytes))
        };
        made().map_err(|error| CliError::Drawing {
            message: format!(
                "there are no outlines of the panel `{}`: {error}",
                on_one_line(&panel.name)
            ),
            help: match error {
                OutlinesError::Cutter { .. } | OutlinesError::Kerf { .. } => {
                    "take a thinner cutter".to_owned()
                }
                OutlinesError::Page => "write `.svg` or `.dxf`".to_owned(),
            },
        })
    }
}

pub(super) fn run(args: &OutlineArgs) -> Result<(), CliError> {
    let form = args.form()?;
    let outcome = recipe_input::outcome(&args.recipe)?;
    let shown = args.recipe.recipe.display().to_string();
    let panels = recipe_input::panels(&outcome, args.panel.as_deref(), &shown)?;
    let drawn = panels
        .iter()
        .map(|panel| args.drawn(panel, form))
        .collect::<Result<Vec<_>, _>>()?;
    let names: Vec<&str> = panels.iter().map(|p| p.name.as_str()).collect();
    for ((outlines, bytes), slug) in drawn.iter().zip(slugs(&names)) {
        let file = if drawn.len() == 1 {
            args.out.clone()
        } else {
            with_slug(&args.out, &slug)
        };
        write_whole(&file, bytes)?;
        print(&told(&file, outlines))?;
    }
    Ok(())
}

fn told(file: &Path, outlines: &Outlines) -> String {
    let layers = outlines.layers.iter();
    let layers: Vec<String> = layers
        .map(|layer| format!("{} {}", layer.contours.len(), layer.name))
        .collect();
    format!(
        "{}: {:.1} x {:.1} mm; closed paths: {}\n",
        shown_path(file),
        outlines.width,
        outlines.height,
        layers.join(", ")
    )
}
