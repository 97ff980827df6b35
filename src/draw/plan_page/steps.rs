//! The saw's part of the page: each set-up with its drawing and, beside it, its cautions; then how
//! exactly the bars want it, and how a trial bar is read.

use maud::{Markup, PreEscaped, html};

use super::{Whole, list};
use crate::{
    draw::saw_setup::saw_setup,
    plan::{
        Plan, Shop, cautions,
        saw::Cut,
        told::{self, SetUp},
    },
};

/// All steps in working order, each with a box to tick.
pub(super) fn to_tick(plan: &Plan, shop: &Shop) -> Markup {
    html! {
        section {
            h2 class="part" { "Steps, in working order" }
            p class="care" { (cautions::FIRST) " " (cautions::ALWAYS) }
            ol class="steps" {
                @for step in told::steps(&plan.steps, shop) {
                    li {
                        span class="tick" {} b { (step.number) ". " (Whole(&step.title)) }
                        @if !step.lines.is_empty() || !step.cautions.is_empty() {
                            ul {
                                @for line in &step.lines { li { (Whole(line)) } }
                                @for line in &step.cautions { li class="heed" { (Whole(line)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

pub(super) fn steps(plan: &Plan, shop: &Shop) -> Markup {
    let set_ups = told::set_ups(plan, shop);
    html! {
        @for (i, (cut, told)) in plan.cuts.iter().zip(&set_ups).enumerate() {
            (step(i + 1, cut, told, shop))
        }
    }
}

fn step(number: usize, cut: &Cut, told: &SetUp, shop: &Shop) -> Markup {
    let length = |mm: f64| shop.units.dimension(mm);
    html! {
        article class="step" {
            h3 { span class="tick" {} (number) ". " (Whole(&told.title)) }
            div class="beside" {
                div {
                    (PreEscaped(saw_setup(cut, &shop.saw_limits(), &length)))
                    ul { @for line in &told.settings { li { (Whole(line)) } } }
                }
                aside {
                    h4 { "Take care" }
                    ul { @for line in &told.cautions { li { (Whole(line)) } } }
                }
            }
        }
    }
}

pub(super) fn tolerances(plan: &Plan, shop: &Shop) -> Markup {
    html! {
        section {
            h2 class="part" { "How exactly, and the trial bar" }
            p { (told::TRIAL_BAR) }
            p class="soft" {
                "Several readings at once are weighed by " code { "plyloom trial" }
                ": it says which setting is off, which way, by how much and how surely."
            }
            @for bar in told::bars_told(plan, shop.units) {
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
