//! Cutting across in the simulated shop: lengths come off pieces that are long enough.

use std::cmp::Ordering;

use crate::bench::{Fault, Shop, Wood, alike};
use crate::told::Step;

impl Shop {
    /// Pieces are cut across: what comes off a piece is no longer than it, cuts included.
    pub(crate) fn crosscut(&mut self, step: &Step, length: f64, kerf: f64) -> Result<(), Fault> {
        let mut open: Vec<(u64, f64, Wood)> = Vec::new();
        for of in &step.takes {
            let wood = self.take_wood(of)?;
            open.push((of.count, wood.length + kerf, wood));
        }
        // Each single piece with what is still left of it.
        let pieces: Vec<(f64, &Wood)> = (open.iter())
            .flat_map(|(count, long, wood)| (0..*count).map(move |_| (*long, wood)))
            .collect();
        let mut wanted: Vec<(f64, String)> = Vec::new();
        for of in &step.gives {
            let told = self.as_told(&of.piece)?;
            wanted.extend((0..of.count).map(|_| (told.length, of.piece.clone())));
        }
        wanted.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut given: Vec<(String, Wood)> = Vec::new();
        let mut fitting: Vec<(f64, Vec<usize>)> = Vec::new();
        for (long, id) in wanted {
            let told = self.as_told(&id)?;
            let of = |wood: &Wood| Wood {
                length: long,
                ..wood.clone()
            };
            let serve: Vec<usize> = (0..pieces.len())
                .filter(|&i| alike(&told, &of(pieces[i].1)))
                .collect();
            let Some(&first) = serve.first() else {
                return Err(format!("{id} of {long} mm is cut from nothing like it"));
            };
            given.push((id, of(pieces[first].1)));
            fitting.push((long + kerf, serve));
        }
        let left: Vec<f64> = pieces.iter().map(|(left, _)| *left).collect();
        let fit = |order: fn(&f64, &f64) -> Ordering| {
            let mut tries = MOST_TRIES;
            all_fit(&fitting, &mut left.clone(), order, &mut tries)
        };
        if !fit(|a, b| b.total_cmp(a)) && !fit(f64::total_cmp) {
            return Err(format!(
                "{:?} mm cannot be cut from {left:?} mm",
                fitting
                    .iter()
                    .map(|(long, _)| long - kerf)
                    .collect::<Vec<_>>()
            ));
        }
        if !given.iter().any(|(_, w)| (w.length - length).abs() < 1e-6) {
            return Err(format!("nothing of {length} mm is cut"));
        }
        for (id, wood) in given {
            self.give(&id, 1, &wood)?;
        }
        Ok(())
    }
}

/// Places tried for pieces to be cut off, before a step counts as one that cannot be done.
const MOST_TRIES: u32 = 100_000;

/// Whether lengths, the longest first, each from one of some pieces, can all be cut off what is left of these: every
/// place is tried, in an order of what is left there.
fn all_fit(
    lengths: &[(f64, Vec<usize>)],
    left: &mut [f64],
    order: fn(&f64, &f64) -> Ordering,
    tries: &mut u32,
) -> bool {
    let [(long, serve), rest @ ..] = lengths else {
        return true;
    };
    let mut places: Vec<usize> = (serve.iter().copied())
        .filter(|&i| left[i] + 1e-6 >= *long)
        .collect();
    places.sort_by(|&i, &j| order(&left[i], &left[j]));
    places.dedup_by(|i, j| left[*i].to_bits() == left[*j].to_bits());
    places.into_iter().any(|i| {
        *tries = tries.saturating_sub(1);
        left[i] -= long;
        let fit = *tries > 0 && all_fit(rest, left, order, tries);
        if !fit {
            left[i] += long;
        }
        fit
    })
}
