//! Cut patterns that are found by their price, where there are too many to be listed: column generation
//! (P. C. Gilmore and R. E. Gomory, A Linear Programming Approach to the Cutting-Stock Problem,
//! Operations Research 9 (1961), 849-859).
//!
//! Prices of the parts come from the patterns that are known; the caller then finds, for each crosscut, the
//! pattern whose parts are worth most at these prices. Where none is worth more than those that are known,
//! the prices bound all patterns there are.

use crate::plan::scraps::{
    Choice, ChoiceError, CutPattern, Effort, Problem, Proof,
    leeway::Open,
    relaxed::{Evaluation, FINE, Relaxation, fine},
    solve::choose_from,
    subgradient::{Climb, climb, looks},
};
use crate::watch;

/// Rounds of new patterns, while there are few: the last ones add little.
const ROUNDS: usize = 8;
/// With more patterns than these a round takes long, so there are [`FEWER`], and the choice among them gets
/// fewer nodes in proportion.
const MANY: usize = 400;
const FEWER: usize = 2;
/// How many points the climb to good prices looks at in a round: a base, and an addition for each price.
const LOOKS: (u64, u64) = (60, 6);
/// The most points that it looks at in a round.
const MOST_LOOKS: u64 = 300;
/// Where boards without a limit would pay at some prices, no bound follows; the prices are then lowered until
/// such boards do not pay. This many times at most.
const LOWERED: usize = 4;
/// How much further than necessary they are lowered each time, as prices are rounded.
const LOWER: f64 = 1.0 - 1e-6;

/// Finds patterns by their price.
pub trait Columns {
    /// The patterns that are worth most. `worth(part, slices, count)` is what `count` of a part are worth in bars
    /// of `slices` slices; each further one adds no more than the one before.
    fn priced(&mut self, worth: &dyn Fn(usize, u64, u64) -> i64) -> Priced;
}

/// The most valuable patterns at some prices.
#[derive(Debug, Clone, Default)]
pub struct Priced {
    /// The patterns among them that were not known.
    pub patterns: Vec<CutPattern>,
    /// For each kind of blank its crosscut, how many blanks are used at a time, and an upper bound on what a
    /// cut pattern of it is worth.
    pub dearest: Vec<(usize, u64, i64)>,
}

/// Chooses among all patterns that `columns` can find. The problem has some of them already, and gets the others
/// that are found; `begun` is a good answer to start from: patterns of the problem, and how often each is used.
///
/// # Errors
/// As [`choose`](super::choose).
pub fn choose_among(
    problem: &mut Problem,
    columns: &mut dyn Columns,
    begun: &[(usize, u64)],
    effort: Effort,
) -> Result<Choice, ChoiceError> {
    if effort == Effort::FIRST {
        return choose_from(problem, begun, effort);
    }
    let mut prices = Relaxation::new(problem).guess();
    for round in 0..ROUNDS {
        watch::ask();
        if round >= FEWER && problem.patterns.len() > MANY {
            break;
        }
        let relaxation = Relaxation::new(problem);
        let (open, mut evaluation) = (relaxation.all(), Evaluation::default());
        let units: Vec<f64> = relaxation.guess();
        let how = Climb {
            step: 0.3,
            looks: looks(
                relaxation.work(prices.len()),
                (LOOKS.0 + LOOKS.1 * prices.len() as u64).min(MOST_LOOKS),
            )
            .min(effort.nodes),
        };
        prices = climb(&prices, &units, &how, |prices, slope| {
            relaxation.evaluate(prices, &open, &mut evaluation, slope);
            evaluation.value as f64
        });
        let patterns = relaxation.price(&prices, columns).1.patterns;
        if patterns.is_empty() {
            break;
        }
        problem.patterns.extend(patterns);
    }
    let bound = bound(problem, &prices, columns);
    let share = MANY as u64;
    let nodes = effort.nodes * share / share.max(problem.patterns.len() as u64);
    let mut choice = choose_from(problem, begun, Effort { nodes })?;
    let short = choice.short.iter().any(|&s| s > 0);
    let of_all = if short { 0 } else { problem.in_boards(bound) };
    choice.proof = if !short && of_all >= choice.taken {
        Proof::Optimal
    } else {
        Proof::AtLeast(of_all)
    };
    if choice.second_proof == Proof::Optimal {
        choice.second_proof = Proof::ForTheseBoards;
    }
    Ok(choice)
}

/// No answer takes less than this, whatever patterns there are, in square mm.
fn bound(problem: &mut Problem, prices: &[f64], columns: &mut dyn Columns) -> u64 {
    let mut prices = prices.to_vec();
    for _ in 0..LOWERED {
        let (bars, priced) = Relaxation::new(problem).price(&prices, columns);
        problem.patterns.extend(priced.patterns.iter().cloned());
        match of_lots(problem, &priced) {
            Ok(value) => {
                let all = bars + value;
                return u64::try_from(-(-all).div_euclid(i128::from(FINE))).unwrap_or(0);
            }
            Err(share) => {
                for price in &mut prices {
                    *price *= share * LOWER;
                }
            }
        }
    }
    0
}

/// What the boards of all lots cost at least, less what their strips are worth. As an error, where boards
/// without a limit would pay: the factor on the prices at which they no longer do.
fn of_lots(problem: &Problem, priced: &Priced) -> Result<i128, f64> {
    let Problem { lots, crosses, .. } = problem;
    let mut most = vec![0_i128; lots.len()];
    for &(cross, at_a_time, worth) in &priced.dearest {
        let boards = i128::from(worth) * i128::from(crosses[cross].blanks);
        let worth = -(-boards).div_euclid(i128::from(at_a_time));
        let most = &mut most[crosses[cross].lot];
        *most = worth.max(*most);
    }
    let mut value = 0;
    let mut share = 1.0_f64;
    for (worth, lot) in most.into_iter().zip(lots) {
        let gain = worth - i128::from(fine(lot.area));
        match lot.count {
            _ if gain <= 0 => {}
            Some(count) => value -= gain * i128::from(count),
            None => share = share.min(fine(lot.area) as f64 / worth as f64),
        }
    }
    if share < 1.0 { Err(share) } else { Ok(value) }
}

impl Relaxation<'_> {
    /// What the bars cost at least at some prices, and the patterns that are worth most.
    fn price(&self, prices: &[f64], columns: &mut dyn Columns) -> (i128, Priced) {
        let nothing = Open {
            patterns: Vec::new(),
            ..self.all()
        };
        let (mut evaluation, mut slope) = (Evaluation::default(), vec![0.0; prices.len()]);
        self.evaluate(prices, &nothing, &mut evaluation, &mut slope);
        let worth = |part, slices, count| self.worth(&evaluation, part, slices, count);
        (evaluation.value, columns.priced(&worth))
    }
}

impl Problem {
    /// A bound raised to whole boards: what they take is a multiple of the greatest common divisor of their areas.
    fn in_boards(&self, bound: u64) -> u64 {
        let used = |lot: &&super::StockItem| lot.count != Some(0);
        let areas: Vec<u64> = self.lots.iter().filter(used).map(|l| l.area).collect();
        bound.next_multiple_of(super::bars::step(&areas))
    }
}
