//! Running a recipe with other values of its parameters: at the ends of their ranges, at the corners
//! that the ranges have together, and at random within them.

use std::collections::{BTreeMap, BTreeSet};

use super::{Effort, Finding, Level, declared};
use crate::geom::length;
use crate::layout::panel::Panel;
use crate::layout::random::ListDraws;
use crate::recipe::Failure;
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::{Domain, Parameter, Value};
use crate::recipe::settings::Settings;

/// The most corners that are tried; of more, this many are chosen at random.
const MOST_CORNERS: usize = 32;
/// The most values of one parameter that are tried alone.
const MOST_ALONE: usize = 8;

/// The most parameters that are tried beside a random sample.
const MOST_BESIDE: usize = 4;

/// What came of the tries.
pub(super) struct Tried {
    pub(super) findings: Vec<Finding>,
    pub(super) runs: usize,
}

/// Values by the name of their parameter.
type Set = BTreeMap<String, Value>;

/// Tries a recipe whose first run gave `first`.
pub(super) fn try_out(
    first: &Outcome,
    base: &Settings,
    effort: Effort,
    run: &mut dyn FnMut(&Settings) -> Result<Outcome, Failure>,
) -> Tried {
    let free: Vec<&Parameter> = first
        .parameters
        .iter()
        .filter(|p| !base.set.iter().any(|(name, _)| *name == p.name))
        .collect();
    let mut trials = Trials {
        base,
        run,
        runs: 0,
        failures: Vec::new(),
        moved: BTreeSet::new(),
    };
    for parameter in &free {
        for value in ends(parameter).into_iter().take(MOST_ALONE) {
            let set = Set::from([(parameter.name.clone(), value)]);
            if let Some(panels) = trials.one(set, None)
                && panels != first.panels
            {
                trials.moved.insert(parameter.name.clone());
            }
        }
    }
    for set in corners(&free, effort.seed) {
        trials.one(set, None);
    }
    for sample in 0..effort.samples {
        let set = drawn(&free, effort.seed, sample as u64);
        let seed = base.seed.is_none().then_some(sample as u64 + 1);
        let Some(panels) = trials.one(set.clone(), seed) else {
            continue;
        };
        // A parameter may have an effect only together with others.
        let still = |p: &&&Parameter| !trials.moved.contains(&p.name);
        let unmoved: Vec<&Parameter> = free.iter().filter(still).copied().collect();
        let turn = sample % unmoved.len().max(1);
        for parameter in unmoved
            .iter()
            .cycle()
            .skip(turn)
            .take(unmoved.len().min(MOST_BESIDE))
        {
            let name = &parameter.name;
            let other = ends(parameter)
                .into_iter()
                .find(|value| set.get(name).is_some_and(|now| now != value));
            if let Some(value) = other {
                let mut set = set.clone();
                set.insert(name.clone(), value);
                if trials.one(set, seed).is_some_and(|others| others != panels) {
                    trials.moved.insert(name.clone());
                }
            }
        }
    }
    let mut findings = trials.failures_told(first);
    findings.extend(unmoved(first, &free, &trials.moved));
    Tried {
        findings,
        runs: trials.runs,
    }
}

struct Trials<'a> {
    base: &'a Settings,
    run: &'a mut dyn FnMut(&Settings) -> Result<Outcome, Failure>,
    runs: usize,
    failures: Vec<(Failure, Set, usize)>,
    /// Parameters that changed a panel.
    moved: BTreeSet<String>,
}

impl Trials<'_> {
    /// The panels with these values; none where the recipe fails, which is noted.
    fn one(&mut self, set: Set, seed: Option<u64>) -> Option<Vec<Panel>> {
        let mut settings = self.base.clone();
        settings.seed = settings.seed.or(seed);
        settings.values.extend(set.clone());
        self.runs += 1;
        match (self.run)(&settings) {
            Ok(outcome) => Some(outcome.panels),
            Err(failure) => {
                let same =
                    |known: &Failure| known.code == failure.code && known.place == failure.place;
                match self.failures.iter_mut().find(|(known, ..)| same(known)) {
                    Some((_, with, count)) => {
                        *count += 1;
                        // The fewer values, the clearer.
                        if set.len() < with.len() {
                            *with = set;
                        }
                    }
                    None => self.failures.push((failure, set, 1)),
                }
                None
            }
        }
    }

    fn failures_told(&self, first: &Outcome) -> Vec<Finding> {
        let told = |(failure, set, count): &(Failure, Set, usize)| {
            let with: Vec<(String, String)> = first
                .parameters
                .iter()
                .filter_map(|p| Some((p.name.clone(), typed(p, set.get(&p.name)?))))
                .collect();
            let shown: Vec<String> = with.iter().map(|(n, v)| format!("{n} = {v}")).collect();
            Finding {
                help: Some(match &failure.help {
                    Some(help) => format!("narrow the range, or: {help}"),
                    None => "narrow the range of a parameter, or mend the recipe".to_owned(),
                }),
                place: failure.place.clone(),
                tries: Some(*count),
                with,
                ..Finding::new(
                    "check::range_fails",
                    Level::Warning,
                    format!(
                        "it fails with values within its ranges, with {}: {}",
                        shown.join(", "),
                        failure.message
                    ),
                )
            }
        };
        self.failures.iter().map(told).collect()
    }
}

/// Parameters that can take other values and changed nothing.
fn unmoved(first: &Outcome, free: &[&Parameter], moved: &BTreeSet<String>) -> Vec<Finding> {
    let places = declared(first);
    free.iter()
        .filter(|p| !moved.contains(&p.name) && ends(p).iter().any(|value| *value != p.value))
        .map(|p| {
            Finding::new(
                "check::idle_parameter",
                Level::Warning,
                format!(
                    "the parameter `{}` changed no panel, whatever its value",
                    p.name
                ),
            )
            .help("is its value used? If it only works together with others, say so in its `help`")
            .at(places.get(p.name.as_str()).cloned())
        })
        .collect()
}

/// The values at the ends of what a parameter takes; none where it has no ends.
fn ends(parameter: &Parameter) -> Vec<Value> {
    match &parameter.domain {
        Domain::YesNo => vec![Value::YesNo(false), Value::YesNo(true)],
        Domain::Whole { least, most } => {
            let ends = [*least, *most].into_iter().flatten();
            ends.map(Value::Whole).collect()
        }
        Domain::Number { least, most, .. } => {
            let ends = [*least, *most].into_iter().flatten();
            ends.map(Value::Number).collect()
        }
        Domain::Choice { choices } => choices.iter().cloned().map(Value::Text).collect(),
        Domain::Colour => ["poppy", "#ffffff"]
            .map(|c| Value::Text(c.to_owned()))
            .to_vec(),
        Domain::Text => Vec::new(),
    }
}

/// Every way to set all parameters that have two ends or more to one of their outermost ends; some of
/// them, chosen at random, where there are many.
fn corners(free: &[&Parameter], seed: u64) -> Vec<Set> {
    let outer: Vec<(&str, Vec<Value>)> = free
        .iter()
        .filter(|p| !matches!(p.domain, Domain::Colour))
        .map(|p| (p.name.as_str(), ends(p)))
        .filter(|(_, ends)| ends.len() > 1)
        .collect();
    if outer.len() < 2 {
        return Vec::new();
    }
    let all = outer
        .iter()
        .try_fold(1_usize, |n, (_, ends)| n.checked_mul(ends.len()))
        .filter(|n| *n <= MOST_CORNERS);
    let mut draws = ListDraws::new(seed, "corners");
    (0..all.unwrap_or(MOST_CORNERS))
        .map(|number| {
            let mut rest = number;
            let one = |(i, (name, ends)): (usize, &(&str, Vec<Value>))| {
                let index = if all.is_some() {
                    let index = rest % ends.len();
                    rest /= ends.len();
                    index
                } else {
                    let draw = (number * outer.len() + i) as u64;
                    usize::try_from(draws.below(draw, ends.len() as u64)).unwrap_or(0)
                };
                ((*name).to_owned(), ends[index].clone())
            };
            outer.iter().enumerate().map(one).collect()
        })
        .collect()
}

/// Sample number `sample`: every parameter that has a range at a place within it.
fn drawn(free: &[&Parameter], seed: u64, sample: u64) -> Set {
    let mut set = Set::new();
    for parameter in free {
        let mut draws = ListDraws::new(seed, &format!("sample of {}", parameter.name));
        let share = draws.share(sample);
        let value = match &parameter.domain {
            Domain::Whole {
                least: Some(least),
                most: Some(most),
            } => {
                let span = most.abs_diff(*least);
                let step = if span == u64::MAX {
                    0
                } else {
                    draws.below(sample, span + 1)
                };
                Value::Whole(least.saturating_add_unsigned(step))
            }
            Domain::Number {
                least: Some(least),
                most: Some(most),
                ..
            } => {
                // To a tenth of a millimetre, as a maker would type it.
                let value = ((least + (most - least) * share) * 10.0).round() / 10.0;
                Value::Number(value.clamp(*least, *most))
            }
            _ => {
                let ends = ends(parameter);
                if ends.is_empty() {
                    continue;
                }
                let index = draws.below(sample, ends.len() as u64);
                ends[usize::try_from(index).unwrap_or(0)].clone()
            }
        };
        set.insert(parameter.name.clone(), value);
    }
    set
}

/// A value as it is typed after `--set NAME=`.
fn typed(parameter: &Parameter, value: &Value) -> String {
    match (value, &parameter.domain) {
        (Value::YesNo(yes), _) => if *yes { "yes" } else { "no" }.to_owned(),
        (Value::Whole(whole), _) => whole.to_string(),
        (Value::Number(mm), Domain::Number { unit, .. }) => match unit.as_deref() {
            Some("in") => format!("{} in", length::to_inches(*mm)),
            Some("mm") => format!("{mm} mm"),
            _ => mm.to_string(),
        },
        (Value::Number(number), _) => number.to_string(),
        (Value::Text(text), _) => text.clone(),
    }
}
