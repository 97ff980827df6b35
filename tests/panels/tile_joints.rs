//! Joints tile by tile, and parts of a panel, against what is counted for the whole.

use std::fs;
use std::path::Path;

use plyloom::draw::{Ground, PanelOptions, bitmap, panel_svg, plain_svg};
use plyloom::geom::{Point, Rect};
use plyloom::layout::panel::Panel;
use plyloom::layout::tile_joints;
use plyloom::layout::window::window;

use crate::in_memory::recipe;

/// The panels of all demos that need no module.
fn demos() -> Vec<Panel> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns");
    let mut paths: Vec<_> = fs::read_dir(folder)
        .expect("the demos")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "rhai"))
        .collect();
    paths.sort();
    let texts = paths.iter().map(|p| fs::read_to_string(p).expect("a demo"));
    let panels: Vec<Panel> = texts
        .filter(|text| !text.contains("import"))
        .flat_map(|text| recipe(&text).works().panels)
        .collect();
    assert!(panels.len() >= 6, "most demos stand alone");
    panels
}

/// Lattices count their joints by what lies beside each cell, tiles placed freely by trying all
/// pairs; here they are found from where the tiles lie. Each joint is seen from both sides.
#[test]
fn the_joints_of_all_tiles_are_those_of_the_panel_twice() {
    for panel in demos() {
        let joints = tile_joints(&panel);
        assert_eq!(joints.len(), panel.tiles.len());
        let sum =
            |of: fn(&plyloom::layout::panel::JointCount) -> u64| joints.iter().map(of).sum::<u64>();
        assert_eq!(sum(|j| j.all), 2 * panel.joints.all, "{}", panel.name);
        assert_eq!(
            sum(|j| j.matched),
            2 * panel.joints.matched,
            "{}",
            panel.name
        );
    }
}

#[test]
fn a_square_in_the_middle_has_four_joints_and_one_in_the_corner_two() {
    let text = "let tile = bar(plywood(13, 18).square()).slice(\"square\");\n\
                panel(\"Nine\", squares(tile)).size(3, 3).fill(tile);\n";
    let panel = &recipe(text).works().panels[0];
    let all: Vec<u64> = tile_joints(panel).iter().map(|j| j.all).collect();
    assert_eq!(all, [2, 3, 2, 3, 4, 3, 2, 3, 2]);
    // Layers run from side to side: they run on to the left and right, and above lies face on face.
    let joints = tile_joints(panel);
    assert!(joints.iter().all(|j| j.matched == j.all), "{joints:?}");
}

/// A part shows the very pixels that the whole shows there.
#[test]
fn a_part_looks_like_the_whole_there() {
    let panel = &recipe(
        "let sheet = laminate([veneer(0.6, \"navy\"), plywood(5, 12)]);\n\
         let tile = bar(sheet.rip(sheet.thickness)).slice(\"square\");\n\
         panel(\"Turned\", squares(tile)).finished(120, 80).fill(random(\"t\", tile.looks()));\n",
    )
    .works()
    .panels[0];
    let rect = Rect {
        min: Point::new(30.0, 20.0),
        max: Point::new(90.0, 60.0),
    };
    let part = window(panel, rect).expect("tiles lie there");
    assert!(part.tiles.len() < panel.tiles.len());
    assert!(
        (part.bounds.width() - 60.0).abs() < 1e-9 && (part.bounds.height() - 40.0).abs() < 1e-9
    );
    let pixels = |panel: &Panel, width| {
        let svg = panel_svg(panel, &PanelOptions::default());
        bitmap(&svg, width, Ground::Paper).expect("a picture")
    };
    let (whole, small) = (pixels(panel, 1200), pixels(&part, 600));
    let at = |picture: &plyloom::draw::Bitmap, x: usize, y: usize| {
        let start = (y * picture.width as usize + x) * 4;
        picture.rgba[start..start + 3].to_vec()
    };
    let near = |a: &[u8], b: &[u8]| a.iter().zip(b).all(|(x, y)| x.abs_diff(*y) < 24);
    let spots = (5..595)
        .step_by(7)
        .flat_map(|x| (5..395).step_by(7).map(move |y| (x, y)));
    let (mut all, mut same) = (0, 0);
    for (x, y) in spots {
        all += 1;
        same += usize::from(near(&at(&small, x, y), &at(&whole, x + 300, y + 200)));
    }
    // The rasters differ by less than a pixel along lines.
    assert!(same * 100 > all * 97, "{same} of {all}");
    assert!(
        window(
            panel,
            Rect {
                min: Point::new(200.0, 0.0),
                max: Point::new(210.0, 9.0)
            }
        )
        .is_none()
    );
}

/// From far off each tile has the mean of its colours.
#[test]
fn a_plain_drawing_has_one_colour_a_tile() {
    let text = "let dark = bar(plywood(5, 10, \"walnut\").rip(10)).slice(\"dark\");\n\
                let light = bar(plywood(5, 10).rip(10)).slice(\"light\");\n\
                panel(\"Two\", squares(dark)).size(2, 1).fill(|cell| if cell.column == 0 { dark } else { light });\n";
    let panel = &recipe(text).works().panels[0];
    let picture = bitmap(&plain_svg(panel), 200, Ground::Paper).expect("a picture");
    let row = 50 * picture.width as usize;
    let colour = |x: usize| picture.rgba[(row + x) * 4..(row + x) * 4 + 3].to_vec();
    assert_eq!(colour(5), colour(95));
    assert_eq!(colour(105), colour(195));
    assert!(
        colour(50)[0] + 40 < colour(150)[0],
        "walnut is darker than birch"
    );
}
