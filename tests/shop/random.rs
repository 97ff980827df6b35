//! Random shops and recipes: each plan is carried out. `PLYLOOM_SHOP_CASES` says how many; the short
//! run of every day takes 200, a long one 5,000.

use std::fmt::Write as _;

use plyloom::layout::panel::Panel;
use plyloom::plan::{Plan, PlanError, Shop, shop::sliced::Sliced};
use proptest::prelude::*;

use crate::carried_out::{carried_out, carried_out_plan};
use crate::recipes::{Draw, made, recipe};
use crate::saw::Allowed;

fn draws() -> impl Strategy<Value = Draw> {
    let sizes = (60_u16..240, 1_u8..7, 20_u16..400);
    let counts = (0_u8..12, 0_u8..6, 0_u8..4);
    (any::<u8>(), any::<u8>(), sizes, any::<(u8, u8)>(), counts).prop_map(
        |(shape, layers, (thick, plies, wide), angles, (columns, courses, fill))| Draw {
            shape,
            layers,
            thick,
            plies,
            wide,
            angles,
            columns,
            courses,
            fill,
        },
    )
}

/// What a shop slices.
const WAYS: [&str; 6] = ["tiles", "courses", "loaf", "courses", "loaf", "panels"];

prop_compose! {
    fn shops()(
        kerf in 8_u16..40,
        slice in 60_u16..300,
        end in 0_u16..1600,
        trim in 0_u16..80,
        bar in 300_u16..700,
        scraps in prop::collection::vec((60_u16..700, 300_u16..1600, 1_u8..4, -5_i8..6), 0..4),
        as_drawn in any::<bool>(),
        any_thickness in any::<bool>(),
        endless in prop::bool::weighted(0.8),
        iron in any::<bool>(),
        way in 0_usize..6,
    ) -> String {
        let mm = |tenths: u16| f64::from(tenths) / 10.0;
        let mut text = format!(
            "[table_saw]\nkerf = {}\n[slicing]\nthickness = {}\nsanding = 0.5\nend_trim = {}\n\
             way = \"{}\"\n[cutting]\nedge_trim = {}\nbar_length = {bar}\nany_thickness = {any_thickness}\n",
            mm(kerf), mm(slice), mm(end), WAYS[way], mm(trim)
        );
        if iron {
            text.push_str("[veneering]\nway = \"iron\"\n");
        }
        if endless {
            text.push_str("[[sheet]]\nname = \"whole\"\nwidth = 1220\nlength = 2440\n");
        }
        for (i, (width, length, count, off)) in scraps.iter().enumerate() {
            let _ = write!(
                text,
                "[[scrap]]\nname = \"s{i}\"\nwidth = {width}\nlength = {length}\ncount = {count}\n"
            );
            if !as_drawn {
                let _ = writeln!(text, "thickness = OFF{off}");
            }
        }
        text
    }
}

/// The shop with boards as far off the recipe's thickness, in tenths of a mm, as it says.
fn measured(shop: &str, draw: &Draw) -> String {
    let thick = |line: &str| {
        let off: i32 = line.strip_prefix("thickness = OFF")?.parse().ok()?;
        let tenths = i32::from(draw.thick) + off;
        Some(format!("thickness = {}", f64::from(tenths) / 10.0))
    };
    let lines = shop
        .lines()
        .map(|line| thick(line).unwrap_or_else(|| line.to_owned()));
    lines.collect::<Vec<_>>().join("\n")
}

fn cases() -> u32 {
    let asked = std::env::var("PLYLOOM_SHOP_CASES").ok();
    asked.and_then(|n| n.parse().ok()).unwrap_or(200)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), ..ProptestConfig::default() })]

    #[test]
    fn every_plan_is_carried_out(draw in draws(), shop in shops()) {
        let text = recipe(&draw);
        let outcome = made(&text);
        let panels: Vec<&Panel> = outcome.panels.iter().collect();
        let mut shop = Shop::parse(&measured(&shop, &draw)).expect("a shop");
        let mut plan = Plan::of(&panels, &shop);
        if let Err(PlanError::Way { fits, .. }) = &plan {
            // What else could be sliced can be: the one with the fewest pieces to lay.
            prop_assert!(fits.contains(&Sliced::Tiles) && !fits.contains(&shop.slicing.way));
            shop.slicing.way = *fits.last().expect("tiles at least");
            plan = Plan::of(&panels, &shop);
        }
        let plan = match plan {
            Ok(plan) => plan,
            Err(error) => {
                // Bars too short for a slice, or a part that no safe way at this saw leads to.
                let expected = matches!(error, PlanError::NoSlices { .. } | PlanError::Unsafe(_));
                prop_assert!(expected, "{error}");
                return Ok(());
            }
        };
        match carried_out_plan(&panels, &plan) {
            Err(fault) => prop_assert!(false, "{fault}\n{text}"),
            Ok(made) => {
                let saw = shop.saw_limits();
                let allowed = Allowed {
                    tilt: saw.most_tilt,
                    foot: saw.narrowest,
                    length: saw.shortest,
                    board: shop.cutting.narrowest_board,
                };
                let bad = made.unsafe_for(allowed).next();
                prop_assert!(bad.is_none(), "{bad:?}\n{text}");
            }
        }
    }
}

/// Two triangles are a rhombus: one of a single wood is brought onto the next course by a turn as well as by a flip.
#[test]
fn a_slice_is_turned_rather_than_flipped() {
    let text = "
        let t = bar(laminate([plywood(3, 6, \"birch\")]).triangle(60)).slice(\"t\");
        let looks = t.looks();
        panel(\"p\", triangles(t)).size(4, 2).fill(|c| looks[(c.column + c.course) % looks.len()]);";
    let outcome = made(text);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let shop = Shop::parse("[slicing]\nway = \"loaf\"").expect("a shop");
    let made = carried_out(&panels, &shop).expect("its steps can be carried out");
    let laid = made.panels[0].tiles.iter().map(|(t, _)| (t.flip, t.turn));
    let turned = [(false, 0.0), (false, 0.0), (false, 300.0), (false, 300.0)];
    assert_eq!(laid.collect::<Vec<_>>(), turned);
}

/// Four bars of 13 slices where 60 tiles are wanted: they are made, and nothing is laid.
#[test]
fn a_plan_short_of_wood_goes_as_far_as_its_wood() {
    let text = "
        let a = laminate([veneer(0.6, \"navy\"), plywood(3, 9.5, \"birch\"), veneer(0.6, \"crimson\")]);
        let t = bar(a.triangle(60)).slice(\"t\");
        panel(\"p\", triangles(t)).size(12, 5).fill(random(\"x\", t.looks()));";
    let shop = "
        [table_saw]
        kerf = 3.4
        [slicing]
        thickness = 18.3
        sanding = 0.5
        end_trim = 41.8
        [cutting]
        edge_trim = 7.2
        bar_length = 385
        [[scrap]]
        name = \"s0\"
        width = 60
        length = 604";
    let outcome = made(text);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let shop = Shop::parse(shop).expect("a shop");
    let plan = Plan::of(&panels, &shop).expect("a plan");
    assert!(!plan.count.short.is_empty());
    let made = carried_out_plan(&panels, &plan).expect("its steps can be carried out");
    assert!(made.panels.is_empty());
}
