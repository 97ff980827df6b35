//! Any sequence of hand edits, written into the text, gives what was foretold without it; given back, the text is the same.
//!
//! What a panel should show is worked out from the faces that it showed before, by moving their
//! polygons; poses and the words for them play no part in it.

use plyloom::geom::Isometry;
use plyloom::layout::{Cell, Cells};
use plyloom::recipe::hands::{Act, Brush, Edit, EditError, edited};
use plyloom::stock::Face;
use proptest::prelude::*;

use super::hands::{WOOD, act, after, give_back, lay, run, shown};

/// Recipes of all sorts: lattices that turn their cells, chance, names, functions, blocks.
fn recipes() -> Vec<String> {
    let hex = "let r = laminate([veneer(0.6, \"navy\"), plywood(13, 17.7)]).rhombus(60);\n\
               let block = hexagon([r, r, r.end_for_end()]).slice(\"block\");\n";
    let plank = "let plank = bar(laminate([veneer(1, \"navy\"), plywood(7, 11)]).rip(24)).slice(\"plank\");\n";
    vec![
        format!("{WOOD}panel(\"p\", squares(light)).size(5, 4).fill(random(\"a\", light.looks()));\n"),
        format!("{WOOD}fn f(t) {{ panel(\"p\", squares(t)).size(5, 4).fill(t); }}\nf(light);\nprint(1)"),
        format!(
            "{WOOD}let p = panel(\"p\", squares(dark)).size(5, 4);\np.fill(light).lay([\n  [0..=2, 1, dark.flip()], // a\n  [3, 1, tile(\"light\").rotate(90)]\n]);\np.lay([[4, 3, if 1 < 2 {{ dark }} else {{ light }}]]);\n"
        ),
        format!("{hex}panel(\"p\", hexagons(block))\n\t.finished(160, 120)\n\t.fill(random(\"a\", block.looks()))\n"),
        format!("{plank}panel(\"p\", herringbone(plank)).finished(110, 80).fill(plank);\n"),
        format!("{plank}let q = plank.rotate(180);\npanel(\"p\", running_bond(plank)).size(5, 4).fill(q);"),
        "let piece = bar(laminate([veneer(1, \"navy\"), plywood(9, 12)]).rhombus(60)).slice(\"piece\").rotate(-30);\n\
         panel(\"p\", tumbling_blocks(piece)).size(6, 3).fill(piece);\n"
            .to_owned(),
        "let t = bar(laminate([veneer(1, \"navy\"), plywood(9, 12)]).triangle(60)).slice(\"t\");\n\
         panel(\"p\", triangles(t)).size(7, 3).fill(t);\n"
            .to_owned(),
    ]
}

/// An act on cells by their numbers, whatever panel it is for.
#[derive(Debug, Clone)]
enum Move {
    Rotate(Vec<usize>, i32),
    Flip(Vec<usize>),
    Swap(usize, usize),
    GiveBack(Vec<usize>),
    Lay(Vec<usize>, usize),
}

fn moves() -> impl Strategy<Value = Vec<Move>> {
    let cells = || prop::collection::vec(0..40_usize, 1..5);
    let one = prop_oneof![
        (cells(), -3..4_i32).prop_map(|(c, s)| Move::Rotate(c, s)),
        cells().prop_map(Move::Flip),
        (0..40_usize, 0..40_usize).prop_map(|(a, b)| Move::Swap(a, b)),
        cells().prop_map(Move::GiveBack),
        (cells(), 0..9_usize).prop_map(|(c, k)| Move::Lay(c, k)),
    ];
    prop::collection::vec(one, 1..6)
}

/// What a cell's outline is after a turn by a step of its own, found by trying.
fn turned(cells: &Cells, cell: Cell, face: &Face, steps: i32) -> Face {
    let step = cells.lattice().classes()[cells.lattice().class_of(cell)]
        .symmetry
        .step();
    face.posed(Isometry::turn(step * f64::from(steps)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn what_hands_did_is_what_the_new_text_shows(which in 0..8_usize, moves in moves()) {
        let original = recipes()[which].clone();
        let bare = run(&original);
        let mut text = original.clone();
        for one in moves {
            let outcome = run(&text);
            let cells = outcome.hands[0].thing.cells.clone().expect("a lattice");
            let list = cells.list();
            let at = |n: usize| list[n % list.len()];
            let place = |n: usize| [at(n).column, at(n).course];
            let places = |all: &[usize]| all.iter().map(|&n| place(n)).collect::<Vec<_>>();
            let mut expected = shown(&outcome);
            let edit = match &one {
                Move::Rotate(all, steps) => {
                    let mut once = all.clone();
                    once.sort_by_key(|&n| at(n));
                    once.dedup_by_key(|n| at(*n));
                    for n in once {
                        let new = turned(&cells, at(n), &expected[&at(n)], *steps);
                        expected.insert(at(n), new);
                    }
                    act(Act::Rotate { cells: places(all), steps: *steps })
                }
                Move::Flip(all) => {
                    let mut once = all.clone();
                    once.sort_by_key(|&n| at(n));
                    once.dedup_by_key(|n| at(*n));
                    for n in once {
                        let class = &cells.lattice().classes()[cells.lattice().class_of(at(n))];
                        if let Some(axis) = class.symmetry.axis {
                            let new = expected[&at(n)].posed(Isometry::mirror(axis));
                            expected.insert(at(n), new);
                        }
                    }
                    act(Act::Flip { cells: places(all) })
                }
                Move::Swap(a, b) => {
                    let (fa, fb) = (expected[&at(*a)].clone(), expected[&at(*b)].clone());
                    // Between cells that stand differently a tile has to turn: not foretold here.
                    if !fa.outline().coincides(fb.outline(), 0.01) {
                        continue;
                    }
                    expected.insert(at(*a), fb);
                    expected.insert(at(*b), fa);
                    act(Act::Swap { one: place(*a), other: place(*b) })
                }
                Move::GiveBack(all) => {
                    let first = shown(&bare);
                    for &n in all {
                        // What the recipe itself laid is laid by hand as well.
                        if bare.hands[0].thing.laid.contains_key(&at(n)) {
                            expected.remove(&at(n));
                        } else {
                            expected.insert(at(n), first[&at(n)].clone());
                        }
                    }
                    act(Act::GiveBack { cells: places(all) })
                }
                Move::Lay(all, k) => {
                    let kind = &outcome.kinds[k % outcome.kinds.len()];
                    let ways = kind.orientations();
                    let pose = ways[k % ways.len()];
                    for &n in all {
                        let turned = cells.lattice().classes()[cells.lattice().class_of(at(n))].turned;
                        let face = kind.face().posed(kind.isometry(pose).then(turned).linear());
                        let there = expected.get(&at(n));
                        if there.is_some_and(|t| face.outline().coincides(t.outline(), 0.01)) {
                            expected.insert(at(n), face);
                        } else {
                            expected.remove(&at(n));
                        }
                    }
                    lay(&places(all), kind.name(), pose.turn, pose.flip)
                }
            };
            match edited(&text, &outcome, 0, &[edit]) {
                Ok(new) => {
                    let made = shown(&run(&new));
                    for (cell, face) in &expected {
                        prop_assert!(made[cell].looks_like(face), "{cell} after {one:?}\n{text}\n{new}");
                    }
                    text = new;
                }
                Err(EditError::NoTurn | EditError::NoFlip | EditError::Elsewhere(_)) => {}
                Err(error) => prop_assert!(false, "{one:?}: {error}\n{text}"),
            }
        }
        // All of it taken up again, the text is what it was.
        let outcome = run(&text);
        if bare.hands[0].thing.laid.is_empty() && !outcome.hands[0].thing.laid.is_empty() {
            let laid: Vec<[i32; 2]> = outcome.hands[0].thing.laid.keys().map(|c| [c.column, c.course]).collect();
            let back = after(&text, &[give_back(&laid)]);
            let (back, original) = (back.replace(";\n", "\n"), original.replace(";\n", "\n"));
            prop_assert_eq!(back.trim_end(), original.trim_end());
        }
    }

    #[test]
    fn a_brush_does_the_same_to_the_images(steps in 1..4_i32, column in 0..5, course in 0..4, flip: bool, which in 0..5_usize) {
        let brush = [Brush::LeftRight, Brush::TopBottom, Brush::Both, Brush::HalfTurn, Brush::One][which];
        let text = format!(
            "{WOOD}let bent = mitred_pair(laminate([veneer(1, \"navy\"), plywood(9, 12)]).triangle(45).halve()[1]).slice(\"bent\");\n\
             panel(\"p\", squares(bent)).size(5, 4).fill(bent);\n"
        );
        let edit = Edit {
            brush,
            ..lay(&[[column, course]], "bent", 90.0 * f64::from(steps), flip)
        };
        let made = shown(&run(&after(&text, &[edit])));
        let at = |column, course| Cell { column, course };
        let face = &made[&at(column, course)];
        let images: Vec<(Cell, Isometry)> = match brush {
            Brush::LeftRight => vec![(at(4 - column, course), Isometry::mirror(90.0))],
            Brush::TopBottom => vec![(at(column, 3 - course), Isometry::mirror(0.0))],
            Brush::HalfTurn => vec![(at(4 - column, 3 - course), Isometry::turn(180.0))],
            Brush::Both => vec![
                (at(4 - column, course), Isometry::mirror(90.0)),
                (at(column, 3 - course), Isometry::mirror(0.0)),
                (at(4 - column, 3 - course), Isometry::turn(180.0)),
            ],
            _ => Vec::new(),
        };
        // In the middle a tile is its own image, and stays as it was laid; the first image holds.
        let mut held = std::collections::BTreeSet::from([at(column, course)]);
        for (cell, by) in images {
            if held.insert(cell) {
                prop_assert!(made[&cell].looks_like(&face.posed(by)), "{cell}");
            }
        }
    }
}
