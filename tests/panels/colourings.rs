//! Cells that lie side by side have different colours.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::collections::BTreeSet;

use crate::common::wood::{hexagon_tile, rectangle, rhombus, triangle};
use crate::lattices::every_lattice;
use plyloom::layout::colouring::{Colouring, MOST_COLOURS};
use plyloom::layout::{Cell, Lattice};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig { cases: 6, failure_persistence: None, ..ProptestConfig::default() })]

    /// No two cells that lie side by side have one colour, on any lattice and with any number of colours
    /// that it takes; every colour comes as often as the others.
    #[test]
    fn neighbours_have_different_colours(
        width in 20.0..60.0_f64,
        height in 8.0..30.0_f64,
        edge in prop_oneof![40.0..58.0_f64, 62.0..80.0_f64],
    ) {
        for (number, (_, lattice)) in every_lattice(width, height, edge).into_iter().enumerate() {
            let fewest = Colouring::with_fewest(&lattice);
            prop_assert!(fewest.is_some(), "lattice {} has no colouring", number);
            let more = (2..=4).filter_map(|colours| Colouring::of(&lattice, colours));
            for colouring in fewest.into_iter().chain(more) {
                let colours = colours(&lattice, &colouring);
                prop_assert!(colours.iter().copied().eq((0..).take(colours.len())));
                for (column, course) in (-7..8).flat_map(|x| (-7..8).map(move |y| (x, y))) {
                    let cell = Cell { column, course };
                    let class = &lattice.classes()[lattice.class_of(cell)];
                    let own = colouring.colour(&lattice, cell);
                    prop_assert!(colours.contains(&own));
                    for n in &class.neighbours {
                        let there = Cell { column: column + n.columns, course: course + n.courses };
                        prop_assert!(
                            colouring.colour(&lattice, there) != own,
                            "lattice {}: {} and {}", number, cell, there
                        );
                    }
                }
            }
        }
    }
}

/// The colours that a colouring gives to cells: each comes again after at most as many blocks as there are colours.
fn colours(lattice: &Lattice, colouring: &Colouring) -> BTreeSet<i32> {
    let (columns, courses) = lattice.block();
    (0..MOST_COLOURS * columns)
        .flat_map(|column| (0..MOST_COLOURS * courses).map(move |course| Cell { column, course }))
        .map(|cell| colouring.colour(lattice, cell))
        .collect()
}

/// Known of tilings: squares, rhombi and triangles are checkered in two colours; hexagons and bricks take
/// three, as three of them meet in a point; tumbling blocks three, one for each way a rhombus stands.
#[test]
fn as_few_colours_as_known() {
    let fewest =
        |lattice: &Lattice| colours(lattice, &Colouring::with_fewest(lattice).unwrap()).len();
    let block = rectangle(36.0, 12.0);
    let hex = hexagon_tile(20.0);
    let lozenge = rhombus(20.0, 60.0);
    let even = triangle(20.0, 60.0);
    assert_eq!(fewest(&Lattice::squares(&block).unwrap()), 2);
    assert_eq!(fewest(&Lattice::rhombi(&lozenge).unwrap()), 2);
    assert_eq!(fewest(&Lattice::triangles(&even).unwrap()), 2);
    assert_eq!(fewest(&Lattice::hexagons(&hex).unwrap()), 3);
    assert_eq!(fewest(&Lattice::running_bond(&block, 0.5).unwrap()), 3);
    let standing = lozenge.rotate(-30.0);
    assert_eq!(fewest(&Lattice::tumbling(&standing).unwrap()), 3);
    for lattice in [Lattice::hexagons(&hex), Lattice::triangles(&even)] {
        let lattice = lattice.unwrap();
        let three = Colouring::of(&lattice, 3).unwrap();
        assert_eq!(colours(&lattice, &three), BTreeSet::from([0, 1, 2]));
    }
    assert_eq!(Colouring::of(&Lattice::hexagons(&hex).unwrap(), 2), None);
}
