//! Tiles laid one by one over what the rules give.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use plyloom::layout::Tally;

use crate::layout_words::{picture, run};

fn pictured(text: &str) -> Vec<String> {
    picture(&run(text).panels[0])
}

#[test]
fn laid_tiles_go_over_all_fills_wherever_they_are_written() {
    let expected = ["DDDl", "lll/", "llll"];
    let chained = "panel(\"p\", squares(light)).size(4, 3).fill(light)\
                   .lay([[0..=2, 0, dark.flip()], [3, 1, light.rotate(90)]]);";
    let before = "let p = panel(\"p\", squares(light));\n\
                  p.lay([[0..3, 0, dark.flip()], [3, 1, light.rotate(90)]]);\n\
                  p.size(4, 3).fill(dark).fill_where(|c| true, light);";
    let by_name = "fn begin(tile) { panel(\"p\", squares(tile)).size(4, 3).fill(tile); }\n\
                   begin(light);\n\
                   lay(\"p\", [[0..=2, 0, tile(\"dark\").flip()], [3, 1, tile(\"light\").rotate(90)]]);";
    for text in [chained, before, by_name] {
        assert_eq!(pictured(text), expected, "{text}");
    }
}

#[test]
fn the_later_of_two_entries_holds_and_a_panel_may_be_laid_by_hand_alone() {
    let text = "panel(\"p\", squares(light)).size(3, 2)\
                .lay([[0..=2, 0, light], [0..=2, 1, light], [1, 0, dark]]).lay([[2, 1, dark]]);";
    assert_eq!(pictured(text), ["ldl", "lld"]);
}

#[test]
fn a_seed_leaves_laid_tiles_where_they_are() {
    use crate::layout_words::run_with;
    use plyloom::recipe::settings::Settings;
    let text = "panel(\"p\", squares(light)).size(6, 6).fill(random(\"a\", light.looks()))\
                .lay([[2..=3, 2, dark], [2..=3, 3, dark.flip()]]);";
    for seed in 0..8 {
        let settings = Settings {
            seed: Some(seed),
            ..Settings::default()
        };
        let made = picture(&run_with(text, &settings).unwrap().panels[0]);
        assert_eq!((&made[2][2..4], &made[3][2..4]), ("dd", "DD"), "{made:?}");
    }
}

#[test]
fn cells_that_a_smaller_panel_lacks_are_told_and_kept() {
    let text = "panel(\"p\", squares(light)).size(3, 2).fill(light)\
                .lay([[1..=5, 0, dark], [0, 9, dark]]);";
    let outcome = run(text);
    assert_eq!(picture(&outcome.panels[0]), ["ldd", "lll"]);
    let hands = &outcome.hands[0].thing;
    assert_eq!(hands.outside.0, 4);
    let named: Vec<_> = hands
        .outside
        .1
        .iter()
        .map(|c| (c.column, c.course))
        .collect();
    assert_eq!(named, [(3, 0), (4, 0), (5, 0)]);
    assert_eq!(hands.laid.len(), 2);
}

#[test]
fn a_repeat_goes_over_the_panel_shifted_or_mirrored() {
    let laid = |options: &str| {
        pictured(&format!(
            "panel(\"p\", squares(light)).size(6, 4).fill(light)\
             .lay([[0, 0, dark], [1, 1, dark]], #{{ {options} }});"
        ))
    };
    assert_eq!(
        laid("repeat: [3, 2]"),
        ["dlldll", "ldlldl", "dlldll", "ldlldl"]
    );
    assert_eq!(
        laid("repeat: [3, 2], shift: 1"),
        ["dlldll", "ldlldl", "ldlldl", "lldlld"]
    );
    assert_eq!(
        laid("repeat: [3, 2], mirror: \"across\""),
        ["dllllD", "ldllDl", "dllllD", "ldllDl"]
    );
    // Turned over and by half a turn: seen from above, top for bottom.
    let both = laid("repeat: [3, 2], mirror: \"both\"");
    assert_eq!(both, ["dllllD", "ldllDl", "lDll/l", "Dllll/"]);
}

/// The panel of mirrored repeats is its own mirror image: an outside view, by drawing each tile's
/// layers and mirroring the points.
#[test]
fn a_mirrored_repeat_is_its_own_mirror_image() {
    let text = "let bent = mitred_pair(plywood(9, 12).triangle(45).halve()[1]).slice(\"bent\");\n\
                panel(\"p\", squares(bent)).size(4, 4).fill(bent).lay([\
                [0, 0, bent.rotate(90)], [1, 0, bent.flip()], [0, 1, bent.flip().rotate(180)], [1, 1, bent]\
                ], #{ repeat: [2, 2], mirror: \"both\" });";
    let outcome = run(text);
    let panel = &outcome.panels[0];
    let colour_at = |x: f64, y: f64| {
        panel.tiles.iter().find_map(|tile| {
            let face = &panel.faces[tile.face as usize].face;
            let at = plyloom::geom::Point::new(x - tile.at.x, y - tile.at.y);
            let region = face.regions().iter().find(|r| r.polygon.holds(at));
            region.map(|r| r.colour.to_string())
        })
    };
    let (w, h) = (panel.bounds.width(), panel.bounds.height());
    let mut seen = std::collections::BTreeSet::new();
    for i in 0..57 {
        for j in 0..57 {
            let x = (f64::from(i) + 0.37) * w / 57.0;
            let y = (f64::from(j) + 0.41) * h / 57.0;
            let here = colour_at(x, y);
            seen.extend(here.clone());
            assert_eq!(here, colour_at(w - x, y), "{x} {y}");
            assert_eq!(here, colour_at(x, h - y), "{x} {y}");
        }
    }
    assert!(seen.len() > 1, "{seen:?}");
}

#[test]
fn a_bag_gives_just_what_it_holds() {
    let text = "panel(\"p\", squares(light)).size(6, 4)\
                .fill(bag(\"box\", [[light, 20], [dark, 4]]))\
                .lay([[0..=2, 0, dark], [0, 1, dark.rotate(90)], [1..=5, 1, light]]);";
    let outcome = run(text);
    let tally = Tally::of(&outcome.panels[0]);
    let of = |kind: &str| -> u64 {
        let rows = tally.rows.iter().filter(|row| row.kind == kind);
        rows.map(plyloom::layout::tally::Row::total).sum()
    };
    assert_eq!((of("light"), of("dark")), (20, 4));
    assert_eq!(&picture(&outcome.panels[0])[0][..3], "ddd");
}

/// The tile of a lattice fits each of its cells as it stands, so it can be the ground of a panel.
#[test]
fn a_panel_that_nothing_fills_has_the_tile_of_its_lattice_in_every_cell() {
    let wood = "let plank = bar(laminate([veneer(1, \"navy\"), plywood(7, 11)]).rip(24)).slice(\"plank\");\n\
                let r = laminate([veneer(0.6, \"navy\"), plywood(13, 17.7)]).rhombus(60);\n\
                let block = hexagon([r, r, r]).slice(\"block\");\nlet piece = bar(r).slice(\"piece\").rotate(-30);\n\
                let leaning = bar(plywood(9, 12).rip(60, 60)).slice(\"leaning\");\n\
                let t = bar(laminate([veneer(1, \"navy\"), plywood(9, 12)]).triangle(60)).slice(\"t\");\n";
    for (lattice, tile, size) in [
        ("squares(light)", "light", ".size(5, 4)"),
        ("running_bond(plank)", "plank", ".size(5, 4)"),
        ("to_and_fro(plank, 0.25)", "plank", ".finished(110, 80)"),
        ("herringbone(plank)", "plank", ".finished(110, 80)"),
        ("basket_weave(plank)", "plank", ".size(8, 4)"),
        ("hexagons(block)", "block", ".finished(160, 120)"),
        ("rhombi(piece)", "piece", ".size(5, 4)"),
        ("chevrons(leaning)", "leaning", ".size(4, 4)"),
        ("tumbling_blocks(piece)", "piece", ".size(6, 3)"),
        ("triangles(t)", "t", ".size(7, 3)"),
    ] {
        let panel = format!("{wood}panel(\"p\", {lattice}){size}");
        let filled = run(&format!("{panel}.fill({tile});"));
        assert_eq!(run(&format!("{panel};")).panels, filled.panels, "{lattice}");
    }
}
