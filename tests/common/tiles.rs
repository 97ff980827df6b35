//! Tiles and repeats for the tests of `explore`.
#![allow(dead_code, reason = "each test takes what it needs")]
#![allow(
    clippy::unwrap_used,
    reason = "only tests call it; fixed wood that cannot be made fails them"
)]

use std::sync::Arc;

use plyloom::{
    explore::{
        periods::Periods,
        repeat::{Poses, Repeat, RepeatCell},
    },
    geom::{Isometry, Point, TOLERANCE},
    layout::panel::Cell,
    stock::{
        Bar, Colour, Face, Grain, Layer, LayerKind, Sheet, Strip, Tile, TileKind,
        bar::{EdgeRef, Mate},
        hexagon::hexagon,
        shapes,
    },
};

/// The face of a tile as it stands.
pub(crate) fn face(tile: &Tile) -> Face {
    tile.kind.face().posed(tile.isometry())
}

/// The colour of a face at a point; none outside. On a border it is one of its neighbours.
pub(crate) fn colour_at(face: &Face, at: Point) -> Option<Colour> {
    let mut regions = face.regions().iter();
    regions.find(|r| r.polygon.holds(at)).map(|r| r.colour)
}

/// Colours that differ.
pub(crate) const PAINTS: [Colour; 4] = [
    Colour::rgb(232, 212, 176),
    Colour::rgb(104, 74, 54),
    Colour::rgb(186, 120, 80),
    Colour::rgb(20, 90, 160),
];

/// A sheet of layers (thickness in mm, paint).
pub(crate) fn sheet(layers: &[(f64, usize)]) -> Arc<Sheet> {
    let layers = layers.iter().map(|&(thickness, paint)| {
        Layer::new(LayerKind::Veneer, thickness, PAINTS[paint], Grain::None).unwrap()
    });
    Arc::new(Sheet::new(layers.collect()).unwrap())
}

fn kind(name: &str, bar: Bar) -> Arc<TileKind> {
    Arc::new(TileKind::new(name, Arc::new(bar)))
}

/// Squares of 10 mm, each of one colour.
pub(crate) fn plain_squares(count: usize) -> Vec<Arc<TileKind>> {
    (0..count)
        .map(|paint| {
            let strip = shapes::square(&sheet(&[(10.0, paint)])).unwrap();
            kind(&format!("plain {paint}"), Bar::plain(strip).unwrap())
        })
        .collect()
}

/// A square of 10 mm with these layers.
pub(crate) fn striped(name: &str, layers: &[(f64, usize)]) -> Arc<TileKind> {
    let strip = shapes::square(&sheet(layers)).unwrap();
    kind(name, Bar::plain(strip).unwrap())
}

/// A square of about 14 mm, halved by its diagonal: two right triangles of different colours.
pub(crate) fn diagonal() -> Arc<TileKind> {
    let triangle = |paint| shapes::triangle(&sheet(&[(10.0, paint)]), 45.0).unwrap();
    let (light, dark) = (triangle(0), triangle(1));
    let base = longest(&light);
    let mate = Mate {
        onto: EdgeRef {
            part: 0,
            edge: base,
        },
        onto_at: 0.0,
        edge: base,
        at: 0.0,
    };
    let turned = Isometry::turn(45.0);
    let bar = Bar::glue(vec![light, dark], turned, vec![mate], vec![], TOLERANCE).unwrap();
    kind("halved", bar)
}

fn longest(strip: &Strip) -> usize {
    let edges: Vec<_> = strip.section().edges().collect();
    let length = |i: &usize| edges[*i].0.distance(edges[*i].1);
    (0..edges.len())
        .max_by(|i, j| length(i).total_cmp(&length(j)))
        .unwrap()
}

/// A field of square cells, as large as the first kind.
pub(crate) fn grid(m: i32, n: i32, kinds: &[Arc<TileKind>], poses: Poses) -> Repeat {
    let outline = kinds[0].face().outline();
    let side = outline.bounds().width();
    let at = |c: i32, r: i32| Point::new(f64::from(c), f64::from(r)) * side;
    let cells = (0..n)
        .flat_map(|course| (0..m).map(move |column| Cell { column, course }))
        .map(|cell| RepeatCell {
            cell,
            at: at(cell.column, cell.course),
            outline: outline.clone(),
        })
        .collect();
    Repeat::new([at(m, 0), at(0, n)], cells, kinds, poses).unwrap()
}

/// A hexagon of three rhombi, their layers all linked one way.
pub(crate) fn hexagon_block() -> Arc<TileKind> {
    let plies = sheet(&[(3.0, 0), (3.0, 1), (3.0, 0), (3.0, 1), (3.0, 0)]);
    let rhombus = shapes::rhombus(&plies, 60.0).unwrap();
    kind("block", hexagon(vec![rhombus; 3], TOLERANCE).unwrap())
}

/// Hexagons standing on a point, repeated by two steps told in whole steps of the lattice: to the
/// next one on the right, and to the next one below on the right.
pub(crate) fn hexagons(
    block: &Arc<TileKind>,
    one: (i32, i32),
    other: (i32, i32),
    poses: Poses,
) -> Repeat {
    let outline = block.face().outline();
    let wide = outline.bounds().width();
    let (right, below) = (
        Point::new(wide, 0.0),
        Point::new(wide / 2.0, outline.bounds().height() * 0.75),
    );
    let step = |(i, j): (i32, i32)| right * f64::from(i) + below * f64::from(j);
    let periods = Periods::new(step(one), step(other)).unwrap();
    let mut cells: Vec<RepeatCell> = Vec::new();
    for course in 0..4 {
        for column in 0..4 {
            let at = step((column, course));
            if !cells.iter().any(|c| periods.has(at - c.at)) {
                cells.push(RepeatCell {
                    cell: Cell { column, course },
                    at,
                    outline: outline.clone(),
                });
            }
        }
    }
    Repeat::new([step(one), step(other)], cells, &[Arc::clone(block)], poses).unwrap()
}
