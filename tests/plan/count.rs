//! Counting back: examples worked out by hand, each with its sum.
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test may stop at once, and checks our trigonometry by another one"
)]

use std::sync::Arc;

use plyloom::{
    geom::{Point, Rect, TOLERANCE},
    layout::panel::{Cell, JointCount, Panel, PlacedFace, PlacedTile},
    plan::{
        CountBack, PlanError, Shop, Units,
        count::cut::Useless,
        count::lay::Nesting,
        count_back,
        report::{self, Entry},
        scraps::Proof,
    },
    stock::{
        Bar, Colour, Grain, Layer, LayerKind, Pose, Sheet, Strip, TileKind, hexagon::hexagon,
        shapes,
    },
};

use crate::balance::imbalance;

pub(crate) fn birch(thickness: f64) -> Arc<Sheet> {
    Arc::new(Sheet::plywood(13, thickness, Colour::parse("birch").unwrap()).unwrap())
}

/// 17 mm of plywood with a veneer of 0.5 mm on each side.
pub(crate) fn veneered(face: &str, back: &str) -> Arc<Sheet> {
    let veneer = |c: &str| {
        Layer::new(
            LayerKind::Veneer,
            0.5,
            Colour::parse(c).unwrap(),
            Grain::None,
        )
        .unwrap()
    };
    let mut layers = vec![veneer(face)];
    layers.extend_from_slice(birch(17.0).layers());
    layers.push(veneer(back));
    Arc::new(Sheet::new(layers).unwrap())
}

/// A panel with so many tiles of each bar, in a row; only squares are really side by side.
pub(crate) fn panel(bars: &[(Bar, u64)]) -> Panel {
    let mut faces = Vec::new();
    let mut tiles = Vec::new();
    for (i, (bar, count)) in bars.iter().enumerate() {
        let kind = Arc::new(TileKind::new(format!("tile {i}"), Arc::new(bar.clone())));
        let face = kind.face().clone();
        let width = face.bounds().width();
        faces.push(PlacedFace {
            kind,
            pose: Pose::default(),
            face,
        });
        for n in 0..*count {
            tiles.push(PlacedTile {
                face: u32::try_from(i).unwrap(),
                at: Point::new(n as f64 * width, i as f64 * 1000.0),
                cell: Cell {
                    column: i32::try_from(n).unwrap(),
                    course: i32::try_from(i).unwrap(),
                },
                whole: true,
            });
        }
    }
    Panel {
        name: "test".to_owned(),
        faces,
        tiles,
        trim: None,
        bounds: Rect::sized(1.0, 1.0),
        joints: JointCount::default(),
        laid_on: None,
        pieces: plyloom::layout::pieces::Pieces::default(),
    }
}

fn rhombi(thickness: f64) -> Bar {
    let strip = shapes::rhombus(&birch(thickness), 60.0).unwrap();
    hexagon(vec![strip; 3], TOLERANCE).unwrap()
}

fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by, "{a} is not {b}");
}

const ROUND: &str = "[table_saw]\nkerf = 3\nshortest = 100\n[slicing]\nkerf = 1\nthickness = 12\n\
    sanding = 1\nend_trim = 10\n[cutting]\nspare = 0\nedge_trim = 0\nbar_length = 500\n";

pub(crate) fn shop(text: &str) -> Shop {
    Shop::parse(text).unwrap_or_else(|e| panic!("{}", e.message))
}

fn plan(bars: &[(Bar, u64)], text: &str) -> CountBack {
    let count = count_back(&[&panel(bars)], &shop(text)).unwrap();
    assert!(imbalance(&count.balance) < 1e-9, "{:?}", count.balance);
    count
}

#[test]
fn hexagons_from_a_full_sheet() {
    // 100 tiles + 5 % = 105. A sheet of 2440 x 1220 with common values: four blanks of
    // (2440 - 3 x 3.2) / 4 = 607.6 mm; each bar gives floor((607.6 - 160 + 0.8) / (13 + 0.8))
    // = floor(32.493) = 32 slices, as 150 mm stay in the clamp and 10 go for square ends;
    // ceil(105 / 32) = 4 bars of 3 strips: 12 strips. A quarter of 105 is 27, and 27 slices need
    // 27 x 13 + 26 x 0.8 + 160 = 531.8 mm: so long are the blanks.
    // Pitch (18 + 3.2) / sin 60 = 24.4797; 1 + floor((1220 - 5 - 31.1769) / 24.4797) = 49 a blank.
    let count = plan(&[(rhombi(18.0), 100)], "");
    let tile = &count.tiles[0];
    assert_eq!((tile.spare.count(), tile.needed.count()), (5, 105));
    assert_eq!(
        tile.spare.why.shown(Units::Metric),
        "100 x 5 %, rounded up = 5"
    );
    let board = &count.boards[0];
    assert_eq!((count.boards.len(), board.count), (1, 1));
    assert_eq!(board.boards, [("full sheet".to_owned(), 1)]);
    assert_eq!((board.blanks.count(), board.slices.count()), (4, 27));
    near(board.blank_length.value, 531.8, 1e-9);
    assert_eq!(
        board.slices.why.shown(Units::Metric),
        "floor((531.8 - 160 ends + 0.8 kerf) / (13 slice + 0.8 kerf)) = 27"
    );
    assert_eq!(board.rip[0].runs[0].most.count(), 49);
    assert_eq!(
        board.rip[0].runs[0].most.why.shown(Units::Metric),
        "1 + floor((1220 - 5 edge - 31.177 first) / 24.48 pitch) = 49"
    );
    assert_eq!(board.rip[0].runs[0].ripped, 12);
    let bars = &count.bars[0];
    assert_eq!((bars.bars.count(), bars.surplus), (4, 4 * 27 - 105));
    assert_eq!(bars.strips, [("S1".to_owned(), 3)]);
    let rip = &count.rips[0];
    assert_eq!(rip.nesting, Nesting::Parallel);
    near(rip.pitch.value, 21.2 / 60.0_f64.to_radians().sin(), 1e-9);
    assert_eq!(
        rip.pitch.why.shown(Units::Metric),
        "20.785 + 3.2 / sin 60 = 24.48"
    );
    assert_eq!((rip.edges, rip.count), ([60.0, 120.0], 12));
    assert_eq!(
        count.strips[0].needed.why.shown(Units::Metric),
        "4 bars x 3 = 12"
    );
    assert!(count.suffices());
    assert_eq!(
        (count.proof, count.second_proof),
        (Proof::Optimal, Proof::Optimal)
    );
}

#[test]
fn squares_by_the_round_numbers() {
    // Bar of 500: floor((500 - 10 + 1) / (12 + 1)) = floor(37.77) = 37 slices. 75 tiles: 3 bars of
    // one strip, of 25 slices each: 25 x 12 + 24 + 10 = 334 mm. A scrap of 100 x 500:
    // floor((100 + 3) / (17 + 3)) = 5 strips, three needed.
    let bar = Bar::plain(shapes::square(&birch(17.0)).unwrap()).unwrap();
    let text = format!("{ROUND}[[scrap]]\nname = \"left\"\nwidth = 100\nlength = 500\n");
    let count = plan(&[(bar, 75)], &text);
    let board = &count.boards[0];
    assert_eq!(
        (board.slices.count(), board.rip[0].runs[0].most.count()),
        (25, 5)
    );
    assert_eq!(
        (board.rip[0].runs[0].ripped, count.bars[0].bars.count()),
        (3, 3)
    );
    // In square mm across the scrap: strips 3 x 17 x 17, cuts 3 x 3 x 17, rest 40 x 17.
    assert_eq!(board.rip[0].rest.len(), 1);
    near(board.rip[0].rest[0].width, 40.0, 1e-9);
    let volume = 17.0 * 334.0;
    near(count.balance.stock, 100.0 * 17.0 * 500.0, 1e-6);
    // Tiles: 75 x 12 x 17 x 17. Dust: a cut across of 3, 3 cuts of 3 in the blank, 24 cuts of 1 in each
    // of 3 bars.
    near(count.balance.parts, 75.0 * 12.0 * 289.0, 1e-6);
    near(
        count.balance.kerf,
        3.0 * 100.0 * 17.0 + 9.0 * volume + 3.0 * 24.0 * 289.0,
        1e-6,
    );
    // Ends: 10 of each bar.
    near(count.balance.waste, 3.0 * 10.0 * 289.0, 1e-6);
    // What is left beside the strips, and the end of the scrap: 500 - 334 - 3 = 163.
    near(
        count.balance.left_over,
        40.0 * volume + 163.0 * 100.0 * 17.0,
        1e-6,
    );
}

#[test]
fn trapezoids_flip_where_the_sheet_reads_the_same_from_both_sides() {
    // T = 18 at 60 degrees: side 20.7846, faces 41.5692 and 20.7846, half-sum 31.1769,
    // kerf 3 / sin 60 = 3.4641: pitch 34.6410. 300 mm: 1 + floor((300 - 41.5692) / 34.6410)
    // = 1 + floor(7.46) = 8. With different veneers: pitch 41.5692 + 3.4641 = 45.0333,
    // 1 + floor((300 - 41.5692) / 45.0333) = 1 + floor(5.74) = 6.
    for (sheet, nesting, most) in [
        (veneered("teal", "teal"), Nesting::Flipped, 8),
        (veneered("teal", "white"), Nesting::Apart, 6),
    ] {
        let half = shapes::half_hexagon(&sheet, 60.0).unwrap();
        let bar = hexagon(vec![half; 2], TOLERANCE).unwrap();
        let text = format!("{ROUND}[[scrap]]\nwidth = 300\nlength = 500\n");
        let count = plan(&[(bar, 37)], &text);
        assert_eq!(count.rips[0].nesting, nesting);
        assert_eq!(count.boards[0].rip[0].runs[0].most.count(), most);
        assert_eq!(count.boards[0].rip[0].runs[0].ripped, 2);
        assert_eq!(count.boards[0].rip[0].veneers.len(), 2);
    }
    let half = shapes::half_hexagon(&birch(18.0), 60.0).unwrap();
    let bar = hexagon(vec![half; 2], TOLERANCE).unwrap();
    let count = plan(&[(bar, 37)], ROUND);
    assert_eq!(
        count.rips[0].pitch.why.shown(Units::Metric),
        "(41.569 + 20.785) / 2 + 3 / sin 60 = 34.641"
    );
}

#[test]
fn two_kinds_that_are_each_other_rolled_over_lie_in_turn() {
    // Wide on the teal side and wide on the white side: flipped in the board, each is the other.
    let sheet = veneered("teal", "white");
    let wide_face = shapes::half_hexagon(&sheet, 60.0).unwrap();
    let wide_back = Strip::rip(&sheet, 18.0 / 60.0_f64.to_radians().sin(), 120.0, 120.0).unwrap();
    let a = hexagon(vec![wide_face; 2], TOLERANCE).unwrap();
    let b = hexagon(vec![wide_back; 2], TOLERANCE).unwrap();
    let text = format!("{ROUND}[[scrap]]\nwidth = 145.6\nlength = 500\n");
    // Two of each: 41.5692 + 3 x 34.6410 = 145.4922 fits just so.
    let count = plan(&[(a, 37), (b, 37)], &text);
    assert!(count.suffices(), "{:?}", count.short);
    assert_eq!(count.boards[0].rip[0].runs[0].rips, ["R1", "R2"]);
    assert_eq!(count.boards[0].rip[0].runs[0].ripped, 4);
    assert_eq!(count.rips.iter().map(|r| r.count).sum::<u64>(), 4);
}

#[test]
fn halves_come_two_from_a_strip_that_is_wider_by_a_kerf() {
    // A square bar of two halved right-angled triangles: each strip gives both.
    let whole = shapes::triangle(&birch(18.0), 45.0).unwrap();
    let (_, right) = whole.halve().unwrap();
    let bar = Bar::mitred_pair(
        &right.lay_on(plyloom::stock::strip::EdgeName::Top).unwrap(),
        0.05,
    );
    let bar = bar.unwrap();
    let text = format!("{ROUND}[[scrap]]\nwidth = 300\nlength = 500\n");
    let count = plan(&[(bar, 74)], &text);
    // 74 tiles, 37 a bar: two bars, four halves, two strips.
    assert_eq!(count.strips.len(), 1);
    assert_eq!(count.strips[0].needed.count(), 4);
    let rip = &count.rips[0];
    assert_eq!((rip.count, rip.further_rips), (2, 1));
    assert_eq!(rip.gives, [("S1".to_owned(), 2)]);
    near(rip.widened, 3.0, 1e-9);
    // Face 2 x 18 / tan 45 = 36, and the kerf.
    near(rip.face, 39.0, 1e-9);
}

#[test]
fn a_shortfall_is_told_by_colour_with_what_would_close_it() {
    // Two kinds of hexagons: teal strips and white ones. Enough teal, too little white.
    let bar = |c: &str| {
        let strip = shapes::rhombus(&veneered(c, c), 60.0).unwrap();
        hexagon(vec![strip; 3], TOLERANCE).unwrap()
    };
    let scrap = |c: &str, width: f64| {
        format!(
            "[[scrap]]\nname = \"{c}\"\nwidth = {width}\nlength = 500\nface = \"{c}\"\nback = \"{c}\"\n"
        )
    };
    // Side 18 / sin 60 = 20.7846, first 31.1769, pitch 24.2487. Width 150 gives
    // 1 + floor((150 - 31.1769) / 24.2487) = 1 + floor(4.90) = 5; 37 tiles need one bar of 3,
    // 74 need two bars of 3 = 6: one short.
    let text = format!("{ROUND}{}{}", scrap("teal", 150.0), scrap("white", 150.0));
    let count = plan(&[(bar("teal"), 37), (bar("white"), 74)], &text);
    assert!(!count.suffices());
    let [short] = &count.short[..] else {
        panic!("{:?}", count.short)
    };
    assert_eq!((short.strip.as_str(), short.missing.count()), ("S2", 1));
    assert_eq!(short.veneers, ["white", "white"]);
    near(short.width.value, 31.1769, 1e-3);
    near(short.length, 500.0, 1e-9);
    let white = &count.strips[1];
    assert_eq!((white.needed.count(), white.given, white.short), (6, 5, 1));
    let teal = &count.strips[0];
    assert_eq!((teal.needed.count(), teal.given, teal.surplus), (3, 3, 0));
    // Nothing of the wrong colour was taken.
    assert_eq!(count.boards.len(), 2);
}

#[test]
fn the_side_to_rip_along_is_chosen_where_the_grain_allows_it() {
    let bar = Bar::plain(shapes::square(&birch(17.0)).unwrap()).unwrap();
    // 400 x 120, shortest 100: along its length 6 strips of floor(391 / 13) = 30 slices, along
    // its width 20 strips of floor(111 / 13) = 8. 170 slices: 6 x 30 = 180 will do, and so would
    // 20 x 8 = 160 not.
    let scrap = "[[scrap]]\nwidth = 400\nlength = 120\n";
    let along = plan(
        &[(bar.clone(), 170)],
        &format!("{ROUND}{scrap}grain = \"width\"\n"),
    );
    assert!(along.suffices() && !along.boards[0].along_length);
    let across = plan(&[(bar.clone(), 170)], &format!("{ROUND}{scrap}"));
    assert!(!across.suffices());
    let any = plan(&[(bar, 170)], &format!("{ROUND}{scrap}grain = \"any\"\n"));
    assert!(any.suffices() && !any.boards[0].along_length);
}

#[test]
fn boards_of_no_use_say_why() {
    let bar = rhombi(18.0);
    let text = format!(
        "{ROUND}[[sheet]]\nwidth = 1220\nlength = 2440\n\
         [[scrap]]\nname = \"narrow\"\nwidth = 25\nlength = 500\n\
         [[scrap]]\nname = \"stub\"\nwidth = 300\nlength = 90\n\
         [[scrap]]\nname = \"thin\"\nwidth = 300\nlength = 900\nthickness = 12\n\
         [[scrap]]\nname = \"oak\"\nwidth = 300\nlength = 900\nwood = \"oak\"\n\
         [[scrap]]\nname = \"red\"\nwidth = 300\nlength = 900\nface = \"red\"\n"
    );
    let count = plan(&[(bar, 10)], &text);
    let why: Vec<(&str, Useless)> = count
        .useless
        .iter()
        .map(|u| (u.name.as_str(), u.why))
        .collect();
    assert_eq!(
        why,
        [
            ("narrow", Useless::TooSmall),
            ("stub", Useless::TooShort),
            ("thin", Useless::OtherThickness),
            ("oak", Useless::OtherWood),
            ("red", Useless::OtherVeneers),
        ]
    );
}

#[test]
fn glue_by_the_square_metre() {
    // One bar of a mitred pair has one joint. Three hexagon rhombi: three joints of one side.
    // 37 tiles: one bar of 490 + 10 mm needs 37 x 12 + 36 + 10 = 490 mm.
    let text = format!("{ROUND}[[scrap]]\nwidth = 300\nlength = 500\n");
    let count = plan(&[(rhombi(18.0), 37)], &text);
    let side = 18.0 / 60.0_f64.to_radians().sin();
    near(count.totals.bar_joints.value, 3.0 * side * 490.0, 1e-6);
    // 180 g/m2 over the joints of bar and panel, in kg.
    let area = count.totals.bar_joints.value + count.totals.panel_joints.value;
    near(count.totals.glue.value, area * 1e-6 * 180.0 / 1000.0, 1e-12);
    // Squares in a row of 5: 4 joints of 17 mm, slices 12 mm thick.
    let bar = Bar::plain(shapes::square(&birch(17.0)).unwrap()).unwrap();
    let count = plan(&[(bar, 5)], ROUND);
    near(count.totals.panel_joints.value, 4.0 * 17.0 * 12.0, 1e-6);
    // 5 x 17 x 17 mm2 x 11 mm x 680 kg/m3.
    near(
        count.totals.panel_mass.value,
        5.0 * 289.0 * 11.0 * 680.0 * 1e-9,
        1e-12,
    );
}

#[test]
fn veneer_stands_out_and_prices_add_up() {
    let strip = shapes::square(&veneered("teal", "white")).unwrap();
    let bar = Bar::plain(strip).unwrap();
    let text = format!(
        "{ROUND}overhang = 10\nnarrowest_board = 40\n[glue]\nprice = 10\n[[scrap]]\nwidth = 200\nlength = 480\nprice = 7\n\
         [[veneer]]\ncolour = \"teal\"\nwidth = 40\nlength = 2500\ncount = 1\nprice = 4\n"
    );
    let count = plan(&[(bar, 37)], &text);
    let [teal, white] = &count.veneers[..] else {
        panic!("{:?}", count.veneers)
    };
    // Of 480 mm 36 slices; 37 tiles take 2 strips: 2 x 18 and 2 cuts of 3 are 42 of the width. 19 slices
    // need 19 x 12 + 18 + 10 = 256 of the length. (42 + 2 x 10) x (256 + 2 x 10) = 62 x 276.
    near(teal.area.value, 62.0 * 276.0, 1e-9);
    // 62 wide from a leaf 40 wide: 40 and 22 are jointed, and 2500 is five times as long.
    assert_eq!((teal.leaves.as_ref().unwrap().count(), teal.short), (1, 0));
    assert_eq!((teal.cut.len(), teal.cut[0].pieces.len()), (1, 2));
    assert!(white.leaves.is_none());
    assert_eq!(white.offered, ["teal"]);
    // 7 + 4 + glue.
    near(
        count.totals.cost.value,
        11.0 + 10.0 * count.totals.glue.value,
        1e-9,
    );
    assert_eq!(count.totals.without_price, ["white veneer"]);
}

#[test]
fn nothing_to_count() {
    assert_eq!(
        count_back(&[&panel(&[])], &Shop::common()),
        Err(PlanError::NoTiles)
    );
}

#[test]
fn ten_thousand_scraps_state_their_bound() {
    let mut text = ROUND.to_owned();
    // Sizes spread by a fixed rule, all different.
    for i in 0..10_000_u32 {
        let (w, l) = (60 + (i * 7919) % 340, 250 + (i * 104_729) % 700);
        let part = i % 100;
        text += "[[scrap]]\ngrain = \"any\"\n";
        text += &[
            format!("width = {w}.{part:02}\n"),
            format!("length = {l}\n"),
        ]
        .concat();
    }
    let count = plan(&[(rhombi(18.0), 2000)], &text);
    assert!(count.suffices());
    let told: Vec<String> = report::boards(&count, Units::Metric)
        .entries
        .iter()
        .map(Entry::line)
        .collect();
    let told = told.join("\n");
    if let Proof::AtLeast(bound) = count.proof {
        assert!(told.contains("no choice takes less than"), "{told}");
        let bound = bound as f64;
        assert!(bound <= count.taken.value + 1.0);
        assert!(
            count.taken.value <= bound * 1.05,
            "{} {bound}",
            count.taken.value
        );
    } else {
        assert!(told.contains("takes less (proven,"), "{told}");
    }
}
