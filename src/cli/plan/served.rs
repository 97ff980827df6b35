//! Plans for the live page: the same words and the same page as the command gives.

use std::path::Path;

use super::{Planned, text, written};
use crate::cli::shop::shop as shop_of;
use crate::cli::trouble::Trouble;
use crate::draw::template::{Paper as PaperSize, TemplateOptions, template_pdf};
use crate::layout::panel::Panel;
use crate::live::page::{Paper, Papers, Sheet};
use crate::plan::{Plan, Shop, Units};
use crate::recipe::outcome::Outcome;

/// Plans with one shop.
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
            shop: shop_of(shop)?,
        })
    }

    /// What `show` makes of the plan of one panel.
    fn planned<T>(
        &self,
        outcome: &Outcome,
        panel: usize,
        show: impl FnOnce(&Planned<'_>) -> T,
    ) -> Result<T, String> {
        let panels: Vec<&Panel> = outcome.panels.iter().skip(panel).take(1).collect();
        let plan = Plan::of(&panels, &self.shop).map_err(|error| error.to_string())?;
        Ok(show(&Planned {
            recipe: self.recipe.clone(),
            shop_file: self.shop_file.clone(),
            outcome,
            panels,
            shop: &self.shop,
            plan: &plan,
            cutouts: Vec::new(),
            thinner: None,
        }))
    }
}

impl Papers for PagePlans {
    fn text(&self, outcome: &Outcome, panel: usize) -> Result<String, String> {
        self.planned(outcome, panel, text::in_short)
    }

    fn paper(
        &self,
        outcome: &Outcome,
        panel: usize,
        sheet: Sheet,
    ) -> Result<Option<Paper>, String> {
        match sheet {
            Sheet::Plan => self.planned(outcome, panel, |planned| {
                Some(Paper {
                    kind: "text/html; charset=utf-8",
                    bytes: written::html(planned).into_bytes(),
                })
            }),
            Sheet::Template => {
                let Some(panel) = outcome.panels.get(panel) else {
                    return Ok(None);
                };
                let paper = match self.shop.units {
                    Units::Metric => PaperSize::A4,
                    Units::Inch => PaperSize::Letter,
                };
                let template = template_pdf(
                    panel,
                    &TemplateOptions {
                        paper,
                        ..TemplateOptions::default()
                    },
                );
                Ok(Some(Paper {
                    kind: "application/pdf",
                    bytes: template.map_err(|error| error.to_string())?.pdf,
                }))
            }
        }
    }

    fn sheets(&self) -> &'static [Sheet] {
        &[Sheet::Plan, Sheet::Template]
    }
}
