//! How many tiles of each kind and pose a panel takes.

use std::sync::Arc;

use super::panel::{JointCount, Panel, PlacedFace, TileCount};
use crate::watch;
use crate::{
    geom::{Rect, TOLERANCE},
    stock::{Pose, TileKind},
};

/// The tiles of one kind in one pose.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Name of the kind.
    pub kind: String,
    /// How they stand on the panel.
    pub pose: Pose,
    /// How many stay whole.
    pub whole: u64,
    /// How many the trim cuts.
    pub trimmed: u64,
    /// Rows of one kind that look alike have the same number, from 1.
    pub look: usize,
    /// The pose of the first row of the kind that looks the same, where that is another row.
    pub looks_like: Option<Pose>,
}

impl Row {
    /// Whole and trimmed ones.
    pub fn total(&self) -> u64 {
        self.whole + self.trimmed
    }
}

/// What a panel takes, for one finished panel without spares.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// By kind (in the order of first use), then flip, then turn.
    pub rows: Vec<Row>,
    /// Whole tiles.
    pub whole: u64,
    /// Tiles that the trim cuts.
    pub trimmed: u64,
    /// Finished width in mm, or that of the bounds.
    pub width: f64,
    /// Finished height in mm, or that of the bounds.
    pub height: f64,
    /// Area in mm^2 of all tiles inside the finished outline.
    pub net_area: f64,
    /// Area in mm^2 that the trim cuts off.
    pub offcut_area: f64,
    /// The joints.
    pub joints: JointCount,
}

impl Tally {
    /// Counts a panel.
    pub fn of(panel: &Panel) -> Self {
        let counts = panel.counts();
        let net_area = panel.net_area_of(&counts);
        let gross: f64 = (panel.faces.iter().zip(&counts))
            .map(|(f, count)| f.face.outline().area() * count.all() as f64)
            .sum();
        let all: TileCount = counts.iter().copied().sum();
        Self {
            rows: rows(panel, &counts),
            whole: all.whole,
            trimmed: all.trimmed,
            width: panel.bounds.width(),
            height: panel.bounds.height(),
            net_area,
            offcut_area: gross - net_area,
            joints: panel.joints,
        }
    }

    /// Whole and trimmed tiles.
    pub fn total(&self) -> u64 {
        self.whole + self.trimmed
    }

    /// Share of the joints through which lines run on; none without joints.
    pub fn matched_share(&self) -> Option<f64> {
        (self.joints.all > 0).then(|| self.joints.matched as f64 / self.joints.all as f64)
    }
}

/// The faces of a panel kind by kind, in the order of first use; of a kind those that are not flipped
/// first, by turn. With each the number of its kind.
pub(crate) fn order(panel: &Panel) -> Vec<(usize, usize)> {
    let mut kinds: Vec<&Arc<TileKind>> = Vec::new();
    let mut order: Vec<(usize, usize)> = Vec::new();
    for (face, placed) in panel.faces.iter().enumerate() {
        watch::ask();
        let known = kinds.iter().position(|k| Arc::ptr_eq(k, &placed.kind));
        let kind = known.unwrap_or_else(|| {
            kinds.push(&placed.kind);
            kinds.len() - 1
        });
        order.push((kind, face));
    }
    let pose = |face: usize| panel.faces[face].pose;
    order.sort_by(|&(k, a), &(l, b)| {
        (k.cmp(&l))
            .then(pose(a).flip.cmp(&pose(b).flip))
            .then(pose(a).turn.total_cmp(&pose(b).turn))
    });
    order
}

fn rows(panel: &Panel, counts: &[TileCount]) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::with_capacity(panel.faces.len());
    // The first face of each look of the kind that is at hand.
    let mut looks: Vec<&PlacedFace> = Vec::new();
    let mut kind_at_hand = None;
    for (kind, face) in order(panel) {
        let mine = &panel.faces[face];
        if kind_at_hand.replace(kind) != Some(kind) {
            looks.clear();
        }
        let alike = looks.iter().position(|l| {
            near(l.face.bounds(), mine.face.bounds()) && l.face.looks_like(&mine.face)
        });
        if alike.is_none() {
            looks.push(mine);
        }
        rows.push(Row {
            kind: mine.kind.name().to_owned(),
            pose: mine.pose,
            whole: counts[face].whole,
            trimmed: counts[face].trimmed,
            look: alike.map_or(looks.len(), |at| at + 1),
            looks_like: alike.map(|at| looks[at].pose),
        });
    }
    rows
}

/// Whether two bounds are the same within the tolerance: a quick look before a thorough one.
fn near(a: Rect, b: Rect) -> bool {
    a.grown(TOLERANCE).holds(b, 0.0) && b.grown(TOLERANCE).holds(a, 0.0)
}
