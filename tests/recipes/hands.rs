//! Hand edits written into a recipe's text: what comes out shows what hands did, and nothing else of
//! the text has changed.
//!
//! What a panel should show is worked out from the faces that it showed before, by moving their
//! polygons; poses and the words for them play no part in it.

use std::collections::BTreeMap;
use std::sync::Arc;

use plyloom::geom::Isometry;
use plyloom::layout::{Cell, NumberedCell};
use plyloom::recipe::hands::{Act, Brush, Edit, EditError, Mirror, edited, offers};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::{Outcome, evaluate, settings::Settings, source::Source};
use plyloom::stock::Face;
use proptest::prelude::*;

pub(super) fn run(text: &str) -> Outcome {
    let source = Arc::new(Source::new("t.rhai", text));
    evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
    .unwrap_or_else(|failure| panic!("{text}\n{failure}"))
}

pub(super) fn act(act: Act) -> Edit {
    Edit {
        act,
        brush: Brush::One,
        every: None,
    }
}

pub(super) fn lay(cells: &[[i32; 2]], kind: &str, turn: f64, flip: bool) -> Edit {
    act(Act::Lay {
        cells: cells.to_vec(),
        kind: kind.to_owned(),
        turn,
        flip,
    })
}

pub(super) fn give_back(cells: &[[i32; 2]]) -> Edit {
    act(Act::GiveBack {
        cells: cells.to_vec(),
    })
}

pub(super) const WOOD: &str = "let light = bar(laminate([veneer(1, \"navy\"), plywood(9, 12)]).square()).slice(\"light\");\n\
                    let dark = bar(plywood(9, 13, \"walnut\").square()).slice(\"dark\");\n";

/// The text after edits; what it gives shows what it should.
pub(super) fn after(text: &str, edits: &[Edit]) -> String {
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
        Err(EditError::Elsewhere(NumberedCell {
            cell: Cell {
                column: 1,
                course: 0
            },
            number: [1, 2],
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
        "the tile `hex` does not fit at 1-1 (column 0, course 0 in rules)"
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
pub(super) fn shown(outcome: &Outcome) -> BTreeMap<Cell, Face> {
    let panel = &outcome.panels[0];
    let faces = panel.tiles.iter();
    faces
        .map(|t| (t.cell, panel.faces[t.face as usize].face.clone()))
        .collect()
}
