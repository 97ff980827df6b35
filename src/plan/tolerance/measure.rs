//! A bar laid up from strips that came off the saw a little different, and what can be seen on it:
//! how its joints stand open, how far points stand proud, how its corners and its size come out.
//!
//! The bar is laid up dry by its own mates, as its maker does; each joint that no mate closes shows
//! what all errors before it add up to. Lengths in mm, angles in degrees.

use crate::plan::saw::{SawLimits, settings::Settings};
use crate::watch;
use crate::{
    geom::{Isometry, Point, Polygon, TOLERANCE},
    stock::{Bar, bar::EdgeRef, strip::Side},
};

/// One end of a joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointEnd {
    /// Whether it lies on the bar's rim; else it is inside the bar.
    pub outside: bool,
    /// Where it is in the nominal bar.
    pub at: Point,
    /// Which corners meet there; none where an edge runs on.
    pub step: Option<StepKind>,
    share_a: f64,
    share_b: f64,
}

/// What a point that stands proud at the end of a joint is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepKind {
    /// Above 0 where the part whose edge is the sheet's face or back stands beyond the other one,
    /// whose edge is sawn.
    FacePastSawn,
    /// Above 0 where the later part of the joint stands beyond the earlier one.
    LaterPastEarlier,
}

/// A joint with its two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointSite {
    /// One edge.
    pub a: EdgeRef,
    /// The other.
    pub b: EdgeRef,
    /// Both ends along edge `a`. Where one of them is inside the bar, it is the first.
    pub ends: [JointEnd; 2],
}

/// A corner of the bar's outline.
#[derive(Debug, Clone, PartialEq)]
pub struct CornerSite {
    /// Where it is in the nominal bar.
    pub at: Point,
    /// The nominal inner angle in degrees.
    pub angle: f64,
    /// The shorter of the two outline edges that meet there, in mm.
    pub leg: f64,
    /// The parts that meet there, with their corners.
    pub parts: Vec<(usize, usize)>,
}

/// What can be measured on a bar.
#[derive(Debug, Clone)]
pub struct Measure<'a> {
    bar: &'a Bar,
    settings: Settings,
    joints: Vec<JointSite>,
    corners: Vec<CornerSite>,
}

/// How a caliper lies across a strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Across {
    /// Along the flat of its wider face, from edge to edge.
    Flat,
    /// Over the sharp corners, along that face.
    Corners,
    /// Square across the sawn edge beside that face.
    Square,
}

impl Across {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Flat, Self::Corners, Self::Square];
}

/// What was measured; joints, corners and outline edges in the order of the [`Measure`].
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// How far each joint stands open at its two ends; below 0, how deep it would press in.
    pub openings: Vec<[f64; 2]>,
    /// How far points stand proud at the ends of each joint, see [`StepKind`]; 0 where none can.
    pub steps: Vec<[f64; 2]>,
    /// Change of each corner's angle, in degrees.
    pub corners: Vec<f64>,
    /// Change of each part's width, see [`Measure::width`], in the order of [`Across::ALL`].
    pub widths: Vec<[f64; 3]>,
    /// Change of the bounds' width and height.
    pub grown: Point,
}

impl<'a> Measure<'a> {
    /// Finds what can be measured on a bar that is cut on a saw.
    pub fn of(bar: &'a Bar, limits: &SawLimits) -> Self {
        Self {
            bar,
            settings: Settings::of(bar, limits),
            joints: joint_sites(bar),
            corners: corner_sites(bar),
        }
    }

    /// The bar.
    pub fn bar(&self) -> &'a Bar {
        self.bar
    }

    /// What can be off.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The joints.
    pub fn joints(&self) -> &[JointSite] {
        &self.joints
    }

    /// The corners of the outline.
    pub fn corners(&self) -> &[CornerSite] {
        &self.corners
    }

    /// The sections and places of the parts for errors in the order of the settings.
    pub fn lay_up(&self, errors: &[f64]) -> Vec<(Polygon, Isometry)> {
        let strips = self.bar.parts().iter().map(|p| &p.strip);
        let sections: Vec<Polygon> = strips.map(|s| self.settings.section(s, errors)).collect();
        let places = self.bar.laid_up_from(&sections);
        sections.into_iter().zip(places).collect()
    }

    /// Lays the bar up with these errors (in the order of the settings) and measures it.
    pub fn with(&self, errors: &[f64]) -> Seen {
        let parts = self.lay_up(errors);
        let edge = |e: EdgeRef| {
            let (section, place) = &parts[e.part];
            let (p, q) = section.edge(e.edge);
            (place.apply(p), place.apply(q))
        };
        let (mut openings, mut steps) = (Vec::new(), Vec::new());
        for joint in &self.joints {
            watch::ask();
            let ((a0, a1), (b0, b1)) = (edge(joint.a), edge(joint.b));
            let along = (a1 - a0) * (1.0 / a0.distance(a1));
            let off = joint
                .ends
                .map(|e| b0.towards(b1, e.share_b) - a0.towards(a1, e.share_a));
            openings.push(off.map(|d| d.dot(along.left_hand())));
            let middle = f64::midpoint(joint.ends[0].share_a, joint.ends[1].share_a);
            let mut stepped = [0.0; 2];
            for ((step, end), d) in stepped.iter_mut().zip(joint.ends).zip(off) {
                let outward = if end.share_a > middle { along } else { -along };
                let b_past_a = d.dot(outward);
                *step = match end.step {
                    None => 0.0,
                    Some(StepKind::FacePastSawn) if self.is_face(joint.a) => -b_past_a,
                    Some(_) => b_past_a,
                };
            }
            steps.push(stepped);
        }
        let corners = self
            .corners
            .iter()
            .map(|c| {
                let change = |&(part, corner): &(usize, usize)| {
                    let nominal = self.bar.parts()[part].strip.section();
                    parts[part].0.angle_at(corner) - nominal.angle_at(corner)
                };
                c.parts.iter().map(change).sum()
            })
            .collect();
        let nominal = points(&self.lay_up(&[]));
        let now = points(&parts);
        let grown = |way: Point| span(&now, way) - span(&nominal, way);
        let widths = (0..parts.len()).map(|part| {
            let edge = self.wide_edge(part);
            let change =
                |across| self.across(&parts[part].0, part, edge, across) - self.width(part, across);
            Across::ALL.map(change)
        });
        Seen {
            openings,
            steps,
            corners,
            widths: widths.collect(),
            grown: Point::new(grown(Point::new(1.0, 0.0)), grown(Point::new(0.0, 1.0))),
        }
    }

    fn is_face(&self, edge: EdgeRef) -> bool {
        self.bar.parts()[edge.part].strip.sides()[edge.edge] != Side::Cut
    }

    /// The nominal width of a part, in mm, at the wider of those sides of its section that were
    /// the sheet's face or back, or at its widest side where there is none.
    ///
    /// # Panics
    /// When the bar has no such part.
    pub fn width(&self, part: usize, across: Across) -> f64 {
        let section = self.bar.parts()[part].strip.section();
        self.across(section, part, self.wide_edge(part), across)
    }

    fn across(&self, section: &Polygon, part: usize, edge: usize, across: Across) -> f64 {
        let (p, q) = section.edge(edge);
        let along = (q - p) * (1.0 / p.distance(q));
        match across {
            Across::Flat => p.distance(q),
            Across::Corners => span(section.corners(), along),
            Across::Square => {
                let sides = self.bar.parts()[part].strip.sides();
                let n = sides.len();
                let beside = [(edge + n - 1) % n, (edge + 1) % n];
                let sawn = beside.into_iter().find(|&i| sides[i] == Side::Cut);
                let (a, b) = section.edge(sawn.unwrap_or(beside[1]));
                let normal = ((b - a) * (1.0 / a.distance(b))).left_hand();
                span(section.corners(), normal)
            }
        }
    }

    fn wide_edge(&self, part: usize) -> usize {
        let strip = &self.bar.parts()[part].strip;
        let rank = |i: usize| {
            let (p, q) = strip.section().edge(i);
            (strip.sides()[i] != Side::Cut, p.distance(q))
        };
        let mut best = 0;
        for i in 1..strip.sides().len() {
            let ((face, length), (best_face, longest)) = (rank(i), rank(best));
            if (face && !best_face) || (face == best_face && length > longest + TOLERANCE) {
                best = i;
            }
        }
        best
    }
}

fn span(points: &[Point], way: Point) -> f64 {
    let all = points.iter().map(|p| p.dot(way));
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
        (l.min(v), h.max(v))
    });
    high - low
}

fn points(parts: &[(Polygon, Isometry)]) -> Vec<Point> {
    let corners = |(section, place): &(Polygon, Isometry)| {
        let placed = section.corners().iter().map(|&p| place.apply(p));
        placed.collect::<Vec<_>>()
    };
    parts.iter().flat_map(corners).collect()
}

fn joint_sites(bar: &Bar) -> Vec<JointSite> {
    let face = |e: EdgeRef| bar.parts()[e.part].strip.sides()[e.edge] != Side::Cut;
    bar.joints()
        .iter()
        .map(|joint| {
            let (a0, a1) = bar.parts()[joint.a.part].outline_edge(joint.a.edge);
            let (b0, b1) = bar.parts()[joint.b.part].outline_edge(joint.b.edge);
            let length = a0.distance(a1);
            let along = (a1 - a0) * (1.0 / length);
            let t = |p: Point| (p - a0).dot(along);
            // Edge b runs the other way.
            let (from, to) = (t(b1), t(b0));
            let end = |at: f64| {
                let place = a0 + along * at;
                let share_b = 1.0 - (at - from) / (to - from);
                let cornered = |share: f64, length: f64| {
                    share * length < TOLERANCE || (1.0 - share) * length < TOLERANCE
                };
                let kind = if face(joint.a) == face(joint.b) {
                    StepKind::LaterPastEarlier
                } else {
                    StepKind::FacePastSawn
                };
                let both = cornered(at / length, length) && cornered(share_b, to - from);
                let outside = on_rim(bar.outline(), place);
                JointEnd {
                    outside,
                    at: place,
                    step: (both && outside).then_some(kind),
                    share_a: at / length,
                    share_b,
                }
            };
            let mut ends = [end(from.max(0.0)), end(to.min(length))];
            if ends[0].outside && !ends[1].outside {
                ends.swap(0, 1);
            }
            JointSite {
                a: joint.a,
                b: joint.b,
                ends,
            }
        })
        .collect()
}

fn on_rim(outline: &Polygon, p: Point) -> bool {
    outline.edges().any(|(a, b)| {
        let way = b - a;
        let t = ((p - a).dot(way) / way.dot(way)).clamp(0.0, 1.0);
        a.towards(b, t).distance(p) <= 2.0 * TOLERANCE
    })
}

fn corner_sites(bar: &Bar) -> Vec<CornerSite> {
    let outline = bar.outline();
    let n = outline.corners().len();
    let length = |i: usize| {
        let (a, b) = outline.edge(i);
        a.distance(b)
    };
    (0..n)
        .map(|i| {
            let at = outline.corners()[i];
            let parts = bar.parts().iter().enumerate().flat_map(|(p, part)| {
                let corners = part.strip.section().corners().iter().enumerate();
                let place = part.place;
                corners
                    .filter(move |&(_, &c)| place.apply(c).distance(at) <= 2.0 * TOLERANCE)
                    .map(move |(c, _)| (p, c))
            });
            CornerSite {
                at,
                angle: outline.angle_at(i),
                leg: length(i).min(length((i + n - 1) % n)),
                parts: parts.collect(),
            }
        })
        .collect()
}
