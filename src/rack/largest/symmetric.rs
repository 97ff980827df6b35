//! Whether a panel is its own mirror image.

use std::collections::BTreeMap;

use crate::geom::{Isometry, Point};
use crate::layout::panel::Panel;
use crate::plan::parts::Mirrored;
use crate::watch;

/// Places nearer than this, in mm, are the same.
const SAME: f64 = 1e-3;

/// Whether a panel shows the same when it is mirrored so.
pub(super) fn is_symmetric(panel: &Panel, how: Mirrored) -> bool {
    (!how.left_right || mirrors(panel, true)) && (!how.top_bottom || mirrors(panel, false))
}

fn mirrors(panel: &Panel, left_right: bool) -> bool {
    let micrometres = |p: Point| {
        // Places are within 20 m.
        #[expect(
            clippy::cast_possible_truncation,
            reason = "far below 2^63 micrometres"
        )]
        let whole = |mm: f64| (mm / SAME).round() as i64;
        (whole(p.x), whole(p.y))
    };
    let at: BTreeMap<(i64, i64), u32> = (panel.tiles.iter())
        .map(|tile| (micrometres(tile.at), tile.face))
        .collect();
    let by = Isometry::mirror(if left_right { 90.0 } else { 0.0 });
    let bounds = panel.bounds;
    let mut alike: BTreeMap<(u32, u32), bool> = BTreeMap::new();
    panel.tiles.iter().all(|tile| {
        watch::ask();
        let image = if left_right {
            Point::new(bounds.max.x + bounds.min.x - tile.at.x, tile.at.y)
        } else {
            Point::new(tile.at.x, bounds.max.y + bounds.min.y - tile.at.y)
        };
        let (x, y) = micrometres(image);
        let near = [-1, 0, 1]
            .into_iter()
            .flat_map(|i| [-1, 0, 1].map(|j| (x + i, y + j)));
        let Some(&other) = near.into_iter().find_map(|place| at.get(&place)) else {
            return false;
        };
        *alike.entry((tile.face, other)).or_insert_with(|| {
            let [face, other] = [tile.face, other].map(|f| &panel.faces[f as usize].face);
            face.posed(by).looks_like(other)
        })
    })
}
