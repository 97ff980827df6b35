//! The drawings of a plan's steps: how the saw is set, how boards and leaves are cut up and bars and loaves are laid up; each once, with the first step
//! that it is for.

use super::{
    bar_section::bar_section, board_map, loaf_section::loaf_section, saw_setup::saw_setup,
};
use crate::plan::{Plan, Shop, steps::Work};

/// A drawing of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepDrawing {
    /// The number of the first step that it is for.
    pub step: usize,
    /// What it shows: `set-up`, `board`, `leaf`, `bar` or `loaf`.
    pub kind: &'static str,
    /// Which of these it is, from 1.
    pub number: usize,
    /// The drawing.
    pub svg: String,
}

/// All drawings, in working order.
pub fn step_drawings(plan: &Plan, shop: &Shop) -> Vec<StepDrawing> {
    let length = |mm: f64| shop.units.dimension(mm);
    let mut all: Vec<StepDrawing> = Vec::new();
    let set_ups = plan.set_ups();
    let mut add = |kind: &'static str, step: usize, svg: String| {
        if !all.iter().any(|known| known.svg == svg) {
            let number = 1 + all.iter().filter(|known| known.kind == kind).count();
            all.push(StepDrawing {
                step,
                kind,
                number,
                svg,
            });
        }
    };
    let mut colours: Vec<&str> = Vec::new();
    for step in &plan.steps.steps {
        for (_, cut) in set_ups.iter().filter(|(number, _)| *number == step.number) {
            add(
                "set-up",
                step.number,
                saw_setup(cut, &shop.saw_limits(), &length),
            );
        }
        if let Some(svg) = bar_section(step, &plan.steps) {
            add("bar", step.number, svg);
        }
        if let Some(svg) = loaf_section(step, &plan.steps) {
            add("loaf", step.number, svg);
        }
        for svg in board_map::boards(step, &plan.steps, shop) {
            add("board", step.number, svg);
        }
        if let Work::CutVeneer { colour, .. } = &step.work {
            let lines = plan.count.veneers.iter().filter(|v| v.colour == *colour);
            for leaf in lines
                .flat_map(|v| &v.cut)
                .filter(|_| !colours.contains(&colour.as_str()))
            {
                add("leaf", step.number, board_map::leaf(colour, leaf, shop));
            }
            colours.push(colour);
        }
    }
    all
}
