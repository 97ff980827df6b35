//! The question of [`super`] as mixed-integer programmes, solved by microlp.
//!
//! Limits are counted in nodes of the search, not in seconds, so that the same stock gives the same
//! plan on any machine. Whatever the solver says is checked again in whole numbers.

use microlp::{
    Error, OptimizationDirection, Problem as Programme, SolutionStatus, SolveOptions, SolveOutcome,
    Variable,
};

use crate::plan::{
    scraps::cuts::Parts,
    scraps::goals,
    scraps::greedy,
    scraps::programme::{Asked, Variables, hint, read, variables, whole},
    scraps::rows::{cut_rows, keep_rows, part_rows, stock_rows, take_no_more},
    scraps::undecided::Open,
    scraps::{Choice, ChoiceError, Effort, Problem, Proof},
};

/// More ways than these are many: each node costs more, so there are fewer of them, and the third
/// aim is sought for the chosen boards alone.
const MANY: usize = 600;
/// How many times fewer nodes there are where there are just [`MANY`] ways; with more ways, fewer in
/// proportion.
const FEWER: usize = 10;
/// How many times fewer nodes the third aim gets: it matters less.
const THIRD: u64 = 4;

/// Solves the question.
///
/// # Errors
/// When the solver fails, or stops at its limit before it has any answer.
pub fn choose(problem: &Problem, effort: Effort) -> Result<Choice, ChoiceError> {
    let greedy = greedy::first_answer(problem);
    let first = if let Some(first) = goals::least_stock(problem, effort, greedy.as_ref())? {
        first
    } else {
        let nothing = greedy::all_short(problem);
        let least_short = solve(problem, Aim::Short, effort, None, Some(&nothing))?
            .ok_or_else(|| ChoiceError::Search("not even with more stock".to_owned()))?;
        // Where nothing is short after all, the question is that of the stock again.
        let suffices = least_short.choice.short.iter().all(|&s| s == 0);
        if suffices {
            // Even when nothing is short, less stock might be enough: this is no proof.
            let found = goals::least_stock(problem, effort, Some(&least_short.choice))?;
            found.unwrap_or(Found {
                proof: Proof::AtLeast(0),
                ..least_short
            })
        } else {
            least_short
        }
    };
    let short: u64 = total(&first.choice.short, &problem.parts);
    let mut proof = first.proof;
    let mut best = first.choice;
    if short > 0 {
        // With the same wood short, the least stock.
        if let Some(less) = solve(problem, Aim::Taken, effort, Some(&best), Some(&best))? {
            best = less.choice;
        }
    }
    let second_proof = cut_up(problem, effort, &mut best, proof)?;
    if let Proof::AtLeast(bound) = proof {
        let reached = if short > 0 { short } else { best.taken };
        if bound >= reached {
            proof = Proof::Optimal;
        }
    }
    best.proof = proof;
    best.second_proof = second_proof;
    if problem.holds(&best) {
        Ok(best)
    } else {
        Err(ChoiceError::Search(
            "the solver's answer does not add up".to_owned(),
        ))
    }
}

/// The third aim, for all boards that take no more stock, then (where there are too many, or the
/// search stopped) for the chosen ones alone; the better of the two.
fn cut_up(
    problem: &Problem,
    effort: Effort,
    best: &mut Choice,
    proof: Proof,
) -> Result<Proof, ChoiceError> {
    let mut second = Proof::ForTheseBoards;
    if problem.ways.len() <= MANY {
        if let Some(found) = solve(problem, Aim::CutUp, effort, Some(best), Some(best))? {
            second = found.proof;
            *best = found.choice;
        }
        if second == Proof::Optimal {
            // What is least for a stock that is not proven least is least for that stock.
            return Ok(match proof {
                Proof::Optimal => Proof::Optimal,
                _ => Proof::ForTheseBoards,
            });
        }
    }
    if let Some(found) = solve(problem, Aim::CutUpChosen, effort, Some(best), Some(best))? {
        let better = best.cut_up == 0 || found.choice.cut_up <= best.cut_up;
        if better {
            *best = found.choice;
            if second == Proof::ForTheseBoards && found.proof != Proof::Optimal {
                second = found.proof;
            }
        }
    }
    Ok(match second {
        Proof::AtLeast(bound) if bound >= best.cut_up => Proof::Optimal,
        other => other,
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Aim {
    /// Least wood short; anything can be short.
    Short,
    /// Least stock taken.
    Taken,
    /// Least cut up.
    CutUp,
    /// Least cut up of the boards that are chosen.
    CutUpChosen,
}

impl Aim {
    pub(super) fn counts_strips(self) -> bool {
        matches!(self, Self::CutUp | Self::CutUpChosen)
    }
}

/// What a search found.
pub(super) struct Found {
    pub choice: Choice,
    pub proof: Proof,
}

/// How a search ended.
pub(super) enum Outcome {
    Found(Found),
    /// There is no answer.
    Nothing,
    /// It came to its limit without one.
    Stopped,
}

/// One search from a first answer; none where nothing is feasible, or nothing was found. `from` is
/// the answer to what came before: its aims must not get worse.
fn solve(
    problem: &Problem,
    aim: Aim,
    effort: Effort,
    from: Option<&Choice>,
    start: Option<&Choice>,
) -> Result<Option<Found>, ChoiceError> {
    let many = problem.ways.len() > MANY && aim != Aim::CutUpChosen;
    let fewer = FEWER * problem.ways.len() / MANY;
    let nodes = effort.nodes / if many { fewer as u64 } else { 1 };
    let third = if aim.counts_strips() { THIRD } else { 1 };
    let asked = Asked {
        from,
        ..Asked::of(aim)
    };
    match run(problem, asked, nodes / third, start)? {
        Outcome::Found(found) => Ok(Some(found)),
        // What came before stays the answer; without any, more stock is asked for.
        Outcome::Nothing | Outcome::Stopped => Ok(None),
    }
}

/// One programme, with so many nodes.
pub(super) fn run(
    problem: &Problem,
    asked: Asked,
    nodes: u64,
    start: Option<&Choice>,
) -> Result<Outcome, ChoiceError> {
    let lengths = problem.lengths();
    let (programme, variables) = programme(problem, &lengths, asked);
    let mut options = SolveOptions::default();
    options.node_limit = Some(nodes.max(1));
    options.warm_start = start.map(|start| hint(&lengths, &variables, start));
    let solution = match programme.solve_with(options) {
        Ok(SolveOutcome::Solution(solution)) => solution,
        Ok(SolveOutcome::Interrupted(_)) => return Ok(Outcome::Stopped),
        Err(Error::Infeasible) => return Ok(Outcome::Nothing),
        Err(error) => return Err(ChoiceError::Search(error.to_string())),
    };
    let proof = match solution.status() {
        SolutionStatus::Optimal => Proof::Optimal,
        SolutionStatus::Feasible => Proof::AtLeast(whole(
            (solution.stats().best_bound.unwrap_or(0.0) - 1e-3).ceil(),
        )),
    };
    let choice = read(problem, &lengths, &variables, &solution);
    Ok(Outcome::Found(Found { choice, proof }))
}

/// The same in parts of boards: how often each open way is used, and how many bars of each need and
/// length there are; none where the solver finds nothing.
pub(super) fn in_parts(problem: &Problem, open: &Open) -> Option<Parts> {
    let lengths = problem.lengths();
    let asked = Asked {
        open: Some(open),
        in_parts: true,
        ..Asked::of(Aim::Taken)
    };
    let (programme, variables) = programme(problem, &lengths, asked);
    let Ok(SolveOutcome::Solution(solution)) = programme.solve() else {
        return None;
    };
    let value = |v: &Variable| solution.var_value(*v);
    let times = open.ways.iter();
    let parts = Parts {
        times: times
            .map(|r| variables.times[r.way].as_ref().map_or(0.0, value))
            .collect(),
        bars: variables
            .bars
            .iter()
            .map(|bars| bars.iter().map(value).collect())
            .collect(),
    };
    Some(parts)
}

fn programme(problem: &Problem, lengths: &[u64], asked: Asked) -> (Programme, Variables) {
    let mut programme = Programme::new(OptimizationDirection::Minimize);
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

pub(super) fn total(counts: &[u64], each: &[u64]) -> u64 {
    counts.iter().zip(each).map(|(c, e)| c * e).sum()
}
