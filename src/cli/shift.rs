//! `plyloom shift`: where the pattern could lie under the finished outline.

use clap::Args;

use super::cli_error::CliError;
use super::recipe_args::RecipeArgs;
use super::recipe_input;
use super::terminal::print;
use crate::layout::panel::Panel;
use crate::layout::shifts::{Middle, SLIVER, Shift, Shifts, shifts};
use crate::session::visible::on_one_line;

/// Show how the pattern could be shifted under its finished outline
#[derive(Debug, Args)]
#[command(
    long_about = "Show how the pattern could be shifted under its finished outline: for the fewest tiles, the \
                  fewest slivers, a joint through the middle, or halves that mirror each other. Each is shown \
                  as the recipe would say it; nothing is changed.",
    after_help = "Examples:\n  plyloom shift tray.rhai\n  plyloom shift tray.rhai --turns 30\n\n\
                  A sliver is a piece at the rim in which no circle of 15 mm fits: hard to hold and to glue."
)]
pub(super) struct ShiftArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    /// Try the outline turned on the pattern too, in steps of so many degrees
    #[arg(long, value_name = "DEGREES", value_parser = degrees)]
    turns: Option<f64>,

    /// Only this panel
    #[arg(long, value_name = "NAME")]
    panel: Option<String>,
}

fn degrees(text: &str) -> Result<f64, String> {
    let step: f64 = (text.parse()).map_err(|_| "write degrees, such as `30`".to_owned())?;
    if (1.0..=180.0).contains(&step) {
        Ok(step)
    } else {
        Err("a step is from 1 to 180 degrees".to_owned())
    }
}

pub(super) fn run(args: &ShiftArgs) -> Result<(), CliError> {
    let outcome = recipe_input::outcome(&args.recipe)?;
    let shown = args.recipe.recipe.display().to_string();
    let panels = recipe_input::panels(&outcome, args.panel.as_deref(), &shown)?;
    let told: Vec<String> = panels
        .into_iter()
        .map(|panel| told(&panel, shifts(&panel, args.turns).as_ref()))
        .collect();
    print(&told.join("\n"))?;
    Ok(())
}

fn told(panel: &Panel, found: Option<&Shifts>) -> String {
    let name = on_one_line(&panel.name);
    let Some(found) = found else {
        return format!(
            "{name}\n  only a pattern that a finished size or outline alone is cut from can be shifted, \
             of up to 20,000 tiles, without tiles laid by hand beyond it\n"
        );
    };
    let offers = [
        ("as it is", Some(found.now)),
        ("fewest tiles", found.tiles),
        ("fewest slivers", found.slivers),
        ("a joint through the middle", found.joint),
        ("mirrored halves", found.mirror),
    ];
    let mut lines = vec![name];
    for (what, shift) in offers {
        let line = match shift {
            Some(shift) if what == "as it is" => facts(&shift),
            Some(shift) => format!("{}\n{:30}{}", facts(&shift), "", written(&shift)),
            None => "nothing better was found".to_owned(),
        };
        lines.push(format!("  {what:<28}{line}"));
    }
    lines.push(format!(
        "  slivers: pieces at the rim in which no circle of {SLIVER} mm fits"
    ));
    lines.join("\n") + "\n"
}

fn facts(shift: &Shift) -> String {
    let count = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let mut facts = vec![count(shift.tiles, "tile"), count(shift.slivers, "sliver")];
    let joint = |way: &str| format!("a joint {way} through the middle");
    match shift.joint {
        Middle {
            upright: true,
            level: true,
        } => facts.push(joint("both ways")),
        Middle { upright: true, .. } => facts.push(joint("upright")),
        Middle { level: true, .. } => facts.push(joint("level")),
        Middle { .. } => {}
    }
    match shift.mirror {
        Middle {
            upright: true,
            level: true,
        } => facts.push("mirrored both ways".to_owned()),
        Middle { upright: true, .. } => facts.push("left and right mirrored".to_owned()),
        Middle { level: true, .. } => facts.push("top and bottom mirrored".to_owned()),
        Middle { .. } => {}
    }
    facts.join(", ")
}

/// As the recipe would say it.
fn written(shift: &Shift) -> String {
    let by = format!(".shift({}, {})", shift.right, shift.down);
    if shift.turn > 0.0 {
        format!("{by}, and .rotate({}) on the outline", shift.turn)
    } else {
        by
    }
}
