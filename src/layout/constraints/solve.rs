//! Solving by a solver for propositional logic (conflict-driven clause learning, in plain Rust).

use rustsat::{
    solvers::{Solve, SolveIncremental, SolverResult},
    types::{Lit, TernaryVal},
};
use rustsat_batsat::Solver;

use super::{CellLooks, Problem, clauses::Clauses, encode::Encoding};
use crate::layout::random::ListDraws;

/// How it ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SolveResult {
    /// A look for each cell that keeps every rule.
    Filled(CellLooks),
    /// There is no filling: these rules, by number, contradict each other, and no one of them can
    /// be left out of the contradiction. None where a cell has no look at all.
    Contradiction(Vec<usize>),
    /// Neither was found within the number of conflicts.
    GaveUp {
        /// The limit.
        conflicts: u64,
    },
    /// There are too many rules, cells and looks to search.
    TooMuch,
}

/// When to give up.
#[derive(Clone, Copy)]
pub struct Limits<'a> {
    /// After so many conflicts: the same on every machine.
    pub conflicts: u64,
    /// When this returns true, checked at every step: for a caller whose own bounds end the whole run.
    pub stop: &'a dyn Fn() -> bool,
}

impl std::fmt::Debug for Limits<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Limits")
            .field("conflicts", &self.conflicts)
            .finish_non_exhaustive()
    }
}

/// How many clauses the solver takes in between two looks at whether to stop.
const AT_A_TIME: usize = 4096;

/// What is left until the limits.
#[derive(Default)]
struct Budget<'a> {
    learnt: u64,
    limits: Option<Limits<'a>>,
}

impl batsat::Callbacks for Budget<'_> {
    fn on_new_clause(&mut self, _: &[batsat::Lit], kind: batsat::ClauseKind) {
        self.learnt += u64::from(kind == batsat::ClauseKind::Learnt);
    }

    fn stop(&self) -> bool {
        self.limits
            .is_some_and(|l| self.learnt >= l.conflicts || (l.stop)())
    }
}

/// A random filling of a problem: the seed and the name decide which cells come first and which look each tries
/// first.
pub fn solve(problem: &Problem, seed: u64, name: &str, limits: Limits) -> SolveResult {
    if problem.options.iter().any(Vec::is_empty) {
        return SolveResult::Contradiction(Vec::new());
    }
    let mut order: Vec<usize> = (0..problem.options.len()).collect();
    ListDraws::new(seed, &format!("rules order {name}")).shuffle(&mut order);
    let Ok(encoding) = Encoding::of(problem, &order, Clauses::new(limits.stop)) else {
        return SolveResult::TooMuch;
    };
    let Some(mut solver) = loaded(&encoding, problem, &order, (seed, name), limits) else {
        return SolveResult::TooMuch;
    };
    solver.batsat_mut().cb_mut().limits = Some(limits);
    match run(&mut solver, &encoding.switches) {
        SolverResult::Sat => SolveResult::Filled(read(&solver, &encoding, problem)),
        SolverResult::Interrupted => SolveResult::GaveUp {
            conflicts: limits.conflicts,
        },
        SolverResult::Unsat => SolveResult::Contradiction(fewest(&mut solver, &encoding, limits)),
    }
}

/// A solver with all clauses, in which each cell has one of its looks as its first choice; none where there is no
/// room for the clauses, or the run was cancelled.
fn loaded<'a>(
    encoding: &Encoding,
    problem: &Problem,
    order: &[usize],
    (seed, name): (u64, &str),
    limits: Limits<'a>,
) -> Option<Solver<Budget<'a>>> {
    use batsat::SolverInterface as _;
    let mut solver: Solver<Budget> = Solver::default();
    let inner = solver.batsat_mut();
    let mut draws = ListDraws::new(seed, &format!("rules looks {name}"));
    for &cell in order {
        let count = problem.options[cell].len() as u64;
        let liked = draws.below(cell as u64, count);
        for place in 0..count {
            let like = if place == liked {
                batsat::lbool::TRUE
            } else {
                batsat::lbool::FALSE
            };
            inner.new_var(like, true);
        }
    }
    while inner.num_vars() < encoding.variables() {
        inner.new_var_default();
    }
    for (number, clause) in encoding.clauses.iter().enumerate() {
        if number.is_multiple_of(AT_A_TIME) && (limits.stop)() {
            return None;
        }
        solver.add_clause_ref(clause).ok()?;
    }
    Some(solver)
}

fn run(solver: &mut Solver<Budget>, switches: &[Lit]) -> SolverResult {
    solver
        .solve_assumps(switches)
        .expect("invariant: this solver answers every question")
}

fn read(solver: &Solver<Budget>, encoding: &Encoding, problem: &Problem) -> CellLooks {
    let is_on = |lit: &Lit| {
        let value = solver.lit_val(*lit);
        value.is_ok_and(|v| v == TernaryVal::True)
    };
    encoding
        .options
        .iter()
        .zip(&problem.options)
        .map(|(lits, looks)| {
            let place = lits.iter().position(is_on);
            looks[place.expect("invariant: each cell has just one look")]
        })
        .collect()
}

/// Rules that contradict each other, of which none can be left out: each is switched off in turn,
/// and stays off where the contradiction stays. One for which that takes too long stays in.
fn fewest<'a>(
    solver: &mut Solver<Budget<'a>>,
    encoding: &Encoding,
    limits: Limits<'a>,
) -> Vec<usize> {
    let number = |lit: &Lit| encoding.switches.iter().position(|s| s.var() == lit.var());
    let core = |solver: &mut Solver<Budget<'a>>| -> Vec<usize> {
        let lits = solver.core().unwrap_or_default();
        let mut core: Vec<usize> = lits.iter().filter_map(number).collect();
        core.sort_unstable();
        core.dedup();
        core
    };
    let mut rules = core(solver);
    let mut next = 0;
    while next < rules.len() {
        let mut fewer = rules.clone();
        fewer.remove(next);
        let switches: Vec<Lit> = fewer.iter().map(|&r| encoding.switches[r]).collect();
        *solver.batsat_mut().cb_mut() = Budget {
            learnt: 0,
            limits: Some(limits),
        };
        if run(solver, &switches) == SolverResult::Unsat {
            let found = core(solver);
            rules.retain(|r| found.contains(r));
        } else {
            next += 1;
        }
    }
    rules
}
