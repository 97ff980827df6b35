//! The saw's set-ups, each with its cautions beside it.

use crate::plan::{
    Plan, Shop, cautions,
    saw::{Cut, Job, words},
};

/// One set-up as it is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetUp {
    /// What is made, and for which bars and parts.
    pub title: String,
    /// What is set to what, and how the work lies.
    pub settings: Vec<String>,
    /// The cautions, the most particular ones first.
    pub cautions: Vec<String>,
}

/// The set-ups in cutting order. [`cautions::FIRST`] belongs before them, whatever shows them.
#[must_use]
pub fn set_ups(plan: &Plan, shop: &Shop) -> Vec<SetUp> {
    plan.cuts.iter().map(|cut| set_up(cut, shop)).collect()
}

fn set_up(cut: &Cut, shop: &Shop) -> SetUp {
    let length = |mm: f64| shop.units.length(mm);
    let setting = |mm: f64| shop.units.setting(mm);
    let mut settings = words::settings(cut, &setting);
    if matches!(cut.job, Job::Slices { .. }) && shop.slicing.end_trim < cautions::HELD_LAST {
        settings.push(format!(
            "The shop's end trim of {} takes slices from the stretch that stays in the clamp: glue a \
             handle of {} mm (6 in.) or more to the bar's end first, and clamp that. Without a handle, \
             set slicing.end_trim to {} mm or more.",
            length(shop.slicing.end_trim),
            cautions::HELD_LAST,
            cautions::HELD_LAST
        ));
    }
    SetUp {
        title: format!("{} ({})", words::title(cut), words::used_in(&cut.used_in)),
        settings,
        cautions: cautions::cautions(cut, &length),
    }
}
