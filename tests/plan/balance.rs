//! The balance of the wood on random shops: what goes in comes out, as parts, kerf, waste or left over.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use plyloom::{
    geom::TOLERANCE,
    plan::{
        PlanError,
        count::{balance::Balance, count_back_within},
        scraps::Effort,
    },
    stock::{Bar, Strip, hexagon::hexagon, shapes},
};
use proptest::prelude::*;

use crate::count::{birch, panel, shop, veneered};

/// How far an account is out, as a share of the stock; 0 without stock.
pub(crate) fn imbalance(account: &Balance) -> f64 {
    if account.stock <= 0.0 {
        return 0.0;
    }
    let used = account.parts + account.kerf + account.waste + account.left_over;
    (used - account.stock).abs() / account.stock
}

fn any_board() -> impl Strategy<Value = String> {
    (30.0..900.0_f64, 120.0..2500.0_f64, 1..4_u32, 0..4_u8, 0..3_u8).prop_map(
        |(w, l, count, colour, grain)| {
            let grain = ["length", "width", "any"][usize::from(grain)];
            let faces = match colour {
                0 => "face = \"teal\"\nback = \"white\"\n",
                1 => "face = \"white\"\nback = \"teal\"\n",
                _ => "",
            };
            format!(
                "[[scrap]]\nwidth = {w}\nlength = {l}\ncount = {count}\ngrain = \"{grain}\"\n{faces}"
            )
        },
    )
}

fn any_shop() -> impl Strategy<Value = String> {
    (
        (1.0..6.0_f64, 0.5..2.0_f64, 6.0..30.0_f64, 0.0..30.0_f64),
        (0.0..0.2_f64, 0.0..12.0_f64, 150.0..900.0_f64),
        proptest::collection::vec(any_board(), 1..6),
    )
        .prop_map(|((kerf, band, slice, ends), (spare, edge, bar), boards)| {
            format!(
                "[table_saw]\nkerf = {kerf}\nshortest = 120\n[slicing]\nkerf = {band}\n\
                 thickness = {slice}\nend_trim = {ends}\n[cutting]\nspare = {spare}\n\
                 edge_trim = {edge}\nbar_length = {bar}\n{}",
                boards.concat()
            )
        })
}

fn any_bar(which: u8) -> Bar {
    let sheet = if which.is_multiple_of(2) {
        birch(18.0)
    } else {
        veneered("teal", "white")
    };
    let rhombus = shapes::rhombus(&sheet, 60.0).unwrap();
    let half = shapes::half_hexagon(&sheet, 60.0).unwrap();
    let triangle = shapes::triangle(&sheet, 60.0).unwrap();
    match which / 2 {
        0 => hexagon(
            vec![rhombus.clone(), rhombus.end_for_end(), rhombus],
            TOLERANCE,
        )
        .unwrap(),
        1 => hexagon(vec![half.clone(), half], TOLERANCE).unwrap(),
        2 => hexagon(vec![half, rhombus, triangle], TOLERANCE).unwrap(),
        3 => Bar::plain(Strip::rip(&sheet, 40.0, 75.0, 50.0).unwrap()).unwrap(),
        4 => Bar::plain(
            Strip::rip(&sheet, 30.0, 110.0, 80.0)
                .unwrap()
                .halve_anyhow(),
        )
        .unwrap(),
        _ => Bar::plain(Strip::rip(&sheet, 33.0, 120.0, 90.0).unwrap()).unwrap(),
    }
}

trait HalveAnyhow {
    fn halve_anyhow(self) -> Strip;
}

impl HalveAnyhow for Strip {
    /// The left piece of a slanting second rip.
    fn halve_anyhow(self) -> Strip {
        let middle = self.section().bounds().width() / 2.0;
        self.rip_again(middle, 80.0).unwrap().0
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(800))]

    /// Parts + kerf + waste + left-over = stock, whatever the shop.
    #[test]
    fn no_wood_is_lost_or_won(
        text in any_shop(),
        bars in proptest::collection::vec((0..12_u8, 1..80_u64), 1..4),
    ) {
        let bars: Vec<(Bar, u64)> = bars.into_iter().map(|(b, n)| (any_bar(b), n)).collect();
        // The account holds for any choice of boards, so a good one need not be searched for long.
        let count = count_back_within(&[&panel(&bars)], &shop(&text), Effort { nodes: 4 });
        // A bar that this saw cannot cut safely is refused before any wood is counted.
        prop_assume!(!matches!(count, Err(PlanError::Unsafe(_))));
        let count = count.unwrap();
        let b = count.balance;
        prop_assert!(imbalance(&b) < 1e-6, "{} {b:?}\n{text}\n{count:#?}", imbalance(&b));
        for amount in [b.stock, b.parts, b.kerf, b.waste, b.left_over] {
            prop_assert!(amount >= -1e-6, "{b:?}");
        }
        for strip in &count.strips {
            prop_assert!(strip.given + strip.short >= strip.needed.count());
        }
        if count.suffices() {
            let volume: f64 = count.tiles.iter().zip(&bars).map(|(t, _)| t.needed.value).sum();
            prop_assert!(volume > 0.0 && b.parts > 0.0);
        }
    }
}
