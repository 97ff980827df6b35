//! Light, changes and small objects on real bars and panels.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use crate::common::tiles::face;
use plyloom::appearance::Look;
use plyloom::appearance::change::{SheetChange, outcome, try_all};
use plyloom::appearance::fibre::{Fibre, fibres};
use plyloom::appearance::legibility::{Legibility, Seeing};
use plyloom::appearance::object::Shape;
use plyloom::appearance::relit::relit;
use plyloom::appearance::window::{best, cut};
use plyloom::appearance::{Finish, Light, View, lit_colours};
use plyloom::geom::{Point, Rect, TOLERANCE};
use plyloom::layout::panel::{Cell, JointCount, Panel, PlacedFace, PlacedTile};
use plyloom::stock::{
    Bar, Colour, Grain, Layer, LayerKind, Sheet, Tile, TileKind, hexagon::hexagon, shapes,
};

fn birch() -> Colour {
    Colour::parse("birch").unwrap()
}

fn plain() -> Arc<Sheet> {
    Arc::new(Sheet::plywood(13, 18.0, birch()).unwrap())
}

fn lined(dye: &str, thickness: f64) -> Arc<Sheet> {
    let colour = Colour::parse(dye).unwrap();
    let veneer = Layer::new(LayerKind::Veneer, thickness, colour, Grain::Along).unwrap();
    let mut layers = vec![veneer];
    layers.extend(plain().layers());
    layers.push(veneer);
    Arc::new(Sheet::new(layers).unwrap())
}

fn blocks(sheet: &Arc<Sheet>) -> Bar {
    let r = shapes::rhombus(sheet, 60.0).unwrap();
    hexagon(vec![r.clone(), r.clone(), r], TOLERANCE).unwrap()
}

fn placed(tile: Tile) -> PlacedFace {
    PlacedFace {
        face: face(&tile),
        kind: tile.kind,
        pose: tile.pose,
    }
}

/// So many squares by so many, turned by turns.
fn squares(sheet: &Arc<Sheet>, across: i32, down: i32) -> Panel {
    let bar = Bar::plain(shapes::square(sheet).unwrap()).unwrap();
    let tile = Tile::new(Arc::new(TileKind::new("square", Arc::new(bar))));
    let side = sheet.thickness();
    let faces = [0.0, 90.0].map(|turn| placed(tile.rotate(turn))).to_vec();
    let tiles = (0..down)
        .flat_map(|course| (0..across).map(move |column| Cell { column, course }))
        .map(|cell| PlacedTile {
            face: u32::try_from((cell.column + cell.course) % 2).unwrap(),
            at: Point::new(
                side * (f64::from(cell.column) + 0.5),
                side * (f64::from(cell.course) + 0.5),
            ),
            cell,
            whole: true,
        })
        .collect();
    Panel {
        name: "Squares".to_owned(),
        faces,
        tiles,
        trim: None,
        bounds: Rect::sized(side * f64::from(across), side * f64::from(down)),
        joints: JointCount::default(),
        laid_on: None,
        pieces: plyloom::layout::pieces::Pieces::default(),
    }
}

/// Fibres of the first long-grain layer of each part.
fn directions(face: &PlacedFace) -> Vec<f64> {
    let all = fibres(face);
    let regions = face.face.regions().iter().zip(all);
    let mut found: Vec<(usize, f64)> = Vec::new();
    for (region, fibre) in regions {
        if let Fibre::Face { rising } = fibre
            && found.iter().all(|(part, _)| *part != region.part)
        {
            found.push((region.part, rising));
        }
    }
    found.into_iter().map(|(_, rising)| rising).collect()
}

/// The direction of a layer's line is that of the fibres in it, whatever the pose: its polygon is
/// long along it.
#[test]
fn fibres_lie_along_the_line_that_their_layer_draws() {
    let kind = Arc::new(TileKind::new("cube", Arc::new(blocks(&plain()))));
    for pose in kind.orientations() {
        let face = placed(Tile {
            kind: Arc::clone(&kind),
            pose,
        });
        let mut seen = 0;
        for (region, fibre) in face.face.regions().iter().zip(fibres(&face)) {
            let Fibre::Face { rising } = fibre else {
                assert_eq!(region.layer.grain, Grain::Along);
                continue;
            };
            let along = Point::unit(rising);
            let (a, b) = region
                .polygon
                .edges()
                .max_by(|x, y| x.0.distance(x.1).total_cmp(&y.0.distance(y.1)))
                .unwrap();
            assert!((b - a).cross(along).abs() < 1e-9 * a.distance(b));
            seen += 1;
        }
        assert_eq!(seen, 18);
    }
}

#[test]
fn a_turn_turns_the_fibres_and_a_flip_mirrors_them() {
    let kind = Arc::new(TileKind::new("cube", Arc::new(blocks(&plain()))));
    let tile = Tile::new(kind);
    let base = directions(&placed(tile.clone()));
    let turned = directions(&placed(tile.rotate(60.0)));
    for (a, b) in base.iter().zip(&turned) {
        assert!(plyloom::geom::angle::between(a + 60.0, *b) < 1e-9);
    }
    // Over an upright axis: a line at d comes to lie at -d, seen as a line without ends.
    let flipped = directions(&placed(tile.flip()));
    for (a, b) in base.iter().zip(&flipped) {
        let off = plyloom::geom::angle::between(2.0 * (180.0 - a), 2.0 * b);
        assert!(off < 1e-9, "{a} {b}");
    }
}

#[test]
fn turned_tiles_catch_the_light_differently_and_end_grain_does_not_care() {
    let kind = Arc::new(TileKind::new("cube", Arc::new(blocks(&lined("soot", 0.6)))));
    let tile = Tile::new(kind);
    let face = placed(tile.clone());
    let lights = [0.0, 90.0].map(|a| Light::new(a, 45.0).unwrap());
    let [right, below] = lights.map(|l| lit_colours(&face, &l, Finish::Raw));
    for ((region, a), b) in face.face.regions().iter().zip(&right).zip(&below) {
        if region.layer.grain == Grain::Along {
            assert_eq!((*a, *b), (region.colour, region.colour));
        }
    }
    assert_ne!(right, below);
    // Half a turn of wood that runs a little off square differs too, by a little.
    let half = placed(tile.rotate(180.0));
    let light = Light::new(30.0, 45.0).unwrap();
    let (a, b) = (
        lit_colours(&face, &light, Finish::Clear),
        lit_colours(&half, &light, Finish::Clear),
    );
    assert_ne!(a, b);
}

#[test]
fn relit_panels_keep_everything_but_colours() {
    let panel = squares(&plain(), 3, 2);
    assert_eq!(relit(&panel, Look::default()), panel);
    let look = Look {
        finish: Finish::Oil,
        light: Some(Light::default()),
        view: View::Grey,
        ..Look::default()
    };
    let seen = relit(&panel, look);
    assert_eq!(seen.tiles, panel.tiles);
    for (a, b) in seen.faces.iter().zip(&panel.faces) {
        assert_eq!(a.face.outline(), b.face.outline());
        for r in a.face.regions() {
            assert!(r.colour.red == r.colour.green && r.colour.green == r.colour.blue);
        }
    }
}

/// Common practice, and the reason for dyed veneers: plain patterned plywood is lost from across
/// the room, and a dark veneer of 0.6 mm draws a line round each part that is not.
#[test]
fn a_dark_veneer_makes_a_plain_bar_read() {
    let seeing = Seeing::default();
    let bare = outcome(&blocks(&plain()), seeing);
    assert!(bare.plain < 1.0);
    let tried = try_all(&blocks(&plain()), seeing);
    let first = &tried[0];
    assert!(
        matches!(first.change, SheetChange::AddVeneer(..)),
        "{tried:?}"
    );
    let with = first.outcome.as_ref().unwrap();
    assert!(with.plain > 5000.0);
    // The same, measured on the bar as glued with such a sheet.
    let SheetChange::AddVeneer(dye, _) = first.change else {
        panic!("{tried:?}")
    };
    let glued = outcome(&blocks(&lined(dye, 0.6)), seeing);
    assert!((glued.plain - with.plain).abs() < 1e-6);
    assert!((with.size - 19.2 / 18.0).abs() < 1e-9);
}

#[test]
fn thicker_veneers_stay_sharp_in_proportion() {
    let seeing = Seeing::default();
    let bar = blocks(&lined("soot", 0.6));
    let now = outcome(&bar, seeing);
    for tried in try_all(&bar, seeing) {
        let then = tried.outcome.unwrap();
        match tried.change {
            SheetChange::ThickerVeneer(times) => {
                assert!((then.lines / now.lines - f64::from(times)).abs() < 1e-6);
            }
            SheetChange::ThickerSheet => assert!(then.size > 1.2 && then.repeat > now.repeat),
            SheetChange::Dye(name, _) => panic!("{name} is what it has"),
            SheetChange::AddVeneer(..) => panic!("it has veneers"),
        }
    }
}

#[test]
fn a_bar_of_other_sheets_is_the_bar_glued_of_them() {
    let (thin, thick) = (plain(), lined("ink", 1.2));
    let again = blocks(&thin)
        .on_sheets(|_| Arc::clone(&thick), TOLERANCE)
        .unwrap();
    let straight = blocks(&thick);
    assert!(again.outline().coincides(straight.outline(), 1e-9));
    let halves = |sheet: &Arc<Sheet>| {
        let whole = shapes::half_hexagon(sheet, 60.0).unwrap();
        let (left, right) = whole.halve().unwrap();
        (left.roll(), right)
    };
    let (left, right) = halves(&thin);
    let (l, r) = halves(&thick);
    for (moved, made) in [(left.on_sheet(&thick), l), (right.on_sheet(&thick), r)] {
        assert!(moved.section().coincides(made.section(), 1e-9));
        for (a, b) in moved.layers().iter().zip(made.layers()) {
            assert!(a.polygon.coincides(&b.polygon, 1e-9));
        }
    }
}

#[test]
fn a_finish_and_other_eyes_change_what_reads() {
    let bar = lined("berry", 0.6);
    let contrast = |finish, view| Legibility::of(&bar, Seeing { finish, view }).contrast;
    let raw = contrast(Finish::Raw, View::Usual);
    assert!((raw - contrast(Finish::Oil, View::Usual)).abs() > 0.001);
    assert!((raw - contrast(Finish::Raw, View::Protanopia)).abs() > 0.001);
}

#[test]
fn an_object_the_size_of_four_tiles_finds_four() {
    let sheet = lined("soot", 0.6);
    let panel = squares(&sheet, 7, 5);
    let side = sheet.thickness();
    let found = best(
        &panel,
        Shape::Rectangle(2.0 * side, 2.0 * side),
        Seeing::default(),
    )
    .unwrap();
    assert_eq!((found.completest.whole, found.completest.part), (4, 0));
    // Its middle is a corner that four tiles share.
    let steps = found.completest.centre * (1.0 / side);
    assert!((steps.x - steps.x.round()).abs() < 1e-9);
    assert!((steps.y - steps.y.round()).abs() < 1e-9);
    let too_large = Shape::Circle(side * 6.0);
    assert_eq!(best(&panel, too_large, Seeing::default()), None);
}

#[test]
fn lines_in_a_hundred_millimetres_are_those_of_the_layers() {
    // Squares that all lie the same way: level lines cross no layer, upright ones all of them.
    let sheet = Arc::new(
        Sheet::new(
            (0..10)
                .map(|i| {
                    let colour = if i % 2 == 0 { "black" } else { "white" };
                    let colour = Colour::parse(colour).unwrap();
                    Layer::new(LayerKind::Ply, 2.0, colour, Grain::None).unwrap()
                })
                .collect(),
        )
        .unwrap(),
    );
    let mut panel = squares(&sheet, 10, 10);
    for tile in &mut panel.tiles {
        tile.face = 0;
    }
    // It fits in one place alone.
    let whole = Shape::Rectangle(200.0, 200.0);
    let w = best(&panel, whole, Seeing::default()).unwrap().boldest;
    // 100 layers upright give 99 borders in 200 mm; half of the lines see them.
    assert!((w.lines - 99.0 / 4.0).abs() < 1e-9, "{w:?}");
    // Black and white in equal parts: the deviation is as large as the mean.
    assert!((w.contrast - 1.0).abs() < 1e-9);
    assert_eq!((w.whole, w.part), (100, 0));
}

#[test]
fn a_cut_panel_has_the_objects_size() {
    let panel = squares(&plain(), 7, 5);
    let to = Shape::Rectangle(50.0, 20.0).bounds(Point::new(60.0, 40.0));
    let small = cut(&panel, to);
    assert_eq!(small.bounds, Rect::sized(50.0, 20.0));
    assert!(small.tiles.len() < panel.tiles.len() && !small.tiles.is_empty());
    assert!(small.tiles.iter().all(|t| !t.whole));
}
