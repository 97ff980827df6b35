//! Whether parts close to a bar: its joints, overlaps, holes.

use super::super::StockError;
use super::part::{EdgeRef, Joint, Part};
use crate::geom::{
    Point, Polygon, TOLERANCE, angle, clip,
    outline::{Outline, outline},
};
use crate::watch;

/// Two edges that face each other within this many degrees, this close (mm), with at least this
/// much length in common (mm), are meant to be a joint, whether or not anyone said so.
const JOINT_DEGREES: f64 = 5.0;
const JOINT_REACH: f64 = 1.0;
const JOINT_LEAST: f64 = 1.0;

/// Two edges that face each other: how long they run side by side and how far apart, in mm.
struct Facing {
    length: f64,
    nearest: f64,
    farthest: f64,
}

/// How edge `b` faces edge `a`; none where they do not, or only in a point.
fn facing(a: (Point, Point), b: (Point, Point)) -> Option<Facing> {
    let way = a.1 - a.0;
    let length = way.length();
    let unit = way * (1.0 / length);
    let out = unit.left_hand();
    let along = |p: Point| (p - a.0).dot(unit);
    let (from, to) = (along(b.1), along(b.0));
    let (low, high) = (from.max(0.0), to.min(length));
    if high - low <= TOLERANCE {
        return None;
    }
    let off = |t: f64| {
        let p = b.1.towards(b.0, (t - from) / (to - from));
        (p - a.0).dot(out)
    };
    let (x, y) = (off(low), off(high));
    Some(Facing {
        length: high - low,
        nearest: x.min(y),
        farthest: x.max(y),
    })
}

/// The joints of some parts, by part and edge.
///
/// # Errors
/// When one of them is open, or pressed together.
pub(super) fn check_joints(
    parts: &[Part],
    closing: &[(EdgeRef, EdgeRef)],
    tolerance: f64,
) -> Result<Vec<Joint>, StockError> {
    let mut joints = Vec::new();
    for (p, first) in parts.iter().enumerate() {
        watch::ask();
        for (q, second) in parts.iter().enumerate().skip(p + 1) {
            for i in 0..first.strip.sides().len() {
                for j in 0..second.strip.sides().len() {
                    let (a, b) = (EdgeRef { part: p, edge: i }, EdgeRef { part: q, edge: j });
                    let wanted = closing.contains(&(a, b)) || closing.contains(&(b, a));
                    joints.extend(joint(parts, a, b, wanted, tolerance)?);
                }
            }
        }
    }
    Ok(joints)
}

fn joint(
    parts: &[Part],
    a: EdgeRef,
    b: EdgeRef,
    wanted: bool,
    tolerance: f64,
) -> Result<Option<Joint>, StockError> {
    let ea = parts[a.part].outline_edge(a.edge);
    let eb = parts[b.part].outline_edge(b.edge);
    let (wa, wb) = (ea.1 - ea.0, eb.0 - eb.1);
    let apart = angle::between(angle::direction(wa.x, wa.y), angle::direction(wb.x, wb.y));
    if !wanted && apart > JOINT_DEGREES {
        return Ok(None);
    }
    let gap_of = |gap: f64| StockError::JointGap {
        a: a.part + 1,
        a_edge: a.edge + 1,
        b: b.part + 1,
        b_edge: b.edge + 1,
        gap,
    };
    let Some(f) = facing(ea, eb) else {
        // Where two edges that should close do not even face each other, the joint is open by the distance between the
        // ends that should meet.
        let way = ea.0.distance(eb.1).max(ea.1.distance(eb.0));
        return if wanted { Err(gap_of(way)) } else { Ok(None) };
    };
    let open = f.farthest > tolerance;
    let pressed = f.nearest < -tolerance;
    if wanted && pressed {
        return Err(StockError::PartsOverlap {
            a: a.part + 1,
            a_edge: a.edge + 1,
            b: b.part + 1,
            b_edge: b.edge + 1,
            depth: -f.nearest,
        });
    }
    let near = f.farthest <= JOINT_REACH && f.nearest >= -tolerance && f.length >= JOINT_LEAST;
    if open && (wanted || near) {
        return Err(gap_of(f.farthest));
    }
    Ok((!open && !pressed).then_some(Joint {
        a,
        b,
        length: f.length,
        gap: f.farthest,
    }))
}

/// Whether no two parts overlap.
pub(super) fn check_overlaps(parts: &[Part], tolerance: f64) -> Result<(), StockError> {
    for (p, first) in parts.iter().enumerate() {
        watch::ask();
        for (q, second) in parts.iter().enumerate().skip(p + 1) {
            let Some(both) = clip::common(&first.outline, &second.outline) else {
                continue;
            };
            let depth = clip::depth(&both);
            if depth > tolerance {
                return Err(StockError::PartsOverlap {
                    a: p + 1,
                    a_edge: first.shallowest(&both) + 1,
                    b: q + 1,
                    b_edge: second.shallowest(&both) + 1,
                    depth,
                });
            }
        }
    }
    Ok(())
}

impl Part {
    /// The edge behind which a polygon reaches least deep: the one it came in by.
    fn shallowest(&self, inside: &Polygon) -> usize {
        let reach = |i: usize| {
            let (a, b) = self.outline_edge(i);
            let out = (b - a).left_hand() * (1.0 / a.distance(b));
            inside
                .corners()
                .iter()
                .map(|&p| -(p - a).dot(out))
                .fold(0.0, f64::max)
        };
        (0..self.strip.sides().len())
            .min_by(|&i, &j| reach(i).total_cmp(&reach(j)))
            .unwrap_or(0)
    }
}

/// The one rim of all parts together.
pub(super) fn single_rim(parts: &[Part], tolerance: f64) -> Result<Polygon, StockError> {
    let polygons: Vec<Polygon> = parts.iter().map(|p| p.outline.clone()).collect();
    let Outline {
        mut rims, holes, ..
    } = outline(&polygons, tolerance);
    if let Some(hole) = holes.first() {
        return Err(StockError::Hollow {
            area: hole.polygon.area(),
        });
    }
    match (rims.pop(), rims.len()) {
        (Some(rim), 0) => Ok(rim.polygon),
        (_, more) => Err(StockError::Apart { groups: more + 1 }),
    }
}
