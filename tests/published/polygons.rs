//! Mitres and interior angles of regular polygons: any geometry text (interior angle
//! 180 (n - 2) / n, mitre of a closed ring 180 / n off square, side = across flats x tan(180 / n)).

use std::sync::Arc;

use plyloom::{
    geom::{Isometry, Point, Polygon, TOLERANCE, angle},
    stock::{
        Bar, Colour, Sheet, StockError, Strip,
        bar::{EdgeRef, Mate},
        strip::EdgeName::{Left, Right},
        symmetry::Symmetry,
    },
};

#[test]
fn interior_angles_and_symmetries() {
    for (n, interior) in [
        (3, 60.0),
        (4, 90.0),
        (5, 108.0),
        (6, 120.0),
        (8, 135.0),
        (12, 150.0),
    ] {
        let corner = |i: u32| Point::unit(360.0 * f64::from(i) / f64::from(n)) * 50.0;
        let p = Polygon::clockwise((0..n).map(corner).collect());
        assert!((p.angle_at(0) - interior).abs() < 1e-9);
        assert_eq!(Symmetry::of(&p).turns, n);
        let side = 2.0 * 50.0 * (std::f64::consts::PI / f64::from(n)).sin();
        assert!((p.perimeter() - f64::from(n) * side).abs() < 1e-9);
    }
}

/// A ring of n staves closes when each edge is mitred by 180 / n from square, that is with edge
/// angles of 90 - 180 / n; with any other angle the last joint does not.
#[test]
fn a_ring_of_staves_closes_at_the_mitre_of_the_table() {
    let sheet = Arc::new(Sheet::plywood(5, 6.4, Colour::rgb(220, 200, 160)).unwrap());
    for n in [3_usize, 4, 5, 6, 8, 9, 10, 12, 16, 24] {
        let mitre = 180.0 / n as f64;
        let ring = |edge: f64| {
            let stave = Strip::rip(&sheet, 60.0, edge, edge).unwrap();
            let (left, right) = (stave.edge(Left).unwrap(), stave.edge(Right).unwrap());
            let mates = (0..n - 1)
                .map(|part| Mate {
                    onto: EdgeRef { part, edge: right },
                    onto_at: 0.0,
                    edge: left,
                    at: 0.0,
                })
                .collect();
            let closing = (
                EdgeRef {
                    part: n - 1,
                    edge: right,
                },
                EdgeRef {
                    part: 0,
                    edge: left,
                },
            );
            Bar::glue(
                vec![stave; n],
                Isometry::IDENTITY,
                mates,
                vec![closing],
                TOLERANCE,
            )
        };
        // The staves leave the ring's middle open, which is said, after every joint has closed.
        let across = 60.0 / angle::tan(mitre) - 2.0 * 6.4;
        let inner = n as f64 * across * across * angle::tan(mitre) / 4.0;
        match ring(90.0 - mitre) {
            Err(StockError::Hollow { area }) => {
                assert!(
                    (area - inner).abs() < 1e-6 * inner.max(1.0),
                    "{n}: {area} {inner}"
                );
            }
            other => panic!("{n}: {other:?}"),
        }
        for off in [-0.5, 0.5] {
            assert!(
                matches!(
                    ring(90.0 - mitre + off),
                    Err(StockError::JointGap { .. } | StockError::PartsOverlap { .. })
                ),
                "{n} {off}"
            );
        }
    }
}
