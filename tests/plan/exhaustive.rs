//! Small shops, searched in full: whatever boards are taken, whichever way they are cut across (to blanks
//! of one length, up to two more than the fewest), whatever lies side by side in each blank. Written apart from the planner, with its own sums, which are those of
//! square strips. What the planner calls proven must be what this finds.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::collections::BTreeSet;
use std::sync::Arc;

use plyloom::{
    plan::{CountBack, count_back, scraps::Proof},
    stock::{Bar, Sheet, Strip},
};
use proptest::{
    prelude::*,
    strategy::{Strategy, ValueTree},
    test_runner::TestRunner,
};

use crate::balance::imbalance;
use crate::count::{birch, panel, shop, veneered};

const KERF: f64 = 3.0;
const EDGE: f64 = 4.0;
const SHORTEST: f64 = 100.0;
const BAR: f64 = 260.0;
/// The narrowest board that is cut off another, or left of it for others.
const BOARD: f64 = 45.0;

/// A scrap, and whether it may be ripped both ways.
#[derive(Debug, Clone)]
struct Scrap {
    width: u32,
    length: u32,
    both: bool,
}

/// Strips of one width, from the bare sheet or from the veneered one, and tiles to slice.
#[derive(Debug, Clone)]
struct Kind {
    width: u32,
    veneered: bool,
    tiles: u64,
}

/// Slices of a bar: ends 10, slice 20, cut 1.
fn slices(length: f64) -> u64 {
    (0..100_u32)
        .take_while(|&n| {
            let next = f64::from(n + 1);
            10.0 + next * 20.0 + (next - 1.0) <= length + 1e-6
        })
        .count() as u64
}

/// Whether so many strips of each kind lie side by side in a width: what is veneered is cut off first,
/// with the cut that frees its last strip, and each sheet's first edge is cleaned.
fn fits(kinds: &[Kind], counts: &[u64], width: f64) -> bool {
    let of = |veneered: bool| {
        let strips = kinds
            .iter()
            .zip(counts)
            .filter(|(k, _)| k.veneered == veneered);
        strips.fold((0.0, 0), |(wide, n), (k, &c)| {
            (wide + f64::from(k.width) * c as f64, n + c)
        })
    };
    let ((laminated, a), (bare, b)) = (of(true), of(false));
    let needs = match (a, b) {
        (0, 0) => 0.0,
        (n, 0) => EDGE + laminated + (n - 1) as f64 * KERF,
        (0, n) => EDGE + bare + (n - 1) as f64 * KERF,
        (a, b) => {
            let cut_off = (EDGE + laminated + a as f64 * KERF).max(BOARD);
            cut_off + KERF + (EDGE + bare + (b - 1) as f64 * KERF).max(BOARD)
        }
    };
    needs <= width + 1e-6
}

/// Slices of each kind, none above what is needed.
type Made = Vec<u64>;

/// All that one blank can give.
fn of_blank(kinds: &[Kind], width: f64, each: u64) -> BTreeSet<Made> {
    let mut all = BTreeSet::new();
    let mut counts = vec![0; kinds.len()];
    loop {
        if fits(kinds, &counts, width) {
            let made = counts
                .iter()
                .zip(kinds)
                .map(|(c, k)| (c * each).min(k.tiles));
            all.insert(made.collect());
        }
        let most = |k: &Kind| k.tiles.div_ceil(each);
        let Some(at) = (0..kinds.len()).find(|&i| counts[i] < most(&kinds[i])) else {
            return all;
        };
        counts[at] += 1;
        counts[..at].fill(0);
    }
}

fn sums(kinds: &[Kind], a: &BTreeSet<Made>, b: &BTreeSet<Made>) -> BTreeSet<Made> {
    let add = |x: &Made, y: &Made| -> Made {
        let both = x.iter().zip(y).zip(kinds);
        both.map(|((x, y), k)| (x + y).min(k.tiles)).collect()
    };
    a.iter()
        .flat_map(|x| b.iter().map(move |y| add(x, y)))
        .collect()
}

/// All that one scrap can give.
fn of_scrap(kinds: &[Kind], scrap: &Scrap) -> BTreeSet<Made> {
    let mut all = BTreeSet::new();
    let (w, l) = (f64::from(scrap.width), f64::from(scrap.length));
    let mut ways = vec![(w, l)];
    if scrap.both {
        ways.push((l, w));
    }
    for (width, length) in ways {
        let fewest = (length + KERF) / (BAR + KERF);
        for blanks in 1.. {
            if f64::from(blanks) > fewest.ceil() + 2.0 {
                break;
            }
            let each = ((length - f64::from(blanks - 1) * KERF) / f64::from(blanks)).min(BAR);
            let n = slices(each);
            if each < SHORTEST || n == 0 {
                break;
            }
            let one = of_blank(kinds, width, n);
            let mut board = one.clone();
            for _ in 1..blanks {
                board = sums(kinds, &board, &one);
            }
            all.extend(board);
        }
    }
    all
}

/// All that one scrap can give where its blanks need not be of one length: whatever lengths lie one behind the other, each
/// just enough for a number of slices, so that no further blank and no longer one has room.
fn of_scrap_mixed(kinds: &[Kind], scrap: &Scrap) -> BTreeSet<Made> {
    let length_for = |n: u64| (10.0 + 20.0 * n as f64 + (n - 1) as f64).max(SHORTEST);
    let least = slices(SHORTEST).max(1);
    let lengths: Vec<(u64, f64)> = (least..=slices(BAR)).map(|n| (n, length_for(n))).collect();
    let (w, l) = (f64::from(scrap.width), f64::from(scrap.length));
    let mut ways = vec![(w, l)];
    if scrap.both {
        ways.push((l, w));
    }
    let mut all = BTreeSet::new();
    for (width, length) in ways {
        let blank: Vec<BTreeSet<Made>> = (lengths.iter())
            .map(|&(n, _)| of_blank(kinds, width, n))
            .collect();
        // From the longest to the shortest: what is given so far, and the length that is left.
        let mut open = vec![(0, BTreeSet::from([vec![0; kinds.len()]]), length + KERF)];
        while let Some((from, made, left)) = open.pop() {
            let mut last = true;
            for i in from..lengths.len() {
                let (_, long) = lengths[lengths.len() - 1 - i];
                if long + KERF <= left + 1e-6 {
                    let both = sums(kinds, &made, &blank[lengths.len() - 1 - i]);
                    open.push((i, both, left - long - KERF));
                    last = false;
                }
            }
            if last {
                all.extend(made);
            }
        }
    }
    all
}

/// The least area of scraps that give all; none where all of them do not.
fn least(
    kinds: &[Kind],
    scraps: &[Scrap],
    of_scrap: fn(&[Kind], &Scrap) -> BTreeSet<Made>,
) -> Option<f64> {
    let of: Vec<BTreeSet<Made>> = scraps.iter().map(|s| of_scrap(kinds, s)).collect();
    let all: Made = kinds.iter().map(|k| k.tiles).collect();
    let mut best: Option<f64> = None;
    for set in 0..1_u32 << scraps.len() {
        let taken = || (0..scraps.len()).filter(|i| set >> i & 1 == 1);
        let area: f64 = taken()
            .map(|i| f64::from(scraps[i].width * scraps[i].length))
            .sum();
        if best.is_some_and(|b| b <= area) {
            continue;
        }
        let nothing = BTreeSet::from([vec![0; kinds.len()]]);
        let made = taken().fold(nothing, |made, i| sums(kinds, &made, &of[i]));
        if made.contains(&all) {
            best = Some(area);
        }
    }
    best
}

fn scraps() -> impl Strategy<Value = Vec<Scrap>> {
    let scrap = (30_u32..160, 100_u32..560, any::<bool>());
    proptest::collection::vec(scrap, 1..5).prop_map(|all| {
        all.into_iter()
            .map(|(width, length, both)| Scrap {
                width,
                length,
                both,
            })
            .collect()
    })
}

fn kinds() -> impl Strategy<Value = Vec<Kind>> {
    let kind = (12_u32..50, any::<bool>(), 1_u64..14);
    proptest::collection::vec(kind, 1..4).prop_map(|all| {
        let mut kinds: Vec<Kind> = Vec::new();
        for (width, veneered, tiles) in all {
            if kinds
                .iter()
                .all(|k| (k.width, k.veneered) != (width, veneered))
            {
                kinds.push(Kind {
                    width,
                    veneered,
                    tiles,
                });
            }
        }
        kinds
    })
}

/// What the planner makes of it.
fn planned(scraps: &[Scrap], kinds: &[Kind]) -> CountBack {
    let bare = birch(17.0);
    let laminated = veneered("teal", "teal");
    let bars: Vec<(Bar, u64)> = kinds
        .iter()
        .map(|kind| {
            let sheet: &Arc<Sheet> = if kind.veneered { &laminated } else { &bare };
            let strip = Strip::rip(sheet, f64::from(kind.width), 90.0, 90.0).unwrap();
            (Bar::plain(strip).unwrap(), kind.tiles)
        })
        .collect();
    let saw = format!(
        "[table_saw]\nkerf = {KERF}\nshortest = {SHORTEST}\nnarrowest = 12\n[slicing]\nkerf = 1\n\
         thickness = 20\nsanding = 1\nend_trim = 10\n[cutting]\nspare = 0\nedge_trim = {EDGE}\n\
         bar_length = {BAR}\nnarrowest_board = {BOARD}\n"
    );
    let stock = scraps.iter().map(|scrap| {
        let grain = if scrap.both { "any" } else { "length" };
        let Scrap { width, length, .. } = scrap;
        format!("[[scrap]]\nwidth = {width}\nlength = {length}\ngrain = \"{grain}\"\n")
    });
    let text: String = std::iter::once(saw).chain(stock).collect();
    count_back(&[&panel(&bars)], &shop(&text)).unwrap()
}

/// What the plan says of itself is that its boards are cut across to blanks of one length. How much more it takes than
/// whoever cuts several lengths from a board: in 300 small shops drawn from one seed.
#[test]
#[ignore = "takes a minute: cargo test --test plan several_lengths -- --ignored"]
fn blanks_of_several_lengths_seldom_take_less() {
    let mut runner = TestRunner::deterministic();
    let (mut less, mut more_made, mut taken, mut least_taken) = (0, 0, 0.0, 0.0);
    for _ in 0..300 {
        let drawn = (scraps(), kinds()).new_tree(&mut runner).unwrap().current();
        let (scraps, kinds) = drawn;
        let count = planned(&scraps, &kinds);
        let mixed = least(&kinds, &scraps, of_scrap_mixed);
        if !count.short.is_empty() {
            more_made += u32::from(mixed.is_some());
            continue;
        }
        let mixed = mixed.expect("several lengths do what one does");
        assert!(mixed <= count.taken.value + 1e-6);
        less += u32::from(mixed < count.taken.value - 1e-6);
        taken += count.taken.value;
        least_taken += mixed;
    }
    // In 7 shops less would do, and one is called short that is not: 1.3 % more wood over all.
    assert_eq!((less, more_made), (7, 1));
    assert!(taken / least_taken < 1.014, "{}", taken / least_taken);
}

/// How many small shops are searched in full: 60, or as `PLYLOOM_SHOP_CASES` says.
fn cases() -> u32 {
    let cases = std::env::var("PLYLOOM_SHOP_CASES").ok();
    cases.and_then(|cases| cases.parse().ok()).unwrap_or(60)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_proven_is_the_least_there_is(scraps in scraps(), kinds in kinds()) {
        let count = planned(&scraps, &kinds);
        prop_assert!(imbalance(&count.balance) < 1e-9, "{:?}", count.balance);
        match least(&kinds, &scraps, of_scrap) {
            None => prop_assert!(!count.short.is_empty(), "{:?}", count.boards),
            Some(area) => {
                prop_assert!(count.short.is_empty(), "{area} would do: {:?}", count.short);
                let taken = count.taken.value;
                match count.proof {
                    Proof::Optimal => prop_assert!((taken - area).abs() < 1e-6, "{taken}, not {area}"),
                    Proof::AtLeast(bound) => {
                        prop_assert!(bound as f64 <= area + 1.0 && area <= taken + 1e-6);
                    }
                    Proof::ForTheseBoards => prop_assert!(false, "not told of stock"),
                }
            }
        }
    }
}
