//! Fences for boards that are not as thick as the recipe draws them: boards that may share a bar are a group, and each
//! group has its own. All angles and the shape of a bar stay; widths follow the thickness. Lengths in mm.

use std::sync::Arc;

use super::count::labels::sheet_label;
use super::count::thickness::shared;
use super::count::{BoardLine, CountBack};
use super::saw::SawLimits;
use super::saw::settings::{Setting, Settings};
use crate::geom::TOLERANCE;
use crate::stock::{Bar, Layer, LayerKind, Sheet};

/// A fence is set no finer than this (common practice).
const SETTABLE: f64 = 0.05;

/// Boards of one plywood that may share bars.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardGroup {
    /// The boards by name, and how many of each.
    pub boards: Vec<(String, u64)>,
    /// Thickness of the plywood in the recipe.
    pub plywood: f64,
    /// Their own, the mean by area.
    pub thickness: f64,
    /// Fences and stops that they move: as the steps have them, and as they are set for these boards.
    pub fences: Vec<(Setting, Setting)>,
    /// Whether that is told for every bar; a trial tells the others.
    pub complete: bool,
}

/// The groups of the boards that a plan takes; those with the thickness of the recipe, or so near that no fence is
/// moved for it, are left out.
#[must_use]
pub fn groups(count: &CountBack, bars: &[&Bar], limits: &SawLimits) -> Vec<BoardGroup> {
    let mut all = Vec::new();
    for (index, kind) in count.kinds.sheets.iter().enumerate() {
        let label = sheet_label(index);
        let first = count.kinds.sheets[..index].iter();
        if first.clone().any(|known| known.sheet == kind.sheet) {
            continue;
        }
        let of = |board: &BoardLine| board.other_thickness.unwrap_or(kind.plywood);
        let mut boards: Vec<&BoardLine> = (count.boards.iter())
            .filter(|board| {
                board
                    .rip
                    .iter()
                    .any(|rip| rip.sheet == label || rip.beside.contains(&label))
            })
            .collect();
        boards.sort_by(|a, b| of(a).total_cmp(&of(b)));
        while let Some(least) = boards.first().map(|board| of(board)) {
            let (group, rest): (Vec<_>, Vec<_>) = boards
                .into_iter()
                .partition(|board| shared(least, of(board)));
            boards = rest;
            let area = |board: &BoardLine| board.width * board.length * board.count as f64;
            let whole: f64 = group.iter().map(|b| area(b)).sum();
            let thickness = group.iter().map(|b| area(b) * of(b)).sum::<f64>() / whole;
            let with_it =
                |bar: &&Bar| (bar.parts().iter()).any(|part| *part.strip.sheet() == kind.sheet);
            let moved = bars.iter().copied().filter(with_it).map(|bar| {
                let is = measured(bar, &kind.sheet, thickness / kind.plywood)?;
                moved(bar, &is, limits)
            });
            let moved: Vec<Option<Vec<_>>> = moved.collect();
            let complete = moved.iter().all(Option::is_some);
            let mut fences: Vec<(Setting, Setting)> = Vec::new();
            for pair in moved.into_iter().flatten().flatten() {
                if !fences.contains(&pair) {
                    fences.push(pair);
                }
            }
            if fences.is_empty() && (complete || (thickness - kind.plywood).abs() < SETTABLE) {
                continue;
            }
            all.push(BoardGroup {
                boards: group.iter().flat_map(|b| b.boards.clone()).collect(),
                plywood: kind.plywood,
                thickness,
                fences,
                complete,
            });
        }
    }
    all
}

/// The bar with the plies of a sheet thicker by a factor; none where its parts do not close then.
fn measured(bar: &Bar, sheet: &Arc<Sheet>, by: f64) -> Option<Bar> {
    let plies = sheet
        .layers()
        .iter()
        .any(|layer| layer.kind == LayerKind::Ply);
    let layers = sheet.layers().iter().map(|layer| Layer {
        thickness: if layer.kind == LayerKind::Ply || !plies {
            layer.thickness * by
        } else {
            layer.thickness
        },
        ..*layer
    });
    let other = Arc::new(Sheet::new(layers.collect()).ok()?);
    let open = bar.joints().iter().map(|joint| joint.gap.abs());
    let open = open.fold(TOLERANCE, |most, gap| most.max(2.0 * gap));
    let of = |of: &Arc<Sheet>| Arc::clone(if of == sheet { &other } else { of });
    bar.on_sheets(of, open).ok()
}

/// Fences and stops that are elsewhere for another bar of the same cuts; none where the cuts are others.
fn moved(was: &Bar, is: &Bar, limits: &SawLimits) -> Option<Vec<(Setting, Setting)>> {
    let [was, is] = [was, is].map(|bar| Settings::of(bar, limits));
    let same = was.list().len() == is.list().len();
    let pairs = was.list().iter().cloned().zip(is.list().iter().cloned());
    let moved = pairs.filter(|pair| match pair {
        (Setting::Fence { fence: a, .. }, Setting::Fence { fence: b, .. }) => {
            (a - b).abs() >= SETTABLE
        }
        _ => false,
    });
    same.then(|| moved.collect())
}
