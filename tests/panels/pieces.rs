//! Pieces that are cut out of one panel: areas against a library that knows nothing of ours, places, tiles and joints.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use cavalier_contours::polyline::{
    BooleanOp, BooleanResultPline, PlineSource, PlineSourceMut, Polyline,
};
use plyloom::{
    geom::Polygon,
    layout::{Panel, cut_out::cut_out, panel::JointCount},
    recipe::{evaluate, memory_host::MemoryHost, settings::Settings, source::Source},
};

fn panel(of: &str) -> Panel {
    let text = format!(
        "let block = bar(laminate([veneer(0.6, \"navy\"), plywood(13, 18)]).rip(22)).slice(\"block\");\n\
         panel(\"set\", running_bond(block)){of}.fill(block);"
    );
    let source = Arc::new(Source::new("recipe.rhai", text));
    let made = evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    );
    made.unwrap().panels.into_iter().next().unwrap()
}

/// A circle of theirs: two arcs of half a turn.
fn circle(x: f64, y: f64, radius: f64) -> Polyline {
    let mut line = Polyline::new_closed();
    line.add(x - radius, y, 1.0);
    line.add(x + radius, y, 1.0);
    line
}

const SIX: &str = ".pieces([piece(\"a\", circle(90)), piece(\"b\", circle(90)), piece(\"c\", circle(90)), \
    piece(\"d\", circle(90)), piece(\"e\", circle(90)), piece(\"f\", circle(90))], 4)";

/// Six coasters of 90 mm, 4 mm apart, take 3 by 2: 278 by 184 mm. What is kept, what the cut takes and what is waste
/// are the panel.
#[test]
fn pieces_kerf_and_waste_are_the_panel() {
    let set = panel(SIX);
    let size = (set.bounds.width(), set.bounds.height());
    assert!(
        (size.0 - 278.0).abs() < 1e-6 && (size.1 - 184.0).abs() < 1e-6,
        "{size:?}"
    );
    let whole = 278.0 * 184.0;
    assert!((set.net_area_of(&set.counts()) - whole).abs() < 1e-6 * whole);
    let (mut kept, mut kerf) = (0.0, 0.0);
    let mut open = whole;
    for (i, piece) in set.pieces.list.iter().enumerate() {
        let (x, y) = (45.0 + 94.0 * (i % 3) as f64, 45.0 + 94.0 * (i / 3) as f64);
        let theirs = circle(x, y, 45.0);
        // Half of the cut on each side of the line half-way between two of them.
        let way = if theirs.area() > 0.0 { -2.0 } else { 2.0 };
        let around: f64 = (theirs.parallel_offset(way).iter())
            .map(|p| p.area().abs())
            .sum();
        let inside = theirs.area().abs();
        // The sum over what is left of the tiles; a chord lies within 0.005 mm of the circle.
        let own = cut_out(&set, piece);
        let ours = own.net_area_of(&own.counts());
        assert!(
            (ours - inside).abs() < 0.005 * std::f64::consts::PI * 90.0,
            "{ours} {inside}"
        );
        kept += ours;
        kerf += around - inside;
        open -= around;
    }
    let ring = std::f64::consts::PI * (47.0 * 47.0 - 45.0 * 45.0);
    assert!((kerf - 6.0 * ring).abs() < 1e-6 * whole);
    assert!(
        (kept + kerf + open - whole).abs() < 6.0 * 0.005 * std::f64::consts::PI * 90.0,
        "{kept} {kerf} {open} {whole}"
    );
}

/// Each piece shows what the panel shows there: the same tiles in the same places, trimmed to it, and no others.
#[test]
fn a_piece_shows_its_part_of_the_panel() {
    let set = panel(
        ".pieces([piece(\"l\", l_shape(150, 120, 50, 40), 0, 0), piece(\"o\", ellipse(90, 70).hole(circle(20)), 60, 50)], 3)",
    );
    let mut all = JointCount::default();
    for piece in &set.pieces.list {
        let own = cut_out(&set, piece);
        assert_eq!(own.name, piece.name);
        let from = piece.outline.bounds().min;
        for tile in &set.tiles {
            let area = piece.outline.area_of(&set.rim(tile));
            let here = own.tiles.iter().find(|t| t.cell == tile.cell);
            match here {
                Some(here) => {
                    assert!((here.at + from).distance(tile.at) < 1e-9);
                    assert!((own.area_left(here) - area).abs() < 1e-3);
                    assert_eq!(
                        own.faces[here.face as usize].pose,
                        set.faces[tile.face as usize].pose
                    );
                }
                None => assert!(area < 0.5, "{area}"),
            }
        }
        assert!((own.net_area_of(&own.counts()) - piece.outline.area()).abs() < 1.0);
        all.all += own.joints.all;
    }
    assert!(all.all > 20);
    // An island in the bay of an L: room enough, and neither in the other.
    assert_eq!(set.pieces.list.len(), 2);
}

#[test]
fn pieces_are_laid_on_the_finished_size_in_rows() {
    let rows = panel(
        ".finished(200, 300).pieces([piece(\"a\", rectangle(120, 50)), piece(\"b\", rectangle(90, 60)), piece(\"c\", rectangle(100, 40))], 5)",
    );
    let at: Vec<(f64, f64)> = (rows.pieces.list.iter())
        .map(|p| (p.outline.bounds().min.x, p.outline.bounds().min.y))
        .collect();
    assert_eq!(at, [(0.0, 0.0), (0.0, 55.0), (95.0, 55.0)]);
    assert!((rows.bounds.height() - 300.0).abs() < 1e-9);
}

fn corners(of: &Polygon) -> Polyline {
    let mut line = Polyline::new_closed();
    for p in of.corners() {
        line.add(p.x, p.y, 0.0);
    }
    line
}

/// The area that two of theirs share.
fn shared(a: &Polyline, b: &Polyline) -> f64 {
    let both = a.boolean(b, BooleanOp::And);
    let sum = |list: &[BooleanResultPline<Polyline>]| {
        let areas = list.iter().map(|p| p.pline.area().abs());
        areas.sum::<f64>()
    };
    sum(&both.pos_plines) - sum(&both.neg_plines)
}

/// What a disc with a hole leaves of each tile, by arcs of theirs, is what we say; the sum of all is the net area, of the
/// panel and of the pieces that it is cut into. A chord of ours leaves the circle by at most 0.005 mm.
#[test]
fn net_areas_are_the_sums_of_what_another_library_leaves_of_the_tiles() {
    const OFF: f64 = 0.005;
    for k in 0..8 {
        let k = f64::from(k);
        let (radius, hole) = (131.3 + 7.9 * k, 17.7 + 2.3 * k);
        let (right, down) = (41.7 + 3.1 * k, 61.3 + 4.7 * k);
        let set = panel(&format!(
            ".finished_outline(circle({}).hole(circle({}), {right}, {down}))\
             .pieces([piece(\"a\", circle(60).hole(circle(20.4)), 150.3, 90.9), piece(\"b\", circle(71.3), 96.1, 24.7)], 3)",
            2.0 * radius,
            2.0 * hole
        ));
        let disc = circle(radius, radius, radius);
        let open = circle(right + hole, down + hole, hole);
        let held = |panel: &Panel, (outer, inner): (&Polyline, Option<&Polyline>), rims: f64| {
            let (mut ours, mut theirs) = (0.0, 0.0);
            for tile in &panel.tiles {
                let rim = corners(&panel.rim(tile));
                let left = shared(&rim, outer) - inner.map_or(0.0, |inner| shared(&rim, inner));
                let own = panel.area_left(tile);
                assert!((own - left).abs() < OFF * 100.0, "{k}: {own} {left}");
                ours += own;
                theirs += left;
            }
            let most = OFF * 2.0 * std::f64::consts::PI * rims;
            assert!((ours - theirs).abs() < most, "{k}: {ours} {theirs}");
            assert!(
                (ours - panel.net_area_of(&panel.counts())).abs() < 1e-6 * ours,
                "{k}: {ours}"
            );
        };
        held(&set, (&disc, Some(&open)), radius + hole);
        let [a, b] = &set.pieces.list[..] else {
            panic!("two pieces");
        };
        let ring = (circle(30.0, 30.0, 30.0), circle(30.0, 30.0, 10.2));
        held(&cut_out(&set, a), (&ring.0, Some(&ring.1)), 40.2);
        held(
            &cut_out(&set, b),
            (&circle(35.65, 35.65, 35.65), None),
            35.65,
        );
    }
}

/// No two pieces lie nearer than the kerf: grown by half of it, by another library, they share nothing.
fn lie_apart(set: &Panel, kerf: f64) {
    let grown: Vec<Polyline> = (set.pieces.list.iter())
        .map(|piece| {
            let rim = corners(&piece.outline.loops()[0]);
            let way = if rim.area() > 0.0 { -kerf } else { kerf } / 2.0;
            rim.parallel_offset(way).remove(0)
        })
        .collect();
    let bounds = |i: usize| set.pieces.list[i].outline.bounds().grown(kerf);
    for (i, a) in grown.iter().enumerate() {
        for (j, b) in grown[..i].iter().enumerate() {
            if !bounds(i).meets(bounds(j)) {
                continue;
            }
            assert!(shared(a, b) < 0.02 * kerf, "{}", shared(a, b));
        }
    }
}

/// What is nested takes less than rows, keeps the cut between all pieces, and comes to the same places again.
#[test]
fn nested_pieces_take_less_than_rows() {
    let list = |count: usize, outline: &str| {
        let one = |i| format!("piece(\"p {i}\", {outline})");
        (0..count).map(one).collect::<Vec<_>>().join(", ")
    };
    for (before, outline, count, options, least) in [
        // Two Ls make a block: 120 x 125 where two in a row take 244 x 90.
        ("", "l_shape(120, 90, 30, 30)", 4, "turned: 180", 0.15),
        // Circles go into the gaps of the row above: less by up to 1 - sqrt(3) / 2 of each further row.
        (
            ".finished(292, 420)",
            "circle(60)",
            16,
            "nested: true",
            0.05,
        ),
        ("", "path(\"M 0 0 H 100 L 0 100 Z\")", 6, "turned: 180", 0.2),
    ] {
        let rows = panel(&format!("{before}.pieces([{}], 4)", list(count, outline)));
        let words = format!(
            "{before}.pieces([{}], 4, #{{ {options} }})",
            list(count, outline)
        );
        let close = panel(&words);
        lie_apart(&close, 4.0);
        let takes = |set: &Panel| {
            let all = set.pieces.list.iter().map(|piece| piece.outline.bounds());
            let all = all.reduce(plyloom::geom::Rect::join).unwrap();
            if before.is_empty() {
                all.width() * all.height()
            } else {
                all.max.y
            }
        };
        let (long, short) = (takes(&rows), takes(&close));
        assert!(
            short < long * (1.0 - least),
            "{outline} {options}: {short} {long}"
        );
        for (piece, again) in close.pieces.list.iter().zip(&panel(&words).pieces.list) {
            assert_eq!(piece, again);
            let own = piece.outline.area();
            assert!((own - rows.pieces.list[0].outline.area()).abs() < 1e-6 * own);
        }
    }
    // What fits in rows to a hair stays there.
    let tight = ".finished(278, 184).pieces([";
    let six = list(6, "circle(90)");
    assert_eq!(
        panel(&format!("{tight}{six}], 4)")).pieces,
        panel(&format!("{tight}{six}], 4, #{{ turned: 90 }})")).pieces
    );
}
