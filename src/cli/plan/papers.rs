//! The plan and the template as papers of the live page.

use std::path::Path;

use super::{Planned, text, written};
use crate::cli::shop::shop as read;
use crate::cli::trouble::Trouble;
use crate::draw::template::{self as print, TemplateOptions, template_pdf};
use crate::layout::panel::Panel;
use crate::live::page::{Paper, Papers, Sheet};
use crate::plan::{Plan, Shop, Units};
use crate::recipe::outcome::Outcome;

/// Plans for the live page, with one shop.
pub(in crate::cli) struct PagePlans {
    recipe: String,
    shop_file: Option<String>,
    shop: Shop,
}

impl PagePlans {
    /// Plans with a shop file, which is read once; common values where there is none.
    ///
    /// # Errors
    /// When the file cannot be read, or has a mistake.
    pub(in crate::cli) fn new(recipe: &Path, shop: Option<&Path>) -> Result<Self, Trouble> {
        Ok(Self {
            recipe: recipe.display().to_string(),
            shop_file: shop.map(|p| p.display().to_string()),
            shop: read(shop)?,
        })
    }

    /// The plan of one panel, as `worded`.
    ///
    /// # Errors
    /// Why the panel cannot be counted back, in a sentence.
    fn worded<T>(
        &self,
        outcome: &Outcome,
        panel: usize,
        worded: impl FnOnce(&Planned<'_>) -> T,
    ) -> Result<T, String> {
        let panels: Vec<&Panel> = outcome.panels.iter().skip(panel).take(1).collect();
        let plan = Plan::of(&panels, &self.shop).map_err(|error| error.to_string())?;
        Ok(worded(&Planned {
            recipe: self.recipe.clone(),
            shop_file: self.shop_file.clone(),
            outcome,
            panels,
            shop: &self.shop,
            plan: &plan,
            cutouts: Vec::new(),
        }))
    }
}

impl Papers for PagePlans {
    fn text(&self, outcome: &Outcome, panel: usize) -> Result<String, String> {
        self.worded(outcome, panel, text::text)
    }

    fn paper(
        &self,
        outcome: &Outcome,
        panel: usize,
        sheet: Sheet,
    ) -> Result<Option<Paper>, String> {
        match sheet {
            Sheet::Plan => {
                let html = self.worded(outcome, panel, written::html)?;
                Ok(Some(Paper {
                    kind: "text/html; charset=utf-8",
                    bytes: html.into_bytes(),
                }))
            }
            Sheet::Template => {
                let Some(panel) = outcome.panels.get(panel) else {
                    return Ok(None);
                };
                let options = TemplateOptions {
                    paper: match self.shop.units {
                        Units::Metric => print::Paper::A4,
                        Units::Inch => print::Paper::Letter,
                    },
                    ..TemplateOptions::default()
                };
                let made = template_pdf(panel, &options).map_err(|error| error.to_string())?;
                Ok(Some(Paper {
                    kind: "application/pdf",
                    bytes: made.pdf,
                }))
            }
        }
    }

    fn sheets(&self) -> &'static [Sheet] {
        &[Sheet::Plan, Sheet::Template]
    }
}
