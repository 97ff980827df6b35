//! The saw's set-ups, each with its cautions beside it.

use crate::plan::{
    Plan, Shop, cautions,
    saw::{Cut, words},
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

/// The set-ups in working order. [`cautions::FIRST`] belongs before them, whatever shows them.
pub fn set_ups(plan: &Plan, shop: &Shop) -> Vec<SetUp> {
    (plan.set_ups().into_iter())
        .map(|(_, cut)| set_up(cut, shop))
        .collect()
}

fn set_up(cut: &Cut, shop: &Shop) -> SetUp {
    let length = |mm: f64| shop.units.length(mm);
    let setting = |mm: f64| shop.units.setting(mm);
    let settings = words::settings(cut, &setting);
    SetUp {
        title: format!("{} ({})", words::title(cut), words::used_in(&cut.used_in)),
        settings,
        cautions: cautions::cautions(cut, &length),
    }
}
