//! What lies side by side in a blank: any mix of strips, several sheets, bars that need not be long.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use plyloom::{
    geom::TOLERANCE,
    plan::{
        CountBack, Plan, Units,
        count::cut::Useless,
        count_back,
        report::{self, Entry},
        scraps::Proof,
        steps::model::{Set, Work},
    },
    stock::{Bar, Strip, hexagon::hexagon, shapes},
};

use crate::balance::imbalance;
use crate::count::{birch, panel, shop, veneered};

fn plan(bars: &[(Bar, u64)], text: &str) -> CountBack {
    let count = count_back(&[&panel(bars)], &shop(text)).unwrap();
    assert!(imbalance(&count.balance) < 1e-9, "{:?}", count.balance);
    count
}

const PIECE: &str = "[[scrap]]\nname = \"piece\"\nwidth = 1220\nlength = 610\ngrain = \"any\"\n";

/// Bars of strips 20, 30 and 40 mm wide, one strip of each for ten tiles.
#[test]
fn three_kinds_of_one_strip_come_from_one_piece() {
    let sheet = birch(18.0);
    let bar = |width: f64| Bar::plain(Strip::rip(&sheet, width, 90.0, 90.0).unwrap()).unwrap();
    let bars = [(bar(20.0), 10), (bar(30.0), 10), (bar(40.0), 10)];
    let count = plan(&bars, PIECE);
    assert!(count.suffices(), "{:?}", count.short);
    assert_eq!((count.boards.len(), count.boards[0].count), (1, 1));
    let [blank] = &count.boards[0].rip[..] else {
        panic!("{:?}", count.boards)
    };
    let ripped: Vec<u64> = blank.runs.iter().map(|r| r.ripped).collect();
    assert_eq!((blank.count, ripped), (1, vec![1, 1, 1]));
    assert_eq!(count.proof, Proof::Optimal);
}

/// Hexagons of three dyed rhombi for 75 tiles: at 32 slices a bar (600 mm less 150 in the clamp and 10
/// for the ends), 79 with the spare ones are three bars, so three strips of each sheet. Side
/// 18 / sin 60 = 20.785, bevel 10.392, pitch 24.480: a sheet takes 5 of edge, 31.177, 2 x 24.480 and a
/// last cut of 3.695, 88.83 mm; three of them and two cuts 272.9.
#[test]
fn three_sheets_lie_side_by_side_in_one_blank() {
    let rhombus = |c: &str| shapes::rhombus(&veneered(c, c), 60.0).unwrap();
    let strips = ["teal", "white", "crimson"].map(rhombus).to_vec();
    let bar = hexagon(strips, TOLERANCE).unwrap();
    let text = "[[scrap]]\nname = \"half\"\nwidth = 273\nlength = 600\n";
    let count = plan(&[(bar.clone(), 75)], text);
    assert!(count.short.is_empty(), "{:?}", count.short);
    assert_eq!(count.boards[0].count, 1);
    assert_eq!(count.boards[0].rip.len(), 3);
    assert_eq!(count.boards[0].rip[0].beside, ["B", "C"]);
    assert_eq!(count.proof, Proof::Optimal);
    // Veneer is cut for what is pressed: 88.83 and 5 more on each side.
    let narrow = count.veneers.iter().flat_map(|v| &v.cut);
    assert!(narrow.flat_map(|l| &l.pieces).all(|p| p.at.width < 110.0));
    // A full sheet bought for three: one of them, not two.
    let bought = plan(&[(bar, 150)], "[[sheet]]\nwidth = 1220\nlength = 610\n");
    assert_eq!(bought.boards.iter().map(|b| b.count).sum::<u64>(), 1);
}

/// Edges of 90 and 45 degrees, 40 on one face and 22 on the other, sheet 18, cut 3.2: two head to tail take
/// 40 + 22 + 3.2 + 3.2 / sin 45 = 69.7, so that 285 less 5 of edge hold four pairs. Where the faces of the sheet differ
/// each comes from a blank of its own, 40 + 3.2 / sin 45 + 2 or so and a cut of 3.2: five.
#[test]
fn a_board_of_285_gives_eight_in_pairs_or_five_single() {
    let text = "[[scrap]]\nname = \"board\"\nwidth = 285\nlength = 610\n\
                face = \"teal\"\nback = \"white\"\n[[scrap]]\nname = \"bare\"\nwidth = 285\nlength = 610\n";
    let most = |sheet| {
        let bar = Bar::plain(Strip::rip(&sheet, 40.0, 90.0, 45.0).unwrap()).unwrap();
        let count = plan(&[(bar, 1000)], text);
        let board = count.boards.iter().find(|b| b.count > 0).unwrap();
        let run = &board.rip[0].runs[0];
        (run.most.count(), run.ripped)
    };
    assert_eq!(most(birch(18.0)), (8, 8));
    assert_eq!(most(veneered("teal", "white")), (5, 5));
}

/// Slices of 12.7 and cuts of 0.9: 33 tiles are 17 and 16 of two bars of
/// 17 x 12.7 + 16 x 0.9 + 160 = 390.3 mm.
#[test]
fn bars_are_no_longer_than_their_slices_ask_for() {
    let bar = Bar::plain(shapes::square(&birch(18.0)).unwrap()).unwrap();
    let text = "[slicing]\nthickness = 12.7\nkerf = 0.9\n[cutting]\nspare = 0\nbar_length = 600\n";
    let count = plan(&[(bar, 33)], text);
    let lengths: Vec<(u64, u64)> = count.bars[0]
        .lengths
        .iter()
        .map(|l| (l.slices.count(), l.bars))
        .collect();
    assert_eq!(lengths, [(17, 2)]);
    assert!((count.boards[0].blank_length.value - 390.3).abs() < 1e-9);
}

/// A scrap of 17.6 mm and one of 18.1, for a recipe of 18: one of them makes all bars, unless the shop
/// lets both share them.
#[test]
fn boards_of_unlike_thickness_share_no_bar_unasked() {
    let bar = Bar::plain(shapes::square(&birch(18.0)).unwrap()).unwrap();
    let scrap = |name: &str, thickness: f64| {
        format!("[[scrap]]\nname = \"{name}\"\nwidth = 30\nlength = 600\nthickness = {thickness}\n")
    };
    let scraps = format!("{}{}", scrap("thin", 17.6), scrap("thick", 18.1));
    let count = plan(&[(bar.clone(), 20)], &scraps);
    assert_eq!(count.boards.len(), 1);
    assert_eq!(count.boards[0].other_thickness, Some(18.1));
    let left_out: Vec<_> = count
        .useless
        .iter()
        .map(|u| (u.name.as_str(), u.why))
        .collect();
    assert_eq!(left_out, [("thin", Useless::NotWithOthers)]);
    // Two bars of one strip: a scrap gives one.
    assert!(!plan(&[(bar.clone(), 50)], &scraps).suffices());
    let asked = format!("[cutting]\nany_thickness = true\n{scraps}");
    assert!(plan(&[(bar, 50)], &asked).suffices());
}

/// Boards of 17.79 and 17.87 mm, of one size, may share bars: 17.83 on average. Those of 17.6 and of 18 mm have each a fence
/// of their own: T' / sin 60 is 20.588, 20.323 and 20.785.
#[test]
fn each_group_of_thickness_has_its_fence() {
    let block = hexagon(vec![shapes::rhombus(&birch(18.0), 60.0).unwrap(); 3], 0.01).unwrap();
    let scraps: String = [("a", 17.79), ("b", 17.87), ("c", 17.6), ("d", 18.0)]
        .map(|(name, thickness)| {
            format!(
                "[[scrap]]\nname = \"{name}\"\nwidth = 120\nlength = 600\nthickness = {thickness}\n"
            )
        })
        .concat();
    let planned = |more: &str, tiles: u64| {
        let shop = shop(&format!("{more}{scraps}"));
        Plan::of(&[&panel(&[(block.clone(), tiles)])], &shop).unwrap()
    };
    // As a rule a plan takes the boards of one group, here those that are as the recipe draws them.
    let one = planned("[cutting]\nany_thickness = true\n", 20);
    assert_eq!(one.count.boards.len(), 1, "{:?}", one.count.boards);
    assert_eq!(one.count.boards[0].boards, [("d".to_owned(), 1)]);
    let all = planned("[cutting]\nany_thickness = true\n", 90);
    assert!(all.count.suffices());
    let by_hand = [
        (vec!["d"], 18.0, 20.784_61),
        (vec!["a", "b"], 17.83, 20.588_311),
        (vec!["c"], 17.6, 20.322_729),
    ];
    let mut open = by_hand.to_vec();
    for step in &all.steps.steps {
        let Work::Rip { boards, rounds, .. } = &step.work else {
            continue;
        };
        let of = boards.as_ref().expect("the boards that it is for");
        let known = by_hand.iter().find(|(names, ..)| *names == of.names);
        let (names, thickness, fence) = known.expect("a group");
        open.retain(|(open, ..)| open != names);
        assert!((of.thickness - thickness).abs() < 1e-9, "{of:?}");
        for pass in rounds.iter().flat_map(|round| &round.passes) {
            match pass.set {
                Set::Fence(set) => assert!((set - fence).abs() < 1e-5, "{names:?}: {set}"),
                other => assert!(matches!(other, Set::ByEye(_)), "{other:?}"),
            }
        }
    }
    assert!(open.is_empty(), "{open:?}");
    // A bar is glued of strips of one group; so there are three kinds of them.
    let glued = all.steps.steps.iter().filter_map(|step| match &step.work {
        Work::GlueBar { parts, .. } => Some(parts),
        _ => None,
    });
    for parts in glued {
        assert!(parts.iter().all(|part| part.piece == parts[0].piece));
    }
    let told = report::steps(&all.steps, &shop(""));
    let line = |line: &str| {
        told.iter()
            .any(|step| step.lines.iter().any(|l| l.contains(line)))
    };
    assert!(line("For boards 17.83 mm thick alone: a, b."), "{told:#?}");
    assert!(line("fence 20.59 mm"), "{told:#?}");
    assert!(
        line("keep them together: tile tile 0, then tile tile 0.2, each until it is used up."),
        "{told:#?}"
    );
    let boards = report::boards(&all.count, Units::Metric);
    let below = boards
        .entries
        .iter()
        .flat_map(|e| &e.below)
        .map(Entry::line);
    let told = "17.87 mm thick, and not as the recipe draws it: all steps are for 17.83 mm, the mean of boards that may \
                share bars";
    assert!(
        below.clone().any(|l| l == told),
        "{:#?}",
        below.collect::<Vec<_>>()
    );
}

/// Leaves and boards that are of no use are told with what the panel is drawn with.
#[test]
fn what_is_not_used_says_why() {
    let bar = Bar::plain(shapes::square(&veneered("teal", "teal")).unwrap()).unwrap();
    let text = format!(
        "{PIECE}[[scrap]]\nname = \"oak\"\nwidth = 300\nlength = 600\nwood = \"oak\"\n\
         [[scrap]]\nname = \"thin\"\nwidth = 300\nlength = 600\nthickness = 9\n\
         [[veneer]]\ncolour = \"crimson\"\nwidth = 300\nlength = 2500\n"
    );
    let count = plan(&[(bar, 20)], &text);
    let boards = report::boards(&count, Units::Metric);
    let lines: Vec<String> = boards.entries.iter().map(Entry::line).collect();
    for line in [
        "not used: oak, which is oak; the panel is drawn with birch",
        "not used: thin, which is 9 mm thick; the panel is drawn with 17 mm",
        "not used: veneer crimson: no sheet of this panel has this colour; the panel is drawn with teal",
    ] {
        assert!(lines.iter().any(|l| l == line), "{lines:#?}");
    }
    assert_eq!(count.veneers[0].offered, ["crimson"]);
}
