//! Figures of panels, on small ones worked out by hand.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use crate::common::tiles;
use std::sync::Arc;

use crate::common::tiles::{
    PAINTS, colour_at, diagonal, face, hexagon_block, plain_squares, striped,
};
use plyloom::{
    explore::alike::looks_of_all,
    explore::known_faces::KnownFaces,
    explore::measures::{self, Echo, Mirrored, balance, lines},
    geom::Point,
    layout::{Extent, Panel, free::Placements},
    stock::{Tile, TileKind},
};

fn echoes(panel: &Panel, reach: f64) -> Vec<Echo> {
    measures::echoes(panel, reach, &mut KnownFaces::default())
}

fn mirrored(panel: &Panel) -> Mirrored {
    measures::mirrored(panel, &mut KnownFaces::default())
}

/// Square tiles in courses; each letter says which tile of the list.
fn laid(tiles: &[Tile], courses: &[&str]) -> Panel {
    let side = face(&tiles[0]).bounds().width();
    let mut placements = Placements::default();
    for (course, letters) in courses.iter().enumerate() {
        for (column, letter) in letters.bytes().enumerate() {
            let tile = tiles[usize::from(letter - b'a')].clone();
            placements
                .place(tile, column as f64 * side, course as f64 * side)
                .unwrap();
        }
    }
    let mut panel = placements.resolve("p", &Extent::default()).unwrap();
    let wide = i32::try_from(courses[0].len()).unwrap();
    for tile in &mut panel.tiles {
        let number = tile.cell.column;
        tile.cell.course = number / wide;
        tile.cell.column = number % wide;
    }
    panel
}

fn turned(kind: &Arc<TileKind>) -> Vec<Tile> {
    let tile = Tile::new(Arc::clone(kind));
    (0..4).map(|k| tile.rotate(90.0 * f64::from(k))).collect()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

#[test]
fn lines_of_stripes() {
    // Four layers, level as the tile lies: `a` level, `b` upright.
    let kind = striped("s", &[(2.0, 0), (3.0, 1), (4.0, 2), (1.0, 3)]);
    let tiles = turned(&kind);
    let all_level = laid(&tiles, &["aaa", "aaa"]);
    let found = lines(&all_level, |_| true);
    // Each course has its four layers, each over three tiles.
    assert_eq!((found.count, found.loops), (8, 0));
    assert!(close(found.longest, 30.0) && close(found.total, 240.0));
    // Level joints are plain and of different colours, upright ones match.
    assert_eq!((all_level.joints.matched, all_level.joints.all), (4, 7));
    // An upright tile in the middle of a course breaks it.
    let broken = laid(&tiles, &["aba"]);
    assert_eq!(lines(&broken, |_| true).count, 12);
    assert_eq!((broken.joints.matched, broken.joints.all), (0, 2));
    // Just the thinnest layer.
    let thin = lines(&all_level, |l| l.colour == PAINTS[3]);
    assert_eq!((thin.count, thin.total), (2, thin.longest * 2.0));
}

/// Three rhombi round a point, all linked one way: inside one block each ply ends on the flank of
/// the next rhombus, so nothing runs on.
#[test]
fn lines_of_a_hexagon() {
    let block = Tile::new(hexagon_block());
    let mut alone = Placements::default();
    alone.place(block, 0.0, 0.0).unwrap();
    let panel = alone.resolve("p", &Extent::default()).unwrap();
    let found = lines(&panel, |_| true);
    let side = 15.0 / plyloom::geom::angle::sin(60.0);
    assert_eq!((found.count, found.loops), (15, 0));
    assert!(close(found.longest, side) && close(found.total, 15.0 * side));
    assert_eq!(panel.joints.all, 0);
}

#[test]
fn lines_that_close() {
    // Mitred quarters: a strip of five layers cut at 45 degrees on both ends makes the side of a
    // frame; four of them make a square of closed rings.
    let plies = tiles::sheet(&[(1.0, 0), (2.0, 1), (1.0, 0), (2.0, 1), (4.0, 2)]);
    let strip = plyloom::stock::shapes::triangle(&plies, 45.0).unwrap();
    let bar = plyloom::stock::Bar::plain(strip).unwrap();
    let quarter = Tile::new(Arc::new(TileKind::new("quarter", Arc::new(bar))));
    let mut frame = Placements::default();
    // The base of each lies outside; the tips meet in the middle of a square of 20 mm.
    let sides = [
        (0.0, 0.0, 0.0),
        (90.0, 10.0, 0.0),
        (180.0, 0.0, 10.0),
        (270.0, 0.0, 0.0),
    ];
    let upright = |t: &Tile| {
        face(t)
            .outline()
            .corners()
            .iter()
            .map(|c| c.y)
            .fold(0.0, f64::min)
    };
    let base_up = upright(&quarter) > -5.0;
    for (turn, x, y) in sides {
        let turn = if base_up { turn } else { turn + 180.0 };
        frame.place(quarter.rotate(turn), x, y).unwrap();
    }
    let panel = frame.resolve("p", &Extent::default()).unwrap();
    let found = lines(&panel, |_| true);
    assert_eq!((found.count, found.loops), (5, 5));
    assert!(panel.joints.all > 0 && panel.joints.matched == panel.joints.all);
    // The outermost ring runs 0.5 mm inside the rim: a square of 19 mm.
    assert!(close(found.longest, 4.0 * 19.0), "{}", found.longest);
}

#[test]
fn colours_and_where_they_lie() {
    let tiles: Vec<Tile> = plain_squares(2).into_iter().map(Tile::new).collect();
    let even = balance(&laid(&tiles, &["ab", "ba"]));
    assert!(
        even.iter()
            .all(|b| close(b.share, 0.5) && close(b.off, 0.0))
    );
    let corner = balance(&laid(&tiles, &["ab", "aa"]));
    assert_eq!(corner[0].colour, PAINTS[0]);
    assert!(close(corner[0].share, 0.75) && close(corner[1].share, 0.25));
    // The dark one's middle is half way from the middle to the corner.
    assert!(close(corner[1].off, 0.5));
}

#[test]
fn what_repeats() {
    let tiles: Vec<Tile> = plain_squares(2).into_iter().map(Tile::new).collect();
    let side = face(&tiles[0]).bounds().width();
    let panel = laid(&tiles, &["abab", "baba"]);
    let found = echoes(&panel, 2.9 * side);
    let of = |columns: f64, courses: f64| {
        let shift = Point::new(columns, courses) * side;
        let mut all = found.iter();
        let echo = all.find(|e| e.shift.distance(shift) < 1e-6);
        echo.unwrap().above_chance
    };
    // Half of the tiles are of each sort: chance is a half.
    assert!(close(of(1.0, 0.0), -1.0) && close(of(2.0, 0.0), 1.0) && close(of(1.0, 1.0), 1.0));
    assert!(close(found[0].above_chance, 1.0) && close(of(1.0, -1.0), 1.0));
    // Each shift once: 2 to the right, and 2 x 5 of the next courses without those too far off.
    assert_eq!(found.len(), 2 + 2 + 2 + 1);
    let alike = echoes(&laid(&tiles, &["aa", "aa"]), side);
    assert!(alike.iter().all(|e| close(e.above_chance, 1.0)) && alike.len() == 2);
}

/// Tiles placed one by one are measured by where they lie, in whatever order they were placed.
#[test]
fn what_repeats_does_not_hang_on_numbers() {
    let tiles: Vec<Tile> = plain_squares(2).into_iter().map(Tile::new).collect();
    let side = face(&tiles[0]).bounds().width();
    let panel = laid(&tiles, &["abab", "baab", "abba"]);
    let mut shuffled = panel.clone();
    shuffled.tiles.reverse();
    for (tile, number) in shuffled.tiles.iter_mut().zip(0..) {
        (tile.cell.column, tile.cell.course) = (number, 0);
    }
    let strengths = |p: &Panel| {
        let mut all: Vec<_> = echoes(p, 2.9 * side)
            .into_iter()
            .map(|e| (e.pairs, (e.above_chance * 1e9).round()))
            .collect();
        all.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        all
    };
    assert_eq!(strengths(&panel), strengths(&shuffled));
}

#[test]
fn symmetric_panels() {
    // `a` has its dark half at the top left, `b` at the top right and so on round.
    let mut tiles = turned(&diagonal());
    let at = |t: &Tile, x, y| colour_at(&face(t), Point::new(x, y));
    let dark = |t: &Tile| [at(t, -5.0, -2.0), at(t, -2.0, -5.0)] == [Some(PAINTS[1]); 2];
    let first = tiles.iter().position(dark).unwrap();
    tiles.rotate_left(first);
    let share = |courses: &[&str]| mirrored(&laid(&tiles, courses));
    // All dark halves outside: every symmetry of the square.
    let star = share(&["ab", "dc"]);
    assert!(close(star.quarter_turn, 1.0) && close(star.half_turn, 1.0));
    assert!(close(star.left_right, 1.0) && close(star.top_bottom, 1.0));
    // A wheel turns and has no mirror.
    let wheel = share(&["bc", "ad"]);
    assert!(close(wheel.quarter_turn, 1.0) && close(wheel.half_turn, 1.0));
    assert!(close(wheel.left_right, 0.0) && close(wheel.top_bottom, 0.0));
    assert_eq!(share(&["aa", "aa"]), Mirrored::default());
    let half = share(&["ab", "dd"]);
    assert!(close(half.half_turn, 0.5) && close(half.left_right, 0.5));
}

/// The panel turned by a quarter turn.
fn quarter_turned(panel: &Panel) -> Panel {
    let mut turned = panel.clone();
    let high = panel.bounds.height();
    for (face, old) in turned.faces.iter_mut().zip(&panel.faces) {
        face.face = old.face.posed(plyloom::geom::Isometry::turn(90.0));
        face.pose.turn += 90.0;
    }
    for (tile, old) in turned.tiles.iter_mut().zip(&panel.tiles) {
        tile.at = Point::new(high - old.at.y, old.at.x);
        (tile.cell.column, tile.cell.course) = (-old.cell.course, old.cell.column);
    }
    turned.bounds = plyloom::geom::Rect::sized(high, panel.bounds.width());
    turned
}

#[test]
fn nothing_changes_when_the_panel_is_turned() {
    let kind = striped("s", &[(2.0, 0), (3.0, 1), (4.0, 2), (1.0, 3)]);
    let before = laid(&turned(&kind), &["abca", "ddab", "cabd"]);
    let after = quarter_turned(&before);
    let (l, m) = (lines(&before, |_| true), lines(&after, |_| true));
    assert_eq!((l.count, l.loops), (m.count, m.loops));
    assert!(close(l.total, m.total) && close(l.longest, m.longest));
    for (a, b) in balance(&before).iter().zip(balance(&after)) {
        assert!(a.colour == b.colour && close(a.share, b.share) && close(a.off, b.off));
    }
    let strongest = |p: &Panel| {
        let mut all: Vec<f64> = echoes(p, 29.0).iter().map(|e| e.above_chance).collect();
        all.sort_by(f64::total_cmp);
        all
    };
    let pairs = strongest(&before).into_iter().zip(strongest(&after));
    assert!(pairs.into_iter().all(|(a, b)| close(a, b)));
    let (a, b) = (mirrored(&before), mirrored(&after));
    assert!(close(a.left_right, b.top_bottom) && close(a.top_bottom, b.left_right));
    assert!(close(a.half_turn, b.half_turn) && close(a.quarter_turn, b.quarter_turn));
}

/// What is known from other panels changes nothing.
#[test]
fn known_faces_are_as_new_ones() {
    let tiles = turned(&diagonal());
    let mut known = KnownFaces::default();
    for courses in [["ab", "dc"], ["dc", "ab"], ["cc", "ca"], ["bd", "db"]] {
        let panel = laid(&tiles, &courses);
        assert_eq!(measures::mirrored(&panel, &mut known), mirrored(&panel));
        let reach = 2.9 * face(&tiles[0]).bounds().width();
        assert_eq!(
            measures::echoes(&panel, reach, &mut known),
            echoes(&panel, reach)
        );
        let panels = [panel];
        let new = looks_of_all(&panels, &mut KnownFaces::default());
        assert_eq!(looks_of_all(&panels, &mut known), new);
    }
}
