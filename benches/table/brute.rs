//! Distinct arrangements by trying everything: patterns of squares whose looks a quarter turn
//! permutes, laid on a square torus that every turn keeps.

use std::collections::BTreeSet;

/// The patterns with a `columns` by `courses` repeat and so many looks, one for each that differs
/// under shifts and quarter turns. A quarter turn makes look n of the four look n + 1.
pub(crate) fn distinct(columns: usize, courses: usize) -> BTreeSet<Vec<u8>> {
    const LOOKS: u8 = 4;
    let side = (1..=courses)
        .map(|k| k * columns)
        .find(|n| n % courses == 0)
        .unwrap_or(columns);
    let cells = columns * courses;
    let mut found = BTreeSet::new();
    let mut filling = vec![0_u8; cells];
    loop {
        let mut grid: Vec<u8> = (0..side * side)
            .map(|i| filling[(i / side % courses) * columns + i % side % columns])
            .collect();
        let mut least: Option<Vec<u8>> = None;
        for _ in 0..4 {
            for (down, right) in (0..side).flat_map(|d| (0..side).map(move |r| (d, r))) {
                let shifted = (0..side * side)
                    .map(|i| grid[(i / side + down) % side * side + (i % side + right) % side]);
                if least
                    .as_ref()
                    .is_none_or(|l| shifted.clone().lt(l.iter().copied()))
                {
                    least = Some(shifted.collect());
                }
            }
            grid = (0..side * side)
                .map(|i| (grid[(side - 1 - i % side) * side + i / side] + 1) % LOOKS)
                .collect();
        }
        found.extend(least);
        // To the next filling, as a counter.
        let Some(next) = filling.iter().rposition(|&look| look + 1 < LOOKS) else {
            return found;
        };
        filling[next] += 1;
        filling[next + 1..].fill(0);
    }
}
