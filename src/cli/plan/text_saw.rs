//! The saw's part of a shop plan for the terminal.

use crate::cli::plan::Planned;
use crate::cli::plan::text::Page;
use crate::plan::{
    cautions,
    saw::sequence::{NamedBar, Work, cut_sequence},
    saw::words,
    saw::{Job, SawLimits},
};

/// Adds how the saw is set for each cut, with its cautions.
pub(super) fn set_ups(page: &mut Page, planned: &Planned<'_>) {
    let shop = planned.shop;
    let limits = SawLimits {
        most_tilt: shop.table_saw.tilt_limit,
        kerf: shop.table_saw.kerf,
        shortest: shop.table_saw.shortest,
        ..SawLimits::default()
    };
    let mut bars: Vec<NamedBar<'_>> = Vec::new();
    for kind in planned
        .panels
        .iter()
        .flat_map(|p| &p.faces)
        .map(|f| &f.kind)
    {
        if !bars.iter().any(|b| *b.bar == **kind.bar()) {
            bars.push(NamedBar {
                name: kind.name(),
                bar: kind.bar(),
            });
        }
    }
    let work = Work {
        length: planned
            .count
            .boards
            .iter()
            .map(|b| b.blank_length.value)
            .min_by(f64::total_cmp),
        slice: Some(shop.slicing.thickness),
    };
    page.title("Saw set-ups, in the order of cutting");
    page.line(2, cautions::FIRST);
    let units = page.units;
    let length = |mm: f64| units.length(mm);
    for (i, cut) in cut_sequence(&bars, &limits, work).iter().enumerate() {
        page.line(
            2,
            &format!("{}. {} ({})", i + 1, words::title(cut), words::used_in(cut)),
        );
        for line in words::settings(cut, &length) {
            page.line(5, &line);
        }
        for warning in &cut.warnings {
            let refusal = cautions::refusal(*warning, &length);
            page.line(5, &format!("NOT SO: {}", refusal.says));
            page.line(5, &format!("Instead: {}", refusal.instead));
        }
        if cut.job == Job::Slices && shop.slicing.end_trim < cautions::HELD_LAST {
            let short = format!(
                "NOT SO: the shop's end trim of {} counts slices from the stretch that must stay in \
                 the clamp. Leave those uncut, and set slicing.end_trim to {} or more.",
                length(shop.slicing.end_trim),
                length(cautions::HELD_LAST)
            );
            page.line(5, &short);
        }
        for line in cautions::cautions(cut, &length) {
            page.line(5, &format!("! {line}"));
        }
    }
}
