//! Veneer leaves: which pieces are cut from which leaf.
//!
//! A piece lies with its length along the leaf's. It is cut by cuts that run from edge to edge of
//! what is cut (guillotine cuts, as a veneer saw and a straight edge make them). What is larger than
//! any leaf is jointed of several pieces. The least leaf is taken: a search in full where pieces are
//! few, the best that it has met at its limit else. Lengths in mm.

use crate::watch;
use serde::Serialize;

/// How many nodes all searches of one nesting visit: bounds their time to some tenths of a second. Each portion has
/// an answer even when they are used up.
const MOST_PLACES: u64 = 60_000;
/// The most leaves that one piece is jointed from; leaves that would need more are not used for it.
const MOST_JOINTED: f64 = 64.0;
/// Pieces that are nested at once: bounds the depth of the search; more are nested in portions, the
/// longest first.
const MOST_AT_ONCE: usize = 200;
/// Sizes that differ by less, in mm, are the same: rounding loses no piece that fits just so.
const SAME: f64 = 1e-6;

/// Pieces to cut that are alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// How many.
    pub count: u64,
    /// Across the leaf, in mm.
    pub width: f64,
    /// Along the leaf, in mm.
    pub length: f64,
}

/// Leaves of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeafKind {
    /// How many there are; none where as many as needed can be had.
    pub count: Option<u64>,
    /// In mm.
    pub width: f64,
    /// In mm.
    pub length: f64,
}

/// A piece on a leaf.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PlacedPiece {
    /// From the leaf's left edge, in mm.
    pub x: f64,
    /// From its end, in mm.
    pub y: f64,
    /// Across the leaf, in mm.
    pub width: f64,
    /// Along it, in mm.
    pub length: f64,
    /// What it is cut for: the number of what was wanted.
    #[serde(skip)]
    pub of: usize,
}

/// A leaf and what is cut from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Nested {
    /// Which kind of leaf.
    pub kind: usize,
    /// Whether there is none left of it: it is missing.
    pub missing: bool,
    /// The pieces, in the order in which they are cut.
    pub pieces: Vec<PlacedPiece>,
}

/// Pieces on leaves.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LeafNesting {
    /// The leaves.
    pub leaves: Vec<Nested>,
    /// Pieces that are jointed of several, as larger than any leaf.
    pub jointed: u64,
}

/// Nests pieces on leaves; none where no kind of leaf is of use for them.
pub fn nest(wanted: &[Wanted], kinds: &[LeafKind]) -> Option<LeafNesting> {
    let mut all = LeafNesting::default();
    let largest =
        (kinds.iter()).max_by(|a, b| (a.width * a.length).total_cmp(&(b.width * b.length)))?;
    let mut pieces: Vec<Cutting> = Vec::new();
    for (of, want) in wanted.iter().enumerate() {
        let whole = kinds.iter().any(|k| holds(k, want.width, want.length));
        let parts = if whole {
            vec![(want.width, want.length)]
        } else {
            all.jointed += want.count;
            jointed(want, largest)?
        };
        for _ in 0..want.count {
            watch::ask();
            let sized = |&(width, length)| Cutting { width, length, of };
            pieces.extend(parts.iter().map(sized));
        }
    }
    by(&mut pieces, |p| p.length);
    let mut left: Vec<Option<u64>> = kinds.iter().map(|k| k.count).collect();
    let mut places = MOST_PLACES;
    for portion in pieces.chunks(MOST_AT_ONCE) {
        watch::ask();
        let leaves = least(portion, kinds, &left, &mut places);
        for leaf in leaves {
            if let (false, Some(left)) = (leaf.missing, &mut left[leaf.kind]) {
                *left = left.saturating_sub(1);
            }
            all.leaves.push(leaf);
        }
    }
    Some(all)
}

/// A piece to place.
#[derive(Clone, Copy)]
struct Cutting {
    width: f64,
    length: f64,
    of: usize,
}

/// Sorts by a size, the largest first, alike ones together.
fn by(pieces: &mut [Cutting], size: fn(&Cutting) -> f64) {
    pieces.sort_by(|a, b| {
        (size(b).total_cmp(&size(a)))
            .then(b.length.total_cmp(&a.length))
            .then(b.width.total_cmp(&a.width))
            .then(a.of.cmp(&b.of))
    });
}

fn holds(kind: &LeafKind, width: f64, length: f64) -> bool {
    width <= kind.width + SAME && length <= kind.length + SAME
}

/// Splits a piece that is larger than any leaf into pieces that are not: whole leaves, and the remainder.
fn jointed(want: &Wanted, leaf: &LeafKind) -> Option<Vec<(f64, f64)>> {
    let count = (want.width / leaf.width).ceil() * (want.length / leaf.length).ceil();
    if count > MOST_JOINTED {
        return None;
    }
    let parts = |size: f64, of: f64| -> Vec<f64> {
        let mut all = Vec::new();
        let mut open = size;
        while open > of + SAME {
            all.push(of);
            open -= of;
        }
        all.push(open);
        all
    };
    let lengths = parts(want.length, leaf.length);
    let beside = parts(want.width, leaf.width);
    let each = |&width: &f64| lengths.iter().map(move |&length| (width, length));
    Some(beside.iter().flat_map(each).collect())
}

/// The least leaf for some pieces: placed by length, then by width, then by area.
fn least(
    pieces: &[Cutting],
    kinds: &[LeafKind],
    left: &[Option<u64>],
    places: &mut u64,
) -> Vec<Nested> {
    let mut search = Search {
        kinds,
        pieces: pieces.to_vec(),
        after: Vec::new(),
        left: left.to_vec(),
        leaves: Vec::new(),
        best: None,
        places: 0,
        least: least_cost(pieces, kinds),
    };
    let orders: [fn(&Cutting) -> f64; 3] = [|p| p.length, |p| p.width, |p| p.width * p.length];
    for order in orders {
        watch::ask();
        // To begin with, each piece has one place.
        search.places = (*places / 3).max(pieces.len() as u64);
        let before = search.places;
        by(&mut search.pieces, order);
        search.after = areas_after(&search.pieces);
        search.place(0, 0, Cost::default());
        *places = places.saturating_sub(before - search.places);
        if search.reached() || *places == 0 {
            break;
        }
    }
    search.best.map_or_else(Vec::new, |(_, leaves)| leaves)
}

/// The area of each piece and all after it; 0 after the last.
fn areas_after(pieces: &[Cutting]) -> Vec<f64> {
    let mut after = vec![0.0; pieces.len() + 1];
    for (i, piece) in pieces.iter().enumerate().rev() {
        after[i] = after[i + 1] + piece.width * piece.length;
    }
    after
}

/// What leaves cost: those that are missing first, then their area.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
struct Cost {
    missing: u64,
    area: f64,
}

/// No leaves have less area than the pieces; of one size, they are whole ones.
fn least_cost(pieces: &[Cutting], kinds: &[LeafKind]) -> f64 {
    let area: f64 = pieces.iter().map(|p| p.width * p.length).sum();
    match kinds {
        [only] => {
            let one = only.width * only.length;
            (area / one - SAME).ceil().max(1.0) * one
        }
        _ => area,
    }
}

/// What is free of a leaf.
#[derive(Clone, Copy, PartialEq)]
struct Free {
    x: f64,
    y: f64,
    width: f64,
    length: f64,
}

/// A leaf while it is cut.
#[derive(Clone)]
struct Open {
    nested: Nested,
    free: Vec<Free>,
}

struct Search<'a> {
    kinds: &'a [LeafKind],
    pieces: Vec<Cutting>,
    /// Areas of the pieces from each on.
    after: Vec<f64>,
    left: Vec<Option<u64>>,
    leaves: Vec<Open>,
    best: Option<(Cost, Vec<Nested>)>,
    /// Places that may still be looked at.
    places: u64,
    /// No leaves have less area.
    least: f64,
}

impl Search<'_> {
    /// Whether no leaves can cost less than the best that is known.
    fn reached(&self) -> bool {
        let cost = self.best.as_ref().map(|(cost, _)| *cost);
        cost.is_some_and(|c| c.missing == 0 && c.area <= self.least + SAME)
    }

    /// Whether pieces from number `at` on cannot do better than the best that is known.
    fn in_vain(&self, at: usize, cost: Cost) -> bool {
        let Some((best, _)) = &self.best else {
            return false;
        };
        let free: f64 = (self.leaves.iter().flat_map(|l| &l.free))
            .map(|f| f.width * f.length)
            .sum();
        let area = cost.area + (self.after[at] - free).max(0.0);
        cost >= *best || (cost.missing >= best.missing && area >= best.area - SAME)
    }

    /// Places pieces from number `at` on. A piece like the one before lies on no earlier leaf.
    fn place(&mut self, at: usize, from: usize, cost: Cost) {
        if self.in_vain(at, cost) {
            return;
        }
        let Some(&piece) = self.pieces.get(at) else {
            let leaves = self.leaves.iter().map(|l| l.nested.clone()).collect();
            self.best = Some((cost, leaves));
            return;
        };
        let same = |a: f64, b: f64| (a - b).abs() < SAME;
        for leaf in from..self.leaves.len() {
            watch::ask();
            let mut frees = self.leaves[leaf].free.clone();
            frees.retain(|f| piece.width <= f.width + SAME && piece.length <= f.length + SAME);
            frees.sort_by(|a, b| (a.width * a.length).total_cmp(&(b.width * b.length)));
            frees.dedup_by(|a, b| same(a.width, b.width) && same(a.length, b.length));
            for free in frees {
                self.put(at, leaf, free, cost);
            }
        }
        for kind in 0..self.kinds.len() {
            let size = self.kinds[kind];
            let missing = self.left[kind] == Some(0);
            // Of several sizes that would do, the first is missing.
            let other = |k: &LeafKind| holds(k, piece.width, piece.length);
            if !other(&size) || (missing && self.kinds[..kind].iter().any(other)) {
                continue;
            }
            let free = Free {
                x: 0.0,
                y: 0.0,
                width: size.width,
                length: size.length,
            };
            self.leaves.push(Open {
                nested: Nested {
                    kind,
                    missing,
                    pieces: Vec::new(),
                },
                free: vec![free],
            });
            let before = self.left[kind];
            self.left[kind] = before.map(|left| left.saturating_sub(1));
            let more = Cost {
                missing: cost.missing + u64::from(missing),
                area: cost.area + size.width * size.length,
            };
            self.put(at, self.leaves.len() - 1, free, more);
            self.left[kind] = before;
            self.leaves.pop();
        }
    }

    /// Puts a piece into the corner of what is free; the first cut runs across the leaf, or along it.
    fn put(&mut self, at: usize, leaf: usize, free: Free, cost: Cost) {
        let piece = self.pieces[at];
        let beside = (free.width - piece.width).max(0.0);
        let beyond = (free.length - piece.length).max(0.0);
        let one_way = beside < SAME || beyond < SAME;
        for along in [false, true] {
            if self.places == 0 || self.reached() || (along && one_way) {
                return;
            }
            self.places -= 1;
            let right = Free {
                x: free.x + piece.width,
                width: beside,
                length: if along { free.length } else { piece.length },
                ..free
            };
            let rest = Free {
                y: free.y + piece.length,
                width: if along { piece.width } else { free.width },
                length: beyond,
                ..free
            };
            let before = self.leaves[leaf].clone();
            let open = &mut self.leaves[leaf];
            open.free.retain(|f| *f != free);
            let some = |f: &Free| f.width > SAME && f.length > SAME;
            open.free.extend([right, rest].into_iter().filter(some));
            open.nested.pieces.push(PlacedPiece {
                x: free.x,
                y: free.y,
                width: piece.width,
                length: piece.length,
                of: piece.of,
            });
            let alike = self.pieces.get(at + 1).is_some_and(|next| {
                next.width.to_bits() == piece.width.to_bits()
                    && next.length.to_bits() == piece.length.to_bits()
            });
            self.place(at + 1, if alike { leaf } else { 0 }, cost);
            self.leaves[leaf] = before;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leaf(width: f64, length: f64, count: Option<u64>) -> LeafKind {
        LeafKind {
            count,
            width,
            length,
        }
    }

    fn piece(count: u64, width: f64, length: f64) -> Wanted {
        Wanted {
            count,
            width,
            length,
        }
    }

    fn leaves(wanted: &[Wanted], kinds: &[LeafKind]) -> Vec<Nested> {
        nest(wanted, kinds).unwrap().leaves
    }

    #[test]
    fn a_long_leaf_holds_three_lengths() {
        // 3 x 627.6 = 1882.8 of 2500; four are 2510.4.
        let kinds = [leaf(300.0, 2500.0, None)];
        assert_eq!(leaves(&[piece(3, 290.0, 627.6)], &kinds).len(), 1);
        assert_eq!(leaves(&[piece(4, 290.0, 627.6)], &kinds).len(), 2);
    }

    #[test]
    fn small_pieces_lie_beside_and_beyond_a_large_one() {
        let kinds = [leaf(300.0, 1200.0, None)];
        // 280 x 500 beyond it with what is left of 600; 30 x 590 beside it.
        let wanted = [
            piece(1, 267.0, 600.0),
            piece(1, 280.0, 500.0),
            piece(1, 30.0, 590.0),
        ];
        assert_eq!(leaves(&wanted, &kinds).len(), 1);
    }

    #[test]
    fn a_piece_larger_than_a_leaf_is_jointed() {
        let nesting = nest(&[piece(1, 62.0, 500.0)], &[leaf(40.0, 2500.0, Some(1))]).unwrap();
        // 40 and 22 wide, 500 long: both from one leaf of 2500.
        assert_eq!((nesting.leaves.len(), nesting.jointed), (1, 1));
        assert!(!nesting.leaves[0].missing);
        // Leaves that are absurdly small are of no use.
        assert_eq!(
            nest(&[piece(1, 62.0, 500.0)], &[leaf(1.0, 1.0, None)]),
            None
        );
    }

    #[test]
    fn what_is_missing_is_told_and_the_least_leaf_is_taken() {
        let kinds = [leaf(300.0, 2500.0, Some(1)), leaf(300.0, 700.0, Some(1))];
        // One fits the small leaf; five need both leaves and more.
        assert_eq!(leaves(&[piece(1, 290.0, 600.0)], &kinds)[0].kind, 1);
        let many = leaves(&[piece(6, 290.0, 600.0)], &kinds);
        assert_eq!(many.iter().filter(|l| l.missing).count(), 1);
        assert_eq!(leaves(&[], &kinds).len(), 0);
    }

    #[test]
    fn pieces_lie_within_their_leaf_and_apart() {
        let kinds = [leaf(310.0, 1300.0, None)];
        let wanted: Vec<Wanted> = (1..9_u32)
            .map(|i| piece(2, 40.0 + 23.0 * f64::from(i), 700.0 - 61.0 * f64::from(i)))
            .collect();
        for nested in leaves(&wanted, &kinds) {
            for (i, a) in nested.pieces.iter().enumerate() {
                assert!(a.x + a.width <= 310.0 + 1e-5 && a.y + a.length <= 1300.0 + 1e-5);
                for b in &nested.pieces[i + 1..] {
                    let apart = a.x + a.width <= b.x + 1e-5
                        || b.x + b.width <= a.x + 1e-5
                        || a.y + a.length <= b.y + 1e-5
                        || b.y + b.length <= a.y + 1e-5;
                    assert!(apart, "{a:?} {b:?}");
                }
            }
        }
    }
}
