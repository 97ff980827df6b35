//! Whether faces look alike. One of them is indexed by place, so that many can be compared with it.

use std::cell::OnceCell;

use super::{Face, face::Region};
use crate::geom::{Rect, TOLERANCE, clip, near::Near};

/// How many regions of a face are compared with all regions of the other before these are sorted by place: faces that
/// differ mostly do so in one of the first.
const FIRST: usize = 4;

/// A face that others are compared with.
#[derive(Debug)]
pub struct Comparison<'a> {
    face: &'a Face,
    near: OnceCell<Near>,
}

impl<'a> Comparison<'a> {
    /// Prepares a face to be compared with others.
    pub fn with(face: &'a Face) -> Self {
        Self {
            face,
            near: OnceCell::new(),
        }
    }

    /// Whether a face shows the same: the same outline, and no spot deeper than the tolerance where
    /// the colours differ.
    pub fn is_alike(&self, other: &Face) -> bool {
        let regions = other.regions();
        let (first, rest) = regions.split_at(regions.len().min(FIRST));
        let all = || self.face.regions().iter();
        other.outline().coincides(self.face.outline(), TOLERANCE)
            && !first.iter().any(|r| plainly_differs(r, |_| all()))
            && !rest
                .iter()
                .any(|r| plainly_differs(r, |middle| self.touching(middle)))
            && regions.iter().all(|r| self.agrees(r))
    }

    fn touching(&self, bounds: Rect) -> impl Iterator<Item = &Region> {
        let regions = self.face.regions();
        let near = self.near.get_or_init(|| {
            let bounds = regions.iter().map(|r| r.polygon.bounds());
            Near::of(bounds, TOLERANCE)
        });
        let found = near.touching(bounds).into_iter();
        found.map(|number| &regions[number])
    }

    /// Whether nothing of another colour lies beneath a region, deeper than the tolerance.
    fn agrees(&self, region: &Region) -> bool {
        let mut beneath = self.touching(region.polygon.bounds());
        beneath.all(|r| {
            r.colour == region.colour
                || clip::apart(&region.polygon, &r.polygon)
                || clip::apart(&r.polygon, &region.polygon)
                || clip::common(&region.polygon, &r.polygon)
                    .is_none_or(|both| clip::depth(&both) <= TOLERANCE)
        })
    }
}

/// Whether the middle of a region, with the tolerance around it, has another colour among those `at` it: true for nearly
/// all faces that differ, and found a hundred times sooner than by cutting every region with every other.
fn plainly_differs<'r, R: Iterator<Item = &'r Region>>(
    region: &Region,
    at: impl FnOnce(Rect) -> R,
) -> bool {
    let middle = region.polygon.centroid();
    let amid = |polygon| clip::amid(polygon, middle, TOLERANCE);
    amid(&region.polygon) && {
        let mut here = at(Rect {
            min: middle,
            max: middle,
        });
        here.any(|r| r.colour != region.colour && amid(&r.polygon))
    }
}

impl Face {
    /// Whether both show the same: the same outline, and no spot deeper than the tolerance where
    /// the colours differ.
    pub fn looks_like(&self, other: &Self) -> bool {
        Comparison::with(other).is_alike(self)
    }
}
