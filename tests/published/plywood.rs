//! Birch plywood as sold.
//!
//! Source: Birch Plywood Datasheet, a distributor's two-page table for plywood to EN 13986 and
//! EN 314 'composed of 1.4 mm thick veneers, cross bonded': nominal thickness, plies, average,
//! lower and upper limit in mm. Nominal, plies and limits are those of the Handbook of Finnish
//! Plywood, section 2.4 (the handbook's table from memory).

use plyloom::stock::{Colour, Grain, Sheet};

const TABLE: [(f64, usize, f64, f64, f64); 14] = [
    (4.0, 3, 3.8, 3.5, 4.1),
    (6.5, 5, 6.4, 6.1, 6.9),
    (9.0, 7, 9.2, 8.8, 9.5),
    (12.0, 9, 12.0, 11.5, 12.5),
    (15.0, 11, 14.9, 14.3, 15.3),
    (18.0, 13, 17.7, 17.1, 18.1),
    (21.0, 15, 20.5, 20.0, 20.9),
    (24.0, 17, 23.4, 22.9, 23.7),
    (27.0, 19, 26.5, 25.8, 26.8),
    (30.0, 21, 29.4, 28.7, 29.9),
    (35.0, 25, 35.0, 33.6, 35.4),
    (40.0, 29, 38.7, 38.4, 41.2),
    (45.0, 32, 43.6, 43.3, 46.6),
    (50.0, 35, 49.6, 48.1, 51.7),
];

#[test]
fn every_sheet_of_the_table_can_be_made() {
    for (nominal, plies, average, lower, upper) in TABLE {
        let sheet = Sheet::plywood(plies, average, Colour::parse("birch").unwrap()).unwrap();
        assert_eq!(sheet.layers().len(), plies, "{nominal}");
        assert!((lower..=upper).contains(&sheet.thickness()), "{nominal}");
        let ply = sheet.layers()[0].thickness;
        // Pressed veneers of 1.4 mm end up between 1.2 and 1.45 mm in every row.
        assert!((1.2..=1.45).contains(&ply), "{nominal}: {ply}");
    }
}

#[test]
fn crossed_grain_is_balanced_where_the_plies_are_odd() {
    for (_, plies, average, ..) in TABLE.into_iter().filter(|row| row.1 % 2 == 1) {
        let sheet = Sheet::plywood(plies, average, Colour::parse("birch").unwrap()).unwrap();
        let grains: Vec<Grain> = sheet.layers().iter().map(|l| l.grain).collect();
        assert_eq!(
            grains.first(),
            grains.last(),
            "both faces run the same way: common practice"
        );
        assert!(grains.windows(2).all(|pair| pair[0] != pair[1]));
    }
}
