//! The rule modules that come along: what they promise.

use plyloom::appearance::linear::Linear;
use plyloom::explore::known_faces::KnownFaces;
use plyloom::explore::measures::{self, Mirrored};
use plyloom::layout::panel::Panel;
use plyloom::stock::Colour;

use crate::in_memory::recipe;

/// What a snippet prints after importing a module as `m`.
fn printed(module: &str, text: &str) -> Vec<String> {
    recipe(&format!("import \"plyloom/{module}\" as m; {text}")).prints()
}

/// The cells of a panel for which a condition holds, as rows of `#` and `.`.
fn rows(module: &str, size: (usize, usize), condition: &str) -> Vec<String> {
    let (columns, courses) = size;
    let outcome = recipe(&format!(
        "import \"plyloom/{module}\" as m;
         let light = bar(plywood(13, 24).square()).slice(\"light\");
         let dark = bar(plywood(13, 24, \"walnut\").square()).slice(\"dark\");
         panel(\"p\", squares(light)).size({columns}, {courses})
             .fill(|cell| if {condition} {{ dark }} else {{ light }});"
    ))
    .works();
    let mut rows = vec![vec!['.'; columns]; courses];
    for tile in &outcome.panels[0].tiles {
        if outcome.panels[0].faces[tile.face as usize].kind.name() == "dark" {
            let course = usize::try_from(tile.cell.course).expect("a course");
            let column = usize::try_from(tile.cell.column).expect("a column");
            rows[course][column] = '#';
        }
    }
    rows.into_iter()
        .map(|row| row.into_iter().collect())
        .collect()
}

fn mirrored(panel: &Panel) -> Mirrored {
    measures::mirrored(panel, &mut KnownFaces::default())
}

#[test]
fn palettes_run_from_dark_to_light() {
    for name in ["harbour", "fire", "moss", "woods", "dusk"] {
        let lines = printed(
            "palettes",
            &format!("for dye in m::{name}() {{ print(dye); }}"),
        );
        assert_eq!(lines.len(), 5, "{name}");
        let light: Vec<f64> = lines
            .iter()
            .map(|dye| Linear::from(Colour::parse(dye).expect("a colour")).luminance())
            .collect();
        assert!(light.is_sorted(), "{name}: {lines:?} {light:?}");
    }
    assert_eq!(
        printed(
            "palettes",
            "print(m::spread_over([1, 2, 3, 4, 5], 3)); print(m::spread_over([1, 2], 4)); print(m::spread_over([7], 1));"
        ),
        ["[1, 3, 5]", "[1, 1, 2, 2]", "[7]"]
    );
    assert_eq!(
        printed(
            "palettes",
            "print(m::faced(plywood(13, 17.7), \"ink\").thickness); print(m::doubled(plywood(9, 12), \"ink\", \"poppy\").thickness);"
        ),
        ["18.9", "25.8"]
    );
}

#[test]
fn rings_are_squares_and_diamonds() {
    let ring = |shape: &str| rows("rings", (5, 5), &format!("m::{shape}(cell) == 1"));
    assert_eq!(
        ring("square"),
        [".....", ".###.", ".#.#.", ".###.", "....."]
    );
    assert_eq!(
        ring("diamond"),
        [".....", "..#..", ".#.#.", "..#..", "....."]
    );
    assert_eq!(
        rows("rings", (4, 4), "m::square(cell) == 0"),
        ["....", ".##.", ".##.", "...."]
    );
    assert_eq!(
        rows("rings", (4, 4), "m::corner(cell)"),
        ["#..#", ".##.", ".##.", "#..#"]
    );
}

/// Counted by walking: one to the right, one down, two to the left, two up, and so on.
#[test]
fn a_winding_goes_round_the_middle_step_by_step() {
    for (columns, courses, middle) in [(7, 7, (3, 3)), (6, 6, (2, 2)), (7, 6, (3, 2))] {
        let (mut x, mut y) = middle;
        let mut steps = Vec::new();
        let ways = [(1, 0), (0, 1), (-1, 0), (0, -1)];
        for leg in 0..12 {
            for _ in 0..=(leg / 2) {
                steps.push((x, y));
                x += ways[leg % 4].0;
                y += ways[leg % 4].1;
            }
        }
        for (number, (x, y)) in steps.into_iter().enumerate() {
            if !(0..columns).contains(&x) || !(0..courses).contains(&y) {
                continue;
            }
            let size = (
                usize::try_from(columns).expect("few"),
                usize::try_from(courses).expect("few"),
            );
            let found = rows("rings", size, &format!("m::winding(cell) == {number}"));
            let mut expected = vec![vec!['.'; size.0]; size.1];
            expected[usize::try_from(y).expect("inside")][usize::try_from(x).expect("inside")] =
                '#';
            let expected: Vec<String> = expected
                .into_iter()
                .map(|row| row.into_iter().collect())
                .collect();
            assert_eq!(found, expected, "step {number} of {columns} x {courses}");
        }
    }
}

#[test]
fn diagonals_rise_fall_and_jump() {
    assert_eq!(
        rows("diagonals", (4, 3), "m::rising(cell, 3) == 0"),
        ["#..#", "..#.", ".#.."]
    );
    assert_eq!(
        rows("diagonals", (4, 3), "m::falling(cell, 3) == 0"),
        ["#..#", ".#..", "..#."]
    );
    assert_eq!(
        rows("diagonals", (5, 2), "m::steps(cell, 2, 5) == 0"),
        ["#....", "..#.."]
    );
    assert_eq!(
        rows("diagonals", (5, 5), "m::knight(cell) == 0"),
        ["#....", "..#..", "....#", ".#...", "...#."]
    );
}

#[test]
fn sides_and_sectors_share_a_panel_out() {
    let sides: Vec<Vec<String>> = (0..4)
        .map(|side| rows("rings", (4, 4), &format!("m::side(cell) == {side}")))
        .collect();
    assert_eq!(sides[0], ["###.", ".#..", "....", "...."]);
    assert_eq!(sides[1], ["...#", "..##", "...#", "...."]);
    assert_eq!(sides[2], ["....", "....", "..#.", ".###"]);
    assert_eq!(sides[3], ["....", "#...", "##..", "#..."]);
    let of_four = |k: usize| rows("rings", (6, 6), &format!("m::sector(cell, 4) == {k}"));
    assert_eq!(
        of_four(0)[5],
        "...###",
        "from the right clockwise: below right"
    );
    assert_eq!(of_four(2)[0], "###...", "above left");
}

#[test]
fn a_border_turns_with_its_side() {
    let turned = |turn: usize| rows("borders", (5, 4), &format!("m::turn(cell) == {turn}"));
    assert_eq!(turned(0)[0], "####.");
    assert_eq!(turned(90)[0], "....#");
    assert_eq!(turned(90)[2], "....#");
    assert_eq!(turned(180)[3], ".####");
    assert_eq!(turned(270)[3], "#....");
    assert_eq!(
        rows("borders", (5, 4), "m::corner(cell)"),
        ["#...#", ".#.#.", ".#.#.", "#...#"]
    );
}

#[test]
fn drawn_rows_are_repeated() {
    assert_eq!(
        rows(
            "borders",
            (5, 3),
            "m::letter([\"#.\", \"..\"], cell) == '#'"
        ),
        ["#.#.#", ".....", "#.#.#"]
    );
}

/// Weaving's own words, common practice: in plain weave, twill and satin every thread goes over and
/// under alike; a satin has one crossing in each thread and each course of its repeat.
#[test]
fn weaves_are_those_of_weavers() {
    assert_eq!(rows("weaves", (4, 2), "m::plain(cell)"), ["#.#.", ".#.#"]);
    assert_eq!(
        rows("weaves", (4, 4), "m::twill(cell, 2, 2)"),
        ["##..", ".##.", "..##", "#..#"]
    );
    assert_eq!(
        rows("weaves", (4, 4), "m::basket(cell, 2)"),
        ["##..", "##..", "..##", "..##"]
    );
    assert_eq!(
        rows("weaves", (8, 2), "m::herringbone(cell, 2, 2, 4)"),
        ["##....##", ".##..##."]
    );
    let satin = rows("weaves", (5, 5), "m::satin(cell, 5, 2)");
    for k in 0..5 {
        assert_eq!(satin[k].matches('#').count(), 1, "{satin:?}");
        let down = satin.iter().filter(|row| row.as_bytes()[k] == b'#');
        assert_eq!(down.count(), 1, "{satin:?}");
    }
}

/// A panel of a tile without any symmetry, filled by a function of `symmetry`.
fn symmetric(word: &str, size: &str) -> Panel {
    let outcome = recipe(&format!(
        "import \"plyloom/symmetry\" as m;
         let light = plywood(13, 17.7).triangle(45);
         let dark = laminate([ply(5, \"walnut\"), plywood(9, 12.7, \"cherry\")]).triangle(45);
         let tile = stack([light.roll(), dark]).slice(\"halved\").rotate(45);
         panel(\"p\", squares(tile)).size({size}).fill(|cell| m::{word}(cell, |column, course|
             tile.rotate(pick(`${{column}} ${{course}}`, [0, 90, 180, 270]))));"
    ))
    .works();
    outcome.panels.into_iter().next().expect("a panel")
}

#[test]
fn halves_and_quarters_are_alike() {
    let whole = |share: f64| share > 0.999_999;
    for size in ["6, 5", "8, 4"] {
        assert!(
            whole(mirrored(&symmetric("mirrored", size)).left_right),
            "{size}"
        );
    }
    let four = mirrored(&symmetric("four_fold", "8, 6"));
    assert!(whole(four.left_right) && whole(four.top_bottom), "{four:?}");
    for size in ["6, 5", "4, 4"] {
        let half = mirrored(&symmetric("half_turned", size));
        assert!(whole(half.half_turn), "{size}: {half:?}");
    }
    let quarter = mirrored(&symmetric("quarter_turned", "6, 6"));
    assert!(whole(quarter.quarter_turn), "{quarter:?}");
    let plain = mirrored(&symmetric("quarter_turned", "6, 6"));
    assert!(
        !whole(plain.left_right),
        "a turned panel is no mirrored one: {plain:?}"
    );
}

/// OEIS A059253 and A059252, the walk of Hilbert on a grid, x and y of its first 16 places, from
/// memory.
#[test]
fn the_course_of_hilbert_is_the_published_one() {
    let x = [0, 1, 1, 0, 0, 0, 1, 1, 2, 2, 3, 3, 3, 2, 2, 3];
    let y = [0, 0, 1, 1, 2, 3, 3, 2, 2, 3, 3, 2, 1, 1, 0, 0];
    let lines = printed(
        "sequences",
        "for at in m::hilbert(2) { print(`${at[0]} ${at[1]}`); }",
    );
    let published: Vec<String> = x.iter().zip(y).map(|(x, y)| format!("{x} {y}")).collect();
    assert_eq!(lines, published);
}

#[test]
fn the_course_of_hilbert_visits_every_square_and_never_jumps() {
    for order in 0..5_u32 {
        let lines = printed(
            "sequences",
            &format!("for at in m::hilbert({order}) {{ print(`${{at[0]}} ${{at[1]}}`); }}"),
        );
        let places: Vec<(i32, i32)> = lines
            .iter()
            .filter_map(|line| line.split_once(' '))
            .map(|(x, y)| (x.parse().expect("x"), y.parse().expect("y")))
            .collect();
        let mut all = places.clone();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), 4_usize.pow(order));
        for step in places.windows(2) {
            let far = (step[0].0 - step[1].0).abs() + (step[0].1 - step[1].1).abs();
            assert_eq!(far, 1, "order {order}");
        }
    }
}
