//! Uneven numbers of strips used up: into which bars they go so that least is left.
//!
//! A full bar takes so many strips of one length. A strip that no full bar takes may be cut into as many pieces, which
//! together make one short bar of the same strip: thirds, where a bar has three. A short bar gives fewer tiles than
//! its share of a full one, for it has ends of its own; so as many full bars as can be are made first, then short ones.

/// How many bars the search for listed sets may try; the answer says whether it is proven best.
const MOST_TRIED: u32 = 200_000;

/// Which strips may be glued to one full bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sets {
    /// Strips of one kind.
    Alike,
    /// Any: bars of one kind as far as they go, and what remains mixed, in as few kinds of bars as that takes.
    Any,
    /// Any, in this order of all strips: a bar takes the next ones.
    InOrder(Vec<usize>),
    /// These alone, rather the first: how many strips of each kind.
    Only(Vec<Vec<u64>>),
}

/// Bars that are alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bars {
    /// How many strips of each kind one has.
    pub of: Vec<u64>,
    /// How many full ones.
    pub full: u64,
    /// How many short ones.
    pub short: u64,
}

/// Strips used up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UsedUp {
    /// The bars.
    pub bars: Vec<Bars>,
    /// Strips of each kind that are left.
    pub left: Vec<u64>,
    /// Whether no other choice leaves fewer strips for short bars, or over.
    pub proven: bool,
}

/// Uses up strips: `have` of each kind, `each` in a bar; `short` where strips may be cut for short bars.
///
/// # Panics
/// When a bar has no strips.
pub fn use_up(have: &[u64], each: u64, sets: &Sets, short: bool) -> UsedUp {
    assert!(each > 0, "a bar has strips");
    let mut left = have.to_vec();
    let mut proven = true;
    let mut bars: Vec<Bars> = Vec::new();
    match sets {
        Sets::Alike => alike(&mut left, each, &mut bars),
        Sets::Any => {
            alike(&mut left, each, &mut bars);
            mixed(&mut left, each, &mut bars);
        }
        Sets::InOrder(order) => {
            let per_bar = usize::try_from(each).unwrap_or(usize::MAX);
            for strips in order.chunks_exact(per_bar) {
                let mut of = vec![0; have.len()];
                for &kind in strips {
                    of[kind] += 1;
                    left[kind] -= 1;
                }
                add(&mut bars, of, 1);
            }
        }
        Sets::Only(sets) => {
            let mut search = Search {
                sets,
                each,
                best: None,
                tried: 0,
            };
            search.from(0, &mut left.clone(), &mut vec![0; sets.len()], 0);
            proven = search.tried < MOST_TRIED;
            let (_, counts) = search.best.unwrap_or_default();
            for (of, count) in sets.iter().zip(counts).filter(|(_, count)| *count > 0) {
                take(&mut left, of, count);
                add(&mut bars, of.clone(), count);
            }
        }
    }
    if short {
        for (kind, strips) in left.iter_mut().enumerate() {
            let strips = std::mem::take(strips);
            if strips > 0 {
                let of = of_one(have.len(), kind, each);
                match bars.iter_mut().find(|bars| bars.of == of) {
                    Some(bars) => bars.short = strips,
                    None => bars.push(Bars {
                        of,
                        full: 0,
                        short: strips,
                    }),
                }
            }
        }
    }
    UsedUp { bars, left, proven }
}

fn of_one(kinds: usize, kind: usize, each: u64) -> Vec<u64> {
    let mut of = vec![0; kinds];
    of[kind] = each;
    of
}

fn take(left: &mut [u64], of: &[u64], times: u64) {
    for (left, of) in left.iter_mut().zip(of) {
        *left -= of * times;
    }
}

fn add(bars: &mut Vec<Bars>, of: Vec<u64>, full: u64) {
    match bars.iter_mut().find(|bars| bars.of == of) {
        Some(bars) => bars.full += full,
        None => bars.push(Bars { of, full, short: 0 }),
    }
}

fn alike(left: &mut [u64], each: u64, bars: &mut Vec<Bars>) {
    let kinds = left.len();
    for (kind, strips) in left.iter_mut().enumerate() {
        let full = *strips / each;
        if full > 0 {
            *strips %= each;
            bars.push(Bars {
                of: of_one(kinds, kind, each),
                full,
                short: 0,
            });
        }
    }
}

/// Bars of what remains of each kind, those with most left first.
fn mixed(left: &mut [u64], each: u64, bars: &mut Vec<Bars>) {
    while left.iter().sum::<u64>() >= each {
        let mut order: Vec<usize> = (0..left.len()).collect();
        order.sort_by_key(|&kind| std::cmp::Reverse(left[kind]));
        let mut of = vec![0; left.len()];
        let mut open = each;
        for kind in order {
            of[kind] = left[kind].min(open);
            open -= of[kind];
        }
        take(left, &of, 1);
        add(bars, of, 1);
    }
}

/// The most bars of some sets.
struct Search<'a> {
    sets: &'a [Vec<u64>],
    each: u64,
    best: Option<(u64, Vec<u64>)>,
    tried: u32,
}

impl Search<'_> {
    /// Tries every number of bars of the sets from number `at` on, the most first.
    fn from(&mut self, at: usize, left: &mut Vec<u64>, counts: &mut Vec<u64>, bars: u64) {
        if self.best.as_ref().is_none_or(|(most, _)| bars > *most) {
            self.best = Some((bars, counts.clone()));
        }
        if at == self.sets.len() {
            return;
        }
        let most = self.most_of(at, left);
        for count in (0..=most).rev() {
            let best = self.best.as_ref().map_or(0, |(most, _)| *most);
            self.tried += 1;
            if self.tried >= MOST_TRIED {
                return;
            }
            take(left, &self.sets[at], count);
            // Fewer bars of this set are worth trying only where later sets can use the strips that this frees.
            if bars + count + self.bound(at + 1, left) > best {
                counts[at] = count;
                self.from(at + 1, left, counts, bars + count);
                counts[at] = 0;
            }
            for (left, of) in left.iter_mut().zip(&self.sets[at]) {
                *left += of * count;
            }
        }
    }

    fn most_of(&self, set: usize, left: &[u64]) -> u64 {
        let fits = left.iter().zip(&self.sets[set]).filter(|(_, of)| **of > 0);
        fits.map(|(left, of)| left / of).min().unwrap_or(0)
    }

    /// No more bars can come of the sets from number `at` on.
    fn bound(&self, at: usize, left: &[u64]) -> u64 {
        let open = &self.sets[at..];
        let of_use = |kind: &usize| open.iter().any(|set| set[*kind] > 0);
        let strips: u64 = (0..left.len()).filter(of_use).map(|kind| left[kind]).sum();
        let each: u64 = (0..open.len())
            .map(|set| self.most_of(at + set, left))
            .sum();
        (strips / self.each).min(each)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// The most bars of some sets, every choice tried; written apart from the search.
    fn most_bars(have: &[i64], sets: &[Vec<u64>]) -> u64 {
        let mut most = 0;
        for (i, set) in sets.iter().enumerate() {
            let left: Vec<i64> = have
                .iter()
                .zip(set)
                .map(|(have, &of)| have - i64::try_from(of).unwrap())
                .collect();
            if left.iter().all(|&n| n >= 0) {
                most = most.max(1 + most_bars(&left, &sets[i..]));
            }
        }
        most
    }

    fn all_sets(kinds: usize, each: u64) -> Vec<Vec<u64>> {
        if kinds == 1 {
            return vec![vec![each]];
        }
        let first = (0..=each).rev();
        first
            .flat_map(|n| {
                let rest = all_sets(kinds - 1, each - n);
                rest.into_iter().map(move |rest| [vec![n], rest].concat())
            })
            .collect()
    }

    fn adds_up(have: &[u64], each: u64, used: &UsedUp) {
        for (kind, &strips) in have.iter().enumerate() {
            let in_full: u64 = used.bars.iter().map(|b| b.of[kind] * b.full).sum();
            // A short bar is one strip.
            let in_short = used
                .bars
                .iter()
                .filter(|b| b.of[kind] == each)
                .map(|b| b.short);
            assert_eq!(in_full + in_short.sum::<u64>() + used.left[kind], strips);
        }
        assert!(used.bars.iter().all(|b| b.of.iter().sum::<u64>() == each));
        assert!(
            used.bars
                .iter()
                .all(|b| b.short == 0 || b.of.contains(&each))
        );
    }

    fn full(used: &UsedUp) -> u64 {
        used.bars.iter().map(|b| b.full).sum()
    }

    proptest! {
        #[test]
        fn no_choice_leaves_less(
            have in prop::collection::vec(0_u64..7, 1..4),
            each in 2_u64..5,
            chosen in prop::collection::vec(any::<bool>(), 40),
            short in any::<bool>(),
        ) {
            let signed: Vec<i64> = have.iter().map(|&n| i64::try_from(n).unwrap()).collect();
            let every = all_sets(have.len(), each);
            let alike: Vec<Vec<u64>> = every.iter().filter(|s| s.contains(&each)).cloned().collect();
            let some: Vec<Vec<u64>> =
                every.iter().zip(&chosen).filter(|(_, c)| **c).map(|(s, _)| s.clone()).collect();
            for (sets, allowed) in [
                (Sets::Alike, &alike),
                (Sets::Any, &every),
                (Sets::Only(some.clone()), &some),
            ] {
                let used = use_up(&have, each, &sets, short);
                adds_up(&have, each, &used);
                prop_assert_eq!(full(&used), most_bars(&signed, allowed));
                prop_assert!(used.proven);
                prop_assert!(!short || used.left.iter().all(|&n| n == 0));
            }
            let order: Vec<usize> = have.iter().enumerate().flat_map(|(k, &n)| {
                std::iter::repeat_n(k, usize::try_from(n).unwrap())
            }).rev().collect();
            let used = use_up(&have, each, &Sets::InOrder(order), short);
            adds_up(&have, each, &used);
            prop_assert_eq!(full(&used), have.iter().sum::<u64>() / each);
        }
    }

    #[test]
    fn seven_five_and_four_strips() {
        let any = use_up(&[7, 5, 4], 3, &Sets::Any, true);
        // Two, one and one alike; 1, 2 and 1 remain: one mixed bar, and a strip in thirds.
        assert_eq!(full(&any), 5);
        assert_eq!(
            any.bars[0],
            Bars {
                of: vec![3, 0, 0],
                full: 2,
                short: 0
            }
        );
        assert_eq!(any.bars.iter().map(|b| b.short).sum::<u64>(), 1);
        let alike = use_up(&[7, 5, 4], 3, &Sets::Alike, false);
        assert_eq!((full(&alike), alike.left), (4, vec![1, 2, 1]));
    }

    #[test]
    fn many_strips_are_soon_used_up() {
        let sets = all_sets(4, 3);
        let used = use_up(&[101, 97, 88, 59], 3, &Sets::Only(sets), false);
        assert_eq!(full(&used), (101 + 97 + 88 + 59) / 3);
    }
}
