//! The whole plan: counting back, the saw's set-ups, how exactly each bar wants them, gluing up.
//!
//! A pure function of panels and a shop. Whoever shows a plan, on a terminal, on a page or as data,
//! reads this and works nothing out again.

use std::sync::Arc;

use crate::{
    geom::Point,
    layout::{
        panel::Panel,
        shifts::{Fewest, fewest},
    },
    plan::{
        CountBack, PlanError, Shop,
        count::{
            labels::sheet_label,
            strips::{BarKind, Kinds},
        },
        count_back,
        glue_up::{GlueUp, Slice, glue_up_slices},
        loaf::methods::{SlicingMethod, ways},
        rounds::{in_rounds, is_of_slats},
        saw::Cut,
        steps::{Steps, steps},
        tolerance::{GAP_LIMIT, Tolerance, panel::grown_over, tolerance},
    },
    stock::Bar,
};

/// A bar of the plan, and how exactly it wants the saw set.
#[derive(Debug, Clone)]
pub struct BarPlan {
    /// The name of the first tile that is sliced from it.
    pub name: String,
    /// The bar.
    pub bar: Arc<Bar>,
    /// What errors of the saw do to it.
    pub tolerance: Tolerance,
    /// What they add up to over each panel that has tiles of it.
    pub over_panels: Vec<OverPanel>,
}

/// How the errors of a bar add up over a panel.
#[derive(Debug, Clone, PartialEq)]
pub struct OverPanel {
    /// The panel's name.
    pub panel: String,
    /// How much wider and higher the panel comes out when a setting is a step ([`STEP`](crate::plan::tolerance::STEP)) too much,
    /// for each setting of the bar's tolerance, in mm.
    pub more: Vec<Point>,
}

/// All that a maker takes to the shop.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Tiles to boards.
    pub count: CountBack,
    /// The bars, each once.
    pub bars: Vec<BarPlan>,
    /// How each panel is glued up, in the order of the panels.
    pub gluing: Vec<GlueUp>,
    /// For each panel the shift of its pattern that takes fewer tiles, where there is one.
    pub fewest: Vec<Option<Fewest>>,
    /// The ways to make each panel: tile by tile, or by loaves.
    pub ways: Vec<SlicingMethod>,
    /// What is done, in working order.
    pub steps: Steps,
}

impl Plan {
    /// The saw's set-ups in working order, each once, with the number of the first step that it is for.
    pub fn set_ups(&self) -> Vec<(usize, &Cut)> {
        let mut all: Vec<(usize, &Cut)> = Vec::new();
        for step in &self.steps.steps {
            for cut in &step.set_ups {
                if !all.iter().any(|(_, known)| known.is_set_like(cut)) {
                    all.push((step.number, cut));
                }
            }
        }
        all
    }

    /// Plans panels that share one stock.
    ///
    /// # Errors
    /// When there is nothing to count, the longest bar gives no slice, or a part cannot be cut safely.
    pub fn of(panels: &[&Panel], shop: &Shop) -> Result<Self, PlanError> {
        let panels = &in_rounds(panels, panels)[..];
        let count = count_back(panels, shop)?;
        let limits = shop.saw_limits();
        let bars: Vec<BarPlan> = bars(panels)
            .into_iter()
            .flat_map(|(name, drawn)| {
                let each = glued(&count.kinds, name, &drawn);
                each.into_iter()
                    .map(move |(name, bar)| (name, bar, Arc::clone(&drawn)))
            })
            .map(|(name, bar, drawn)| {
                let tolerance = tolerance(&bar, GAP_LIMIT, &limits);
                BarPlan {
                    over_panels: over_panels(panels, &drawn, &tolerance),
                    tolerance,
                    name,
                    bar,
                }
            })
            .collect();
        let gluing: Vec<GlueUp> = panels
            .iter()
            .enumerate()
            .map(|(i, panel)| glue_up_slices(panel, slices_of(&count, i), shop.glue_terms()))
            .collect();
        let names: Vec<(&str, &Bar)> = (bars.iter()).map(|b| (b.name.as_str(), &*b.bar)).collect();
        Ok(Self {
            steps: steps(panels, &count, &names, &gluing, shop),
            fewest: (panels.iter())
                .map(|panel| fewest(panel).filter(|_| !is_of_slats(panel)))
                .collect(),
            ways: ways(panels, shop),
            gluing,
            count,
            bars,
        })
    }
}

/// The slices of loaves that a panel is laid of, in order.
fn slices_of(count: &CountBack, panel: usize) -> Vec<Slice> {
    let all = count.loaves.iter().flat_map(|line| &line.loaf.slices);
    let mut slices: Vec<Slice> = all
        .filter(|(of, _)| *of == panel)
        .map(|(_, s)| s.clone())
        .collect();
    slices.sort_by_key(|slice| slice.placements.start);
    slices
}

/// What the errors of a bar add up to over the panels that have tiles of it.
fn over_panels(panels: &[&Panel], bar: &Bar, tolerance: &Tolerance) -> Vec<OverPanel> {
    let with_it = panels
        .iter()
        .filter(|p| p.faces.iter().any(|f| **f.kind.bar() == *bar));
    let over = |panel: &&Panel| OverPanel {
        panel: panel.name.clone(),
        more: (tolerance.settings.iter())
            .map(|setting| grown_over(panel, bar, &setting.more))
            .collect(),
    };
    with_it.map(over).collect()
}

/// The bars that are glued for one of the recipe: of boards as thick as they are, by name; where boards of unlike
/// thickness each give bars of their own, with the sheets of these.
fn glued(kinds: &Kinds, name: String, drawn: &Arc<Bar>) -> Vec<(String, Arc<Bar>)> {
    let of_drawn = |bar: &&BarKind| {
        let mut tiles = bar.tiles.iter().map(|&tile| &kinds.tiles[tile].kind);
        tiles.any(|tile| tile.bar() == drawn)
    };
    let each: Vec<&BarKind> = kinds.bars.iter().filter(of_drawn).collect();
    let sheets = |bar: &BarKind| {
        let mut sheets: Vec<usize> = (bar.parts.iter())
            .map(|(part, _)| kinds.parts[*part].sheet)
            .collect();
        sheets.sort_unstable();
        sheets.dedup();
        let labels: Vec<String> = sheets.into_iter().map(sheet_label).collect();
        labels.join(" and ")
    };
    match &each[..] {
        [] => vec![(name, Arc::clone(drawn))],
        [bar] => vec![(name, Arc::clone(&bar.bar))],
        several => {
            let of = |bar: &&BarKind| (format!("{name} of {}", sheets(bar)), Arc::clone(&bar.bar));
            several.iter().map(of).collect()
        }
    }
}

/// The bars of some panels, each once, by the name of the first tile that uses it.
fn bars(panels: &[&Panel]) -> Vec<(String, Arc<Bar>)> {
    let mut all: Vec<(String, Arc<Bar>)> = Vec::new();
    let sliced = panels.iter().flat_map(|p| &p.faces).map(|f| &f.kind);
    for kind in sliced.filter(|kind| kind.slat().is_none()) {
        if !all.iter().any(|(_, bar)| **bar == **kind.bar()) {
            all.push((kind.name().to_owned(), Arc::clone(kind.bar())));
        }
    }
    all
}
