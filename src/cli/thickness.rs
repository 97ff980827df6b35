//! `--thickness from RACK`: a recipe whose plywoods are as thick as the boards there are.

use std::path::Path;

use clap::Args;

use super::cli_error::CliError;
use super::recipe_input::RecipeInput;
use super::shop::read_shop;
use super::terminal::tell;
use crate::plan::Shop;
use crate::rack::largest::Adjustment;
use crate::rack::thickness::{from_rack, with_only};
use crate::recipe::settings::Settings;
use crate::session::visible::on_one_line;

#[derive(Debug, Clone, Default, Args)]
pub(super) struct ThicknessArgs {
    /// Take the thickness of the plywood from the boards of a rack: `--thickness from rack.toml`
    ///
    /// What sets it in the recipe, a parameter or a plain number, is set to what the boards measure: of groups that
    /// differ by more than 0.1 mm, the one with most wood.
    #[arg(long, num_args = 2, value_names = ["from", "RACK"], help_heading = "From what I have")]
    thickness: Vec<String>,
}

impl ThicknessArgs {
    /// Refuses it where it is not heeded.
    pub(super) fn not_for(&self, command: &str) -> Result<(), CliError> {
        if self.thickness.is_empty() {
            return Ok(());
        }
        Err(CliError::Usage {
            message: format!("`{command}` does not take a thickness from a rack"),
            help: "see it with `plyloom preview RECIPE --thickness from rack.toml`, and write what it tells into \
                   the recipe"
                .to_owned(),
        })
    }

    /// The recipe and its settings with the thickness of the wood, and the shop with the boards that it is taken
    /// from.
    ///
    /// # Errors
    /// When the rack cannot be read, the recipe fails, or nothing of it can be taken from the wood.
    pub(super) fn taken(
        &self,
        named: RecipeInput,
        mut settings: Settings,
        wanted: Option<&str>,
        shop: Shop,
    ) -> Result<(RecipeInput, Settings, Shop), CliError> {
        let [from, rack] = &self.thickness[..] else {
            return Ok((named, settings, shop));
        };
        if from != "from" {
            return Err(CliError::Usage {
                message: format!("`--thickness {}` says nothing", on_one_line(from)),
                help: "say where it is taken from: `--thickness from rack.toml`".to_owned(),
            });
        }
        let wood = read_shop(Path::new(rack))?;
        let carried_out = |change: &Adjustment| named.changed(&settings, change);
        let base = carried_out(&Adjustment::default())?;
        let text = named.is_plain().then_some(named.source.text.as_str());
        let run = &mut |change: &Adjustment| carried_out(change).ok();
        let (change, taken) = from_rack(&base, text, wanted, &wood, run);
        if taken.is_empty() {
            return Err(CliError::Plan {
                message: "no thickness of this recipe can be taken from the wood on the rack".to_owned(),
                help: "give boards their `thickness` as measured; a board counts whose thickness is within 0.5 mm of \
                       the recipe's. In the recipe it must be a plain number, `plywood(13, 18)`, or a parameter"
                    .to_owned(),
            });
        }
        for taken in &taken {
            tell(&format!("{}\n", on_one_line(&taken.told())));
        }
        // The boards of the shop that are as thick, whatever file they stand in.
        let shop = (taken.iter()).fold(shop, |shop, taken| {
            with_only(shop, taken.recipe, &taken.group)
        });
        settings.set.extend(change.set.iter().cloned());
        let named = match &change.text {
            Some(text) => named.with_text(text),
            None => named,
        };
        Ok((named, settings, shop))
    }
}
