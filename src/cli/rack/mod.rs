//! `plyloom rack`: the wood there is, kept as a ledger.

mod add;
mod file;
mod recipes;
mod text;

use std::path::PathBuf;

use clap::builder::ValueHint;
use clap::{Args, Subcommand};

use super::cli_error::CliError;
use super::terminal::print;
use crate::files::read_bytes_up_to;
use crate::rack::RackError;
use crate::session::visible::on_one_line;
use file::{Open, refused};

/// The largest plan that is read, in bytes.
const MOST_PLAN: u64 = 256 * 1024 * 1024;

/// Keep the wood you have as a ledger: list it, add to it, book what a plan used
#[derive(Debug, Args)]
#[command(
    long_about = "Keep the wood you have as a ledger. A rack is a shop file that says `rack = true`: what it does \
                  not list is not there. It has sheets, scraps (off-cuts), veneer leaves, strips, bars and tiles, each \
                  with its size, how many, and where they lie.",
    after_help = "Examples:\n  plyloom rack add scrap --name \"left of the cabinet\" --width 240 --length 800 \
                  --thickness 18.1\n  plyloom rack list\n  plyloom plan blocks.rhai --shop rack.toml --out \
                  plan.json\n  plyloom rack take plan.json\n  plyloom rack undo\n  plyloom rack recipes patterns --out rack.html\n\n\
                  Each change keeps the former file beside the rack; a crash leaves the old or the new one."
)]
pub(super) struct RackArgs {
    #[command(subcommand)]
    act: Act,

    /// The rack
    #[arg(long, value_name = "FILE", default_value = "rack.toml", global = true,
          value_hint = ValueHint::FilePath)]
    rack: PathBuf,
}

#[derive(Debug, Subcommand)]
enum Act {
    /// List what lies on the rack
    List,
    /// Add pieces; begins a rack where there is none
    Add(Box<add::AddArgs>),
    /// Look for mistakes: names twice, sizes that cannot be, pieces of no use
    Check,
    /// Book a plan as done: what it used goes, what is left comes in with its true size
    Take {
        /// The plan, from `plyloom plan RECIPE --shop RACK --out plan.json`
        #[arg(value_name = "PLAN.json", value_hint = ValueHint::FilePath)]
        plan: PathBuf,
    },
    /// Undo the last booking
    Undo,
    /// Say how large a panel each recipe of a folder gives from this wood, and what its own size would take in
    /// addition; dyes and thicknesses of the rack are tried where a recipe leaves them open
    Recipes(recipes::RecipesArgs),
}

impl RackArgs {
    /// Whether it carries out recipes, each within a budget of its own.
    pub(super) fn tries_recipes(&self) -> bool {
        matches!(self.act, Act::Recipes(_))
    }
}

pub(super) fn run(args: &RackArgs) -> Result<(), CliError> {
    let path = &args.rack;
    match &args.act {
        Act::List => {
            let open = Open::read(path)?;
            print(&text::list(&open.rack))
        }
        Act::Check => check(&Open::read(path)?),
        Act::Recipes(recipes) => recipes::run(recipes, Open::read(path)?.rack.shop()),
        Act::Add(new) => {
            let open = Open::to_change(path, true)?;
            let list = new.list();
            let new = new.new_piece()?;
            let former = open.former_name();
            let kept = (!open.is_new()).then_some(former.as_str());
            let booking = (open.rack.add(list, &new, kept)).map_err(|e| refused(&e))?;
            open.write(&booking.text, &former)?;
            print(&text::added(list, &new))
        }
        Act::Take { plan } => {
            let bytes = read_bytes_up_to(plan, MOST_PLAN)?;
            let text = String::from_utf8(bytes)
                .map_err(|_| refused(&RackError::NoPlan("it is no text".to_owned())))?;
            let open = Open::to_change(path, false)?;
            let former = open.former_name();
            let booking = open.rack.take(&text, &former).map_err(|e| refused(&e))?;
            open.write(&booking.text, &former)?;
            print(&text::booked(&booking, open.rack.shop().units, &former))
        }
        Act::Undo => {
            let open = Open::to_change(path, false)?;
            let former = open.rack.former().map_err(|e| refused(&e))?.to_owned();
            let text = open.read_former(&former)?;
            open.rack.was(&text).map_err(|e| refused(&e))?;
            open.write_back(&text)?;
            print(&format!(
                "undone: the rack is again as in {}\n",
                on_one_line(&former)
            ))
        }
    }
}

fn check(open: &Open) -> Result<(), CliError> {
    let found = open.rack.check();
    let mut text = String::new();
    for line in &found {
        text.push_str(&on_one_line(line));
        text.push('\n');
    }
    if found.is_empty() {
        return print("nothing to mend\n");
    }
    print(&text)?;
    Err(CliError::Data {
        code: "rack::check",
        message: match found.len() {
            1 => "there is one thing to look at on this rack".to_owned(),
            many => format!("there are {many} things to look at on this rack"),
        },
        help: "mend the file, or leave what you know to be right".to_owned(),
    })
}
