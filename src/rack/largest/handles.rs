//! The numbers that make a panel larger: parameters of the recipe, and plain numbers of `finished`,
//! `finished_round` and `size`.

use crate::geom::length;
use crate::layout::panel::Panel;
use crate::recipe::literals::{LiteralValue, literals, with_value};
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::{Domain, Parameter, Value};
use crate::stock::Bar;

/// The words whose arguments are a panel's size.
const SIZES: [&str; 3] = ["finished", "finished_round", "size"];
/// The most that a plain number is raised to: mm, or cells.
const MOST: [f64; 2] = [20_000.0, 1_000.0];
/// Sizes that differ by less, in mm, are the same.
const SAME: f64 = 1e-6;

/// A number of the recipe that makes its panels larger.
#[derive(Debug, Clone, PartialEq)]
pub struct Handle {
    /// The parameter's name, or the word and its argument.
    pub name: String,
    /// Whether it counts cells; else it is a length in mm.
    pub cells: bool,
    /// Its value in the recipe as it is.
    pub from: f64,
    /// The least that it may be.
    pub least: f64,
    /// The most that it may be.
    pub most: f64,
    /// By how much the panel's width grows with one more.
    pub wider: f64,
    /// By how much its height grows.
    pub higher: f64,
    pub(super) at: At,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum At {
    /// A parameter.
    Parameter,
    /// A number in the text: its first byte, and as it is written.
    Text(usize, String),
}

/// A recipe with other numbers: parameters as after `--set`, and its text where that is another.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Adjustment {
    /// Names and values of parameters.
    pub set: Vec<(String, String)>,
    /// The text.
    pub text: Option<String>,
}

impl Handle {
    /// Whether it is a parameter of the recipe.
    pub fn is_parameter(&self) -> bool {
        self.at == At::Parameter
    }
}

impl Adjustment {
    /// With a handle at another value; `text` is the recipe's own.
    pub(in crate::rack) fn with(mut self, handle: &Handle, value: f64, text: &str) -> Self {
        match &handle.at {
            At::Parameter => {
                let unit = if handle.cells { "" } else { " mm" };
                self.set
                    .push((handle.name.clone(), format!("{value}{unit}")));
            }
            At::Text(at, was) => {
                let now = self.text.as_deref().unwrap_or(text);
                // What is written before it may be longer by now.
                let moved = (*at + now.len()).saturating_sub(text.len());
                let place = [*at, moved]
                    .into_iter()
                    .find(|&at| now[at..].starts_with(was.as_str()));
                if let Some(new) =
                    place.and_then(|at| with_value(now, at, was, &value.to_string()).ok())
                {
                    self.text = Some(new);
                }
            }
        }
        self
    }
}

/// The panels that are planned: all, or the one of a name.
pub(in crate::rack) fn panels_of<'a>(outcome: &'a Outcome, wanted: Option<&str>) -> Vec<&'a Panel> {
    let all = outcome.panels.iter();
    all.filter(|p| wanted.is_none_or(|w| w == p.name)).collect()
}

/// Width and height of the first of some panels.
pub(super) fn size(panels: &[&Panel]) -> [f64; 2] {
    panels
        .first()
        .map_or([0.0; 2], |p| [p.bounds.width(), p.bounds.height()])
}

/// The bars of some panels, each once.
fn bars<'a>(panels: &[&'a Panel]) -> Vec<&'a Bar> {
    let mut all: Vec<&Bar> = Vec::new();
    for face in panels.iter().flat_map(|p| &p.faces) {
        let bar: &Bar = face.kind.bar();
        if !all.contains(&bar) {
            all.push(bar);
        }
    }
    all
}

/// The handles of a recipe. `run` carries out the recipe with a change; a handle leaves the bars as they are: more
/// tiles make the panel larger, not larger ones.
pub(super) fn handles(
    base: &Outcome,
    text: Option<&str>,
    wanted: Option<&str>,
    run: &mut dyn FnMut(&Adjustment) -> Option<Outcome>,
) -> Vec<Handle> {
    let mut found: Vec<Handle> = base.parameters.iter().filter_map(of_parameter).collect();
    found.extend(text.into_iter().flat_map(of_text));
    let before = panels_of(base, wanted);
    let (was, known) = (size(&before), bars(&before));
    let text = text.unwrap_or_default();
    found.retain_mut(|handle| {
        let step = if handle.cells {
            2.0
        } else {
            (handle.from / 4.0).round().max(1.0)
        };
        let probe = [handle.from + step, handle.from - step]
            .into_iter()
            .find(|v| (handle.least..=handle.most).contains(v));
        let Some(probe) = probe else { return false };
        let Some(outcome) = run(&Adjustment::default().with(handle, probe, text)) else {
            return false;
        };
        let after = panels_of(&outcome, wanted);
        let now = size(&after);
        handle.wider = (now[0] - was[0]) / (probe - handle.from);
        handle.higher = (now[1] - was[1]) / (probe - handle.from);
        let grows = handle.wider > SAME || handle.higher > SAME;
        let shrinks = handle.wider < -SAME || handle.higher < -SAME;
        // A smaller panel may lack a bar of the larger one.
        let same_bars = |few: &[&Bar], all: &[&Bar]| few.iter().all(|bar| all.contains(bar));
        let now = bars(&after);
        grows && !shrinks && (same_bars(&now, &known) || same_bars(&known, &now))
    });
    found
}

/// Parameters and plain numbers of the text that are lengths, whatever they do.
pub(in crate::rack) fn handles_of_length(base: &Outcome, text: Option<&str>) -> Vec<Handle> {
    let parameters = base.parameters.iter().filter_map(of_parameter);
    let literals = text.into_iter().flat_map(literals).filter_map(|literal| {
        let number = match literal.value {
            LiteralValue::Number { number, .. } => number,
            LiteralValue::Length { text } => length::parse(&text).ok()?,
            LiteralValue::Colour { .. } => return None,
        };
        let at = At::Text(literal.at, literal.written);
        Some(handle(literal.name, false, number, (0.1, MOST[0]), at))
    });
    let lengths = parameters.filter(|h| !h.cells);
    lengths.chain(literals).collect()
}

fn handle(name: String, cells: bool, from: f64, (least, most): (f64, f64), at: At) -> Handle {
    Handle {
        name,
        cells,
        from,
        least,
        most,
        wider: 0.0,
        higher: 0.0,
        at,
    }
}

fn of_parameter(parameter: &Parameter) -> Option<Handle> {
    let name = parameter.name.clone();
    match (&parameter.domain, &parameter.value) {
        (Domain::Whole { least, most }, &Value::Whole(from)) => {
            let range = (
                least.unwrap_or(1) as f64,
                most.map_or(MOST[1], |m| m as f64),
            );
            Some(handle(name, true, from as f64, range, At::Parameter))
        }
        (
            Domain::Number {
                least,
                most,
                unit: Some(unit),
            },
            &Value::Number(from),
        ) if ["mm", "in"].contains(&unit.as_str()) => {
            let range = (least.unwrap_or(1.0), most.unwrap_or(MOST[0]));
            Some(handle(name, false, from, range, At::Parameter))
        }
        _ => None,
    }
}

fn of_text(text: &str) -> Vec<Handle> {
    let numbers = literals(text).into_iter().filter_map(|literal| {
        let of = literal.of.filter(|of| SIZES.contains(&of.as_str()))?;
        let LiteralValue::Number { number, .. } = literal.value else {
            return None;
        };
        let cells = of == "size";
        Some(handle(
            format!("{} of {of}", literal.name),
            cells,
            number,
            (1.0, MOST[usize::from(cells)]),
            At::Text(literal.at, literal.written),
        ))
    });
    numbers.collect()
}
