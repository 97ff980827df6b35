//! Hand edits written into a recipe's text: what comes out shows what hands did, and nothing else of
//! the text has changed.
//!
//! What a panel should show is worked out from the faces that it showed before, by moving their
//! polygons; poses and the words for them play no part in it.

use std::collections::BTreeMap;
use std::sync::Arc;

use plyloom::geom::Isometry;
use plyloom::layout::{Cell, Cells};
use plyloom::recipe::hands::{Act, Brush, Edit, EditError, Mirror, edited, offers};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::{Outcome, evaluate, settings::Settings, source::Source};
use plyloom::stock::Face;
use proptest::prelude::*;

fn run(text: &str) -> Outcome {
    let source = Arc::new(Source::new("t.rhai", text));
    evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
    .unwrap_or_else(|failure| panic!("{text}\n{failure}"))
}

fn act(act: Act) -> Edit {
    Edit {
        act,
        brush: Brush::One,
        every: None,
    }
}

fn lay(cells: &[[i32; 2]], kind: &str, turn: f64, flip: bool) -> Edit {
    act(Act::Lay {
        cells: cells.to_vec(),
        kind: kind.to_owned(),
        turn,
        flip,
    })
}

fn give_back(cells: &[[i32; 2]]) -> Edit {
    act(Act::GiveBack {
        cells: cells.to_vec(),
    })
}

const WOOD: &str = "let light = bar(laminate([veneer(1, \"navy\"), plywood(9, 12)]).square()).slice(\"light\");\n\
                    let dark = bar(plywood(9, 13, \"walnut\").square()).slice(\"dark\");\n";

/// The text after edits; what it gives shows what it should.
fn after(text: &str, edits: &[Edit]) -> String {
    edited(text, &run(text), 0, edits).unwrap_or_else(|error| panic!("{text}\n{error}"))
}

#[test]
fn a_chain_gets_a_block_at_its_end() {
    let text = format!(
        "{WOOD}\npanel(\"Tray\", squares(light)) // mine\n    .size(6, 4)\n    .fill(light);\n// end\n"
    );
    let edits = [
        lay(&[[1, 0], [2, 0], [3, 0], [0, 2]], "dark", 90.0, false),
        act(Act::Flip {
            cells: vec![[2, 0]],
        }),
        act(Act::Rotate {
            cells: vec![[5, 3]],
            steps: -1,
        }),
    ];
    let block = "\n    .lay([\n        [1, 0, dark.rotate(90)],\n        [2, 0, dark.flip().rotate(270)],\n        \
                 [3, 0, dark.rotate(90)],\n        [0, 2, dark.rotate(90)],\n        \
                 [5, 3, light.rotate(270)],\n    ]);";
    let expected = text.replace("    .fill(light);", &format!("    .fill(light){block}"));
    let new = after(&text, &edits);
    assert_eq!(new, expected);
    let all = [[1, 0], [2, 0], [3, 0], [0, 2], [5, 3]];
    assert_eq!(after(&new, &[give_back(&all)]), text);
}

#[test]
fn a_panel_begun_in_a_function_is_laid_by_its_name() {
    let text = format!(
        "{WOOD}fn begin(name, tile) {{ panel(name, squares(tile)).size(3, 2).fill(tile) }}\nbegin(\"A \\\"b\\\"\", light)"
    );
    let new = after(&text, &[lay(&[[0, 1], [1, 1]], "dark", 0.0, true)]);
    let block = ";\n\nlay(\"A \\\"b\\\"\", [\n    [0..=1, 1, dark.flip()],\n]);\n";
    assert_eq!(new, format!("{text}{block}"));
}

#[test]
fn tiles_without_a_name_are_called_by_their_kind_and_lists_by_their_entries() {
    let text = "let woods = [\"birch\", \"cherry\"].map(|w| bar(plywood(9, 12, w).square()).slice(w));\n\
                let first = woods[0].rotate(90);\n\
                let kept = #{ a: bar(plywood(9, 12, \"walnut\").square()).slice(\"walnut\") };\n\
                let p = panel(\"p\", squares(first)).size(3, 2);\np.fill(first);\n";
    let new = after(
        text,
        &[
            lay(&[[0, 0]], "walnut", 0.0, false),
            lay(&[[1, 0]], "cherry", 180.0, false),
            lay(&[[2, 0]], "birch", 90.0, false),
        ],
    );
    let block = "\n    .lay([\n        [0, 0, tile(\"walnut\")],\n        [1, 0, woods[1].rotate(180)],\n        \
                 [2, 0, first],\n    ]);";
    assert_eq!(
        new,
        text.replace(".size(3, 2);", &format!(".size(3, 2){block}"))
    );
}

#[test]
fn a_name_that_stands_for_another_tile_at_that_place_is_not_used() {
    let changed = "let t = bar(plywood(9, 12).square()).slice(\"a\");\n\
                   panel(\"p\", squares(t)).size(2, 1).fill(t);\nt = t.flip();\n";
    let new = after(changed, &[lay(&[[0, 0]], "a", 90.0, false)]);
    assert!(new.contains("[0, 0, tile(\"a\").rotate(90)]"), "{new}");
    // The tile is sliced after the panel is begun: the block comes last.
    let later = "let t = bar(plywood(9, 12).square()).slice(\"a\");\nlet p = panel(\"p\", squares(t)).size(2, 1);\n\
                 let u = bar(plywood(9, 12, \"walnut\").square()).slice(\"b\");\np.fill(u);\n";
    let new = after(later, &[lay(&[[0, 0]], "b", 90.0, false)]);
    assert_eq!(
        new,
        format!("{later}\nlay(\"p\", [\n    [0, 0, u.rotate(90)],\n]);\n")
    );
    run(&new);
}

#[test]
fn comments_in_a_block_stay_and_so_do_options() {
    let text = format!(
        "{WOOD}panel(\"p\", squares(light)).size(6, 4).fill(light).lay([\n    // The sun.\n    \
         [2..4, 0, dark], // bright\n    /* and a cloud */\n    [0, 1, dark.flip()],\n    // end\n], #{{ repeat: [6, 2] }});\n"
    );
    let new = after(&text, &[lay(&[[3, 0]], "light", 90.0, false)]);
    let expected = format!(
        "{WOOD}panel(\"p\", squares(light)).size(6, 4).fill(light).lay([\n    // The sun.\n    \
         [2, 0, dark], // bright\n    [3, 0, light.rotate(90)],\n    /* and a cloud */\n    [0, 1, dark.flip()],\n    // end\n], #{{ repeat: [6, 2] }});\n"
    );
    assert_eq!(new, expected);
    run(&new);
}

#[test]
fn a_block_that_is_computed_stays_and_another_goes_over_it() {
    let text = format!(
        "{WOOD}let n = 1;\npanel(\"p\", squares(light)).size(3, 2).fill(light)\n    .lay([[n, 0, dark]]);\n"
    );
    let new = after(&text, &[lay(&[[0, 0]], "dark", 0.0, false)]);
    assert_eq!(
        new,
        text.replace(
            "dark]]);",
            "dark]])\n    .lay([\n        [0, 0, dark],\n    ]);"
        )
    );
    let refused = edited(&text, &run(&text), 0, &[give_back(&[[1, 0]])]);
    assert_eq!(
        refused,
        Err(EditError::Elsewhere(Cell {
            column: 1,
            course: 0
        }))
    );
}

#[test]
fn a_text_with_other_line_ends_keeps_them() {
    let text = format!("{WOOD}panel(\"p\", squares(light))\n    .size(3, 2).fill(light);\n")
        .replace('\n', "\r\n");
    let new = after(&text, &[lay(&[[0, 0]], "dark", 0.0, false)]);
    assert!(!new.replace("\r\n", "").contains('\n'), "{new:?}");
    assert_eq!(after(&new, &[give_back(&[[0, 0]])]), text);
}

#[test]
fn what_cannot_be_done_is_told() {
    let hex = "let r = plywood(13, 18).rhombus(60);\nlet hex = hexagon([r, r, r]).slice(\"hex\");\n\
               let leaning = bar(plywood(9, 12).rip(30, 60)).slice(\"leaning\");\n\
               panel(\"p\", rhombi(leaning)).size(2, 2).fill(leaning);\n";
    let outcome = run(hex);
    let refused = |edit: Edit| edited(hex, &outcome, 0, &[edit]).unwrap_err().to_string();
    assert_eq!(
        refused(lay(&[[0, 0]], "hex", 0.0, false)),
        "the tile `hex` does not fit the cell at column 0, course 0"
    );
    assert_eq!(
        refused(lay(&[[0, 7]], "hex", 0.0, false)),
        "the panel has no cell at column 0, course 7"
    );
    assert_eq!(
        refused(lay(&[[0, 0]], "hax", 0.0, false)),
        "the recipe slices no tiles named `hax`"
    );
    assert_eq!(
        refused(act(Act::Flip {
            cells: vec![[0, 0]]
        })),
        "a tile that is turned over does not fit this cell"
    );
}

/// Forty tiles laid one by one, all of it mirrored, one step taken back: as a maker would, and the
/// text reads as kept.
#[test]
fn forty_tiles_by_hand_read_as_kept() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/hands");
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).expect("a kept text");
    let mut text = read("forty.rhai");
    let mut former = text.clone();
    for i in 0..40 {
        let (column, course) = (i % 5, i / 5);
        let mut edit = match i % 4 {
            0 => lay(&[[column, course]], "dark", 0.0, false),
            1 => act(Act::Rotate {
                cells: vec![[column, course]],
                steps: 1,
            }),
            2 => lay(&[[column, course]], "bent", 90.0 * f64::from(i % 3), false),
            _ => act(Act::Flip {
                cells: vec![[column, course]],
            }),
        };
        edit.brush = Brush::LeftRight;
        former.clone_from(&text);
        text = after(&text, &[edit]);
    }
    // The last step is had back, and done again.
    assert_ne!(former, text);
    assert_eq!(run(&text).panels[0].tiles.len(), 80);
    if std::env::var_os("PLYLOOM_BLESS").is_some() {
        std::fs::write(folder.join("forty.laid.rhai"), &text).expect("it is written");
    }
    assert_eq!(text, read("forty.laid.rhai"));
}

proptest! {
    /// A bag is never overdrawn: a panel that is filled from one shows just what it holds, whatever hands lay;
    /// what would take more is refused, and said of the bag.
    #[test]
    fn a_bag_is_never_overdrawn_by_hands(
        moves in proptest::collection::vec((0..4_i32, 0..3_i32, proptest::bool::ANY, 0..4_u8), 1..14)
    ) {
        let held = BTreeMap::from([("light", 8), ("dark", 4)]);
        let mut text = format!(
            "{WOOD}panel(\"p\", squares(light)).size(4, 3).fill(bag(\"b\", [[light, 8], [dark, 4]]));\n"
        );
        // Cells that hands laid, by kind.
        let mut laid = BTreeMap::new();
        for (column, course, dark, quarters) in moves {
            let kind = if dark { "dark" } else { "light" };
            let edit = lay(&[[column, course]], kind, f64::from(quarters) * 90.0, false);
            let new = after(&text, &[edit]);
            let source = Arc::new(Source::new("t.rhai", new.as_str()));
            let host = Arc::new(MemoryHost::default());
            let mut now = laid.clone();
            now.insert((column, course), kind);
            let most = |kind: &str| now.values().filter(|k| **k == kind).count();
            match evaluate(&source, &Settings::default(), host) {
                Ok(outcome) => {
                    let panel = &outcome.panels[0];
                    let mut shown = BTreeMap::from([("light", 0), ("dark", 0)]);
                    for tile in &panel.tiles {
                        let name = panel.faces[tile.face as usize].kind.name();
                        *shown.get_mut(name).expect("a kind of the bag") += 1;
                    }
                    prop_assert_eq!(&shown, &held);
                    (text, laid) = (new, now);
                }
                Err(failure) => {
                    prop_assert!(failure.to_string().contains("the bag holds just"), "{}", failure);
                    prop_assert!(most(kind) > held[kind], "{:?}", now);
                }
            }
        }
    }
}

#[test]
fn edits_have_a_plain_form_in_json() {
    let json = r#"{"act":"lay","cells":[[1,2]],"kind":"dark","turn":90.0,"flip":true,"brush":"left-right","every":[2,3]}"#;
    let edit: Edit = serde_json::from_str(json).expect("an edit");
    assert_eq!(edit.brush, Brush::LeftRight);
    assert_eq!(serde_json::to_string(&edit).expect("JSON"), json);
    let short: Edit = serde_json::from_str(r#"{"act":"give-back","cells":[]}"#).expect("an edit");
    assert_eq!(short, give_back(&[]));
}

#[test]
fn repeats_and_symmetries_that_agree_are_offered_and_fill_the_panel() {
    let text = format!(
        "{WOOD}panel(\"p\", squares(light)).size(6, 4).fill(light).lay([\n    [0, 0, dark],\n    [1, 0, light.rotate(90)],\n    [4, 0, dark],\n]);\n"
    );
    let outcome = run(&text);
    let offers = offers(&outcome, 0).expect("offers");
    let words: Vec<&str> = offers.iter().map(|offer| offer.words.as_str()).collect();
    // Dark at columns 0 and 4, another between: every 2 or every 4 columns, were 4 all laid.
    assert_eq!(words[0], "repeated every 2 x 1");
    assert!(
        words.contains(&"repeated every 2 x 1, each 1 column further right"),
        "{words:?}"
    );
    assert!(words.contains(&"mirrored top and bottom"), "{words:?}");
    // Turned over, what lies at column 1 is to lie at column 4, where something else was laid.
    assert!(!words.contains(&"mirrored left and right"), "{words:?}");
    let made = shown(&run(&after(&text, &offers[0].edits)));
    let at = |column, course| &made[&Cell { column, course }];
    for (cell, face) in &made {
        assert!(face.looks_like(at(cell.column % 2, 0)), "{cell}");
    }
    let bare = format!("{WOOD}panel(\"p\", squares(light)).size(6, 4).fill(light);\n");
    assert_eq!(
        plyloom::recipe::hands::offers(&run(&bare), 0),
        Ok(Vec::new())
    );
}

/// A repeat is written as a person would, and shows what its words say: held by the faces alone.
#[test]
fn repeats_are_written_by_their_first_block() {
    let text = format!(
        "{WOOD}panel(\"p\", squares(light)).size(7, 5).lay([\n    // Mine.\n    [0, 0, dark],\n    [1, 0, light.rotate(90)],\n]);\n"
    );
    let outcome = run(&text);
    let found = offers(&outcome, 0).expect("offers");
    let written = |words: &str| {
        let offer = found.iter().find(|offer| offer.words == words);
        let offer = offer.unwrap_or_else(|| panic!("{words}: {found:#?}"));
        after(&text, &offer.edits)
    };
    let plain = written("repeated every 2 x 1");
    assert_eq!(plain, text.replace("\n]);", "\n], #{ repeat: [2, 1] });"));
    let shifted = written("repeated every 2 x 1, each 1 column further right");
    assert_eq!(
        shifted,
        text.replace("\n]);", "\n], #{ repeat: [2, 1], shift: 1 });")
    );
    let mirrored = written("repeated every 2 x 1, every other one mirrored left and right");
    assert_eq!(
        mirrored,
        text.replace("\n]);", "\n], #{ repeat: [2, 1], mirror: \"across\" });")
    );
    let (shifted, mirrored) = (shown(&run(&shifted)), shown(&run(&mirrored)));
    let first = shown(&outcome);
    let at = |column, course| Cell { column, course };
    for cell in shifted.keys() {
        let column = (cell.column - cell.course).rem_euclid(2);
        assert!(shifted[cell].looks_like(&first[&at(column, 0)]), "{cell}");
        let (block, column) = (cell.column.div_euclid(2), cell.column.rem_euclid(2));
        let (column, by) = match block % 2 {
            0 => (column, Isometry::IDENTITY),
            _ => (1 - column, Isometry::mirror(90.0)),
        };
        let expected = first[&at(column, 0)].posed(by);
        assert!(mirrored[cell].looks_like(&expected), "{cell}");
    }
    // Every offer works out, and what was laid stays.
    for offer in &found {
        let made = shown(&run(&after(&text, &offer.edits)));
        for column in [0, 1] {
            assert!(
                made[&at(column, 0)].looks_like(&first[&at(column, 0)]),
                "{}",
                offer.words
            );
        }
    }
    let none = act(Act::Repeat {
        size: [3, 1],
        shift: 0,
        mirror: Mirror::None,
    });
    assert_eq!(
        edited(&text, &outcome, 0, &[none]),
        Err(EditError::NoRepeat)
    );
}

/// What a panel shows, cell by cell.
fn shown(outcome: &Outcome) -> BTreeMap<Cell, Face> {
    let panel = &outcome.panels[0];
    let faces = panel.tiles.iter();
    faces
        .map(|t| (t.cell, panel.faces[t.face as usize].face.clone()))
        .collect()
}

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
                        if face.outline().coincides(expected[&at(n)].outline(), 0.01) {
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
