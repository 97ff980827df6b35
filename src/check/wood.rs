//! What the outcome tells of wood, saw and joints.

use super::{Finding, Level};
use crate::geom::TOLERANCE;
use crate::layout::panel::Panel;
use crate::plan::cautions;
use crate::plan::saw::refusals::refused;
use crate::plan::saw::{SawLimits, words};
use crate::recipe::outcome::Outcome;
use crate::recipe::vocabulary::laying as laid;
use crate::stock::Bar;

/// Pieces of trimmed tiles in which no circle of this diameter fits, in mm, break out at the saw (common practice: about
/// the width of a blade).
const SLIVER: f64 = 3.0;

pub(super) fn findings(outcome: &Outcome) -> Vec<Finding> {
    if outcome.panels.is_empty() {
        return vec![
            Finding::new("recipe::no_panel", Level::Error, "it makes no panel")
                .help("fill a panel in the recipe"),
        ];
    }
    let mut findings = joints(outcome);
    findings.extend(saw(outcome));
    findings.extend(slivers(outcome));
    findings.extend(idle_tiles(outcome));
    findings.extend(laid_outside(outcome));
    findings
}

/// Tiles laid by hand in cells that the panel does not have.
fn laid_outside(outcome: &Outcome) -> Vec<Finding> {
    let panels = outcome.panels.iter().zip(&outcome.hands);
    let outside = panels.filter(|(_, hands)| hands.thing.outside.0 > 0);
    outside
        .map(|(panel, hands)| {
            Finding::new(
                "check::laid_outside",
                Level::Note,
                laid::outside(&panel.name, &hands.thing.outside),
            )
            .at(hands.thing.blocks.first().cloned())
            .help("make the panel larger, or take these entries out")
        })
        .collect()
}

/// Each kind of tile that is placed, once, by name.
fn bars(outcome: &Outcome) -> Vec<(&str, &Bar)> {
    let mut bars: Vec<(&str, &Bar)> = Vec::new();
    for kind in outcome
        .panels
        .iter()
        .flat_map(|p| &p.faces)
        .map(|f| &f.kind)
    {
        if !bars.iter().any(|(_, bar)| **bar == **kind.bar()) {
            bars.push((kind.name(), kind.bar()));
        }
    }
    bars
}

/// Bars that are only there because the recipe allows their joints to be open.
fn joints(outcome: &Outcome) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut needed = false;
    for (name, bar) in bars(outcome) {
        let gaps = bar.joints().iter().map(|joint| joint.gap.abs());
        let widest = gaps.fold(0.0, f64::max);
        if widest > TOLERANCE {
            needed = true;
            findings.push(
                Finding::new(
                    "check::open_joints",
                    Level::Warning,
                    format!(
                        "the bar of \"{}\" has a joint that is {widest:.2} mm open or pressed: it \
                         holds together only by `joint_tolerance({})`",
                        name, outcome.joint_tolerance
                    ),
                )
                .help("mend the edge angles, so that those that meet in a point add up to 360 degrees"),
            );
        }
    }
    if outcome.joint_tolerance > TOLERANCE && !needed {
        findings.push(
            Finding::new(
                "check::idle_tolerance",
                Level::Warning,
                format!(
                    "`joint_tolerance({})` is not needed: all joints are tight",
                    outcome.joint_tolerance
                ),
            )
            .help("remove it: it would hide a mistake in a later change"),
        );
    }
    findings
}

/// Parts that no safe set-up of a common saw can cut.
fn saw(outcome: &Outcome) -> Vec<Finding> {
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let length = |mm: f64| format!("{mm:.1} mm");
    let mut findings: Vec<Finding> = Vec::new();
    for part in refused(&panels, &SawLimits::default()) {
        let refusal = cautions::refusal(part.why, &length);
        let finding = Finding::new(
            "check::saw",
            Level::Warning,
            format!(
                "{} ({}): {}",
                part.shape,
                words::used_in(&part.used_in),
                refusal.says
            ),
        )
        .help(refusal.instead);
        if !findings
            .iter()
            .any(|known| known.message == finding.message)
        {
            findings.push(finding);
        }
    }
    findings
}

/// Tiles of which the trim leaves next to nothing.
fn slivers(outcome: &Outcome) -> Vec<Finding> {
    let sliver = |panel: &Panel| {
        let narrow = panel
            .tiles
            .iter()
            .filter(|tile| !tile.whole)
            .filter(|tile| {
                let left = panel.left_of(tile);
                left.iter().any(|piece| !piece.holds_circle(SLIVER))
            });
        let count = narrow.count();
        (count > 0).then(|| {
            Finding::new(
                "check::slivers",
                Level::Note,
                format!(
                    "the trim of panel \"{}\" leaves pieces narrower than {SLIVER} mm of {count} \
                     {}: they break out easily",
                    panel.name,
                    if count == 1 { "tile" } else { "tiles" }
                ),
            )
            .help(
                "move the pattern with `shift`, or choose a finished size that does not cut tiles so close to their edge",
            )
        })
    };
    outcome.panels.iter().filter_map(sliver).collect()
}

/// Kinds of tiles that are sliced and never placed.
fn idle_tiles(outcome: &Outcome) -> Vec<Finding> {
    let placed = |name: &str| {
        let mut faces = outcome.panels.iter().flat_map(|p| &p.faces);
        faces.any(|face| face.kind.name() == name)
    };
    outcome
        .kinds
        .iter()
        .map(|kind| kind.name())
        .filter(|name| !placed(name))
        .map(|name| {
            Finding::new(
                "check::idle_tiles",
                Level::Note,
                format!("the tiles \"{name}\" are sliced, but no panel uses them"),
            )
            .help("use one, or remove its bar")
        })
        .collect()
}
