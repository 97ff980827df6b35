//! The work on the page: each step with its drawings and, beside them, its cautions; then how exactly
//! the bars want the saw, and how a trial bar is read.

use maud::{Markup, PreEscaped, html};

use super::{Whole, list};
use crate::{
    draw::step_drawings::{StepDrawing, step_drawings},
    plan::{
        Plan, Shop, cautions,
        report::{self, StepWords},
    },
};

/// All steps in working order, each with a box to tick, its drawings where a saw is set, and its
/// cautions beside them.
pub(super) fn steps(plan: &Plan, shop: &Shop) -> Markup {
    let drawings = step_drawings(plan, shop);
    html! {
        section {
            h2 class="part" { "Steps, in working order" }
            p class="care" { (cautions::FIRST) " " (cautions::ALWAYS) }
            p class="soft" { (report::MEASURED) }
            @for (step, told) in plan.steps.steps.iter().zip(report::steps(&plan.steps, shop)) {
                (one(&told, drawings.iter().filter(|drawn| drawn.step == step.number)))
            }
        }
    }
}

fn one<'a>(told: &StepWords, drawings: impl Iterator<Item = &'a StepDrawing>) -> Markup {
    html! {
        article class="step" {
            h3 { span class="tick" {} (told.number) ". " (Whole(&told.title)) }
            div class=[(!told.cautions.is_empty()).then_some("beside")] {
                div {
                    @for drawn in drawings { (PreEscaped(&drawn.svg)) }
                    @if !told.lines.is_empty() {
                        ul { @for line in &told.lines { li { (Whole(line)) } } }
                    }
                }
                @if !told.cautions.is_empty() {
                    aside {
                        h4 { "Take care" }
                        ul { @for line in &told.cautions { li { (Whole(line)) } } }
                    }
                }
            }
        }
    }
}

pub(super) fn tolerances(plan: &Plan, shop: &Shop) -> Markup {
    html! {
        section {
            h2 class="part" { "How exactly, and the trial bar" }
            p { (report::TRIAL_BAR) }
            p class="soft" {
                "Several readings at once are weighed by " code { "plyloom trial" }
                ": it says which setting is off, which way, by how much and how surely."
            }
            @for bar in report::bars_told(plan, shop.units) {
                h3 { "Bar \"" (Whole(&bar.name)) "\"" }
                ul { @for line in bar.lines.iter().chain(&bar.assumed) { li { (Whole(line)) } } }
                @if !bar.guide.is_empty() {
                    h4 { "Reading the trial bar" }
                    (list(&bar.guide))
                }
            }
        }
    }
}
