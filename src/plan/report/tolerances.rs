//! How exactly each bar wants the saw set, and what a trial bar would show.

use super::section::Entry;
use crate::plan::{
    Plan, Units,
    tolerance::words::{assumption_lines, over_panel_lines, tolerance_lines},
    trial::guide::guide,
};

/// How a trial bar is made, before its reading guide.
pub const TRIAL_BAR: &str = "Before the good wood: rip strips of a scrap with these settings, as \
    long as the saw asks for, cross-cut short pieces off them only as far as they can be held \
    safely, and lay one bar up dry, every joint tight but the last.";

/// The same for a bar that is a single strip.
pub(super) const TRIAL_STRIP: &str = "Before the good wood: rip a strip of a scrap with these settings, as \
    long as the saw asks for, cross-cut short pieces off it only as far as they can be held \
    safely, and lay a few together dry, as the tiles lie in the panel.";

/// What is told of one bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarWords {
    /// The bar's name.
    pub name: String,
    /// What each setting does when it is off, and how far it may be.
    pub lines: Vec<String>,
    /// How its strips are taken to be ripped, on which all that hangs.
    pub assumed: Vec<String>,
    /// What is seen on a trial bar, and below it what that can come from.
    pub guide: Vec<Entry>,
}

/// The tolerances of all bars.
pub fn bars_told(plan: &Plan, units: Units) -> Vec<BarWords> {
    let length = |mm: f64| units.fine(mm);
    let most = |mm: f64| units.fine_at_most(mm);
    plan.bars
        .iter()
        .map(|bar| BarWords {
            name: bar.name.clone(),
            lines: tolerance_lines(&bar.tolerance, &length, &most)
                .into_iter()
                .chain(bar.over_panels.iter().flat_map(|over| {
                    over_panel_lines(&over.panel, &bar.tolerance, &over.more, &length)
                }))
                .collect(),
            assumed: assumption_lines(&bar.bar),
            guide: guide(&bar.tolerance, bar.bar.parts().len() > 1, &length)
                .into_iter()
                .map(|hint| {
                    let mut entry = Entry::from(hint.seen);
                    hint.causes.into_iter().for_each(|cause| entry.add(cause));
                    entry
                })
                .collect(),
        })
        .collect()
}
