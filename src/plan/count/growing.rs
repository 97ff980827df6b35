//! Patterns of blanks that are found by their price, where there are too many to list.

use super::{
    cut::Cuts,
    pattern::{Item, MOST_LOOKS},
    strips::Kinds,
};
use crate::plan::{
    scraps::columns::{Columns, Priced},
    shop::Shop,
};

/// Strips that the search for the dearest patterns looks at, over all blanks: bounds its time to a few
/// seconds where blanks and kinds are many.
const PRICED: u64 = 20_000_000;

/// Patterns that are found by their price.
pub(super) struct Growing<'a> {
    pub(super) cuts: &'a mut Cuts,
    pub(super) kinds: &'a Kinds,
    pub(super) shop: &'a Shop,
}

impl Columns for Growing<'_> {
    fn priced(&mut self, worth: &dyn Fn(usize, u64, u64) -> i64) -> Priced {
        let mut priced = Priced::default();
        let items = self.cuts.blanks.iter().map(|b| b.bench.items.len() as u64);
        let looks = (PRICED / items.sum::<u64>().max(1)).min(MOST_LOOKS);
        for blank in 0..self.cuts.blanks.len() {
            let of = &self.cuts.blanks[blank];
            let slices = self.cuts.crosses[of.cross].slices;
            let of_rip = |rip: usize, strips: u64| {
                let yields = self.kinds.rips[rip].yields.iter();
                let each = |&(part, count): &(usize, u64)| worth(part, slices, strips * count);
                yields.map(each).fold(0, i64::saturating_add)
            };
            let of_item = |item: &Item, strips: u64| {
                let [odd, even] = item.rips;
                if odd == even {
                    of_rip(odd, strips)
                } else {
                    of_rip(odd, strips.div_ceil(2)).saturating_add(of_rip(even, strips / 2))
                }
            };
            let items = of.bench.items.iter();
            let of_items: Vec<Vec<i64>> = items
                .map(|item| (0..=item.most).map(|n| of_item(item, n)).collect())
                .collect();
            let (counts, bound) = of.bench.dearest(&of_items, looks);
            priced.dearest.push((of.cross, of.blanks, bound));
            if let Some((plan, true)) = self.cuts.add(blank, &counts) {
                let plan = &self.cuts.plans[plan];
                priced
                    .patterns
                    .push(self.cuts.pattern(self.kinds, plan, self.shop));
            }
        }
        priced
    }
}
