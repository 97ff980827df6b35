//! Convex polygons, cut and laid over each other: areas add up, and nothing breaks.

use arbitrary::{Arbitrary, Unstructured};
use plyloom::geom::clip::{HalfPlane, common, keep, within};
use plyloom::geom::{Isometry, Point, Polygon, Rect};

#[derive(Debug)]
struct Shape(Polygon);

impl<'a> Arbitrary<'a> for Shape {
    /// Corners on an ellipse, in order: convex, some of them close together.
    fn arbitrary(bytes: &mut Unstructured<'a>) -> arbitrary::Result<Self> {
        let number = |bytes: &mut Unstructured<'a>, most: u32| -> arbitrary::Result<f64> {
            Ok(f64::from(bytes.int_in_range(0..=most)?) / 1000.0)
        };
        let (a, b) = (1.0 + number(bytes, 500_000)?, 1.0 + number(bytes, 500_000)?);
        let (x, y) = (number(bytes, 1_000_000)?, number(bytes, 1_000_000)?);
        let mut angles = Vec::new();
        for _ in 0..bytes.int_in_range(3..=9)? {
            angles.push(number(bytes, 359_999)?);
        }
        angles.sort_by(f64::total_cmp);
        angles.dedup_by(|a, b| (*a - *b).abs() < 0.5);
        let corner = |degrees: &f64| {
            let unit = Point::unit(*degrees);
            Point {
                x: x + a * unit.x,
                y: y + b * unit.y,
            }
        };
        if angles.len() < 3 {
            return Err(arbitrary::Error::IncorrectFormat);
        }
        Ok(Self(Polygon::clockwise(
            angles.iter().map(corner).collect(),
        )))
    }
}

/// Two shapes, a turn and a mirror, read off bytes.
pub(super) fn check(bytes: &[u8]) {
    let mut bytes = Unstructured::new(bytes);
    let Ok(input) = <(Shape, Shape, u16, bool)>::arbitrary(&mut bytes) else {
        return;
    };
    let (Shape(a), Shape(b), turn, mirror) = input;
    let area = |p: &Option<Polygon>| p.as_ref().map_or(0.0, Polygon::area);
    // A thousandth of a mm along every border.
    let slack = 1e-3 * (a.perimeter() + b.perimeter() + 10.0);
    for (p, q) in b.edges() {
        let side = HalfPlane::right_of(p, q);
        let parts = area(&keep(&a, side)) + area(&keep(&a, side.other_side()));
        assert!((parts - a.area()).abs() <= slack, "{parts} of {}", a.area());
    }
    let (one, other) = (area(&common(&a, &b)), area(&common(&b, &a)));
    assert!((one - other).abs() <= slack, "{one} {other}");
    assert!(one <= a.area().min(b.area()) + slack);
    let box_of_b: Rect = b.bounds();
    assert!(area(&within(&a, box_of_b)) + slack >= one);
    let degrees = f64::from(turn) / 100.0;
    let by = Isometry::turn(degrees);
    let by = if mirror {
        by.then(Isometry::mirror(30.0))
    } else {
        by
    };
    let moved = a.moved(by);
    assert!((moved.area() - a.area()).abs() <= slack);
    let back = moved.moved(by.inverse());
    assert!(back.coincides(&a, 1e-6));
    assert!(a.holds(a.centroid()));
    let simple = a.simplified(1e-3);
    assert!(simple.corners().len() <= a.corners().len());
}
