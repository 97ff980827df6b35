//! The ways in which the strips of a bar can be turned before they are glued.
//!
//! A strip goes into its place in every way that maps its section onto itself. Turned end for end,
//! it shows its mirror image; rolled over, its face and back change places. Each makes another tile
//! where the layers are not the same afterwards: three rhombi of plain plywood give 2 x 2 x 2 faces.

use std::sync::Arc;

use super::moves::Same;
use crate::geom::{TOLERANCE, angle};
use crate::layout::panel::{JointCount, Panel};
use crate::stock::{Bar, Face, Pose, StockError, Strip, TileKind};
use crate::watch;

/// One way to glue the strips.
#[derive(Debug, Clone, PartialEq)]
pub struct BarTurn {
    /// How each strip is turned, compared with the given bar.
    pub parts: Vec<Pose>,
    /// The bar.
    pub bar: Arc<Bar>,
    /// Ways with the same number, from 0, make the same tile.
    pub tile: usize,
}

/// The most ways that are tried out.
pub const MOST_WAYS: usize = 4096;

/// Why ways cannot be listed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BarTurnError {
    /// A bar that does not close.
    #[error(transparent)]
    Stock(#[from] StockError),
    /// Too many.
    #[error("{ways} ways to turn the strips are too many to list; {MOST_WAYS} are the most")]
    TooMany {
        /// How many there would be.
        ways: u128,
    },
}

/// Every way to turn the strips of a bar that gives another face, the strips as they lie first. Ways
/// make the same tile where the bar's own turns, or turns and mirrors, lay one face onto another;
/// [`Same::Shifts`] keeps all apart.
///
/// # Errors
/// When there are more than [`MOST_WAYS`].
pub fn ways(bar: &Bar, same: Same) -> Result<Vec<BarTurn>, BarTurnError> {
    let strips: Vec<&Strip> = bar.parts().iter().map(|p| &p.strip).collect();
    let still = vec![Pose::default(); strips.len()];
    // Each part covers its own place, so its turns can be told apart alone.
    let mut choices: Vec<Vec<Pose>> = Vec::with_capacity(strips.len());
    for (part, strip) in strips.iter().enumerate() {
        let mut seen: Vec<(Pose, Face)> = Vec::new();
        for pose in poses(strip) {
            let mut parts = still.clone();
            parts[part] = pose;
            let face = Face::of(&glued(bar, &parts)?);
            if !seen.iter().any(|(_, other)| other.looks_like(&face)) {
                seen.push((pose, face));
            }
        }
        choices.push(seen.into_iter().map(|(pose, _)| pose).collect());
    }
    let count = choices
        .iter()
        .try_fold(1_u128, |all, list| all.checked_mul(list.len() as u128))
        .unwrap_or(u128::MAX);
    let Some(count) = usize::try_from(count).ok().filter(|n| *n <= MOST_WAYS) else {
        return Err(BarTurnError::TooMany { ways: count });
    };
    let mut found: Vec<BarTurn> = Vec::with_capacity(count);
    let mut tiles: Vec<Vec<Face>> = Vec::new();
    for number in 0..count {
        watch::ask();
        let parts = chosen(&choices, number);
        let bar = Arc::new(glued(bar, &parts)?);
        let kind = TileKind::new("", Arc::clone(&bar));
        let known = tiles
            .iter()
            .position(|faces| faces.iter().any(|f| f.looks_like(kind.face())));
        let tile = known.unwrap_or_else(|| {
            tiles.push(faces(&kind, same));
            tiles.len() - 1
        });
        found.push(BarTurn { parts, bar, tile });
    }
    Ok(found)
}

/// A panel with the bar of one of its tiles glued another way: every tile stays in its place. Joints
/// are not counted anew: there are none in the result.
pub fn panel_with(panel: &Panel, tile: &str, bar: &Arc<Bar>) -> Panel {
    let kind = Arc::new(TileKind::new(tile, Arc::clone(bar)));
    let mut changed = panel.clone();
    for placed in changed.faces.iter_mut().filter(|f| f.kind.name() == tile) {
        placed.face = kind.face().posed(kind.isometry(placed.pose));
        placed.kind = Arc::clone(&kind);
    }
    changed.joints = JointCount::default();
    changed
}

/// The faces that count as the tile's own.
fn faces(kind: &TileKind, same: Same) -> Vec<Face> {
    kind.orientations()
        .into_iter()
        .filter(|pose| match same {
            Same::Shifts => *pose == Pose::default(),
            Same::Turns => !pose.flip,
            Same::TurnsAndMirrors => true,
        })
        .map(|pose| kind.face().posed(kind.isometry(pose)))
        .collect()
}

/// Every way into a strip's own place, the one in which it lies first.
fn poses(strip: &Strip) -> Vec<Pose> {
    let symmetry = strip.symmetry();
    let flips: &[bool] = if symmetry.axis.is_some() {
        &[false, true]
    } else {
        &[false]
    };
    let turn = |k: u32| angle::tidied(f64::from(k) * symmetry.step());
    flips
        .iter()
        .flat_map(|&flip| {
            (0..symmetry.turns).map(move |k| Pose {
                flip,
                turn: turn(k),
            })
        })
        .collect()
}

/// The bar with its strips turned like this, each in its place.
fn glued(bar: &Bar, parts: &[Pose]) -> Result<Bar, StockError> {
    // The joint tolerance of the bar itself, and a little more for sections that are only nearly
    // symmetric.
    let open = bar.joints().iter().map(|j| j.gap.abs());
    let tolerance = open.fold(0.0, f64::max) + 2.0 * TOLERANCE;
    let turned = bar.parts().iter().zip(parts);
    Bar::glue(
        turned.map(|(part, pose)| part.strip.posed(*pose)).collect(),
        bar.parts()[0].place,
        bar.mates().to_vec(),
        bar.closing().to_vec(),
        tolerance,
    )
}

/// Choice `number`, counted with the last part turning fastest.
fn chosen(choices: &[Vec<Pose>], number: usize) -> Vec<Pose> {
    let mut rest = number;
    let mut parts: Vec<Pose> = choices
        .iter()
        .rev()
        .map(|list| {
            let pose = list[rest % list.len()];
            rest /= list.len();
            pose
        })
        .collect();
    parts.reverse();
    parts
}
