//! What a slice shows: an outline with every layer in its place, and what runs out at its rim.

use super::{Bar, Colour, Layer};
use crate::geom::{Isometry, Point, Polygon, Rect, TOLERANCE};

/// One layer of one part, as the slice shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// Which part of the bar, from 0.
    pub part: usize,
    /// The layer.
    pub layer: Layer,
    /// What it looks like.
    pub colour: Colour,
    /// Its own polygon.
    pub polygon: Polygon,
    /// The part's section from this layer on to the back. Painted in the order of the regions,
    /// underlays show each polygon and leave no seam between layers of one part.
    pub underlay: Polygon,
}

/// A run of one colour along an edge, in mm from the edge's start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// What colour runs out there.
    pub colour: Colour,
}

/// The colours along (a piece of) an edge: runs in order, neighbours of different colour.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Profile {
    /// The runs.
    pub runs: Vec<Run>,
}

/// The face of a slice, in mm; the centroid of the outline is the origin.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    outline: Polygon,
    regions: Vec<Region>,
}

impl Face {
    /// The face that a slice of this bar shows, as the bar stands.
    pub fn of(bar: &Bar) -> Self {
        let centre = Isometry::shift(-bar.outline().centroid());
        let regions = bar
            .parts()
            .iter()
            .enumerate()
            .flat_map(|(part, p)| {
                let place = p.place.then(centre);
                p.strip.layers().into_iter().map(move |l| Region {
                    part,
                    layer: l.layer,
                    colour: l.layer.seen(),
                    polygon: l.polygon.moved(place),
                    underlay: l.underlay.moved(place),
                })
            })
            .collect();
        Self {
            outline: bar.outline().moved(centre),
            regions,
        }
    }

    /// The outline.
    pub fn outline(&self) -> &Polygon {
        &self.outline
    }

    /// The layers, part by part and from face to back.
    pub fn regions(&self) -> &[Region] {
        &self.regions
    }

    /// Bounds of the outline.
    pub fn bounds(&self) -> Rect {
        self.outline.bounds()
    }

    /// The face flipped and turned about its centre; a shift is left out.
    #[must_use]
    pub fn posed(&self, by: Isometry) -> Self {
        let by = by.linear();
        Self {
            outline: self.outline.moved(by),
            regions: self
                .regions
                .iter()
                .map(|r| Region {
                    polygon: r.polygon.moved(by),
                    underlay: r.underlay.moved(by),
                    ..r.clone()
                })
                .collect(),
        }
    }

    /// The same face with other colours, one for each region in their order, such as a light or a
    /// finish gives them; regions beyond the list keep theirs.
    #[must_use]
    pub fn recoloured(mut self, colours: &[Colour]) -> Self {
        for (region, colour) in self.regions.iter_mut().zip(colours) {
            region.colour = *colour;
        }
        self
    }

    /// The colours along each edge of the outline, in the outline's order.
    pub fn profiles(&self) -> Vec<Profile> {
        self.outline
            .edges()
            .map(|edge| self.profile(edge))
            .collect()
    }

    fn profile(&self, (a, b): (Point, Point)) -> Profile {
        let length = a.distance(b);
        let unit = (b - a) * (1.0 / length);
        let mut runs: Vec<Run> = Vec::new();
        for region in &self.regions {
            for (p, q) in region.polygon.edges() {
                let off = |c: Point| unit.cross(c - a).abs();
                if off(p) > TOLERANCE || off(q) > TOLERANCE || (q - p).dot(unit) <= 0.0 {
                    continue;
                }
                let from = (p - a).dot(unit).max(0.0);
                let to = (q - a).dot(unit).min(length);
                if to - from > TOLERANCE {
                    runs.push(Run {
                        from,
                        to,
                        colour: region.colour,
                    });
                }
            }
        }
        runs.sort_by(|x, y| x.from.total_cmp(&y.from));
        Profile { runs }.merged()
    }
}

impl Profile {
    /// The piece between two places, measured anew from the first of them.
    #[must_use]
    pub fn piece(&self, from: f64, to: f64) -> Self {
        let runs = self
            .runs
            .iter()
            .map(|r| Run {
                from: r.from.max(from) - from,
                to: r.to.min(to) - from,
                ..*r
            })
            .filter(|r| r.to - r.from > TOLERANCE)
            .collect();
        Self { runs }
    }

    /// The same piece of `length` mm read from its other end.
    #[must_use]
    pub fn reversed(&self, length: f64) -> Self {
        let back = |r: &Run| Run {
            from: length - r.to,
            to: length - r.from,
            colour: r.colour,
        };
        Self {
            runs: self.runs.iter().rev().map(back).collect(),
        }
    }

    /// Whether both have the same colours with borders at the same places within `tolerance` mm:
    /// lines run on through a joint between them.
    pub fn agrees(&self, other: &Self, tolerance: f64) -> bool {
        self.runs.len() == other.runs.len()
            && self.runs.iter().zip(&other.runs).all(|(a, b)| {
                a.colour == b.colour
                    && (a.from - b.from).abs() <= tolerance
                    && (a.to - b.to).abs() <= tolerance
            })
    }

    fn merged(mut self) -> Self {
        self.runs.dedup_by(|next, last| {
            let joined = next.colour == last.colour && next.from - last.to <= TOLERANCE;
            if joined {
                last.to = last.to.max(next.to);
            }
            joined
        });
        self
    }
}
