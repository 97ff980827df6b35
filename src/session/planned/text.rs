//! A shop plan as plain text: what is short first, the plan in short, what to fetch and do, how
//! exactly the saw must be set, gluing up; the sums come last.

use super::given::Planned;
use super::objects::section;
use crate::plan::{
    cautions,
    report::{self, Entry, Section},
};
use crate::session::visible::on_one_line;

/// The plan, each line ended.
pub fn text(planned: &Planned<'_>) -> String {
    let mut page = Page::default();
    let (plan, shop) = (planned.plan, planned.shop);
    let (count, units) = (&plan.count, shop.units);
    page.head(planned, "below");
    page.sections(report::short(count, units));
    page.sections([
        report::brief(&planned.panels, plan, shop),
        report::to_buy(count, shop),
    ]);
    page.sections(report::from_stock(count, shop));
    page.sections([report::fetch(&plan.steps, shop)]);
    page.steps(planned);
    page.tolerances(planned);
    for (panel, gluing) in planned.panels.iter().zip(&plan.gluing) {
        page.sections([report::gluing(panel, gluing, shop)]);
    }
    page.sections(report::ways(&plan.ways, shop));
    page.sections([report::after_gluing(shop, planned.thinner)]);
    page.sections(section(&planned.panels, &planned.cutouts, shop.units));
    page.sections([report::tiles(count, units), report::bars(count, units)]);
    page.sections(report::loaves(count, units));
    page.sections([
        report::strips(count, units),
        report::rips(count, units),
        report::sheets(count, units),
        report::boards(count, units),
    ]);
    page.sections([report::totals(count, units), report::wood(count, units)]);
    page.sections(report::assumed(shop));
    page.text
}

/// Missing wood, and the plan in a few lines, where the whole plan is written to a file.
pub fn in_short(planned: &Planned<'_>) -> String {
    let mut page = Page::default();
    let (plan, shop) = (planned.plan, planned.shop);
    page.head(planned, "in the whole plan");
    page.sections(report::short(&plan.count, shop.units));
    if !plan.set_ups().is_empty() {
        page.title("Before you cut");
        page.line(2, cautions::FIRST);
        page.line(2, "The whole plan has the cautions for each step.");
    }
    page.sections([
        report::brief(&planned.panels, plan, shop),
        report::to_buy(&plan.count, shop),
    ]);
    page.sections(report::from_stock(&plan.count, shop));
    page.sections(section(&planned.panels, &planned.cutouts, shop.units));
    page.text
}

/// The page as it grows.
#[derive(Default)]
struct Page {
    text: String,
}

impl Page {
    fn line(&mut self, indent: usize, text: &str) {
        self.text.push_str(&" ".repeat(indent));
        self.text.push_str(&on_one_line(text));
        self.text.push('\n');
    }

    fn title(&mut self, text: &str) {
        self.text.push('\n');
        self.line(0, text);
    }

    fn sections(&mut self, sections: impl IntoIterator<Item = Section>) {
        for section in sections {
            self.title(&section.title);
            self.entries(2, &section.entries);
        }
    }

    fn entries(&mut self, indent: usize, entries: &[Entry]) {
        for entry in entries {
            self.line(indent, &entry.line());
            self.entries(indent + 2, &entry.below);
        }
    }

    /// `listed` is where the values stand that are taken without a shop file.
    fn head(&mut self, planned: &Planned<'_>, listed: &str) {
        let count = &planned.plan.count;
        self.line(0, &format!("Shop plan: {}", count.panels.join(", ")));
        let shop = match &planned.shop_file {
            Some(file) => format!("shop {file}"),
            None => format!("no shop file: common values, listed {listed}"),
        };
        let seed = planned.outcome.seed;
        self.line(
            0,
            &format!("Recipe {}, seed {seed}; {shop}", planned.recipe),
        );
        let word = planned.shop.units.word();
        self.line(0, &format!("Sums are in {word}."));
    }

    fn steps(&mut self, planned: &Planned<'_>) {
        self.title("Steps, in working order");
        self.line(2, cautions::FIRST);
        self.line(2, cautions::ALWAYS);
        self.line(2, report::MEASURED);
        for step in report::steps(&planned.plan.steps, planned.shop) {
            self.line(2, &format!("{}. {}", step.number, step.title));
            for line in &step.lines {
                self.line(5, line);
            }
            for line in &step.cautions {
                self.line(5, &format!("! {line}"));
            }
        }
    }

    fn tolerances(&mut self, planned: &Planned<'_>) {
        for (i, bar) in report::bars_told(planned.plan, planned.shop.units)
            .iter()
            .enumerate()
        {
            self.title(&format!(
                "How exactly to set the saw for bar \"{}\"",
                bar.name
            ));
            for line in bar.lines.iter().chain(&bar.assumed) {
                self.line(2, line);
            }
            if i == 0 {
                self.line(2, report::TRIAL_BAR);
            }
            if !bar.guide.is_empty() {
                self.line(2, "A trial bar shows:");
                self.entries(4, &bar.guide);
            }
        }
    }
}
