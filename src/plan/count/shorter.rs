//! Bars no longer than they must be: bars and blanks of the answer are made as short as gives the same
//! slices, so that what is left of a board stays in one piece.

use super::cut::{Cuts, length_of, slices_of};
use crate::plan::{
    scraps::{Choice, Problem, count_of, yielded},
    shop::Shop,
};

/// Blanks are not shortened by less than this, in mm: what is left would be of no use.
const WORTH_KEEPING: f64 = 20.0;

/// Levels the bars, and shortens the blanks to what their strips are used for.
pub(super) fn shorten(cuts: &mut Cuts, choice: &mut Choice, problem: &Problem, shop: &Shop) {
    if choice.short.iter().any(|&s| s > 0) {
        return;
    }
    lengthen(problem, choice);
    for (need, bars) in problem.needs.iter().zip(&mut choice.bars) {
        level(need.slices, bars);
    }
    let mut needed = vec![0; cuts.crosses.len()];
    for part in 0..problem.parts.len() {
        // The longest bars from the longest strips.
        let mut bars: Vec<(u64, u64)> = Vec::new();
        for (need, lengths) in problem.needs.iter().zip(&choice.bars) {
            let each = count_of(&need.parts, part);
            bars.extend(
                lengths
                    .iter()
                    .map(|&(slices, count)| (slices, count * each)),
            );
        }
        bars.sort_unstable_by(|a, b| b.cmp(a));
        let mut bars = bars.into_iter().filter(|b| b.1 > 0);
        let mut open = bars.next();
        for (_, cross, mut given) in strips(problem, choice, part) {
            while let Some((slices, count)) = open.filter(|_| given > 0) {
                needed[cross] = needed[cross].max(slices);
                let take = count.min(given);
                given -= take;
                open = if take < count {
                    Some((slices, count - take))
                } else {
                    bars.next()
                };
            }
        }
    }
    for (cross, needed) in cuts.crosses.iter_mut().zip(needed) {
        let length = length_of(shop, needed).max(shop.table_saw.shortest);
        if needed > 0 && length <= cross.blank_length - WORTH_KEEPING {
            cross.blank_length = length;
            cross.slices = slices_of(shop, length).min(cross.slices);
        }
    }
}

/// The strips of a part: slices of a bar of their length, where they come from, how many; the longest
/// first.
fn strips(problem: &Problem, choice: &Choice, part: usize) -> Vec<(u64, usize, u64)> {
    let mut strips: Vec<(u64, usize, u64)> = Vec::new();
    for used in &choice.uses {
        let pattern = &problem.patterns[used.pattern];
        let each = pattern.runs.iter().zip(&used.strips);
        let given = each.map(|(run, strips)| strips * yielded(run, part)).sum();
        strips.push((pattern.slices, pattern.cross, given));
    }
    strips.sort_unstable_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    strips
}

/// Bars as long as the strips that they are of, all of which are as long at least.
fn lengthen(problem: &Problem, choice: &mut Choice) {
    let mut order: Vec<(u64, usize, usize)> = Vec::new();
    for (need, bars) in choice.bars.iter().enumerate() {
        order.extend(bars.iter().enumerate().map(|(i, bar)| (bar.0, need, i)));
    }
    order.sort_unstable_by(|a, b| b.cmp(a));
    let mut able = vec![u64::MAX; order.len()];
    for part in 0..problem.parts.len() {
        let mut strips = strips(problem, choice, part).into_iter();
        let (mut length, mut given) = (0, 0);
        for (&(_, need, i), able) in order.iter().zip(&mut able) {
            let each = count_of(&problem.needs[need].parts, part) * choice.bars[need][i].1;
            while given < each {
                let Some((slices, _, more)) = strips.next() else {
                    break;
                };
                if more > 0 {
                    length = slices;
                }
                given += more;
            }
            if each > 0 {
                *able = (*able).min(length);
                given = given.saturating_sub(each);
            }
        }
    }
    for ((slices, need, i), able) in order.into_iter().zip(able) {
        if able < u64::MAX {
            choice.bars[need][i].0 = slices.max(able);
        }
    }
    for bars in &mut choice.bars {
        bars.sort_unstable_by(|a, b| b.cmp(a));
    }
}

/// Bars of so many slices together, the longest of them no longer than they must be; those that were alike
/// stay so, and are made in one go.
fn level(slices: u64, bars: &mut Vec<(u64, u64)>) {
    let given = |most: u64, bars: &[(u64, u64)]| -> u64 {
        bars.iter().map(|&(n, count)| n.min(most) * count).sum()
    };
    let longest = bars.iter().map(|b| b.0).max().unwrap_or(0);
    let Some(most) = (1..=longest).find(|&most| given(most, bars) >= slices) else {
        return;
    };
    let mut level: Vec<(u64, u64)> = Vec::new();
    for &(n, count) in bars.iter() {
        match level.last_mut() {
            Some((last, sum)) if *last == n.min(most) => *sum += count,
            _ => level.push((n.min(most), count)),
        }
    }
    *bars = level;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_levelled() {
        let levelled = |slices, bars: &[(u64, u64)]| {
            let mut bars = bars.to_vec();
            level(slices, &mut bars);
            bars
        };
        assert_eq!(levelled(33, &[(32, 2)]), [(17, 2)]);
        assert_eq!(levelled(64, &[(32, 2)]), [(32, 2)]);
        assert_eq!(levelled(40, &[(32, 1), (10, 1)]), [(30, 1), (10, 1)]);
        assert_eq!(levelled(20, &[(32, 1), (10, 1)]), [(10, 2)]);
    }
}
