//! The shop plan as one printable page: no script, no request to anywhere, every drawing inside.
//!
//! A pure function of panels, plan and shop, so that a file and a served page are the same. Words
//! are escaped by the writer of the markup ([`maud`]), names of strangers are cleaned before; the
//! drawings are our own documents, which have done the same. A policy in the page lets nothing run
//! and nothing load. Printing: A4 and Letter, black on white, steps and drawings kept in one piece.

mod gluing;
mod steps;
mod style;

use maud::{Markup, PreEscaped, Render, html};

use super::{
    PanelOptions,
    html::{Frame, Whole},
    svg::panel_svg,
};
use crate::{
    layout::panel::Panel,
    plan::{
        Plan, Shop, Units,
        report::{self, Entry, Section, Span},
    },
};

/// What a page is made from.
#[derive(Debug, Clone)]
pub struct PlanPage<'a> {
    /// The panels, as they were planned.
    pub panels: &'a [&'a Panel],
    /// Their plan.
    pub plan: &'a Plan,
    /// The shop it was planned for.
    pub shop: &'a Shop,
    /// Where the panels come from, on one line: the recipe, its seed and parameters.
    pub made_from: &'a str,
    /// Which shop: the name of its file, or that common values stand in for one.
    pub shop_name: &'a str,
    /// How much thinner one side of the glued panel came out, in mm, where that is known.
    pub thinner: Option<f64>,
    /// Where small objects are cut out, with drawings whose ids are their own.
    pub objects: Option<&'a (Section, Vec<String>)>,
}

/// The page.
pub fn plan_page_html(page: &PlanPage<'_>) -> String {
    let title = format!("Shop plan: {}", page.plan.count.panels.join(", "));
    Frame {
        title: &title,
        style: &style::style(page.panels),
        ..Frame::default()
    }
    .around(&body(page, &title))
}

fn body(page: &PlanPage<'_>, title: &str) -> Markup {
    let (plan, shop) = (page.plan, page.shop);
    let (count, units) = (&plan.count, shop.units);
    html! {
        header {
            h1 { (Whole(title)) }
            p class="soft" { (Whole(page.made_from)) br; (Whole(page.shop_name)) br;
                "Sums are in " (units.word()) "." }
        }
        @if let Some(short) = report::short(count, units) {
            section class="alarm" { h2 { (Whole(&short.title)) } (list(&short.entries)) }
        }
        (pictures(page.panels))
        (section(&report::brief(page.panels, plan, shop)))
        (section(&report::sheets(count, units)))
        (section(&report::to_buy(count, shop)))
        @if let Some(stock) = report::from_stock(count, shop) { (section(&stock)) }
        (section(&report::fetch(&plan.steps, shop)))
        (steps::steps(plan, shop))
        (steps::tolerances(plan, shop))
        @for (i, panel) in page.panels.iter().enumerate() {
            (gluing::gluing(panel, &plan.gluing[i], shop, i))
        }
        @if let Some(ways) = report::ways(&plan.ways, shop) { (section(&ways)) }
        (section(&report::after_gluing(shop, page.thinner)))
        @if let Some((objects, drawings)) = page.objects {
            (section(objects))
            @for drawing in drawings { figure { (PreEscaped(drawing)) } }
        }
        h2 class="part fresh" { "Appendix: counting back" }
        p class="soft lead" { "Each number is followed by the sum it came from." }
        @for part in appendix(plan, units) {
            section { h3 { (Whole(&part.title)) } (list(&part.entries)) }
        }
        @if let Some(assumed) = report::assumed(shop) {
            div class="columns" { (section(&assumed)) }
        }
    }
}

/// From tiles back to boards.
fn appendix(plan: &Plan, units: Units) -> Vec<Section> {
    let count = &plan.count;
    let mut parts = vec![report::tiles(count, units), report::bars(count, units)];
    parts.extend(report::loaves(count, units));
    parts.extend([
        report::strips(count, units),
        report::rips(count, units),
        report::boards(count, units),
    ]);
    parts.extend([report::totals(count, units), report::wood(count, units)]);
    parts
}

fn pictures(panels: &[&Panel]) -> Markup {
    html! {
        @for (i, panel) in panels.iter().enumerate() {
            figure class={ "panel p" (i) } {
                (PreEscaped(panel_svg(panel, &PanelOptions {
                    number: u32::try_from(i + 1).unwrap_or(u32::MAX),
                    ..PanelOptions::default()
                })))
                figcaption { (Whole(&panel.name)) }
            }
        }
    }
}

fn section(section: &Section) -> Markup {
    html! { section { h2 { (Whole(&section.title)) } (list(&section.entries)) } }
}

fn list(entries: &[Entry]) -> Markup {
    html! {
        ul {
            @for entry in entries {
                li {
                    @for span in &entry.spans {
                        @match span {
                            Span::Words(text) => (Padded(text)),
                            Span::Sum(text) => span class="sum" { (Padded(text)) },
                        }
                    }
                    @if !entry.below.is_empty() { (list(&entry.below)) }
                }
            }
        }
    }
}

/// A piece of a statement: the same, with the spaces at its ends kept as one each.
struct Padded<'a>(&'a str);

impl Render for Padded<'_> {
    fn render_to(&self, to: &mut String) {
        let space = |is: bool| if is { " " } else { "" };
        to.push_str(space(self.0.starts_with(' ')));
        Whole(self.0).render_to(to);
        to.push_str(space(self.0.len() > 1 && self.0.ends_with(' ')));
    }
}
