//! Clauses in a row, in little memory, and no more of them than a budget allows.
//!
//! A clause takes four bytes for each of its literals and four more; the solver takes some twenty times
//! that for its own copy, its watches and what it learns.

use rustsat::{OutOfMemory, encodings::CollectClauses, types::Clause, types::Lit};

/// The most literals and clauses of one panel, taken together: 80 MB here, and several times that in the
/// solver, where the bound on memory holds. The heaviest single condition, that half of the most cells
/// are of one kind, takes about two thirds.
const MOST: usize = 20_000_000;
/// How many clauses are added between two looks at whether to stop.
const AT_A_TIME: usize = 4096;

/// There are more clauses than the budget allows, or the run was cancelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TooMany;

/// Clauses, one after the other.
pub(super) struct Clauses<'a> {
    lits: Vec<Lit>,
    /// Where in `lits` each clause ends.
    ends: Vec<u32>,
    stop: &'a dyn Fn() -> bool,
}

impl<'a> Clauses<'a> {
    /// An empty list; `stop` is checked now and then while clauses are added.
    pub(super) fn new(stop: &'a dyn Fn() -> bool) -> Self {
        Self {
            lits: Vec::new(),
            ends: Vec::new(),
            stop,
        }
    }

    /// Adds a clause.
    pub(super) fn add(&mut self, lits: impl IntoIterator<Item = Lit>) -> Result<(), TooMany> {
        let left = MOST.saturating_sub(self.lits.len() + self.ends.len());
        let before = self.lits.len();
        self.lits.extend(lits.into_iter().take(left));
        let full = self.lits.len() - before == left;
        if full || (self.ends.len().is_multiple_of(AT_A_TIME) && (self.stop)()) {
            return Err(TooMany);
        }
        let end = u32::try_from(self.lits.len()).map_err(|_| TooMany)?;
        self.ends.push(end);
        Ok(())
    }

    /// The clauses in the order in which they were added.
    pub(super) fn iter(&self) -> impl Iterator<Item = &[Lit]> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts
            .zip(&self.ends)
            .map(|(start, &end)| &self.lits[start as usize..end as usize])
    }
}

impl CollectClauses for Clauses<'_> {
    fn n_clauses(&self) -> usize {
        self.ends.len()
    }

    fn extend_clauses<T>(&mut self, clauses: T) -> Result<(), OutOfMemory>
    where
        T: IntoIterator<Item = Clause>,
    {
        clauses
            .into_iter()
            .try_for_each(|clause| self.add(clause))
            .map_err(|TooMany| OutOfMemory::ExternalApi)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rustsat::types::Var;

    #[test]
    fn clauses_come_back_and_the_budget_holds() {
        let lit = |n: u32| Var::new(n).pos_lit();
        let never = || false;
        let mut clauses = Clauses::new(&never);
        clauses.add([lit(1), lit(2)]).unwrap();
        clauses.add([]).unwrap();
        clauses.add([lit(3)]).unwrap();
        let read: Vec<&[Lit]> = clauses.iter().collect();
        assert_eq!(read, [&[lit(1), lit(2)][..], &[], &[lit(3)]]);
        assert_eq!(clauses.n_clauses(), 3);
        assert_eq!(clauses.add((0..u32::MAX).map(|_| lit(7))), Err(TooMany));
        assert!(clauses.lits.len() <= MOST);
        let always = || true;
        assert_eq!(Clauses::new(&always).add([lit(1)]), Err(TooMany));
    }
}
