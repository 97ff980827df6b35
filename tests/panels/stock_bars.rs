//! Bars that close, and bars that cannot.
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test may stop at once, and checks our trigonometry by another one"
)]

use std::sync::Arc;

use crate::common::tiles::face;
use plyloom::{
    geom::TOLERANCE,
    stock::{
        Bar, Colour, Sheet, StockError, Strip, TileKind,
        hexagon::hexagon,
        shapes,
        strip::EdgeName::{Left, Number, Right, Top},
    },
};

fn sheet(thickness: f64) -> Arc<Sheet> {
    Arc::new(Sheet::plywood(13, thickness, Colour::rgb(230, 210, 170)).unwrap())
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6, "{a} is not {b}");
}

#[test]
fn a_rhombus_measures_as_the_textbook_says() {
    for (edge, side) in [
        (30.0, 36.0),
        (45.0, 25.455_844),
        (60.0, 20.784_610),
        (72.0, 18.926_320),
    ] {
        let r = shapes::rhombus(&sheet(18.0), edge).unwrap();
        for (a, b) in r.section().edges() {
            assert!((a.distance(b) - side).abs() < 1e-5);
        }
        // Area T^2 / sin a: any geometry text.
        assert!((r.section().area() - side * 18.0).abs() < 1e-3);
        assert_eq!(r.shape(), "rhombus");
    }
}

#[test]
fn three_rhombi_two_trapezoids_six_triangles_and_mixes_make_the_same_hexagon() {
    let s = sheet(18.0);
    let rhombus = shapes::rhombus(&s, 60.0).unwrap();
    let half = shapes::half_hexagon(&s, 60.0).unwrap();
    let triangle = shapes::triangle(&s, 60.0).unwrap();
    let side = 18.0 / (3.0_f64.sqrt() / 2.0);
    let bars = [
        hexagon(vec![rhombus.clone(); 3], TOLERANCE).unwrap(),
        hexagon(vec![half.clone(); 2], TOLERANCE).unwrap(),
        hexagon(vec![triangle.clone(); 6], TOLERANCE).unwrap(),
        hexagon(vec![half, rhombus.clone(), triangle.clone()], TOLERANCE).unwrap(),
        hexagon(
            vec![rhombus.clone(), triangle.clone(), rhombus, triangle.clone()],
            TOLERANCE,
        )
        .unwrap(),
    ];
    for bar in &bars {
        // Regular hexagon of side s: area 3 sqrt(3) / 2 s^2, any geometry text.
        near(bar.outline().area(), 1.5 * 3.0_f64.sqrt() * side * side);
        assert_eq!(bar.outline().corners().len(), 6);
        assert!(bar.outline().coincides(bars[0].outline(), 1e-6));
        near(bar.outline().bounds().height(), 2.0 * side);
        assert_eq!(
            bar.joints().len(),
            bar.parts().len().max(2) - usize::from(bar.parts().len() == 2)
        );
    }
}

#[test]
fn a_rhombus_stands_both_ways() {
    let r = shapes::rhombus(&sheet(18.0), 60.0).unwrap();
    let all_one_way = hexagon(vec![r.clone(); 3], TOLERANCE).unwrap();
    let other = hexagon(vec![r.end_for_end(); 3], TOLERANCE).unwrap();
    let one_turned = hexagon(vec![r.clone(), r.end_for_end(), r.clone()], TOLERANCE).unwrap();
    let tile = |bar: &Bar| TileKind::new("t", Arc::new(bar.clone()));
    let (a, b, c) = (tile(&all_one_way), tile(&other), tile(&one_turned));
    assert!(!a.face().looks_like(b.face()));
    assert!(!a.face().looks_like(c.face()));
    assert_eq!((a.orientations().len(), a.looks().len()), (12, 4));
    assert_eq!(c.looks().len(), 12);
    let flipped = plyloom::stock::Tile::new(Arc::new(a)).flip();
    assert!(
        [flipped.clone(), flipped.rotate(60.0)]
            .iter()
            .any(|tile| face(tile).looks_like(b.face())),
        "turned over, the one is the other"
    );
}

#[test]
fn half_a_degree_opens_or_crowds_the_last_joint() {
    let s = sheet(18.0);
    let narrow = hexagon(vec![shapes::rhombus(&s, 60.25).unwrap(); 3], TOLERANCE).unwrap_err();
    // Obtuse corners of 119.75 degrees leave 0.75 degrees: side * sin(0.75) at the outside.
    let StockError::JointGap { a, b, gap, .. } = narrow else {
        panic!("{narrow:?}")
    };
    assert_eq!((a, b), (1, 3));
    let side = 18.0 / 60.25_f64.to_radians().sin();
    assert!(
        (gap - side * 0.75_f64.to_radians().sin()).abs() < 1e-6,
        "{gap}"
    );
    let wide = hexagon(vec![shapes::rhombus(&s, 59.75).unwrap(); 3], TOLERANCE).unwrap_err();
    assert!(
        matches!(wide, StockError::PartsOverlap { a: 1, b: 3, .. }),
        "{wide:?}"
    );
}

#[test]
fn a_mitred_pair_of_right_triangles_is_a_square_with_bent_plies() {
    let s = sheet(18.0);
    let (_, right) = shapes::triangle(&s, 45.0).unwrap().halve().unwrap();
    let bar = Bar::mitred_pair(&right, TOLERANCE).unwrap();
    near(bar.outline().area(), 18.0 * 18.0);
    assert_eq!(bar.outline().corners().len(), 4);
    let tile = TileKind::new("mitre", Arc::new(bar));
    assert_eq!((tile.orientations().len(), tile.looks().len()), (8, 4));
}

#[test]
fn halving_gives_mirror_pieces_and_loses_nothing() {
    let half = shapes::half_hexagon(&sheet(18.0), 60.0).unwrap();
    let (left, right) = half.halve().unwrap();
    near(
        left.section().area() + right.section().area(),
        half.section().area(),
    );
    assert!(
        left.end_for_end()
            .section()
            .coincides(right.section(), 1e-9)
    );
    assert_eq!((left.shape(), half.shape()), ("trapezoid", "trapezoid"));
    let lean = shapes::rhombus(&sheet(18.0), 60.0).unwrap();
    assert_eq!(
        lean.halve(),
        Err(StockError::NotSymmetric { shape: "rhombus" })
    );
    assert!(matches!(
        half.rip_again(400.0, 90.0),
        Err(StockError::CutMisses { .. })
    ));
}

#[test]
fn stacks_and_general_mates() {
    let s = sheet(6.0);
    let lath = Strip::rip(&s, 30.0, 90.0, 90.0).unwrap();
    let stack = Bar::stack(vec![lath.clone(); 5], TOLERANCE).unwrap();
    near(stack.outline().area(), 900.0);
    assert_eq!(stack.joints().len(), 4);
    assert_eq!(stack.outline().corners().len(), 4);

    let mate = |onto_edge, edge| plyloom::stock::bar::Mate {
        onto: plyloom::stock::bar::EdgeRef {
            part: 0,
            edge: onto_edge,
        },
        onto_at: 0.0,
        edge,
        at: 0.0,
    };
    let plain = Bar::plain(lath.clone()).unwrap();
    let corner = plain
        .with(
            lath.clone(),
            mate(lath.edge(Top).unwrap(), lath.edge(Left).unwrap()),
            TOLERANCE,
        )
        .unwrap();
    assert_eq!(corner.outline().corners().len(), 6);
    near(corner.outline().area(), 360.0);
    let inside = plain.with(
        lath.clone(),
        mate(lath.edge(Top).unwrap(), lath.edge(Right).unwrap()),
        0.01,
    );
    assert!(inside.is_ok());
    assert!(matches!(
        lath.edge(Number(5)),
        Err(StockError::NoSuchEdge { .. })
    ));
}

#[test]
fn strips_that_cannot_be_ripped() {
    let s = sheet(18.0);
    for width in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e9] {
        assert!(matches!(
            Strip::rip(&s, width, 90.0, 90.0),
            Err(StockError::Width { .. })
        ));
    }
    for edge in [0.0, 180.0, -30.0, 360.0, f64::NAN] {
        assert!(matches!(
            Strip::rip(&s, 50.0, edge, 90.0),
            Err(StockError::EdgeAngle { .. })
        ));
        assert!(matches!(
            shapes::rhombus(&s, edge),
            Err(StockError::EdgeAngle { .. })
        ));
    }
    let Err(StockError::BevelsMeet { needed, .. }) = Strip::rip(&s, 10.0, 60.0, 60.0) else {
        panic!("a strip narrower than its bevels leave")
    };
    near(needed, 2.0 * 18.0 / 3.0_f64.sqrt());
}
