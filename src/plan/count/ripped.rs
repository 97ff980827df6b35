//! Strips that are ripped again: the cuts as a tree, and how much wider the strip must be for them.
//!
//! In a recipe a second rip loses no wood; on a saw it does. The strip is therefore ripped wider by what
//! the cut takes of its width, kerf / sin(angle of the cut to the sheet's face), so that both
//! pieces come out as drawn.

use crate::geom::{
    Point, Polygon, TOLERANCE,
    clip::{self, HalfPlane},
};
use crate::watch;

/// Two sections nearer than this, in mm, are the same.
pub(super) const SAME: f64 = 1e-3;

/// A section and what is done with it.
#[derive(Debug, Clone, PartialEq)]
pub struct RippedSection {
    /// The section as ripped, in mm, without the widening for kerfs.
    pub section: Polygon,
    /// Whether a bar takes it as it is.
    pub wanted: bool,
    /// The cut that parts it.
    pub cut: Option<Box<FurtherRip>>,
}

/// A further rip.
#[derive(Debug, Clone, PartialEq)]
pub struct FurtherRip {
    /// One end of the cut in the section.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// The pieces.
    pub pieces: [RippedSection; 2],
}

impl RippedSection {
    fn whole(section: Polygon, wanted: bool) -> Self {
        Self {
            section,
            wanted,
            cut: None,
        }
    }

    /// How much wider the strip must be for all cuts in it, in mm.
    pub fn widening(&self, kerf: f64) -> f64 {
        let Some(cut) = &self.cut else { return 0.0 };
        let own = cut.slant().map_or(0.0, |slant| kerf * slant);
        own + cut.pieces.iter().map(|p| p.widening(kerf)).sum::<f64>()
    }

    /// Whether a cut in it runs along the sheet's faces, or ends on a sawn face: then the kerf
    /// cannot be made up by a wider strip alone.
    pub fn loses_to_kerf(&self, depth: f64) -> bool {
        self.cut.as_ref().is_some_and(|cut| {
            let reach = (cut.to.y - cut.from.y).abs();
            cut.slant().is_none()
                || reach < depth - SAME
                || cut.pieces.iter().any(|p| p.loses_to_kerf(depth))
        })
    }

    /// How many cuts there are in it.
    pub fn cuts(&self) -> u64 {
        self.cut
            .as_ref()
            .map_or(0, |cut| 1 + cut.pieces.iter().map(Self::cuts).sum::<u64>())
    }

    /// Total length of all cuts across the section, in mm: times the kerf, what they take of it.
    pub fn cut_length(&self) -> f64 {
        self.cut.as_ref().map_or(0.0, |cut| {
            cut.from.distance(cut.to) + cut.pieces.iter().map(Self::cut_length).sum::<f64>()
        })
    }

    /// The pieces that are left in the end, each with the sections before it.
    pub fn chains(&self) -> Vec<Vec<Polygon>> {
        let Some(cut) = &self.cut else {
            return vec![vec![self.section.clone()]];
        };
        let mut all = Vec::new();
        for piece in &cut.pieces {
            for mut chain in piece.chains() {
                watch::ask();
                chain.insert(0, self.section.clone());
                all.push(chain);
            }
        }
        all
    }

    /// Two trees of cuts through the same strip in one; none where they contradict each other.
    pub fn merged(&self, other: &Self) -> Option<Self> {
        if !self.section.coincides(&other.section, SAME) {
            return None;
        }
        match (&self.cut, &other.cut) {
            (None, None) => Some(Self::whole(
                self.section.clone(),
                self.wanted || other.wanted,
            )),
            (None, Some(_)) => (!self.wanted).then(|| other.clone()),
            (Some(_), None) => (!other.wanted).then(|| self.clone()),
            (Some(a), Some(b)) => {
                let [p, q] = &a.pieces;
                let [r, s] = &b.pieces;
                let both =
                    |x: &Self, y: &Self, u: &Self, v: &Self| Some([x.merged(y)?, u.merged(v)?]);
                let pieces = both(p, r, q, s).or_else(|| both(p, s, q, r))?;
                Some(Self {
                    section: self.section.clone(),
                    wanted: false,
                    cut: Some(Box::new(FurtherRip {
                        pieces,
                        ..(**a).clone()
                    })),
                })
            }
        }
    }

    /// Puts the left piece of every cut first.
    pub(super) fn settle(&mut self) {
        if let Some(cut) = &mut self.cut {
            let [a, b] = &cut.pieces;
            if a.section.centroid().x > b.section.centroid().x {
                cut.pieces.swap(0, 1);
            }
            cut.pieces.iter_mut().for_each(Self::settle);
        }
    }
}

impl FurtherRip {
    /// Width of the strip that the cut takes for each mm of kerf; none along the sheet's faces.
    pub fn slant(&self) -> Option<f64> {
        let rise = (self.to.y - self.from.y).abs();
        (rise > TOLERANCE).then(|| self.from.distance(self.to) / rise)
    }
}

/// The cuts that lead to the last section of a chain.
pub(super) fn tree(chain: &[Polygon]) -> RippedSection {
    let section = chain[0].clone();
    let Some(next) = chain.get(1) else {
        return RippedSection::whole(section, true);
    };
    let wanted = tree(&chain[1..]);
    let Some((from, to)) = cut_edge(&section, next) else {
        // The section is that of the whole strip: nothing was cut off.
        return wanted;
    };
    // The piece lies on the right hand of its own edge; the rest on the other.
    let rest = clip::keep(&section, HalfPlane::right_of(from, to).other_side());
    match rest {
        Some(rest) => RippedSection {
            section,
            wanted: false,
            cut: Some(Box::new(FurtherRip {
                from,
                to,
                pieces: [wanted, RippedSection::whole(rest, false)],
            })),
        },
        None => wanted,
    }
}

/// The edge of a piece that lies on no edge of the section it was cut from.
fn cut_edge(section: &Polygon, piece: &Polygon) -> Option<(Point, Point)> {
    let on_rim = |(a, b): (Point, Point)| {
        section.edges().any(|(p, q)| {
            let way = (q - p) * (1.0 / p.distance(q));
            way.cross(a - p).abs() <= SAME && way.cross(b - p).abs() <= SAME
        })
    };
    piece.edges().find(|&edge| !on_rim(edge))
}
