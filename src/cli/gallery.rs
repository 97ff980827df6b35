//! `plyloom gallery`: an index page of a folder of recipes, each with its picture.

use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::cli_error::CliError;
use super::credit;
use super::guard;
use super::output::slugs;
use super::pack::PAGE as LIVE;
use super::progress::Progress;
use super::recipe_args::RunArgs;
use super::recipe_input::RecipeInput;
use super::report;
use super::stream::Stream;
use super::terminal::{print, tell};
use crate::bundle::Bundle;
use crate::draw::{Exhibit, Hung, PanelOptions, gallery_page_html, panel_svg};
use crate::explore::link::Link;
use crate::files::{make_folder, recipes_of, write_whole};
use crate::layout::panel::Panel;
use crate::layout::tally::Tally;
use crate::recipe::outcome::Outcome;
use crate::session::OpenError;
use crate::session::visible::shown_path;

/// The folder for the pictures, beside the page.
const PICTURES: &str = "pictures";
/// The page.
const PAGE: &str = "index.html";

/// Make an index page of a folder of recipes, each with its picture
#[derive(Debug, Args)]
#[command(
    long_about = "Draw every recipe of a folder and write an index page that shows them all: picture, \
                  title, purpose, size, and what to try next, as the recipe's `about` says. The page is \
                  `index.html` in the folder, the pictures go to `pictures/` beside it. Rule modules, \
                  which make no panel, are left out.",
    after_help = "Examples:\n  plyloom gallery demo-patterns\n  \
                  plyloom gallery . --title \"Trays of this winter\"\n  \
                  plyloom gallery patterns --set dye=poppy\n  \
                  plyloom gallery patterns --live"
)]
pub(super) struct GalleryArgs {
    /// The folder with the recipes
    #[arg(value_name = "DIR", value_hint = ValueHint::DirPath)]
    folder: PathBuf,

    /// What stands above the page
    #[arg(long, value_name = "TEXT", default_value = "Patterns")]
    title: String,

    /// Write page and pictures to another folder
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    out: Option<PathBuf>,

    /// Let each picture open live, with its knobs, in `plyloom.html`; ADDRESS is where that is, beside the page
    /// unless you say another
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, default_missing_value = LIVE)]
    live: Option<String>,

    #[command(flatten)]
    run: RunArgs,
}

/// A recipe of the folder, drawn.
struct Drawn {
    exhibit: Exhibit,
    pictures: Vec<(String, String)>,
}

pub(super) fn run(args: &GalleryArgs) -> Result<(), CliError> {
    let recipes = recipes_of(&args.folder)?;
    let progress = Progress::new(recipes.len() as u64, "made");
    let mut drawn = Vec::new();
    let mut failed = Vec::new();
    for path in &recipes {
        match draw(path, args) {
            Ok(Some(one)) => drawn.push(one),
            Ok(None) => {}
            Err(trouble) => failed.push((path, trouble)),
        }
        progress.step();
    }
    progress.end();
    if let Some((path, trouble)) = failed.first() {
        tell(&report::render(trouble, Stream::of_errors()));
        return Err(CliError::Data {
            code: "gallery::recipe",
            message: format!(
                "{} of {} recipes cannot be drawn, the first of them `{}`: nothing was written",
                failed.len(),
                recipes.len(),
                shown_path(path)
            ),
            help: "mend it, or keep it in another folder".to_owned(),
        });
    }
    if drawn.is_empty() {
        return Err(CliError::Data {
            code: "gallery::empty",
            message: format!(
                "there is no recipe in `{}` that makes a panel",
                shown_path(&args.folder)
            ),
            help: "`plyloom new NAME` writes one to start from".to_owned(),
        });
    }
    let out = args.out.as_ref().unwrap_or(&args.folder);
    make_folder(&out.join(PICTURES))?;
    let mut exhibits = Vec::new();
    let mut pictures = 0;
    for one in drawn {
        for (name, svg) in &one.pictures {
            write_whole(&out.join(PICTURES).join(name), svg.as_bytes())?;
            pictures += 1;
        }
        exhibits.push(one.exhibit);
    }
    let opens = match args.live {
        Some(_) => "A picture opens live, with its knobs",
        None => "A picture opens large",
    };
    let note = format!(
        "{} {}. {opens}; `plyloom preview` draws it with its measures and tally.",
        exhibits.len(),
        if exhibits.len() == 1 {
            "pattern"
        } else {
            "patterns"
        }
    );
    let page = out.join(PAGE);
    write_whole(
        &page,
        gallery_page_html(&args.title, &note, &exhibits).as_bytes(),
    )?;
    print(&format!(
        "{} shows {} of {} recipes in {pictures} pictures\n",
        shown_path(&page),
        exhibits.len(),
        recipes.len()
    ))
}

/// The recipe at `path` drawn; nothing where it makes no panel.
fn draw(path: &Path, args: &GalleryArgs) -> Result<Option<Drawn>, CliError> {
    guard::command(&args.run.limits.budget(), |_| drawn(path, args))
}

fn drawn(path: &Path, args: &GalleryArgs) -> Result<Option<Drawn>, CliError> {
    let named = RecipeInput::read(path, &args.run.limits)?;
    let settings = named.settings(args.run.typed());
    let host = named.host();
    let outcome = named.carried_out(&settings, std::sync::Arc::clone(&host))?;
    if outcome.panels.is_empty() {
        return Ok(None);
    }
    let live = match &args.live {
        Some(page) => {
            let bundle = Bundle::of(&named.name(), &outcome, &settings, &*host);
            let look = crate::appearance::Look::default();
            let packed = Link { bundle, look }.text();
            let packed = packed.map_err(|error| OpenError::Pack {
                path: path.to_owned(),
                error,
            })?;
            let page = page.split('#').next().unwrap_or_default();
            Some(format!("{page}{packed}"))
        }
        None => None,
    };
    let file = path
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let stem = path
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let names: Vec<&str> = outcome.panels.iter().map(|p| p.name.as_str()).collect();
    let mut pictures = Vec::new();
    let mut hung = Vec::new();
    for (panel, slug) in outcome.panels.iter().zip(slugs(&names)) {
        let name = match names.len() {
            1 => format!("{stem}.svg"),
            _ => format!("{stem}-{slug}.svg"),
        };
        hung.push(Hung {
            file: format!("{PICTURES}/{name}"),
            size: (pixels(panel.bounds.width()), pixels(panel.bounds.height())),
            facts: facts(panel, names.len() > 1),
        });
        pictures.push((name, panel_svg(panel, &PanelOptions::default())));
    }
    let mut exhibit = exhibit(&outcome, file, &stem, hung);
    exhibit.live = live;
    Ok(Some(Drawn { exhibit, pictures }))
}

fn exhibit(outcome: &Outcome, file: String, stem: &str, pictures: Vec<Hung>) -> Exhibit {
    let about = &outcome.about;
    let title = about
        .title
        .clone()
        .unwrap_or_else(|| stem.replace(['-', '_'], " "));
    let credit = credit::before(&crate::recipe::about::About {
        author: about.author.clone(),
        licence: about.licence.clone(),
        ..Default::default()
    });
    Exhibit {
        file,
        title,
        purpose: about.purpose.clone().unwrap_or_default(),
        pictures,
        try_next: about.try_next.clone(),
        live: None,
        credit: credit.trim().to_owned(),
    }
}

/// A size in mm as the whole number that tells a browser the proportions.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "panels are far smaller than 2^32 mm, and casts of numbers saturate"
)]
fn pixels(mm: f64) -> u32 {
    mm.round().max(1.0) as u32
}

fn facts(panel: &Panel, named: bool) -> String {
    let tally = Tally::of(panel);
    let mut kinds: Vec<&str> = tally.rows.iter().map(|row| row.kind.as_str()).collect();
    kinds.dedup();
    let kinds = match kinds.len() {
        1 => String::new(),
        n => format!(" of {n} kinds"),
    };
    let name = if named {
        format!("{}: ", panel.name)
    } else {
        String::new()
    };
    format!(
        "{name}{:.0} x {:.0} mm, {} tiles{kinds}",
        panel.bounds.width(),
        panel.bounds.height(),
        tally.total()
    )
}
