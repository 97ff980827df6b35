//! The question of [`super`] answered: its aims, one after the other.

use std::cell::RefCell;

use crate::plan::scraps::{
    Choice, ChoiceError, Effort, Problem, Proof, goals, greedy,
    milp::{Aim, ModelOptions},
    run::{Found, SearchOutcome, run},
    total,
};

/// With more patterns than these the third aim is sought for the chosen boards alone.
const MANY: usize = 600;
/// How many times fewer nodes the third aim gets: it matters less.
const THIRD: u64 = 4;

thread_local! {
    /// The last question of this thread, and its answer: the variations of a sweep that take as many tiles of each kind
    /// ask the same one.
    static LAST: RefCell<Option<(Problem, Effort, Choice)>> = const { RefCell::new(None) };
}

/// Solves the question.
///
/// # Errors
/// When the solver fails, or stops at its limit before it has any answer.
pub fn choose(problem: &Problem, effort: Effort) -> Result<Choice, ChoiceError> {
    let known = LAST.with_borrow(|last| match last {
        Some((of, by, choice)) if of == problem && *by == effort => Some(choice.clone()),
        _ => None,
    });
    if let Some(choice) = known {
        return Ok(choice);
    }
    let choice = choose_from(problem, &[], effort)?;
    LAST.set(Some((problem.clone(), effort, choice.clone())));
    Ok(choice)
}

/// The same, where some patterns used so often are known to be a good answer.
pub(super) fn choose_from(
    problem: &Problem,
    begun: &[(usize, u64)],
    effort: Effort,
) -> Result<Choice, ChoiceError> {
    let mut greedy = greedy::completed(problem, &[]);
    if !begun.is_empty() {
        let other = greedy::completed(problem, begun);
        let rank = |c: &Choice| (total(&c.short, &problem.parts), c.taken);
        if rank(&other) < rank(&greedy) {
            greedy = other;
        }
    }
    if effort == Effort::FIRST {
        return Ok(greedy);
    }
    let start = Some(&greedy).filter(|c| c.short.iter().all(|&s| s == 0));
    let first = if let Some(first) = goals::least_stock(problem, effort, start)? {
        first
    } else {
        let least_short = solve(problem, Aim::Short, effort, None, Some(&greedy))?;
        let least_short = least_short.unwrap_or(Found {
            proof: Proof::AtLeast(0),
            choice: greedy,
        });
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
    if problem.patterns.len() <= MANY {
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
    if let Some(found) = solve(problem, Aim::CutUpChosen, effort, Some(best), Some(best))?
        && found.choice.cut_up <= best.cut_up
    {
        *best = found.choice;
        if second == Proof::ForTheseBoards && found.proof != Proof::Optimal {
            second = found.proof;
        }
    }
    Ok(match second {
        Proof::AtLeast(bound) if bound >= best.cut_up => Proof::Optimal,
        other => other,
    })
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
    let third = if aim.counts_strips() { THIRD } else { 1 };
    let asked = ModelOptions {
        from,
        ..ModelOptions::of(aim)
    };
    match run(problem, asked, effort.nodes / third, start)? {
        SearchOutcome::Found(found) => Ok(Some(found)),
        // What came before stays the answer; without any, more stock is asked for.
        SearchOutcome::Nothing | SearchOutcome::Stopped => Ok(None),
    }
}
