//! Veneer leaves: the least leaf is taken, held by a search of its own; less is never harder.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use plyloom::plan::count::leaves::{LeafKind, Wanted, nest};
use proptest::prelude::*;

/// Pieces by size, a few millimetres coarse so that some are alike.
fn pieces() -> impl Strategy<Value = Vec<Wanted>> {
    let piece = (1_u64..3, 2_u32..20, 2_u32..30);
    proptest::collection::vec(piece, 1..4).prop_map(|all| {
        let wanted = |(count, w, l)| Wanted {
            count,
            width: f64::from(w) * 15.0,
            length: f64::from(l) * 40.0,
        };
        all.into_iter().map(wanted).collect()
    })
}

const LEAF: LeafKind = LeafKind {
    count: None,
    width: 300.0,
    length: 1200.0,
};

fn leaves(wanted: &[Wanted]) -> usize {
    nest(wanted, &[LEAF]).unwrap().leaves.len()
}

/// Whether pieces fit on one leaf, by cutting it in two in every way and giving each part some of the
/// pieces: all guillotine cuts there are, at the sums of their sizes.
fn on_one(width: u32, length: u32, pieces: &[(u32, u32)]) -> bool {
    if pieces.is_empty() {
        return true;
    }
    let area: u32 = pieces.iter().map(|p| p.0 * p.1).sum();
    if area > width * length || pieces.iter().any(|p| p.0 > width || p.1 > length) {
        return false;
    }
    if let [_] = pieces {
        return true;
    }
    // The first piece stays in the first part.
    (0..1_u32 << (pieces.len() - 1)).any(|set| {
        let (mut a, mut b) = (vec![pieces[0]], Vec::new());
        for (i, &piece) in pieces[1..].iter().enumerate() {
            if set >> i & 1 == 1 { &mut a } else { &mut b }.push(piece);
        }
        !b.is_empty()
            && ((1..width).any(|w| on_one(w, length, &a) && on_one(width - w, length, &b))
                || (1..length).any(|l| on_one(width, l, &a) && on_one(width, length - l, &b)))
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn fewer_or_smaller_pieces_never_take_more(
        wanted in pieces(),
        which in 0_usize..4,
        narrower in 0.2..1.0_f64,
        shorter in 0.2..1.0_f64,
    ) {
        let mut less = wanted.clone();
        let which = which % less.len();
        let one = &mut less[which];
        one.width *= narrower;
        one.length *= shorter;
        prop_assert!(leaves(&less) <= leaves(&wanted));
        less.remove(which);
        prop_assert!(less.is_empty() || leaves(&less) <= leaves(&wanted));
    }

    #[test]
    fn what_fits_on_one_leaf_is_put_on_one(
        sizes in proptest::collection::vec((1_u32..5, 1_u32..7), 1..5),
    ) {
        let wanted: Vec<Wanted> = sizes
            .iter()
            .map(|&(w, l)| Wanted { count: 1, width: f64::from(w), length: f64::from(l) })
            .collect();
        let kind = LeafKind { count: None, width: 5.0, length: 8.0 };
        let nesting = nest(&wanted, &[kind]).unwrap();
        prop_assert_eq!(nesting.leaves.len() == 1, on_one(5, 8, &sizes));
    }
}
