//! One mixed-integer programme, solved by microlp.
//!
//! Limits are counted in nodes of the search, not in seconds, so that the same stock gives the same
//! plan on any machine. Whatever the solver says is checked again in whole numbers.

use microlp::{
    Error, OptimizationDirection, Problem as Model, SolutionStatus, SolveOptions, SolveOutcome,
    Variable,
};

use crate::plan::scraps::{
    Choice, ChoiceError, Problem, Proof,
    leeway::{Open, Parts},
    milp::{Aim, ModelOptions, Variables, hint, read, variables, whole},
    rows::{cut_rows, keep_rows, part_rows, stock_rows, take_no_more},
};

/// What a search found.
pub(super) struct Found {
    pub choice: Choice,
    pub proof: Proof,
}

/// How a search ended.
pub(super) enum SearchOutcome {
    Found(Found),
    /// There is no answer.
    Nothing,
    /// It came to its limit without one.
    Stopped,
}

/// The time of a node grows with patterns times rows, of which there is one for each part and length. With a
/// larger product than this, the number of nodes is reduced in proportion.
const USUAL: usize = 10_000;
/// With more than these one step of the solver takes seconds, so it is not run.
const LARGEST: usize = 400_000;

fn size(problem: &Problem, patterns: usize) -> usize {
    patterns.saturating_mul(problem.parts.len() * problem.lengths().len())
}

/// Whether so many patterns are too many to ask the solver.
pub(super) fn is_large(problem: &Problem, patterns: usize) -> bool {
    size(problem, patterns) > LARGEST
}

/// One programme, with so many nodes; fewer where it is large.
pub(super) fn run(
    problem: &Problem,
    asked: ModelOptions,
    nodes: u64,
    start: Option<&Choice>,
) -> Result<SearchOutcome, ChoiceError> {
    let patterns = match (asked.aim, asked.from, asked.open) {
        (Aim::CutUpChosen, Some(from), _) => from.uses.len(),
        (_, _, Some(open)) => open.patterns.len(),
        _ => problem.patterns.len(),
    };
    if is_large(problem, patterns) {
        return Ok(SearchOutcome::Stopped);
    }
    let nodes = nodes * USUAL as u64 / size(problem, patterns).max(USUAL) as u64;
    let lengths = problem.lengths();
    let (programme, variables) = programme(problem, &lengths, asked);
    let mut options = SolveOptions::default();
    options.node_limit = Some(nodes.max(1));
    options.warm_start = start.map(|start| hint(&lengths, &variables, start));
    let solution = match programme.solve_with(options) {
        Ok(SolveOutcome::Solution(solution)) => solution,
        Ok(SolveOutcome::Interrupted(_)) => return Ok(SearchOutcome::Stopped),
        Err(Error::Infeasible) => return Ok(SearchOutcome::Nothing),
        Err(error) => return Err(ChoiceError::Search(error.to_string())),
    };
    let proof = match solution.status() {
        SolutionStatus::Optimal => Proof::Optimal,
        SolutionStatus::Feasible => Proof::AtLeast(whole(
            (solution.stats().best_bound.unwrap_or(0.0) - 1e-3).ceil(),
        )),
    };
    let choice = read(problem, &lengths, &variables, &solution);
    Ok(SearchOutcome::Found(Found { choice, proof }))
}

/// The linear relaxation of what is open, in fractions of boards and bars; none where the solver finds no
/// answer.
pub(super) fn in_parts(problem: &Problem, open: &Open) -> Option<Parts> {
    if is_large(problem, open.patterns.len()) {
        return None;
    }
    let lengths = problem.lengths();
    let asked = ModelOptions {
        open: Some(open),
        in_parts: true,
        ..ModelOptions::of(Aim::Taken)
    };
    let (programme, variables) = programme(problem, &lengths, asked);
    let Ok(SolveOutcome::Solution(solution)) = programme.solve() else {
        return None;
    };
    let value = |v: &Variable| solution.var_value(*v);
    let times = open.patterns.iter();
    let parts = Parts {
        times: times
            .map(|r| variables.times[r.pattern].as_ref().map_or(0.0, value))
            .collect(),
        bars: variables
            .bars
            .iter()
            .map(|bars| bars.iter().map(value).collect())
            .collect(),
    };
    Some(parts)
}

fn programme(problem: &Problem, lengths: &[u64], asked: ModelOptions) -> (Model, Variables) {
    let mut programme = Model::new(OptimizationDirection::Minimize);
    let variables = variables(&mut programme, problem, lengths, asked);
    stock_rows(&mut programme, problem, &variables);
    part_rows(&mut programme, problem, lengths, &variables);
    if let Some(from) = asked.from {
        keep_rows(&mut programme, problem, &variables, asked, from);
    }
    if let Some(open) = asked.open {
        cut_rows(&mut programme, open, &variables);
    }
    if let Some(goal) = asked.goal {
        take_no_more(&mut programme, problem, &variables, goal);
    }
    (programme, variables)
}
