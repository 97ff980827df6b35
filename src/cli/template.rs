//! `plyloom template`: the panel's outlines at true scale, to print and glue over.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use clap::builder::ValueHint;
use clap::{Args, ValueEnum};

use super::cli_error::CliError;
use super::output::{slugs, with_slug};
use super::recipe_args::RecipeArgs;
use super::recipe_input;
use super::terminal::{print, print_bytes, tell};
use crate::draw::template::{
    Paper, Template, TemplateError, TemplateOptions, page_count, template_pdf,
};
use crate::files::{same_file, write_whole};
use crate::geom::length;
use crate::layout::panel::Panel;
use crate::session::visible::{on_one_line, shown_path};

/// The most missing letters that are listed one by one.
const MOST_LETTERS: usize = 20;

/// Print the outlines of a panel's tiles at true scale, over several pages
#[derive(Debug, Args)]
#[command(
    long_about = "Write the outlines of a panel's tiles at true scale as a PDF, over as many pages of \
                  paper as needed. The pages overlap and have crosses to align them; every page has \
                  lines of 100 mm and 4 in. to measure after printing. Tiles carry the numbers of the \
                  glue-up map.",
    after_help = "Examples:\n  plyloom template blocks.rhai\n  \
                  plyloom template blocks.rhai --paper letter --out blocks.pdf\n  \
                  plyloom template blocks.rhai --paper a3 --landscape --margin \"1/4 in\"\n\n\
                  Print at 100 % (actual size), not fitted to the page."
)]
pub(super) struct TemplateArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    /// The paper in the printer
    #[arg(long, value_name = "SIZE", default_value = "a4")]
    paper: Size,

    /// Use the paper in landscape format
    #[arg(long)]
    landscape: bool,

    /// Blank margin on each side of the paper, at least what the printer needs
    #[arg(long, value_name = "LENGTH", value_parser = mm, default_value = "10 mm")]
    margin: f64,

    /// How far neighbouring pages overlap
    #[arg(long, value_name = "LENGTH", value_parser = mm, default_value = "10 mm")]
    overlap: f64,

    /// Only this panel (default: one file for each panel)
    #[arg(long, value_name = "NAME")]
    panel: Option<String>,

    /// Write to this file instead of beside the recipe; `-` is the standard output
    ///
    /// With several panels, each file gets the name of its panel: `out.pdf` becomes `out-NAME.pdf`.
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath)]
    out: Option<PathBuf>,
}

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Size {
    /// 210 x 297 mm
    A4,
    /// 8 1/2 x 11 in.
    Letter,
    /// 297 x 420 mm
    A3,
}

fn mm(text: &str) -> Result<f64, String> {
    length::parse(text).map_err(|error| format!("{error}; write `10`, `10 mm` or `3/8 in`"))
}

impl TemplateArgs {
    fn options(&self) -> TemplateOptions {
        TemplateOptions {
            paper: match self.paper {
                Size::A4 => Paper::A4,
                Size::Letter => Paper::Letter,
                Size::A3 => Paper::A3,
            },
            landscape: self.landscape,
            margin: self.margin,
            overlap: self.overlap,
        }
    }

    fn standard(&self) -> bool {
        self.out.as_deref() == Some(Path::new("-"))
    }

    /// The file for a single panel.
    fn file(&self) -> Result<PathBuf, CliError> {
        let recipe = &self.recipe.recipe;
        let file = match &self.out {
            None => recipe.with_extension("pdf"),
            Some(folder) if folder.is_dir() => {
                folder.join(recipe.with_extension("pdf").file_name().unwrap_or_default())
            }
            Some(file) => file.clone(),
        };
        let ending = file.extension().map(|e| e.to_string_lossy().to_lowercase());
        if ending.as_deref() != Some("pdf") {
            return Err(CliError::Usage {
                message: format!("`{}` does not end in `.pdf`", file.display()),
                help: "a template is a PDF: `--out template.pdf`".to_owned(),
            });
        }
        if same_file(&file, recipe) {
            return Err(CliError::Usage {
                message: format!("`{}` is the recipe itself", file.display()),
                help: "choose another file for the template with `--out`".to_owned(),
            });
        }
        Ok(file)
    }
}

pub(super) fn run(args: &TemplateArgs) -> Result<(), CliError> {
    let file = if args.standard() {
        None
    } else {
        Some(args.file()?)
    };
    let outcome = recipe_input::outcome(&args.recipe)?;
    let shown = args.recipe.recipe.display().to_string();
    let panels = recipe_input::panels(&outcome, args.panel.as_deref(), &shown)?;
    let templates = panels
        .iter()
        .map(|panel| made(panel, &args.options()))
        .collect::<Result<Vec<_>, _>>()?;
    if let Some(told) = missing(&templates) {
        tell(&told);
    }
    let Some(file) = file else {
        return match &templates[..] {
            [only] => print_bytes(&only.pdf),
            _ => Err(CliError::Usage {
                message: format!(
                    "the recipe makes {} panels and the standard output takes one template",
                    templates.len()
                ),
                help: "say which one with `--panel NAME`".to_owned(),
            }),
        };
    };
    let names: Vec<&str> = panels.iter().map(|p| p.name.as_str()).collect();
    for (template, slug) in templates.iter().zip(slugs(&names)) {
        let file = if templates.len() == 1 {
            file.clone()
        } else {
            with_slug(&file, &slug)
        };
        write_whole(&file, &template.pdf)?;
        print(&told(&file, template))?;
    }
    let all = |options: &TemplateOptions| -> Option<usize> {
        panels.iter().map(|p| page_count(p, options).ok()).sum()
    };
    let turned = TemplateOptions {
        landscape: !args.landscape,
        ..args.options()
    };
    let now: usize = templates.iter().map(|t| t.pages.len()).sum();
    if let Some(fewer) = all(&turned).filter(|&other| other < now) {
        let how = if args.landscape { "without" } else { "with" };
        print(&format!(
            "{how} --landscape: {fewer} in place of {now} pages\n"
        ))?;
    }
    print("Print at 100 % (actual size), not fitted to the page; measure the check lines.\n")
}

fn told(file: &Path, template: &Template) -> String {
    let file = shown_path(file);
    let cover = if template.cover {
        ", and one that shows how they lie"
    } else {
        ""
    };
    let pages = match template.pages.len() {
        1 => "1 page".to_owned(),
        many => format!("{many} pages"),
    };
    format!("{file}: {pages} at true scale{cover}\n")
}

/// The letters that show as empty boxes on the pages, on one line.
fn missing(templates: &[Template]) -> Option<String> {
    let letters: BTreeSet<char> = templates.iter().flat_map(|t| &t.missing).copied().collect();
    if letters.is_empty() {
        return None;
    }
    let listed: Vec<String> = letters
        .iter()
        .take(MOST_LETTERS)
        .map(char::to_string)
        .collect();
    let more = match letters.len().saturating_sub(MOST_LETTERS) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Some(
        on_one_line(&format!(
            "empty boxes stand for letters that the template's typeface lacks: {}{more}",
            listed.join(" ")
        )) + "\n",
    )
}

fn made(panel: &Panel, options: &TemplateOptions) -> Result<Template, CliError> {
    template_pdf(panel, options).map_err(|error| {
        let help = match &error {
            TemplateError::Margin { .. } | TemplateError::Overlap { .. } => {
                return CliError::Usage {
                    message: error.to_string(),
                    help: "10 mm suits most printers".to_owned(),
                };
            }
            TemplateError::TooManyPages { .. } => {
                "take larger paper, such as `--paper a3`, or a smaller part of the panel"
            }
            TemplateError::NoTiles => "check the panel with `plyloom preview`",
        };
        CliError::Drawing {
            message: format!(
                "there is no template of the panel `{}`: {error}",
                on_one_line(&panel.name)
            ),
            help: help.to_owned(),
        }
    })
}
