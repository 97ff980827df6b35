//! All symmetries of a periodic pattern: its finest translations, and one move for each turn and
//! mirror of its point group.
//!
//! A symmetry maps the points in which colours meet to points in which the same colours meet in the
//! same way. So one point of the rarest sort is compared with all others like it, in every turn and
//! mirror that the translations allow; each candidate is then checked against the whole pattern.

use super::{
    pattern::Pattern,
    periods::Periods,
    vertex_signature::{VertexSignature, rarest, vertices},
};
use crate::geom::Isometry;

/// The symmetries of a pattern that repeats in two directions and no finer than its pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct Symmetries {
    /// The finest translations.
    pub periods: Periods,
    /// For each turn and mirror of the point group one move that has it; the others differ from
    /// it by a translation. The identity first, then the turns, then the mirrors and glides.
    pub moves: Vec<Isometry>,
}

impl Symmetries {
    /// The symmetries of a pattern; none where no colours meet in a point: all is of one colour or
    /// straight stripes, which any shift along them keeps.
    pub fn of(pattern: &Pattern) -> Option<Self> {
        let stars = vertices(pattern);
        let anchor = &stars[rarest(&stars)?];
        let given = pattern.periods();
        let shifts: Vec<_> = stars
            .iter()
            .filter(|s| !given.has(s.at - anchor.at))
            .filter(|s| anchor.becomes(Isometry::IDENTITY, s))
            .map(|s| Isometry::shift(s.at - anchor.at))
            .filter(|&g| pattern.is_kept_by(g))
            .map(|g| g.shift)
            .collect();
        let periods = given.refined(&shifts);
        let moves = periods
            .holohedry()
            .into_iter()
            .filter_map(|linear| find(pattern, &stars, anchor, linear))
            .collect();
        Some(Self { periods, moves })
    }
}

/// A symmetry with this turn or mirror.
fn find(
    pattern: &Pattern,
    stars: &[VertexSignature],
    anchor: &VertexSignature,
    linear: Isometry,
) -> Option<Isometry> {
    if linear == Isometry::IDENTITY {
        return Some(linear);
    }
    stars
        .iter()
        .filter(|s| anchor.becomes(linear, s))
        .map(|s| linear.then(Isometry::shift(s.at - linear.apply(anchor.at))))
        .find(|&g| pattern.is_kept_by(g))
}
