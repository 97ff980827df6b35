//! What is legal in a recipe and probably meant otherwise: a result that is thrown away, a rule that
//! never asks its cell, a condition that holds nowhere.
//!
//! - `mod.rs`: the doubts, and their words;
//! - `statements`: doubts about statements;
//! - `signs`: doubts about comparisons;
//! - `parameters`: parameters whose value nothing uses.
//!
//! Rule modules of the library are not looked at. A doubt never stops a recipe: `check` and the live page
//! tell of it.

mod parameters;
mod signs;
mod statements;

use std::sync::Arc;

use serde::Serialize;

use super::host::is_drawing;
use super::library;
use super::outcome::Outcome;
use super::source::{Location, Source};

/// What is in doubt, with its facts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "doubt", rename_all = "kebab-case")]
pub enum Doubt {
    /// A statement whose value nothing uses, by the word that gives it.
    ThrownAway {
        /// The word.
        word: String,
    },
    /// A comparison that stands as a statement.
    ComparedForNothing,
    /// A name that is given to the result of a word that returns nothing.
    GivesNothing {
        /// The name.
        name: String,
        /// The word.
        word: String,
    },
    /// A name that is given to an `if` without `else`.
    NoElse {
        /// The name.
        name: String,
    },
    /// A `let` inside a block that hides a variable of the same name, and is not used again.
    NewInside {
        /// The name.
        name: String,
    },
    /// A rule that never asks its cell.
    IgnoresCell,
    /// A function that nothing calls.
    NeverCalled {
        /// Its name.
        name: String,
    },
    /// A parameter whose value nothing uses.
    UnusedParameter {
        /// Its name.
        name: String,
    },
    /// A number that is put behind a text.
    JoinsNumber {
        /// The text, which reads like a number.
        text: String,
    },
    /// A length in mm compared with a count.
    LengthWithCount {
        /// What is a length.
        length: String,
        /// What is a count.
        count: String,
    },
    /// A place or a distance compared with `==`.
    ExactLength {
        /// What is compared.
        length: String,
    },
    /// A colour compared as a text.
    ColourAsText {
        /// The variable.
        name: String,
    },
    /// A remainder of columns or courses left of or above 0.
    BelowZero {
        /// `column` or `course`.
        property: String,
    },
    /// A condition of `fill_where` that holds for no cell.
    HoldsNowhere,
}

impl Doubt {
    /// A stable code in dotted form.
    pub fn code(&self) -> &'static str {
        match self {
            Self::ThrownAway { .. } => "check::thrown_away",
            Self::ComparedForNothing => "check::compared_for_nothing",
            Self::GivesNothing { .. } => "check::gives_nothing",
            Self::NoElse { .. } => "check::no_else",
            Self::NewInside { .. } => "check::new_inside",
            Self::IgnoresCell => "check::ignores_cell",
            Self::NeverCalled { .. } => "check::never_called",
            Self::UnusedParameter { .. } => "check::unused_parameter",
            Self::JoinsNumber { .. } => "check::joins_number",
            Self::LengthWithCount { .. } => "check::length_with_count",
            Self::ExactLength { .. } => "check::exact_length",
            Self::ColourAsText { .. } => "check::colour_as_text",
            Self::BelowZero { .. } => "check::below_zero",
            Self::HoldsNowhere => "check::holds_nowhere",
        }
    }

    /// What to do about it.
    pub fn help(&self) -> String {
        match self {
            Self::ThrownAway { word } => {
                format!("give it a name: `let name = ...`; `{word}` changes nothing by itself")
            }
            Self::ComparedForNothing => {
                "`=` gives a name a new value, `==` compares; to decide, write `if`".to_owned()
            }
            Self::GivesNothing { word, .. } => {
                format!("`{word}` changes what stands before the point: call it in a statement of its own")
            }
            Self::NoElse { .. } => {
                "say what it is otherwise: `if ... { ... } else { ... }`".to_owned()
            }
            Self::NewInside { name } => {
                format!("to change the one outside, leave out `let`: `{name} = ...;`")
            }
            Self::IgnoresCell => {
                "give `fill` the tile itself, or ask the cell: `cell.column`, `cell.ring`".to_owned()
            }
            Self::NeverCalled { name } => format!("call it, `{name}(...)`, or leave it out"),
            Self::UnusedParameter { .. } => {
                "use its value, or remove it: setting it changes nothing".to_owned()
            }
            Self::JoinsNumber { text } => {
                format!("to add, leave out the quotes: {text}; `number(text)` reads a number")
            }
            Self::LengthWithCount { .. } => {
                "compare lengths with lengths, and counts with counts".to_owned()
            }
            Self::ExactLength { length } => {
                format!("ask for a range: `abs(cell.{length} - 100) < 1`")
            }
            Self::ColourAsText { .. } => {
                "one colour has several names (navy is #000080): let the recipe choose by a parameter with `choices`"
                    .to_owned()
            }
            Self::BelowZero { property } => {
                format!("`around(cell.{property}, 3)` counts on to the left and above as well")
            }
            Self::HoldsNowhere => {
                "columns and courses count from 0, lengths are in mm: print what you compare".to_owned()
            }
        }
    }
}

impl std::fmt::Display for Doubt {
    /// One sentence without a full stop.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::ThrownAway { word } => {
                write!(f, "what `{word}` gives is not used")
            }
            Self::ComparedForNothing => f.write_str("this compares, and nothing comes of it"),
            Self::GivesNothing { name, word } => {
                write!(f, "`{name}` has no value, as `{word}` gives none")
            }
            Self::NoElse { name } => {
                write!(f, "`{name}` has no value where the condition does not hold")
            }
            Self::NewInside { name } => write!(
                f,
                "this makes a second `{name}` inside the block, and nothing uses it"
            ),
            Self::IgnoresCell => {
                f.write_str("this rule never asks its cell: every cell gets the same")
            }
            Self::NeverCalled { name } => write!(f, "nothing calls the function `{name}`"),
            Self::UnusedParameter { name } => {
                write!(f, "the parameter `{name}` is declared and never used")
            }
            Self::JoinsNumber { text } => {
                write!(f, "{text:?} is a text: `+` puts the number behind it")
            }
            Self::LengthWithCount { length, count } => {
                write!(f, "`{length}` is a length in mm, and `{count}` is a count")
            }
            Self::ExactLength { length } => write!(
                f,
                "`{length}` is measured, and hardly ever equals a number to the last digit"
            ),
            Self::ColourAsText { name } => {
                write!(f, "`{name}` is a colour, and is compared letter by letter")
            }
            Self::BelowZero { property } => write!(
                f,
                "this panel has cells with a {property} below 0, where a remainder is below 0 too"
            ),
            Self::HoldsNowhere => f.write_str("this condition holds for no cell of the panel"),
        }
    }
}

/// A doubt and its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubtful {
    /// What is in doubt.
    pub doubt: Doubt,
    /// Where.
    pub place: Location,
}

/// All that is in doubt in a recipe that works and in the modules of its folder: source by source, in the
/// order of the text.
pub fn doubts(outcome: &Outcome) -> Vec<Doubtful> {
    let mut found = Vec::new();
    for (number, source) in outcome.sources.iter().enumerate() {
        if is_of_library(source) || is_drawing(&outcome.modules[number]) {
            continue;
        }
        let mut here = statements::doubts(source, number == 0);
        here.extend(signs::doubts(source, outcome));
        here.extend(parameters::doubts(source));
        let nowhere = outcome.held_nowhere.iter();
        let mut nowhere: Vec<Doubtful> = nowhere
            .filter(|place| Arc::ptr_eq(&place.source, source) || place.source == *source)
            .map(|place| Doubtful {
                doubt: Doubt::HoldsNowhere,
                place: place.clone(),
            })
            .collect();
        // In a loop the same call may come many times.
        nowhere.dedup_by(|a, b| a.place == b.place);
        here.extend(nowhere);
        here.sort_by_key(|doubtful| doubtful.place.span.start);
        found.extend(here);
    }
    found
}

fn is_of_library(source: &Source) -> bool {
    library::names().any(|name| library::text(name) == Some(source.text.as_str()))
}
