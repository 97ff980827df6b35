//! Pieces that are cut out of a panel: none reaches into the cut round another.

use crate::told::CutPiece;

type Point = (f64, f64);

/// From a point to a line between two others.
fn from_line(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy);
    let along = along.clamp(0.0, 1.0);
    libm::hypot(p.0 - a.0 - along * dx, p.1 - a.1 - along * dy)
}

/// Whether a point lies in an outline: by how often a line from it to the right meets the rim.
fn holds(outline: &[Point], p: Point) -> bool {
    let next = outline.iter().cycle().skip(1);
    let meets = |&(a, b): &(&Point, &Point)| {
        (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (b.0 - a.0) * (p.1 - a.1) / (b.1 - a.1)
    };
    outline.iter().zip(next).filter(meets).count() % 2 == 1
}

/// That pieces lie as far apart as the cut between them takes.
pub(crate) fn apart(pieces: &[CutPiece], kerf: f64) -> Result<(), String> {
    for (i, one) in pieces.iter().enumerate() {
        for other in &pieces[..i] {
            for (mine, theirs) in [(one, other), (other, one)] {
                let next = theirs.outline.iter().cycle().skip(1);
                let edges: Vec<(&Point, &Point)> = theirs.outline.iter().zip(next).collect();
                let near = |p: &Point| {
                    edges
                        .iter()
                        .any(|(a, b)| from_line(*p, **a, **b) < kerf - 0.02)
                };
                if mine.outline.iter().any(near) || holds(&theirs.outline, mine.outline[0]) {
                    return Err(format!(
                        "no cut goes between {} and {}",
                        one.name, other.name
                    ));
                }
            }
        }
    }
    Ok(())
}
