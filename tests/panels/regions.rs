//! Regions with holes and curves: areas and clipped tiles against libraries that know nothing of ours (booleans
//! and offsets by `cavalier_contours`, curves by `kurbo`), and against the formulas of known shapes.
//!
//! `PLYLOOM_OUTLINE_CASES=5000` tries so many random outlines.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::f64::consts::PI;

use cavalier_contours::polyline::{BooleanOp, PlineSource, PlineSourceMut, Polyline};
use kurbo::{ParamCurve, ParamCurveNearest, Shape};
use plyloom::geom::{
    Point, Polygon, Rect, Region, TOLERANCE,
    curve::{Affine, Arc, Contour, Curve, SAGITTA},
    path_data,
    region::{Piece, RegionFault},
};
use proptest::prelude::*;

fn cases() -> u32 {
    let asked = std::env::var("PLYLOOM_OUTLINE_CASES").ok();
    asked.and_then(|n| n.parse().ok()).unwrap_or(64)
}

/// A polygon round a point, with one corner in each direction: concave as a rule, and never crossing itself.
fn star(centre: Point, radii: &[f64]) -> Vec<Point> {
    let step = 360.0 / radii.len() as f64;
    let corner = |(k, r): (usize, &f64)| centre + Point::unit(step * k as f64) * *r;
    radii.iter().enumerate().map(corner).collect()
}

fn radii(from: f64, to: f64) -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(from..to, 5..40)
}

/// An outline with up to two holes.
fn outlines() -> impl Strategy<Value = Vec<Vec<Point>>> {
    let hole = |x: f64| radii(5.0, 27.0).prop_map(move |r| star(Point::new(x, 3.0), &r));
    (radii(62.0, 200.0), hole(-29.0), hole(29.0), 0_usize..3).prop_map(|(outer, a, b, holes)| {
        let outer = star(Point::ZERO, &outer);
        [outer, a, b].into_iter().take(1 + holes).collect()
    })
}

fn region(corners: &[Vec<Point>]) -> Region {
    let contours: Vec<Contour> = corners.iter().map(|c| Contour::corners(c)).collect();
    Region::of(&contours).unwrap()
}

fn from_rim(region: &Region, p: Point) -> f64 {
    let loops = region.pieces().iter().flat_map(Piece::loops);
    let edges = loops.flat_map(Polygon::edges);
    edges
        .map(|(a, b)| p.from_line(a, b))
        .fold(f64::INFINITY, f64::min)
}

fn theirs(corners: &[Point]) -> Polyline {
    let mut line = Polyline::new_closed();
    for p in corners {
        line.add(p.x, p.y, 0.0);
    }
    line
}

fn their_area(a: &Polyline, b: &Polyline) -> f64 {
    let both = a.boolean(b, BooleanOp::And);
    let sum = |list: &[cavalier_contours::polyline::BooleanResultPline<Polyline>]| {
        list.iter().map(|p| p.pline.area().abs()).sum::<f64>()
    };
    sum(&both.pos_plines) - sum(&both.neg_plines)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases()))]

    #[test]
    fn tiles_are_clipped_as_by_another_library(
        corners in outlines(),
        tile in radii(8.0, 60.0),
        x in -180.0..180.0_f64,
        y in -180.0..180.0_f64,
    ) {
        let region = region(&corners);
        let whole: f64 = theirs(&corners[0]).area().abs()
            - corners[1..].iter().map(|h| theirs(h).area().abs()).sum::<f64>();
        prop_assert!((region.area() - whole).abs() < 1e-6 * whole);
        let tile = Polygon::clockwise(star(Point::new(x, y), &tile));
        let left: f64 = region.parts(&tile).iter().map(Piece::area).sum();
        let rim = theirs(tile.corners());
        let outer = their_area(&rim, &theirs(&corners[0]));
        let holes: f64 = corners[1..].iter().map(|h| their_area(&rim, &theirs(h))).sum();
        prop_assert!((left - (outer - holes)).abs() < 1e-6 * whole, "{left} {outer} {holes}");
        // What is held whole has all its area inside, and what is not reached has none.
        if region.holds(tile.bounds(), || tile.clone(), 0.0) {
            prop_assert!(tile.area() - left < 1e-6 * whole);
        }
        if !region.reaches(&tile) {
            prop_assert!(left < 0.01 * tile.perimeter());
        }
    }

    #[test]
    fn convex_tiles_are_held_or_not(
        corners in outlines(),
        size in 1.0..40.0_f64,
        turn in 0.0..360.0_f64,
        x in -180.0..180.0_f64,
        y in -180.0..180.0_f64,
    ) {
        let region = region(&corners);
        let tile = Polygon::clockwise(
            (0..6).map(|k| Point::new(x, y) + Point::unit(turn + 60.0 * f64::from(k)) * size).collect(),
        );
        let left: f64 = region.parts(&tile).iter().map(Piece::area).sum();
        let held = region.holds(tile.bounds(), || tile.clone(), 0.0);
        let off = tile.area() - left;
        // Whole numbers over a region of 400 mm come to less than a millionth of a mm along the rim.
        prop_assert!(!held || off < 1e-6 * tile.perimeter(), "{off}");
        prop_assert!(held || off > 0.0 || from_rim(&region, Point::new(x, y)) < size + 1e-6, "{off}");
        // Told by a look at the edges near, or by the pieces: the same.
        let wide = region.parts(&tile).iter().any(|piece| piece.width() > TOLERANCE);
        prop_assert_eq!(region.reaches(&tile), wide);
    }

    #[test]
    fn lines_run_inside_where_their_points_lie(
        corners in outlines(),
        a in (-180.0..180.0_f64, -180.0..180.0_f64),
        b in (-180.0..180.0_f64, -180.0..180.0_f64),
    ) {
        let region = region(&corners);
        let (a, b) = (Point::new(a.0, a.1), Point::new(b.0, b.1));
        prop_assume!(a.distance(b) > 1.0);
        let runs = region.runs((a, b));
        let length = a.distance(b);
        for i in 0..400 {
            let s = length * (f64::from(i) + 0.5) / 400.0;
            let p = a.towards(b, s / length);
            if from_rim(&region, p) > 0.02 {
                let inside = theirs(&corners[0]).winding_number(cavalier_contours::core::math::Vector2::new(p.x, p.y)) != 0
                    && corners[1..].iter().all(|h| {
                        theirs(h).winding_number(cavalier_contours::core::math::Vector2::new(p.x, p.y)) == 0
                    });
                let run = runs.iter().any(|&(from, to)| from <= s && s <= to);
                prop_assert_eq!(run, inside, "at {}", s);
            }
        }
    }

    #[test]
    fn borders_follow_as_by_another_library(radii in radii(80.0, 120.0), by in -12.0..12.0_f64) {
        prop_assume!(by.abs() > 0.1);
        let corners = star(Point::ZERO, &radii);
        let region = region(std::slice::from_ref(&corners));
        let grown = region.grown(by).unwrap();
        // Theirs is positive to the left of the way, and keeps its arcs.
        let line = theirs(&corners);
        let offset = line.parallel_offset(if line.area() > 0.0 { -by } else { by });
        let area: f64 = offset.iter().map(PlineSource::area).sum::<f64>().abs();
        let round = 2.0 * SAGITTA * offset.iter().map(PlineSource::path_length).sum::<f64>();
        prop_assert!((grown.area() - area).abs() < round, "{} {area}", grown.area());
    }

    #[test]
    fn paths_read_as_by_another_library(
        handles in prop::collection::vec((-100.0..100.0_f64, -100.0..100.0_f64), 6),
    ) {
        let [a, b, c, d, e, f] = handles[..] else { unreachable!() };
        let text = format!(
            "M{} {} C{} {} {} {} {} {} s3 4 {} {} q{} {} {} {} t5,6 h7 v-8 z",
            a.0, a.1, b.0, b.1, c.0, c.1, d.0, d.1, a.0, b.1, e.0, e.1, f.0, f.1
        );
        let ours = path_data::contours(&text).unwrap();
        let path = kurbo::BezPath::from_svg(&text).unwrap();
        let chords = ours[0].chords();
        let each = chords.iter().zip(chords.iter().cycle().skip(1));
        let area: f64 = each.clone().map(|(p, q)| p.cross(*q) / 2.0).sum();
        let around: f64 = each.map(|(p, q)| p.distance(*q)).sum();
        prop_assert!((area - path.area()).abs() <= SAGITTA * around, "{area} {}", path.area());
        // Chords lie within the sagitta of the curves.
        for (p, q) in chords.iter().zip(chords.iter().skip(1)) {
            let middle = kurbo::Point::new(f64::midpoint(p.x, q.x), f64::midpoint(p.y, q.y));
            let off = path.segments().map(|s| s.nearest(middle, 1e-9).distance_sq).fold(f64::INFINITY, f64::min);
            prop_assert!(off.sqrt() <= SAGITTA + 1e-6, "{}", off.sqrt());
        }
    }
}

/// Arcs of SVG, against the arcs of the other library.
#[test]
fn arcs_read_as_by_another_library() {
    for (rx, ry, turn) in [(30.0, 30.0, 0.0), (50.0, 20.0, 30.0), (5.0, 3.0, -70.0)] {
        for (large, clockwise) in [(false, false), (false, true), (true, false), (true, true)] {
            let ends = (Point::new(3.0, 4.0), Point::new(20.0, -9.0));
            let arc = Arc::between(ends, (rx, ry), turn, (large, clockwise)).unwrap();
            let their = kurbo::Arc::from_svg_arc(&kurbo::SvgArc {
                from: kurbo::Point::new(3.0, 4.0),
                to: kurbo::Point::new(20.0, -9.0),
                radii: kurbo::Vec2::new(rx, ry),
                x_rotation: turn * PI / 180.0,
                large_arc: large,
                sweep: clockwise,
            })
            .unwrap();
            // Radii that are too small are made larger: there they take the root of a rounded nothing.
            let near = if rx < 10.0 { 1e-6 } else { 1e-9 };
            assert!(
                (arc.centre.x - their.center.x).abs() < near,
                "{arc:?} {their:?}"
            );
            assert!(
                (arc.centre.y - their.center.y).abs() < near,
                "{arc:?} {their:?}"
            );
            assert!((arc.sweep * PI / 180.0 - their.sweep_angle).abs() < near);
            let curve = Curve::Arc(arc);
            assert!(curve.start().distance(ends.0) < 1e-9 && curve.end().distance(ends.1) < 1e-9);
            // The shape after a skew is that of the moved points.
            let skew = Affine {
                right: Point::new(1.0, 0.4),
                down: Point::new(-0.3, 2.0),
                shift: Point::new(7.0, 1.0),
            };
            let (a, b) = match curve.moved(skew) {
                Curve::Arc(arc) => arc.axes(),
                _ => unreachable!(),
            };
            assert!(a.dot(b).abs() < 1e-9 * a.length() * b.length());
        }
    }
    let line = kurbo::Line::new((0.0, 0.0), (1.0, 0.0));
    assert!(line.eval(0.5).x > 0.4);
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9 * b.abs().max(1.0), "{a} {b}");
}

/// Areas by the formulas of elementary geometry (from memory; each derived in a line).
#[test]
fn known_shapes_have_the_areas_of_their_formulas() {
    let holds = |contours: &[Contour], area: f64| {
        let region = Region::of(contours).unwrap();
        // Chords lie within the sagitta of the rim.
        let loops = region.pieces().iter().flat_map(Piece::loops);
        let around: f64 = loops.map(Polygon::perimeter).sum();
        let off = (region.area() - area).abs();
        assert!(off <= SAGITTA * around, "{} {area}", region.area());
    };
    // Ellipse: pi a b.
    holds(
        &[Contour::ellipse(Point::new(5.0, 6.0), 70.0, 40.0)],
        PI * 2800.0,
    );
    // Rectangle with rounded corners: w h - (4 - pi) r^2.
    let rounded = path_data::contours("M20 0 H180 A20 20 0 0 1 200 20 V80 A20 20 0 0 1 180 100 H20 A20 20 0 0 1 0 80 V20 A20 20 0 0 1 20 0 Z").unwrap();
    holds(&rounded, 20_000.0 - (4.0 - PI) * 400.0);
    // Reuleaux triangle of width s: (pi - sqrt 3) s^2 / 2.
    let s = 100.0;
    let h = s * 3.0_f64.sqrt() / 2.0;
    let reuleaux = format!(
        "M0 0 A{s} {s} 0 0 1 {s} 0 A{s} {s} 0 0 1 {} {h} A{s} {s} 0 0 1 0 0",
        s / 2.0
    );
    holds(
        &path_data::contours(&reuleaux).unwrap(),
        (PI - 3.0_f64.sqrt()) * s * s / 2.0,
    );
    // The lune of Hippocrates over the side of a square: as large as the triangle, a quarter of the square.
    let lune = "M0 0 A50 50 0 0 1 100 0 A70.71067811865476 70.71067811865476 0 0 0 0 0";
    holds(&path_data::contours(lune).unwrap(), 2500.0);
    // Ring: pi (R^2 - r^2).
    let ring = [100.0, 60.0].map(|r| Contour::ellipse(Point::ZERO, r, r));
    holds(&ring, PI * 6400.0);
    // Parabola over a chord: two thirds of the box (Archimedes).
    holds(
        &path_data::contours("M0 0 Q50 120 100 0 Z").unwrap(),
        4000.0,
    );
}

#[test]
fn what_bounds_no_region_is_refused() {
    let fault = |text: &str| Region::of(&path_data::contours(text).unwrap()).unwrap_err();
    assert!(
        matches!(fault("M0 0 L10 10 L10 0 L0 10 Z"), RegionFault::Crosses { at } if at.distance(Point::new(5.0, 5.0)) < 1e-9)
    );
    assert!(matches!(
        fault("M0 0 H10 V10 H0 Z M5 5 H15 V8 H5 Z"),
        RegionFault::Crosses { .. }
    ));
    assert!(
        matches!(
            fault("M0 0 H10 V10 H0 Z M10 10 H15 V18 H10 Z"),
            RegionFault::Crosses { .. }
        ),
        "touching in a corner"
    );
    assert!(
        matches!(fault("M0 0 H10 H5 V8 Z"), RegionFault::Crosses { .. }),
        "a spike"
    );
    assert_eq!(fault("M0 0 H10 Z"), RegionFault::NoArea);
    assert_eq!(fault("M0 0 H1e300 V10 Z"), RegionFault::NotFinite);
    let many: Vec<Point> = (0..30_000)
        .map(|i| Point::unit(0.012 * f64::from(i)) * 900.0)
        .collect();
    assert_eq!(
        Region::of(&[Contour::corners(&many)]),
        Err(RegionFault::TooMany)
    );
    assert!(path_data::contours("M0 0 L NaN 3").is_err());
    assert!(path_data::contours("").is_err() && path_data::contours("M1 1").is_err());
}

#[test]
fn holes_and_islands() {
    let square = |from: f64, to: f64| {
        Contour::corners(
            Rect {
                min: Point::new(from, from),
                max: Point::new(to, to),
            }
            .polygon()
            .corners(),
        )
    };
    let region = Region::of(&[square(40.0, 60.0), square(0.0, 100.0), square(20.0, 80.0)]).unwrap();
    assert_eq!((region.pieces().len(), region.holes()), (2, 1));
    close(region.area(), 10_000.0 - 3600.0 + 400.0);
    // A line through all of it is in pieces.
    let runs = region.runs((Point::new(-10.0, 50.0), Point::new(110.0, 50.0)));
    assert_eq!(runs.len(), 3);
    // A tile with a hole in it.
    let tile = Rect {
        min: Point::new(10.0, 10.0),
        max: Point::new(90.0, 90.0),
    }
    .polygon();
    let parts = region.parts(&tile);
    close(parts.iter().map(Piece::area).sum(), 6400.0 - 3600.0 + 400.0);
    assert!(!region.holds(tile.bounds(), || tile.clone(), 0.0));
    assert!(region.cut(Rect::sized(10.0, 10.0)).unwrap().area() > 99.9);
}

/// Round numbers, where edges lead through corners and middles of all that is laid over a region: what it says of each point
/// is what the crossings of a ray say.
#[test]
fn points_of_round_numbers_lie_where_a_ray_has_them() {
    for text in [
        "M 0 60 L 120 60 120 0 240 100 120 200 120 140 0 140 Z",
        "M 0 0 H 240 V 60 H 120 V 180 H 0 Z M 30 30 H 60 V 60 H 30 Z",
        "M 0 90 L 120 0 240 90 120 180 Z M 90 90 L 120 60 150 90 120 120 Z",
        "M 0 0 L 240 0 0 240 Z",
        "M 120 0 A 120 120 0 1 1 119.999 0 Z M 100 100 h 30 v 30 h -30 z",
    ] {
        let region = Region::of(&path_data::contours(text).unwrap()).unwrap();
        let piece = &region.pieces()[0];
        for i in -2..=98 {
            for j in -2..=98 {
                let p = Point::new(2.5 * f64::from(i), 2.5 * f64::from(j));
                if from_rim(&region, p) > 1e-6 {
                    assert_eq!(region.holds_point(p), piece.holds(p), "{text}: {p:?}");
                }
            }
        }
    }
}
