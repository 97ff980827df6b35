//! How far lines run on: layers that meet the same layer at a joint, and so on.
//!
//! A line is a chain of layers, each of one part of one tile. Two layers are linked where their cut
//! ends coincide (both corners within the tolerance) and show the same colour, be it inside a tile
//! or from tile to tile. A layer has at most two cut ends, so a chain is open or a closed loop. The
//! length of a layer is its area over its thickness: the length of its middle line, but for the
//! tips of triangles, where it is half as long as its longest side.

use smallvec::SmallVec;

use crate::watch;
use crate::{
    geom::{Point, Polygon, TOLERANCE, angle},
    layout::panel::Panel,
    stock::{Colour, Face, Layer},
};

/// What lines a panel has.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lines {
    /// Lines in all, closed loops among them.
    pub count: usize,
    /// Closed loops.
    pub loops: usize,
    /// Length in mm of all together.
    pub total: f64,
    /// Length in mm of the longest.
    pub longest: f64,
}

/// A layer of a face: its length and its cut ends.
struct Piece {
    colour: Colour,
    length: f64,
    ends: Vec<(Point, Point)>,
}

/// How far from each other cut ends that coincide may be, in mm: both tiles are off by the tolerance.
const REACH: f64 = 2.0 * TOLERANCE;

/// The lines of a panel, made of the layers that `wanted` accepts.
pub fn lines(panel: &Panel, wanted: impl Fn(&Layer) -> bool) -> Lines {
    let faces: Vec<Vec<Piece>> = panel
        .faces
        .iter()
        .map(|f| pieces(&f.face, &wanted))
        .collect();
    let mut lengths: Vec<f64> = Vec::new();
    let mut ends = Ends::default();
    for tile in &panel.tiles {
        watch::ask();
        for piece in &faces[tile.face as usize] {
            for &(a, b) in &piece.ends {
                ends.add(a + tile.at, b + tile.at, piece.colour, lengths.len());
            }
            lengths.push(piece.length);
        }
    }
    let mut found = Lines {
        total: lengths.iter().sum(),
        ..Lines::default()
    };
    let links = ends.links(lengths.len());
    let mut seen = vec![false; lengths.len()];
    for start in 0..lengths.len() {
        watch::ask();
        if seen[start] {
            continue;
        }
        let (mut length, mut pieces, mut joints) = (0.0, 0, 0);
        let mut waiting = vec![start];
        seen[start] = true;
        while let Some(at) = waiting.pop() {
            length += lengths[at];
            pieces += 1;
            joints += links[at].len();
            for &next in &links[at] {
                if !seen[next] {
                    seen[next] = true;
                    waiting.push(next);
                }
            }
        }
        found.count += 1;
        // Each link is counted from both sides; a loop has as many links as pieces.
        found.loops += usize::from(joints == 2 * pieces);
        found.longest = f64::max(found.longest, length);
    }
    found
}

/// The cut ends of all layers, to find those that coincide.
#[derive(Default)]
struct Ends {
    all: Vec<End>,
    /// Where the middle of each lies, and its number.
    places: Vec<(Key, usize)>,
}

/// Column and row of a square.
type Key = (i64, i64);

struct End {
    a: Point,
    b: Point,
    colour: Colour,
    piece: usize,
}

impl Ends {
    fn add(&mut self, a: Point, b: Point, colour: Colour, piece: usize) {
        let place = key(a.towards(b, 0.5));
        self.places.push((place, self.all.len()));
        self.all.push(End {
            a,
            b,
            colour,
            piece,
        });
    }

    /// The layers that each layer runs on into.
    fn links(mut self, pieces: usize) -> Vec<SmallVec<[usize; 2]>> {
        self.places.sort_unstable();
        let mut links = vec![SmallVec::new(); pieces];
        for end in &self.all {
            let middle = end.a.towards(end.b, 0.5);
            let reach = Point::new(REACH, REACH);
            let (from, to) = (key(middle - reach), key(middle + reach));
            let other = (from.0..=to.0)
                .flat_map(|i| (from.1..=to.1).map(move |j| (i, j)))
                .flat_map(|key| {
                    let first = self.places.partition_point(|(place, _)| *place < key);
                    self.places[first..]
                        .iter()
                        .take_while(move |(place, _)| *place == key)
                })
                .map(|&(_, i)| &self.all[i])
                .find(|o| {
                    o.piece != end.piece
                        && o.colour == end.colour
                        && o.a.distance(end.b) <= REACH
                        && o.b.distance(end.a) <= REACH
                });
            links[end.piece].extend(other.map(|o| o.piece));
        }
        links
    }
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "saturates far outside any panel"
)]
fn key(p: Point) -> Key {
    let side = 10.0 * TOLERANCE;
    ((p.x / side).floor() as i64, (p.y / side).floor() as i64)
}

fn pieces(face: &Face, wanted: &impl Fn(&Layer) -> bool) -> Vec<Piece> {
    let regions = face.regions();
    let mut found = Vec::new();
    for region in regions.iter().filter(|r| wanted(&r.layer)) {
        watch::ask();
        let mut beside = regions
            .iter()
            .filter(|o| o.part == region.part && !std::ptr::eq(*o, region));
        let Some(way) = beside.find_map(|o| common_edge(&region.polygon, &o.polygon)) else {
            continue;
        };
        let across = way.left_hand();
        let corners = region.polygon.corners().iter().map(|c| c.dot(across));
        let low = corners.clone().fold(f64::INFINITY, f64::min);
        let thickness = corners.fold(f64::NEG_INFINITY, f64::max) - low;
        let ends = region.polygon.edges().filter(|&(a, b)| {
            let edge = b - a;
            way.cross(edge).abs() > 1e-3 * edge.length()
        });
        found.push(Piece {
            colour: region.colour,
            length: region.polygon.area() / thickness,
            ends: ends.collect(),
        });
    }
    found
}

/// The direction, as a unit vector, of an edge that two layers of one part have in common.
fn common_edge(one: &Polygon, other: &Polygon) -> Option<Point> {
    one.edges().find_map(|(a, b)| {
        let shared = other
            .edges()
            .any(|(p, q)| p.distance(b) <= TOLERANCE && q.distance(a) <= TOLERANCE);
        shared.then(|| {
            let way = b - a;
            Point::unit(angle::direction(way.x, way.y))
        })
    })
}
