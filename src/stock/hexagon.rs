//! The hexagon bar: rhombi, half-hexagon trapezoids and triangles round one point.

use super::{
    Bar, StockError, Strip,
    bar::{EdgeRef, Mate},
    shapes::Shape,
};
use crate::geom::{Isometry, angle};

/// The point of a section that lies at the hexagon's centre, and the two edges that meet there.
struct Hub {
    /// The edge that leaves the centre (clockwise round the part).
    out: usize,
    /// The edge that comes back to it.
    back: usize,
    /// Where on either edge the centre lies, as a share of its length: 0 for a corner, a half
    /// where it is the middle of a trapezoid's long edge.
    at: f64,
    /// How many sixths of the full turn the part fills.
    sixths: usize,
}

/// A hexagon of these strips, clockwise round its centre; the first begins straight up.
///
/// A rhombus has its obtuse corner at the centre (the first one, clockwise from the top left as it
/// lies): turned end for end, its plies run along the other pair of sides; rolled over, its face
/// and back change places. A trapezoid has the middle of its long edge there. A triangle has there
/// the corner opposite its level edge.
///
/// # Errors
/// When a strip is none of these, the parts do not fill six sixths, and as [`Bar::glue`]: an edge
/// angle off 60 degrees shows as the gap or overlap of the joint that closes the turn.
pub fn hexagon(strips: Vec<Strip>, tolerance: f64) -> Result<Bar, StockError> {
    if strips.is_empty() {
        return Err(StockError::NoStrips);
    }
    let hubs = strips
        .iter()
        .enumerate()
        .map(|(i, s)| {
            hub(s).ok_or(StockError::NotForHexagon {
                part: i + 1,
                shape: s.shape(),
            })
        })
        .collect::<Result<Vec<_>, _>>()?;
    let sixths = hubs.iter().map(|h| h.sixths).sum();
    if sixths != 6 {
        return Err(StockError::HexagonCount { sixths });
    }
    let mates = hubs
        .windows(2)
        .enumerate()
        .map(|(part, pair)| Mate {
            onto: EdgeRef {
                part,
                edge: pair[0].back,
            },
            onto_at: pair[0].at,
            edge: pair[1].out,
            at: pair[1].at,
        })
        .collect();
    let last = strips.len() - 1;
    let closing = vec![(
        EdgeRef {
            part: last,
            edge: hubs[last].back,
        },
        EdgeRef {
            part: 0,
            edge: hubs[0].out,
        },
    )];
    let off = off_sixty(&strips, &hubs);
    let (from, to) = strips[0].section().edge(hubs[0].out);
    let way = to - from;
    let turn = Isometry::turn(270.0 - angle::direction(way.x, way.y));
    let centre = turn.apply(from.towards(to, hubs[0].at));
    Bar::glue(
        strips,
        turn.then(Isometry::shift(-centre)),
        mates,
        closing,
        tolerance,
    )
    .map_err(|error| off.unwrap_or(error))
}

/// An angle this near to 60 degrees is meant to be 60; one further off is no error of the saw.
const MEANT: f64 = 1.0;

/// The error for a hexagon that does not close, where a part is ripped at quite another angle than 60 degrees: it names
/// the first such part.
fn off_sixty(strips: &[Strip], hubs: &[Hub]) -> Option<StockError> {
    let angle = |(strip, hub): (&Strip, &Hub)| match hub.sixths {
        2 => 180.0 - strip.section().angle_at(hub.out),
        _ => strip.section().angle_at(hub.out),
    };
    let off = |pair: &(&Strip, &Hub)| (angle(*pair) - 60.0).abs() > MEANT;
    let part = strips.iter().zip(hubs).position(|pair| off(&pair))?;
    let shape = strips[part].shape();
    Some(StockError::HexagonAngle {
        part: part + 1,
        shape,
        angle: libm::round(angle((&strips[part], &hubs[part])) * 1e3) / 1e3,
        count: strips.len(),
        alone: strips.iter().all(|strip| strip.shape() == shape),
    })
}

fn hub(strip: &Strip) -> Option<Hub> {
    let section = strip.section();
    let corner = |i: usize, sixths: usize| {
        let n = section.corners().len();
        Hub {
            out: i,
            back: (i + n - 1) % n,
            at: 0.0,
            sixths,
        }
    };
    match Shape::of(section) {
        Shape::Triangle => {
            let level = section
                .edges()
                .position(|(a, b)| (a.y - b.y).abs() < 1e-6)?;
            Some(corner((level + 2) % 3, 1))
        }
        Shape::Rhombus => Some(corner((0..4).find(|&i| section.angle_at(i) > 90.0)?, 2)),
        Shape::Trapezoid => {
            let length = |i: usize| {
                let (a, b) = section.edge(i);
                a.distance(b)
            };
            let long = (0..4).max_by(|&i, &j| length(i).total_cmp(&length(j)))?;
            Some(Hub {
                out: long,
                back: long,
                at: 0.5,
                sixths: 3,
            })
        }
        _ => None,
    }
}
