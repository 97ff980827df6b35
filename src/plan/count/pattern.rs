//! Cutting patterns of a blank: how many strips of each kind fit on it side by side, those of one
//! laminated sheet together, since they are laminated and ripped together.
//!
//! Runs lie in one order: what is laminated first, then what is ripped as it is, whose rest stays on
//! the blank; strips that fall free first within a sheet, so that the others lead them. [`OpenBlank`]
//! lists all patterns that hold as many strips as can be, or finds the one that is worth most, by
//! depth-first search under the bound of G. B. Dantzig (Discrete-Variable Extremum Problems,
//! Operations Research 5 (1957), 266-277). Lengths in mm. Never here: which patterns are used.

use super::{lay::Run, side_by_side::WidthTaken};
use crate::{plan::saw::rip_method::RipMethod, watch};

/// How many nodes a search visits in one blank, to list its patterns or to price them: bounds its time to some
/// milliseconds. A search that stops there says so, or gives a bound that holds.
pub(super) const MOST_LOOKS: u64 = 4_000;

/// A millionth of a millimetre more, so that rounding loses no strip that fits just so.
const ROUNDING: f64 = 1e-6;

/// Strips that may lie in a blank.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    /// Which sheet.
    pub(super) sheet: usize,
    /// How often that sheet's board lies in the blank: once for each of those laminated to one another
    /// that come from one blank.
    pub(super) copies: u64,
    /// How they are ripped.
    pub(super) method: RipMethod,
    /// Which rip kinds the odd and the even strips are.
    pub(super) rips: [usize; 2],
    /// The most that are of use.
    pub(super) most: u64,
    /// What one takes of the width at least: its section and a cut.
    size: f64,
}

impl Item {
    pub(super) fn new(
        sheet: usize,
        copies: u64,
        method: RipMethod,
        rips: [usize; 2],
        most: u64,
    ) -> Self {
        let odd = method.run.odd;
        Self {
            sheet,
            copies,
            method,
            rips,
            most,
            size: copies as f64 * (odd.area() / odd.depth + method.run.kerf),
        }
    }

    fn run(&self) -> &Run {
        &self.method.run
    }
}

/// A blank and what may lie in it.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct OpenBlank {
    /// In the order in which they lie; those of one sheet together.
    pub(super) items: Vec<Item>,
    /// In mm.
    pub(super) width: f64,
    /// What cleaning the first edge of each sheet takes.
    pub(super) trim: f64,
    /// What parts one sheet from the next.
    pub(super) kerf: f64,
    /// The narrowest board that is cut off another to be laminated or ripped.
    pub(super) narrowest: f64,
}

/// How far a blank is filled.
#[derive(Debug, Clone, Copy, Default)]
struct Cursor {
    /// Where the sheet that is being filled begins, and which it is.
    from: f64,
    sheet: Option<(usize, u64)>,
    filled: WidthTaken,
}

impl OpenBlank {
    /// The width of a sheet's board that is cut off the blank.
    pub(super) fn cut_off(&self, filled: &WidthTaken) -> f64 {
        (self.trim + filled.freed(self.kerf)).max(self.narrowest)
    }

    fn with(&self, cursor: Cursor, item: &Item, count: u64) -> Cursor {
        if count == 0 {
            return cursor;
        }
        let mut cursor = cursor;
        if let Some((sheet, copies)) = cursor.sheet
            && sheet != item.sheet
        {
            cursor.from += copies as f64 * (self.cut_off(&cursor.filled) + self.kerf);
            cursor.filled = WidthTaken::default();
        }
        Cursor {
            sheet: Some((item.sheet, item.copies)),
            filled: cursor.filled.with(item.run(), count),
            ..cursor
        }
    }

    /// The width that the strips up to a cursor take of the blank; boards that are laminated to one another are of one
    /// width.
    fn taken(&self, cursor: &Cursor) -> f64 {
        let copies = cursor.sheet.map_or(0, |(_, copies)| copies);
        // Where boards were cut off before, what is left is a board of its own.
        let least = if cursor.from > 0.0 {
            self.narrowest
        } else {
            0.0
        };
        cursor.from
            + match copies {
                0 => 0.0,
                1 => (self.trim + cursor.filled.least()).max(least),
                _ => copies as f64 * (self.cut_off(&cursor.filled) + self.kerf) - self.kerf,
            }
    }

    fn holds(&self, cursor: &Cursor) -> bool {
        self.taken(cursor) <= self.width + ROUNDING
    }

    /// Whether so many strips of each kind fit.
    pub(super) fn fits(&self, counts: &[u64]) -> bool {
        let mut cursor = Cursor::default();
        for (item, &count) in self.items.iter().zip(counts) {
            cursor = self.with(cursor, item, count);
        }
        self.holds(&cursor)
    }

    /// The most strips of a kind that fit alone, of those that are of use.
    pub(super) fn alone(&self, item: usize) -> u64 {
        self.most(Cursor::default(), &self.items[item])
    }

    /// The most strips of a kind that fit beside what lies there.
    fn most(&self, cursor: Cursor, item: &Item) -> u64 {
        let (mut fit, mut not) = (0, item.most + 1);
        while fit + 1 < not {
            let middle = u64::midpoint(fit, not);
            if self.holds(&self.with(cursor, item, middle)) {
                fit = middle;
            } else {
                not = middle;
            }
        }
        fit
    }

    /// The blank filled with as many as are wanted, kind after kind in an order of their numbers.
    pub(super) fn filled(&self, wanted: &[u64], order: &[usize]) -> Vec<u64> {
        let mut counts = vec![0; self.items.len()];
        let mut room = self.room();
        for &i in order {
            let size = self.items[i].size;
            if size > room + ROUNDING {
                continue;
            }
            let (mut fit, mut not) = (0, wanted[i] + 1);
            while fit + 1 < not {
                counts[i] = u64::midpoint(fit, not);
                if self.fits(&counts) {
                    fit = counts[i];
                } else {
                    not = counts[i];
                }
            }
            counts[i] = fit;
            room -= fit as f64 * size;
        }
        counts
    }

    /// The width that strips and their cuts have at most.
    fn room(&self) -> f64 {
        self.width + self.kerf - self.trim
    }

    /// All patterns to which no strip of use can be added; none where they are more than `limit`, or the search
    /// visited too many nodes.
    pub(super) fn maximal(&self, limit: usize) -> Option<Vec<Vec<u64>>> {
        let mut search = Enumeration {
            bench: self,
            looks: MOST_LOOKS,
            limit,
            counts: vec![0; self.items.len()],
            found: Vec::new(),
        };
        search.list(0, Cursor::default()).then_some(search.found)
    }

    /// The pattern that is worth most, and an upper bound on the worth of any. `worth` has for each kind what 0, 1, 2
    /// and more strips are worth; each further one adds no more than the one before. The search visits at most
    /// `looks` nodes.
    pub(super) fn dearest(&self, worth: &[Vec<i64>], looks: u64) -> (Vec<u64>, i64) {
        let n = self.items.len();
        let rate = |i: usize| first(&worth[i]) / self.items[i].size;
        let mut order: Vec<usize> = (0..n).filter(|&i| rate(i) > 0.0).collect();
        order.sort_by(|&a, &b| rate(b).total_cmp(&rate(a)).then(a.cmp(&b)));
        let most: Vec<u64> = self.items.iter().map(|item| item.most).collect();
        let counts = self.filled(&most, &order);
        let each = counts.iter().zip(worth);
        let value = each.map(|(&n, worth)| worth[as_index(n)]).sum();
        let mut pricing = Pricing {
            bench: self,
            worth,
            order,
            looks,
            counts: vec![0; n],
            best: (value, counts),
            bound: None,
        };
        pricing.price(0, Cursor::default(), 0, 0.0);
        let best = pricing.best.0;
        (pricing.best.1, pricing.bound.map_or(best, |b| b.max(best)))
    }
}

/// A search for all patterns that hold as many strips as can be.
struct Enumeration<'a> {
    bench: &'a OpenBlank,
    looks: u64,
    limit: usize,
    counts: Vec<u64>,
    found: Vec<Vec<u64>>,
}

impl Enumeration<'_> {
    /// False where there are too many.
    fn list(&mut self, at: usize, cursor: Cursor) -> bool {
        let Some(item) = self.bench.items.get(at) else {
            if self.is_maximal() && self.counts.iter().any(|&c| c > 0) {
                self.found.push(self.counts.clone());
            }
            return self.found.len() <= self.limit;
        };
        let most = self.bench.most(cursor, item);
        // Of the last kind as many are taken as fit: fewer would leave room for one more.
        let least = if at + 1 == self.bench.items.len() {
            most
        } else {
            0
        };
        for count in (least..=most).rev() {
            if self.looks == 0 {
                return false;
            }
            watch::ask();
            self.looks -= 1;
            self.counts[at] = count;
            if !self.list(at + 1, self.bench.with(cursor, item, count)) {
                return false;
            }
        }
        self.counts[at] = 0;
        true
    }

    fn is_maximal(&self) -> bool {
        let mut more = self.counts.clone();
        (0..more.len()).all(|i| {
            if more[i] >= self.bench.items[i].most {
                return true;
            }
            more[i] += 1;
            let fits = self.bench.fits(&more);
            more[i] -= 1;
            !fits
        })
    }
}

/// A search for the pattern that is worth most.
struct Pricing<'a> {
    bench: &'a OpenBlank,
    worth: &'a [Vec<i64>],
    order: Vec<usize>,
    looks: u64,
    counts: Vec<u64>,
    best: (i64, Vec<u64>),
    /// An upper bound on what was not visited.
    bound: Option<i64>,
}

impl Pricing<'_> {
    fn price(&mut self, at: usize, cursor: Cursor, worth: i64, size: f64) {
        if worth > self.best.0 {
            self.best = (worth, self.counts.clone());
        }
        let Some(item) = self.bench.items.get(at) else {
            return;
        };
        let bound = worth.saturating_add(self.at_most(at, size));
        if bound <= self.best.0 {
            return;
        }
        if self.looks == 0 {
            self.bound = Some(self.bound.unwrap_or(0).max(bound));
            return;
        }
        let most = as_index(self.bench.most(cursor, item));
        let of_counts: &[i64] = &self.worth[at];
        for (count, these) in of_counts.iter().enumerate().take(most + 1).rev() {
            watch::ask();
            let count = count as u64;
            self.looks = self.looks.saturating_sub(1);
            self.counts[at] = count;
            let size = size + count as f64 * item.size;
            let beside = self.bench.with(cursor, item, count);
            self.price(at + 1, beside, worth.saturating_add(*these), size);
        }
        self.counts[at] = 0;
    }

    /// What the items from number `at` on are worth at most: the bound of the fractional knapsack.
    #[allow(clippy::cast_possible_truncation, reason = "casts of floats saturate")]
    fn at_most(&self, at: usize, size: f64) -> i64 {
        let mut room = self.bench.room() - size;
        let mut worth = 0.0;
        for &i in self.order.iter().filter(|&&i| i >= at) {
            if room <= 0.0 {
                break;
            }
            let item = &self.bench.items[i];
            let count = (room / item.size).clamp(0.0, item.most as f64);
            worth += count * first(&self.worth[i]);
            room -= count * item.size;
        }
        (worth * (1.0 + 1e-9)).ceil() as i64
    }
}

/// What one strip of a kind is worth at most: the first, or the second where odd and even ones differ.
fn first(worth: &[i64]) -> f64 {
    let first = worth.get(1).copied().unwrap_or(0);
    let second = worth.get(2).map_or(0, |both| both - first);
    first.max(second) as f64
}

/// Strips in a blank are few.
fn as_index(count: u64) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX - 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{
        count::lay::Profile,
        saw::{SawLimits, rip_method::rip_method},
    };

    /// Square strips of such widths, each kind of a sheet of its own or all of one.
    fn bench(width: f64, strips: &[(f64, u64)], apart: bool) -> OpenBlank {
        let item = |(i, &(side, most)): (usize, &(f64, u64))| {
            let profile = Profile::new(side, 0.0, 0.0, 18.0);
            let method = rip_method(profile, true, &SawLimits::default()).unwrap();
            Item::new(if apart { i } else { 0 }, 1, method, [i, i], most)
        };
        OpenBlank {
            items: strips.iter().enumerate().map(item).collect(),
            width,
            trim: 5.0,
            kerf: 3.2,
            narrowest: 12.0,
        }
    }

    #[test]
    fn what_fits_is_listed_once() {
        // 5 + 40 + 3.2 + 30 + 3.2 + 20 = 101.4.
        let all = bench(101.4, &[(40.0, 1), (30.0, 1), (20.0, 1)], false);
        assert_eq!(all.maximal(9).unwrap(), [[1, 1, 1]]);
        let two = bench(101.3, &[(40.0, 1), (30.0, 1), (20.0, 1)], false);
        let mut found = two.maximal(9).unwrap();
        found.sort();
        assert_eq!(found, [[0, 1, 1], [1, 0, 1], [1, 1, 0]]);
        assert_eq!(two.maximal(2), None);
    }

    /// Each sheet is cleaned, and cut off by a cut of its own: 5 + 40 + 3.2 + 3.2, 5 + 30.
    #[test]
    fn sheets_are_cut_off_one_another() {
        let strips = [(40.0, 1), (30.0, 1)];
        assert!(bench(86.4, &strips, true).fits(&[1, 1]));
        assert!(!bench(86.3, &strips, true).fits(&[1, 1]));
        let mut twice = bench(96.4 + 0.1, &[(40.0, 1)], true);
        twice.items[0].copies = 2;
        // 2 x (5 + 40 + 3.2) + 3.2 = 99.6.
        assert!(!twice.fits(&[1]));
        twice.width = 99.6;
        assert!(twice.fits(&[1]));
    }

    #[test]
    fn the_dearest_pattern_is_that_of_trying_all() {
        for width in [60.0, 111.0, 158.0, 240.0] {
            for worth in [[7, 5, 4], [40, 30, 20], [1, 9, 0], [13, 10, 7]] {
                let bench = bench(width, &[(40.0, 3), (30.0, 9), (22.0, 4)], worth[0] == 7);
                let of = |(item, w): (&Item, i64)| {
                    (0..=item.most)
                        .map(|n| i64::try_from(n).unwrap() * w)
                        .collect()
                };
                let prices: Vec<Vec<i64>> = bench.items.iter().zip(worth).map(of).collect();
                let (counts, bound) = bench.dearest(&prices, MOST_LOOKS);
                let value = |c: &[u64]| -> i64 {
                    c.iter()
                        .zip(worth)
                        .map(|(&c, w)| i64::try_from(c).unwrap() * w)
                        .sum()
                };
                let mut best = 0;
                for a in 0..=3 {
                    for b in 0..=9 {
                        for c in 0..=4 {
                            if bench.fits(&[a, b, c]) {
                                best = best.max(value(&[a, b, c]));
                            }
                        }
                    }
                }
                assert!(bench.fits(&counts));
                assert_eq!((value(&counts), bound), (best, best));
            }
        }
    }
}
