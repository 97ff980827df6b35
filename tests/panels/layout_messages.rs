//! What a maker is told when a layout does not work out.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use plyloom::recipe::{Failure, settings::Settings};

use crate::layout_words::{WOOD, run, run_with};

fn refused(text: &str) -> Failure {
    run_with(text, &Settings::default()).unwrap_err()
}

#[test]
#[allow(clippy::too_many_lines, reason = "a table")]
fn messages_name_the_place_and_what_to_try() {
    let lines_before = WOOD.lines().count();
    for (text, line, says, tries) in [
        (
            "let p = panel(\"p\", squares(hex));",
            1,
            "`squares` takes a rectangle with level edges; this tile is a regular hexagon",
            "the lattice that suits it",
        ),
        (
            "panel(\"p\", squares(light)).fill(light);",
            1,
            "the panel has no size",
            ".size(8, 6)",
        ),
        (
            "\npanel(\"p\", squares(light)).size(3, 3).fill(|c| { if c.column > 0 { light } });",
            2,
            "3 of 9 cells have no tile: 1-1 (column 0, course 0 in rules); 2-1 (column 0, course 1 in rules); 3-1 (column 0, course 2 in rules)",
            "fill(tile) first",
        ),
        (
            "panel(\"p\", squares(light)).size(3, 3).fill(|c| if c.number < 7 { light } else { 5 });",
            1,
            "what the function of `fill` returns for column 1, course 2 must be a tile, or nothing to leave the cell as it is, not a whole number (5)",
            "tiles[cell.column % 2]",
        ),
        (
            "panel(\"p\", squares(light)).size(3, 3).fill(|c| bar(plywood(9, 12).square()));",
            1,
            "not a bar",
            "slice the bar first",
        ),
        (
            "panel(\"p\", squares(light)).size(3, 3).fill([light, dark]);",
            1,
            "must be a tile, a rule or a function that gives a tile, not a list",
            "sequence(tiles",
        ),
        (
            "panel(\"p\", squares(light)).size(3, 3).fill_where(|c| c.column, light);",
            1,
            "what the condition of `fill_where` returns for column 0, course 0 must be yes or no",
            "cell.column > 2",
        ),
        (
            "panel(\"p\", hexagons(hex)).size(3, 3).fill(|c| hex.rotate(90));",
            1,
            "the tile `hex` (turned 90 degrees) does not fit at 1-1 (column 0, course 0 in rules): it runs",
            "orientations",
        ),
        (
            "panel(\"p\", squares(light)).size(3, 3).fill(bag(\"b\", [[light, 4], [dark, 4]]));",
            1,
            "the bag `b` holds 8 tiles for 9 cells: 1 too few",
            "change the counts",
        ),
        (
            "panel(\"p\", squares(light)).size(3, 3).fill(bag(\"b\", [[light, 9999999999], [dark, 4]]));",
            1,
            "9999999994 too many",
            "change the counts",
        ),
        (
            "random(\"a\", [light, dark], [1]);",
            1,
            "there are 1 of them for 2",
            "[3, 1]",
        ),
        (
            "random(\"a\", [light, dark], [1, -1]);",
            1,
            "weights are numbers of at least 0, one for each tile, not all 0: -1 is not one",
            "[3, 1]",
        ),
        ("random(\"a\", []);", 1, "at least one tile", "put tiles"),
        (
            "sequence([light], \"along course\");",
            1,
            "the order of a sequence must be",
            "did you mean \"along courses\"?",
        ),
        (
            "panel(\"p\", squares(light)).size(1000, 1000).fill(light);",
            1,
            "this panel takes 1000000 tiles, more than the 100000 allowed",
            "make the panel smaller",
        ),
        (
            "panel(\"p\", squares(light)).size(3, 3).fill(light).size(4, 4);",
            1,
            "the size of a panel cannot change once it is being filled",
            "before the first fill",
        ),
        (
            "panel(\"p\", squares(light)).size(3, 3).fill(light);\npanel(\"p\", squares(dark)).size(3, 3).fill(dark);",
            2,
            "there are two panels named \"p\"",
            "line 6 of trial.rhai",
        ),
        (
            "panel(\"p\", lattice(light, #{ column: [13, 0], course: 12 }));",
            1,
            "leave holes between the tiles: 12.00 mm2",
            "shorter",
        ),
        (
            "panel(\"p\", lattice(light, #{ column: [13], course: [0, 12] }));",
            1,
            "`column` in the steps of `lattice` must be a list of 2 lengths, not of 1",
            "[40, 0]",
        ),
        (
            "panel(\"p\", running_bond(light, 0.123456));",
            1,
            "a plain fraction such as 1/2",
            "1.0/3",
        ),
        (
            "panel(\"p\", squares(light)).place(light, 0, 0);",
            1,
            "this panel has a lattice",
            "panel(\"tray\")",
        ),
        (
            "panel(\"p\").fill(light);",
            1,
            "has no lattice",
            "place(tile",
        ),
        ("panel(\"p\");", 1, "the panel has no tile", "place tiles"),
        (
            "let p = panel(\"p\");\np.place(light, 0, 0).place(dark, 11.5, 3);",
            2,
            "the 1st tile placed (`light`, at x 0 mm, y 0 mm) and the 2nd tile placed (`dark`, at x 11.5 mm, y 3 mm) overlap by 0.500 mm",
            "top left",
        ),
        (
            "let p = panel(\"p\");\np.place(light, 0, 0).place(dark, 12.5, 3);",
            2,
            "the tiles fall into 2 groups that no joint holds together",
            "share an edge",
        ),
        (
            "panel(\"p\").place(light, 0, 0).place(dark, 12, 0).finished(20, 15);",
            1,
            "a hole is left open beside",
            "place a tile there",
        ),
        (
            "panel(\"p\", squares(light)).size(0, 3);",
            1,
            "at least 1 column",
            ".size(columns, courses)",
        ),
        (
            "panel(\"p\", squares(light)).finished(0, 3);",
            1,
            "a finished size must be from 1 to 100000 mm",
            "12 in",
        ),
        (
            "panel(\"p\", squares(light)).size(2, 2).finished(30, 20).fill(light);",
            1,
            "2 columns and 2 courses do not cover the finished 30 x 20 mm: at the left and the right",
            "add columns",
        ),
        (
            "pick(\"a\", []);",
            1,
            "nothing to pick from",
            "into the list",
        ),
        (
            "chance(\"a\", 2);",
            1,
            "a chance must be from 0 (never) to 1",
            "one time in four",
        ),
        (
            "pick(\"a\", 3..=1);",
            1,
            "there is nothing to pick from: the range from 3 to 1 is empty",
            "the smaller number first",
        ),
        (
            "let p = panel(\"p\", squares(light)).size(2, 2); let q = p;\np.fill(|c| { q.fill(dark); light });",
            2,
            "a panel cannot be filled from inside a function that is filling it",
            "give the tile back",
        ),
    ] {
        let failure = refused(text);
        assert!(failure.message.contains(says), "{text}: {failure}");
        let place = failure
            .place
            .clone()
            .unwrap_or_else(|| panic!("no place: {failure:?}"));
        assert_eq!(
            place.line_column().0,
            line + lines_before,
            "{text}: {failure}"
        );
        let help = failure.help.clone().unwrap_or_default();
        // An empty text means that the message says it all.
        assert_eq!(help.is_empty(), tries.is_empty(), "{text}: {help}");
        assert!(help.contains(tries), "{text}: {help}");
    }
}

#[test]
fn hostile_sizes_and_draws_end_in_messages() {
    for text in [
        "panel(\"p\", squares(light)).size(9223372036854775807, 9223372036854775807).fill(light);",
        "panel(\"p\", squares(light)).size(-9223372036854775808, 1).fill(light);",
        "panel(\"p\", squares(light)).finished(1e308, 1e308).fill(light);",
        "panel(\"p\", squares(light)).finished(1e308 * 10 - 1e308 * 10, 5).fill(light);",
        "panel(\"p\", squares(light)).finished(99999, 99999).fill(light);",
        "panel(\"p\", squares(light)).finished(100, 100).shift(1e300, 0).fill(light);",
        "panel(\"p\", lattice(light, #{ column: 1e-9, course: 1e9 })).finished(10, 10).fill(light);",
        "panel(\"p\", lattice(light, #{ column: 12, course: [24, 0] })).finished(10, 10).fill(light);",
        "panel(\"p\").place(light, 1e308, -1e308);",
        "pick(\"a\", -9223372036854775808..=9223372036854775807);",
        "random(\"a\", [light], [1.0/0.0]);",
        "panel(\"\", squares(light));",
    ] {
        let failure = refused(text);
        assert!(failure.code != "recipe::broken", "{text}: {failure}");
    }
    run("print(pick(\"a\", -9223372036854775807..=9223372036854775807));");
    run("random(\"a\", [light, dark], [1e-300, 1e300]);");
}
