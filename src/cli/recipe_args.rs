//! What every command that carries out a recipe takes.

use std::path::PathBuf;
use std::time::Duration;

use clap::Args;
use clap::builder::ValueHint;

use super::guard;
use crate::recipe::settings::{Budget, all_cores};
use crate::recipe::store::Reach;
use crate::session::Typed;

const MIB: usize = 1024 * 1024;

/// The recipe, its parameters and its bounds.
#[derive(Debug, Clone, Args)]
pub(super) struct RecipeArgs {
    /// The recipe: a text file whose name ends in .rhai, or a choice pinned with `plyloom pick`
    #[arg(value_name = "RECIPE", value_hint = ValueHint::FilePath)]
    pub(super) recipe: PathBuf,

    #[command(flatten)]
    pub(super) run: RunArgs,
}

/// The parameters and bounds of one run.
#[derive(Debug, Clone, Args)]
pub(super) struct RunArgs {
    /// Set a parameter of the recipe; may be repeated
    ///
    /// Lengths are in mm or inches: `--set width=300`, `--set width="11 3/4 in"`.
    #[arg(long, value_name = "NAME=VALUE", value_parser = assignment)]
    pub(super) set: Vec<(String, String)>,

    /// Use this seed for the random choices instead of the recipe's
    #[arg(long, value_name = "N", value_parser = seed)]
    pub(super) seed: Option<u64>,

    #[command(flatten)]
    pub(super) limits: LimitArgs,
}

/// The bounds of a run.
#[derive(Debug, Clone, Args)]
#[allow(
    clippy::struct_field_names,
    reason = "the options are called `--max-...`"
)]
pub(super) struct LimitArgs {
    /// Stop a recipe that places more tiles than this
    #[arg(long, value_name = "N", default_value_t = Budget::default().tiles,
          value_parser = at_least_one::<usize>, help_heading = "Limits")]
    max_tiles: usize,

    /// Stop a recipe that takes more steps than this
    #[arg(long, value_name = "N", default_value_t = Budget::default().operations,
          value_parser = at_least_one::<u64>, help_heading = "Limits")]
    max_operations: u64,

    /// Stop when the recipe and the work on its panels take longer than this, in seconds
    #[arg(long, value_name = "N", default_value_t = Budget::default().time.as_secs_f64(),
          value_parser = seconds, help_heading = "Limits")]
    max_seconds: f64,

    /// Stop when the recipe and the work on its panels take more memory than this, in MiB
    #[arg(long, value_name = "N", default_value_t = Budget::default().memory / MIB,
          value_parser = at_least_one::<usize>, help_heading = "Limits")]
    max_memory: usize,

    /// Let a pinned choice name a recipe outside its own folder
    #[arg(long, help_heading = "Limits")]
    elsewhere: bool,
}

impl RunArgs {
    /// What is set, on all cores.
    pub(super) fn typed(&self) -> Typed {
        Typed {
            set: self.set.clone(),
            seed: self.seed,
            threads: all_cores(),
            ..self.limits.typed()
        }
    }
}

impl LimitArgs {
    /// Nothing set, on one thread.
    pub(super) fn typed(&self) -> Typed {
        Typed {
            watch: guard::of_command(),
            ..Typed::within(self.budget())
        }
    }

    /// How far a pinned choice may reach.
    pub(super) fn reach(&self) -> Reach {
        if self.elsewhere {
            Reach::Anywhere
        } else {
            Reach::OwnFolder
        }
    }

    /// As the recipe engine takes them.
    pub(super) fn budget(&self) -> Budget {
        Budget {
            operations: self.max_operations,
            time: Duration::from_secs_f64(self.max_seconds),
            tiles: self.max_tiles,
            memory: self.max_memory.saturating_mul(MIB),
        }
    }
}

pub(super) fn assignment(text: &str) -> Result<(String, String), String> {
    let (name, value) = text
        .split_once('=')
        .ok_or("write it as NAME=VALUE, for example `courses=12`")?;
    let name = name.trim();
    if name.is_empty() {
        return Err("the name before `=` is missing".to_owned());
    }
    Ok((name.to_owned(), value.to_owned()))
}

pub(super) fn at_least_one<N>(text: &str) -> Result<N, String>
where
    N: std::str::FromStr + PartialOrd + From<u8>,
{
    let digits = text.replace('_', "");
    let number = digits.parse().ok();
    let all_digits = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
    match number.filter(|number| *number >= N::from(1)) {
        Some(number) => Ok(number),
        None if all_digits && digits.bytes().any(|b| b != b'0') => {
            Err("this number is too large".to_owned())
        }
        None => Err("expected a whole number, 1 or more".to_owned()),
    }
}

fn seed(text: &str) -> Result<u64, String> {
    text.parse()
        .map_err(|_| "expected a whole number, 0 or more".to_owned())
}

fn seconds(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|seconds: &f64| *seconds > 0.0 && *seconds <= 1e9)
        .ok_or_else(|| "expected a number of seconds above 0".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_equals_sign_parts_name_and_value() {
        let pair = |n: &str, v: &str| Ok((n.to_owned(), v.to_owned()));
        assert_eq!(assignment("a=b=c"), pair("a", "b=c"));
        assert_eq!(assignment("a="), pair("a", ""));
        assert!(assignment("a").is_err());
        assert!(assignment("=b").is_err());
    }

    #[test]
    fn bounds_are_above_nothing() {
        assert!(at_least_one::<u64>("0").is_err());
        assert_eq!(at_least_one::<u64>("1_000"), Ok(1000));
        let too_large = Err("this number is too large".to_owned());
        assert_eq!(at_least_one::<u16>("100000"), too_large);
        assert!(seconds("0").is_err());
        assert!(seconds("NaN").is_err());
        assert!(seconds("-1").is_err());
        assert_eq!(seconds("0.5"), Ok(0.5));
    }
}
