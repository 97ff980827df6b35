//! The saw's set-ups, each with its cautions beside it.

use crate::plan::{
    Plan, Shop,
    cautions::{self, Refusal},
    saw::{Cut, Job, words},
};

/// One set-up as it is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetUp {
    /// What is made, and for which bars and parts.
    pub title: String,
    /// What is set to what, and how the work lies.
    pub settings: Vec<String>,
    /// What must not be done like this, each with a safer way.
    pub refused: Vec<Refusal>,
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
    let mut refused: Vec<Refusal> = cut
        .warnings
        .iter()
        .map(|warning| cautions::refusal(*warning, &length))
        .collect();
    if cut.job == Job::Slices && shop.slicing.end_trim < cautions::HELD_LAST {
        refused.push(Refusal {
            says: format!(
                "The shop's end trim of {} counts slices from the stretch that must stay in the \
                 clamp.",
                length(shop.slicing.end_trim)
            ),
            instead: format!(
                "Leave those uncut, and set slicing.end_trim to {} mm (6 in.) or more.",
                cautions::HELD_LAST
            ),
        });
    }
    SetUp {
        title: format!("{} ({})", words::title(cut), words::used_in(cut)),
        settings: words::settings(cut, &setting),
        refused,
        cautions: cautions::cautions(cut, &length),
    }
}
