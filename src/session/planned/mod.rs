//! A plan as a maker reads it: as plain text, and as a page to print, with its template.

mod given;
pub mod objects;
mod text;

use serde_json::{Value, json};

use self::objects::{outlined, section};
use super::visible::visible;
use crate::draw::object_map::object_map_svg;
use crate::draw::plan_page::{PlanPage, plan_page_html};
use crate::draw::step_drawings::step_drawings;
use crate::draw::template::{Paper as PaperSize, TemplateOptions, template_pdf};
use crate::layout::panel::Panel;
use crate::plan::report::{self, Section};
use crate::plan::rounds::in_rounds;
use crate::plan::{Plan, Units, cautions, loaf::methods::fitting, shop::sliced::Sliced};
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::Parameter;

pub use self::given::{Planned, ShopFile};
pub use self::text::{in_short, text};

/// Which papers there are of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sheet {
    /// The whole plan, to read.
    Plan,
    /// The template at true scale, to print.
    Template,
}

impl Sheet {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Plan, Self::Template];

    /// Its name in addresses.
    pub fn name(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Template => "template",
        }
    }
}

/// A finished paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paper {
    /// Its media type.
    pub kind: &'static str,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// The result of `show` for the plan of one panel; `recipe` is its path as typed.
fn planned<T>(
    recipe: &str,
    shop: &ShopFile,
    outcome: &Outcome,
    panel: usize,
    show: impl FnOnce(&Planned<'_>) -> T,
) -> Result<T, String> {
    let panels: Vec<&Panel> = outcome.panels.iter().skip(panel).take(1).collect();
    let all: Vec<&Panel> = outcome.panels.iter().collect();
    let panels = in_rounds(&panels, &all);
    let plan = Plan::of(&panels, &shop.shop).map_err(|error| error.to_string())?;
    Ok(show(&Planned {
        recipe: recipe.to_owned(),
        shop_file: shop.name.clone(),
        outcome,
        panels,
        shop: &shop.shop,
        plan: &plan,
        cutouts: Vec::new(),
        thinner: None,
    }))
}

/// The plan of a panel in short, its steps, and where its papers are: `at` gives the address of each.
///
/// # Errors
/// Why there is none, in a sentence.
pub fn summary(
    recipe: &str,
    shop: &ShopFile,
    (outcome, panel): (&Outcome, usize),
    at: impl Fn(Sheet) -> String,
) -> Result<Value, String> {
    let sheets = Sheet::ALL.map(|sheet| json!({ "sheet": sheet.name(), "at": at(sheet) }));
    planned(recipe, shop, outcome, panel, |planned| {
        json!({
            "text": visible(&in_short(planned)),
            "sheets": sheets,
            "way": planned.shop.slicing.way,
            "ways": ways(planned),
            "cautions": [cautions::FIRST, cautions::ALWAYS],
            "steps": steps(planned),
        })
    })
}

/// What can be sliced for the panel, as it can be asked for.
fn ways(planned: &Planned<'_>) -> Vec<Sliced> {
    let mut ways = fitting(&planned.panels, planned.shop);
    let now = planned.shop.slicing.way;
    if !ways.contains(&now) {
        ways.push(now);
    }
    ways
}

/// The steps in working order: what is done, how, and what to take care of.
fn steps(planned: &Planned<'_>) -> Value {
    let lines = |lines: &[String]| lines.iter().map(|line| visible(line)).collect::<Value>();
    let told = report::steps(&planned.plan.steps, planned.shop);
    let drawings = step_drawings(planned.plan, planned.shop);
    let told = told.iter().map(|step| {
        let drawn = drawings.iter().filter(|drawn| drawn.step == step.number);
        json!({
            "drawings": drawn.map(|drawn| &drawn.svg).collect::<Vec<_>>(),
            "number": step.number,
            "title": visible(&step.title),
            "lines": lines(&step.lines),
            "cautions": lines(&step.cautions),
        })
    });
    told.collect()
}

/// A paper of a panel.
///
/// # Errors
/// Why there is none, in a sentence.
pub fn paper(
    recipe: &str,
    shop: &ShopFile,
    (outcome, panel): (&Outcome, usize),
    sheet: Sheet,
) -> Result<Paper, String> {
    match sheet {
        Sheet::Plan => Ok(Paper {
            kind: "text/html; charset=utf-8",
            bytes: planned(recipe, shop, outcome, panel, html)?.into_bytes(),
        }),
        Sheet::Template => {
            let panel = outcome.panels.get(panel).ok_or("there is no such panel")?;
            let options = TemplateOptions {
                paper: match shop.shop.units {
                    Units::Metric => PaperSize::A4,
                    Units::Inch => PaperSize::Letter,
                },
                ..TemplateOptions::default()
            };
            let template = template_pdf(panel, &options).map_err(|error| error.to_string())?;
            Ok(Paper {
                kind: "application/pdf",
                bytes: template.pdf,
            })
        }
    }
}

/// What a panel was made with: `seed 7, rows = 3`.
pub fn made_with(seed: u64, parameters: &[Parameter]) -> String {
    let mut parts = vec![format!("seed {seed}")];
    let named = |p: &Parameter| format!("{} = {}", p.name, p.shown());
    parts.extend(parameters.iter().map(named));
    parts.join(", ")
}

/// The plan as a page.
pub fn html(planned: &Planned<'_>) -> String {
    let made_with = made_with(planned.outcome.seed, &planned.outcome.parameters);
    let made_from = format!("Recipe {}: {made_with}", planned.recipe);
    let shop_name = match &planned.shop_file {
        Some(file) => format!("Shop file {file}"),
        None => "No shop file: common values, listed at the end".to_owned(),
    };
    plan_page_html(&PlanPage {
        panels: &planned.panels,
        plan: planned.plan,
        shop: planned.shop,
        made_from: &made_from,
        shop_name: &shop_name,
        thinner: planned.thinner,
        objects: objects(planned).as_ref(),
    })
}

/// Where small objects are cut out: a section, and a drawing of each panel that has some.
fn objects(planned: &Planned<'_>) -> Option<(Section, Vec<String>)> {
    let units = planned.shop.units;
    let section = section(&planned.panels, &planned.cutouts, units)?;
    let drawn = |(number, panel): (usize, &&Panel)| {
        let objects = outlined(&planned.cutouts, number, units);
        let ids = format!("o{}-", number + 1);
        (!objects.is_empty()).then(|| object_map_svg(panel, &objects, &ids))
    };
    let drawings = planned.panels.iter().enumerate().filter_map(drawn);
    Some((section, drawings.collect()))
}
