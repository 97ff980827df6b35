//! What is left of a veneer leaf: rectangles between the pieces, as cuts from edge to edge leave them. In mm.

/// Sizes nearer than this are the same.
const SAME: f64 = 1e-6;

/// A rectangle: left edge, near end, width, length.
pub(super) type Area = [f64; 4];

/// The rectangles that are left of a leaf of some width and length once pieces are cut out of it. They and the
/// pieces together are the leaf.
pub(super) fn rests(width: f64, length: f64, pieces: &[Area]) -> Vec<Area> {
    let mut left = Vec::new();
    split([0.0, 0.0, width, length], pieces.to_vec(), &mut left);
    left
}

fn split(area: Area, pieces: Vec<Area>, left: &mut Vec<Area>) {
    let [x, y, width, length] = area;
    if width < SAME || length < SAME {
        return;
    }
    if pieces.is_empty() {
        left.push(area);
        return;
    }
    let Some((axis, at)) = best_cut(area, &pieces) else {
        // One piece fills it; or pieces that no cut from edge to edge parts, between which nothing is kept.
        return;
    };
    let (near, far): (Vec<Area>, Vec<Area>) =
        (pieces.into_iter()).partition(|p| p[axis] + p[axis + 2] <= at + SAME);
    let (mut one, mut other) = (area, area);
    one[axis + 2] = at - [x, y][axis];
    other[axis] = at;
    other[axis + 2] = [x + width, y + length][axis] - at;
    split(one, near, left);
    split(other, far, left);
}

/// The cut that sets free the largest rectangle, or else any that parts the pieces: 0 for one along the leaf,
/// 1 for one across it, and where.
fn best_cut(area: Area, pieces: &[Area]) -> Option<(usize, f64)> {
    let mut best: Option<(f64, usize, f64)> = None;
    for axis in [0, 1] {
        let (from, to) = (area[axis], area[axis] + area[axis + 2]);
        for at in pieces.iter().flat_map(|p| [p[axis], p[axis] + p[axis + 2]]) {
            let inside = at > from + SAME && at < to - SAME;
            let crosses = |p: &Area| p[axis] < at - SAME && p[axis] + p[axis + 2] > at + SAME;
            if !inside || pieces.iter().any(crosses) {
                continue;
            }
            let across = area[3 - axis];
            let near = pieces.iter().any(|p| p[axis] < at - SAME);
            let far = pieces.iter().any(|p| p[axis] + p[axis + 2] > at + SAME);
            let free = match (near, far) {
                (true, true) => 0.0,
                (false, _) => (at - from) * across,
                (_, false) => (to - at) * across,
            };
            if best.is_none_or(|(most, ..)| free > most) {
                best = Some((free, axis, at));
            }
        }
    }
    best.map(|(_, axis, at)| (axis, at))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(all: &[Area]) -> f64 {
        all.iter().map(|a| a[2] * a[3]).sum()
    }

    #[test]
    fn a_leaf_is_its_pieces_and_what_is_left() {
        // Two side by side at one end, and a third behind the first.
        let pieces = [
            [0.0, 0.0, 100.0, 640.0],
            [100.0, 0.0, 120.0, 640.0],
            [0.0, 640.0, 90.0, 300.0],
        ];
        let left = rests(300.0, 2500.0, &pieces);
        assert!((area(&left) + area(&pieces) - 300.0 * 2500.0).abs() < 1e-6);
        let far = [0.0, 940.0, 300.0, 1560.0];
        assert!(left.contains(&far), "the largest in one piece: {left:?}");
        assert_eq!(rests(300.0, 2500.0, &[]), [[0.0, 0.0, 300.0, 2500.0]]);
        assert!(rests(300.0, 2500.0, &[[0.0, 0.0, 300.0, 2500.0]]).is_empty());
    }
}
