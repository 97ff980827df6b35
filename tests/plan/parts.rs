//! The largest panel from the tiles in hand, against brute force.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use plyloom::geom::{Point, Rect};
use plyloom::plan::parts::{Field, Mirrored, Parts, PartsError, Seam, Spot, parse};
use proptest::prelude::*;

/// A field of squares of side 10; `own` says which kinds are their own mirror images.
fn squares(columns: usize, kinds: &[usize], own: &[bool]) -> Field {
    let courses = kinds.len() / columns;
    let spots = kinds
        .iter()
        .enumerate()
        .map(|(i, &kind)| {
            let (x, y) = ((i % columns) as f64 * 10.0, (i / columns) as f64 * 10.0);
            Some(Spot {
                kind,
                right: Some(x + 10.0),
                bottom: Some(y + 10.0),
                middle_x: own[kind].then_some(x + 5.0),
                middle_y: own[kind].then_some(y + 5.0),
                bounds: Rect {
                    min: Point::new(x, y),
                    max: Point::new(x + 10.0, y + 10.0),
                },
            })
        })
        .collect();
    Field {
        kinds: vec!["a".to_owned(), "b".to_owned()],
        columns,
        courses,
        spots,
    }
}

fn have(a: u64, b: u64) -> Parts {
    vec![("a".to_owned(), a), ("b".to_owned(), b)]
}

#[test]
fn a_checkerboard_takes_as_many_as_the_scarcer_kind_allows() {
    // 6 x 6 checkerboard; 8 of a and 5 of b. 3 x 3 from an a takes 5 + 4 = 9; 4 x 3 takes 6 + 6;
    // 2 x 5 takes 5 + 5 = 10; 11 x 1 is wider than the field.
    let kinds: Vec<usize> = (0..36).map(|i| (i % 6 + i / 6) % 2).collect();
    let field = squares(6, &kinds, &[true, true]);
    let filled = field
        .largest(&have(8, 5), Mirrored::default(), None)
        .unwrap()
        .unwrap();
    assert_eq!(filled.tiles, 10);
    assert_eq!(filled.used, have(5, 5));
    assert_eq!(filled.left, have(3, 0));
    // Symmetric about both axes: a b a and its mirror images take 4 x 2 = 8 of a and 4 of b.
    let both = Mirrored {
        left_right: true,
        top_bottom: true,
    };
    let filled = field.largest(&have(8, 5), both, None).unwrap().unwrap();
    assert_eq!((filled.columns, filled.courses, filled.tiles), (6, 2, 12));
    assert_eq!(
        (filled.upright, filled.level),
        (Seam::Between, Seam::Between)
    );
}

#[test]
fn a_line_through_tiles_needs_tiles_that_are_their_own_mirror_image() {
    let field = squares(3, &[0, 1, 0], &[true, false]);
    let upright = Mirrored {
        left_right: true,
        top_bottom: false,
    };
    // a b A b a, the line through the middle of A. b is not its own mirror image: with one a less
    // there is but a b b a, the line along a seam.
    let filled = field.largest(&have(3, 2), upright, None).unwrap().unwrap();
    assert_eq!((filled.columns, filled.upright), (5, Seam::Through));
    assert_eq!(filled.used, have(3, 2));
    let filled = field.largest(&have(2, 2), upright, None).unwrap().unwrap();
    assert_eq!((filled.columns, filled.upright), (4, Seam::Between));
}

/// Hexagons 38.4 mm across the flats, upright sides left and right; every second course half a tile to
/// the right; each its own mirror image.
fn hexagons(columns: usize, courses: usize) -> Field {
    let (wide, high) = (38.4, 38.4 / 0.75_f64.sqrt());
    let spot = |i: usize| {
        let (column, course) = (i % columns, i / columns);
        let x = wide * (column as f64 + if course % 2 == 1 { 0.5 } else { 0.0 });
        let y = 0.75 * high * course as f64;
        Some(Spot {
            kind: 0,
            right: Some(x + wide),
            bottom: None,
            middle_x: Some(x + wide / 2.0),
            middle_y: Some(y + high / 2.0),
            bounds: Rect {
                min: Point::new(x, y),
                max: Point::new(x + wide, y + high),
            },
        })
    };
    Field {
        kinds: vec!["a".to_owned(), "b".to_owned()],
        columns,
        courses,
        spots: (0..columns * courses).map(spot).collect(),
    }
}

/// By hand: with courses of n and n - 1 in turn, 61 tiles give 9 + 8 + 9 + 8 + 9 + 8 + 9 = 60 in seven
/// courses (10 and 9 in turn would take 67); wider courses than ten tiles there are none here. The
/// line runs through a tile in the courses of nine and along a joint in those of eight.
#[test]
fn a_mirror_line_runs_through_tiles_and_joints_in_turn() {
    let upright = Mirrored {
        left_right: true,
        top_bottom: false,
    };
    let found = |field: &Field, shape| {
        field
            .largest(&have(61, 0), upright, shape)
            .unwrap()
            .unwrap()
    };
    let filled = found(&hexagons(10, 7), None);
    assert_eq!((filled.tiles, filled.courses, filled.columns), (60, 7, 9));
    assert_eq!(filled.in_turn, [9, 8, 9, 8, 9, 8, 9]);
    assert_eq!(filled.upright, Seam::InTurn);
    assert_eq!(filled.left, have(1, 0));
    // With ten courses eight of 8 and 7 in turn are 60 as well, and nearer to a square: 8 x 38.4 =
    // 307 by (7 x 0.75 + 1) x 44.34 = 277, against 346 by 244.
    let squarest = found(&hexagons(10, 10), None);
    assert_eq!((squarest.tiles, squarest.courses), (60, 8));
    assert!((squarest.size[0] - 307.2).abs() < 0.01 && (squarest.size[1] - 277.13).abs() < 0.01);
    // 346 by 244 is 1.42, within a tenth of 3 : 2.
    let wide = found(&hexagons(10, 10), Some(1.5));
    assert_eq!((wide.tiles, wide.courses), (60, 7));
    // A single row mirrors as well, through a tile or along a joint.
    let row = |count| {
        let field = hexagons(9, 1);
        field
            .largest(&have(count, 0), upright, None)
            .unwrap()
            .unwrap()
    };
    assert_eq!((row(5).tiles, row(5).upright), (5, Seam::Through));
    assert_eq!((row(4).tiles, row(4).upright), (4, Seam::Between));
}

#[test]
fn parts_are_read_as_written() {
    assert_eq!(
        parse("a=14, long name = 9").unwrap(),
        vec![("a".to_owned(), 14), ("long name".to_owned(), 9)]
    );
    for bad in [
        "",
        "a",
        "a=",
        "a=-1",
        "a=1.5",
        "=3",
        "a=1,,b=2",
        "a=99999999999",
    ] {
        assert!(matches!(parse(bad), Err(PartsError::Form(_))), "{bad}");
    }
    assert_eq!(parse("a=1,a=2"), Err(PartsError::Twice("a".to_owned())));
    let field = squares(1, &[0], &[true, true]);
    assert_eq!(
        field.largest(&vec![("c".to_owned(), 1)], Mirrored::default(), None),
        Err(PartsError::Unknown {
            name: "c".to_owned(),
            near: Some("a".to_owned())
        })
    );
    assert_eq!(
        field.largest(&have(0, 0), Mirrored::default(), None),
        Ok(None)
    );
}

proptest! {
    #[test]
    fn no_block_is_larger(
        columns in 1..6_usize,
        cells in proptest::collection::vec(0..2_usize, 1..30),
        a in 0..12_u64,
        b in 0..12_u64,
        own in proptest::collection::vec(any::<bool>(), 2),
        left_right in any::<bool>(),
        top_bottom in any::<bool>(),
    ) {
        let courses = cells.len() / columns;
        prop_assume!(courses > 0);
        let cells = &cells[..courses * columns];
        let field = squares(columns, cells, &own);
        let found = field
            .largest(&have(a, b), Mirrored { left_right, top_bottom }, None)
            .unwrap()
            .map_or(0, |f| f.tiles);
        // Every block with every mirror line, laid out tile by tile.
        let mut best = 0;
        let kind = |c: usize, r: usize| cells[r * columns + c];
        let modes = |wanted: bool| if wanted { vec![1, 2] } else { vec![0] };
        for c0 in 0..columns { for c1 in c0..columns { for r0 in 0..courses { for r1 in r0..courses {
            for x in modes(left_right) { for y in modes(top_bottom) {
                let xs: Vec<usize> = match x {
                    0 => (c0..=c1).collect(),
                    1 => (c0..=c1).chain((c0..=c1).rev()).collect(),
                    _ => (c0..=c1).chain((c0..c1).rev()).collect(),
                };
                let ys: Vec<usize> = match y {
                    0 => (r0..=r1).collect(),
                    1 => (r0..=r1).chain((r0..=r1).rev()).collect(),
                    _ => (r0..=r1).chain((r0..r1).rev()).collect(),
                };
                let through = |on: bool, k: usize| !on || own[k];
                let fine = (r0..=r1).all(|r| through(x == 2, kind(c1, r)))
                    && (c0..=c1).all(|c| through(y == 2, kind(c, r1)));
                let mut used = [0_u64; 2];
                for &r in &ys { for &c in &xs { used[kind(c, r)] += 1; } }
                if fine && used[0] <= a && used[1] <= b {
                    best = best.max(used[0] + used[1]);
                }
            } }
        } } } }
        prop_assert_eq!(found, best);
    }
}
