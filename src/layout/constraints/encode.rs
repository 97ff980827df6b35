//! Rules as clauses: each cell takes just one of its looks, and every rule has a switch, so that
//! the rules that contradict each other can be named.

use std::collections::{BTreeMap, BTreeSet};

use rustsat::{
    encodings::card::{BoundBoth, BoundLower, BoundUpper, Totalizer},
    instances::{BasicVarManager, ManageVars},
    types::{Lit, Var},
};

use super::{
    CellRule, LookNumber, Problem,
    clauses::{Clauses, TooMany},
};

/// Up to this many looks a cell, a clause for each pair of them says that they exclude each other.
const PAIRWISE: usize = 8;

/// Clauses with what their variables mean.
pub(super) struct Encoding<'a> {
    pub(super) clauses: Clauses<'a>,
    /// The variable of each option of each cell.
    pub(super) options: Vec<Vec<Lit>>,
    /// The switch of each rule.
    pub(super) switches: Vec<Lit>,
    vars: BasicVarManager,
    /// For a cell and a set of looks, the variable that says it has one of them.
    sorts: BTreeMap<(usize, Vec<LookNumber>), Lit>,
}

impl<'a> Encoding<'a> {
    /// The variables of the options come first, those of the cells in `order` in that order; none
    /// where the clauses are more than `clauses` takes.
    pub(super) fn of(
        problem: &Problem,
        order: &[usize],
        clauses: Clauses<'a>,
    ) -> Result<Self, TooMany> {
        let mut vars = BasicVarManager::from_next_free(Var::new(0));
        let mut options: Vec<Vec<Lit>> = vec![Vec::new(); problem.options.len()];
        for &cell in order {
            options[cell] = problem.options[cell]
                .iter()
                .map(|_| vars.new_lit())
                .collect();
        }
        let switches = problem.rules.iter().map(|_| vars.new_lit()).collect();
        let mut encoding = Self {
            clauses,
            options,
            switches,
            vars,
            sorts: BTreeMap::new(),
        };
        for cell in 0..problem.options.len() {
            encoding.just_one(cell)?;
        }
        for (number, named) in problem.rules.iter().enumerate() {
            encoding.rule(problem, &named.rule, encoding.switches[number])?;
        }
        Ok(encoding)
    }

    pub(super) fn variables(&self) -> u32 {
        self.vars.n_used()
    }

    fn add(&mut self, lits: impl IntoIterator<Item = Lit>) -> Result<(), TooMany> {
        self.clauses.add(lits)
    }

    fn just_one(&mut self, cell: usize) -> Result<(), TooMany> {
        let lits = self.options[cell].clone();
        self.add(lits.iter().copied())?;
        if lits.len() <= PAIRWISE {
            for (i, &one) in lits.iter().enumerate() {
                for &other in &lits[i + 1..] {
                    self.add([!one, !other])?;
                }
            }
            return Ok(());
        }
        // Sinz, Towards an optimal CNF encoding of Boolean cardinality constraints, CP 2005: for
        // at most one, a chain that says 'one of those so far'.
        let mut so_far = lits[0];
        for &lit in &lits[1..] {
            let next = self.vars.new_lit();
            self.add([!so_far, !lit])?;
            self.add([!so_far, next])?;
            self.add([!lit, next])?;
            so_far = next;
        }
        Ok(())
    }

    /// The literal of a look in a cell that can take it.
    fn look(&self, problem: &Problem, cell: usize, look: LookNumber) -> Option<Lit> {
        let place = problem.options[cell].iter().position(|&l| l == look)?;
        Some(self.options[cell][place])
    }

    /// A literal that is true when the cell has one of these looks; none where it can have none.
    fn any(
        &mut self,
        problem: &Problem,
        cell: usize,
        looks: &[LookNumber],
    ) -> Result<Option<Lit>, TooMany> {
        let lits: Vec<Lit> = looks
            .iter()
            .filter_map(|&l| self.look(problem, cell, l))
            .collect();
        Ok(match lits.as_slice() {
            [] => None,
            [one] => Some(*one),
            _ => {
                let key = (cell, looks.to_vec());
                if let Some(&known) = self.sorts.get(&key) {
                    return Ok(Some(known));
                }
                let sum = self.vars.new_lit();
                for &lit in &lits {
                    self.add([!lit, sum])?;
                }
                self.add(lits.iter().copied().chain([!sum]))?;
                self.sorts.insert(key, sum);
                Some(sum)
            }
        })
    }

    fn rule(&mut self, problem: &Problem, rule: &CellRule, switch: Lit) -> Result<(), TooMany> {
        match rule {
            CellRule::Pairs(pairs) => {
                let mut sets: BTreeMap<*const (LookNumber, LookNumber), BTreeSet<_>> =
                    BTreeMap::new();
                for pair in pairs {
                    let allowed = sets
                        .entry(pair.allowed.as_ptr())
                        .or_insert_with(|| pair.allowed.iter().copied().collect());
                    self.pair(problem, pair.one, pair.other, allowed, switch)?;
                }
            }
            CellRule::Differ { pairs, sort } => {
                for looks in sorts(sort) {
                    for &(one, other) in pairs {
                        let a = self.any(problem, one, &looks)?;
                        let b = self.any(problem, other, &looks)?;
                        if let (Some(a), Some(b)) = (a, b) {
                            self.add([!switch, !a, !b])?;
                        }
                    }
                }
            }
            CellRule::Runs { lines, most, sort } => {
                for looks in sorts(sort) {
                    for window in lines.iter().flat_map(|line| line.windows(most + 1)) {
                        let mut lits = Some(Vec::new());
                        for &cell in window {
                            let lit = self.any(problem, cell, &looks)?;
                            lits = lits.zip(lit).map(|(mut lits, lit)| {
                                lits.push(!lit);
                                lits
                            });
                            if lits.is_none() {
                                break;
                            }
                        }
                        if let Some(lits) = lits {
                            self.add(lits.into_iter().chain([!switch]))?;
                        }
                    }
                }
            }
            CellRule::Count { looks, least, most } => {
                self.count(problem, looks, (*least, *most), switch)?;
            }
            CellRule::Mirrored { images, becomes } => {
                for &(to, from) in images {
                    for (place, &look) in problem.options[from].iter().enumerate() {
                        let had = self.options[from][place];
                        let image = becomes[look as usize];
                        let image = image.and_then(|l| self.look(problem, to, l));
                        self.add([!switch, !had].into_iter().chain(image))?;
                    }
                }
            }
        }
        Ok(())
    }

    fn pair(
        &mut self,
        problem: &Problem,
        one: usize,
        other: usize,
        allowed: &BTreeSet<(LookNumber, LookNumber)>,
        switch: Lit,
    ) -> Result<(), TooMany> {
        for (place, &mine) in problem.options[one].iter().enumerate() {
            let with = |theirs: &LookNumber| allowed.contains(&(mine, *theirs));
            let lits: Vec<Lit> = problem.options[other]
                .iter()
                .zip(&self.options[other])
                .filter(|(l, _)| with(l))
                .map(|(_, lit)| *lit)
                .collect();
            let had = self.options[one][place];
            self.add([!switch, !had].into_iter().chain(lits))?;
        }
        for (place, &theirs) in problem.options[other].iter().enumerate() {
            let with = |mine: &LookNumber| allowed.contains(&(*mine, theirs));
            let lits: Vec<Lit> = problem.options[one]
                .iter()
                .zip(&self.options[one])
                .filter(|(l, _)| with(l))
                .map(|(_, lit)| *lit)
                .collect();
            let had = self.options[other][place];
            self.add([!switch, !had].into_iter().chain(lits))?;
        }
        Ok(())
    }

    fn count(
        &mut self,
        problem: &Problem,
        looks: &[LookNumber],
        (least, most): (usize, usize),
        switch: Lit,
    ) -> Result<(), TooMany> {
        let mut lits = Vec::new();
        for cell in 0..problem.options.len() {
            lits.extend(self.any(problem, cell, looks)?);
        }
        let most = most.min(lits.len());
        if least > most {
            return self.add([!switch]);
        }
        let mut sum: Totalizer = lits.into_iter().collect();
        sum.encode_both(least..=most, &mut self.clauses, &mut self.vars)
            .map_err(|_| TooMany)?;
        let bounds = sum.enforce_ub(most).ok().zip(sum.enforce_lb(least).ok());
        let (above, below) = bounds.expect("invariant: both bounds are within what was encoded");
        for bound in above.into_iter().chain(below) {
            self.add([!switch, bound])?;
        }
        Ok(())
    }
}

/// The looks of each sort.
fn sorts(sort: &[u32]) -> Vec<Vec<LookNumber>> {
    let mut all: BTreeMap<u32, Vec<LookNumber>> = BTreeMap::new();
    for (look, &sort) in (0..).zip(sort) {
        all.entry(sort).or_default().push(look);
    }
    all.into_values().collect()
}
