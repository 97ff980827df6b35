//! `plyloom pick`: pin the variation that pleases, in a small file of its own.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::cli_error::CliError;
use super::recipe_args::LimitArgs;
use super::recipe_input::RecipeInput;
use super::terminal::print;
use super::vary::folder::read_index;
use super::vary::sheets::name;
use crate::explore::index::{Index, MadeVariation, VariationResult};
use crate::explore::pinned::{ENDING, Pinned, digest};
use crate::files::{from_folder, write_new};
use crate::recipe::evaluate;
use crate::session::Opened;
use crate::session::visible::shown_path;

/// Pin a variation: recipe, parameters and seed in a small file
#[derive(Debug, Args)]
#[command(
    long_about = "Pin a variation that `plyloom vary` made. The file holds the path of the \
                  recipe, all parameters, the seed and a hash of the recipe. Every command takes it \
                  in place of a recipe, and warns when the recipe has changed since.",
    after_help = "Examples:\n  plyloom pick drift-variations 17\n  \
                  plyloom pick drift-variations 17 --out tray\n  plyloom preview tray.pick"
)]
pub(super) struct PickArgs {
    /// The folder that `plyloom vary` wrote to
    #[arg(value_name = "DIR", value_hint = ValueHint::DirPath)]
    folder: PathBuf,

    /// The number on the sheet
    #[arg(value_name = "NUMBER")]
    number: u64,

    /// Write to this file, with the ending .pick (default: RECIPE-NUMBER.pick)
    #[arg(long, short, value_name = "NAME", value_hint = ValueHint::FilePath)]
    out: Option<PathBuf>,

    #[command(flatten)]
    pub(super) limits: LimitArgs,
}

pub(super) fn run(args: &PickArgs) -> Result<(), CliError> {
    let index = read_index(&args.folder)?;
    let made = made(&index, args)?;
    let recipe = args.folder.join(&index.head.recipe.path);
    let out = args.file(&index);
    let home = out.parent().filter(|p| !p.as_os_str().is_empty());
    let pinned = Pinned {
        recipe: from_folder(home.unwrap_or(Path::new(".")), &recipe),
        recipe_sha256: made.recipe_sha256.clone(),
        seed: made.seed,
        parameters: made.parameters.clone(),
        look: index.head.look.seen.close(),
    };
    write_new(&out, pinned.text().as_bytes())?;
    let shown = shown_path(&out);
    let mut text = format!("pinned variation {} in {shown}\n", args.number);
    if let Some(how) = changed(&recipe, &pinned, &args.limits) {
        let recipe = shown_path(&recipe);
        let _ = writeln!(text, "`{recipe}` {how}");
    }
    // A choice may name recipes of its own folder; for any other, `--elsewhere` is needed.
    let beyond = pinned.recipe.starts_with("../") || Path::new(&pinned.recipe).is_absolute();
    let elsewhere = if beyond { " --elsewhere" } else { "" };
    let _ = writeln!(text, "see it with  plyloom preview {shown}{elsewhere}");
    print(&text)
}

impl PickArgs {
    fn file(&self, index: &Index) -> PathBuf {
        let Some(out) = &self.out else {
            let recipe = name(&index.head.recipe.path);
            return PathBuf::from(format!("{recipe}-{}.{ENDING}", self.number));
        };
        if out
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case(ENDING))
        {
            return out.clone();
        }
        let mut whole = out.clone().into_os_string();
        whole.push(".");
        whole.push(ENDING);
        whole.into()
    }
}

fn made<'a>(index: &'a Index, args: &PickArgs) -> Result<&'a MadeVariation, CliError> {
    let folder = args.folder.display();
    match index.variation(args.number).map(|v| &v.result) {
        Some(VariationResult::Made(made)) => Ok(made),
        Some(VariationResult::Failed(failed)) => Err(CliError::Data {
            code: "pick::failed",
            message: format!(
                "variation {} could not be made: {}",
                args.number, failed.message
            ),
            help: "pick another one".to_owned(),
        }),
        None => {
            let (first, last) = (index.variations.first(), index.variations.last());
            let range = first.zip(last).map_or("none".to_owned(), |(first, last)| {
                format!("numbers from {} to {}", first.number, last.number)
            });
            Err(CliError::Data {
                code: "pick::number",
                message: format!("`{folder}` has no variation {}", args.number),
                help: format!("it has {range}; they stand on sheet.html"),
            })
        }
    }
}

/// How the recipe differs from what the variation was made with; none where it is the same.
fn changed(recipe: &Path, pinned: &Pinned, limits: &LimitArgs) -> Option<&'static str> {
    let Ok(named) = RecipeInput::read(recipe, limits) else {
        return Some("cannot be read any more: the choice needs it");
    };
    let mut opened = Opened::clone(&named);
    opened.pinned = Some(pinned.clone());
    let settings = opened.settings(limits.typed());
    match evaluate(&opened.source, &settings, named.quiet_host()) {
        Ok(outcome) => (digest(outcome.sources.iter().map(AsRef::as_ref)) != pinned.recipe_sha256)
            .then_some("has changed since the variations were made"),
        Err(_) => Some("has changed since the variations were made, and fails now"),
    }
}
