//! What a recipe declares that a maker may change.

use serde::{Deserialize, Serialize};

use crate::geom::length;

/// A parameter's value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Value {
    /// Yes or no.
    YesNo(bool),
    /// A whole number.
    Whole(i64),
    /// A number, for a length in mm.
    Number(f64),
    /// One of some choices, a colour, or free text.
    Text(String),
}

impl std::fmt::Display for Value {
    /// As it is typed after `--set NAME=`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::YesNo(value) => f.write_str(if *value { "yes" } else { "no" }),
            Self::Whole(value) => write!(f, "{value}"),
            Self::Number(value) => write!(f, "{value}"),
            Self::Text(value) => f.write_str(value),
        }
    }
}

/// What values a parameter takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Domain {
    /// `true` or `false`.
    YesNo,
    /// A whole number from `least` to `most`, both included.
    Whole {
        /// Smallest, where there is one.
        least: Option<i64>,
        /// Largest, where there is one.
        most: Option<i64>,
    },
    /// A number from `least` to `most`, both included; `unit` is `mm` for lengths (typed in mm or
    /// inches), `deg` for angles, or any other word for show.
    Number {
        /// Smallest, where there is one.
        least: Option<f64>,
        /// Largest, where there is one.
        most: Option<f64>,
        /// Unit, where there is one.
        unit: Option<String>,
    },
    /// One of these texts.
    Choice {
        /// The texts, in the recipe's order.
        choices: Vec<String>,
    },
    /// A colour.
    Colour,
    /// Any text.
    Text,
}

/// One declared parameter with the value that this run used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Parameter {
    /// Its name, as in `--set name=value`.
    pub name: String,
    /// What it takes.
    pub domain: Domain,
    /// The recipe's own value.
    pub default: Value,
    /// The value of this run.
    pub value: Value,
    /// A line of help, empty where the recipe gives none.
    pub help: String,
}

impl Parameter {
    /// Whether a bare number that is typed for it counts in inches.
    pub fn is_in_inches(&self) -> bool {
        matches!(&self.domain, Domain::Number { unit: Some(unit), .. } if unit == "in")
    }

    /// The value of this run as a maker reads it, with its unit: `yes`, `12`, `54 mm`, `0.25 in`.
    pub fn shown(&self) -> String {
        self.in_words(&self.value)
    }

    /// A value that it had, or could have, in the same words.
    pub fn in_words(&self, value: &Value) -> String {
        let unit = match &self.domain {
            Domain::Number { unit, .. } => unit.as_deref(),
            _ => None,
        };
        match (value, unit) {
            (Value::YesNo(true), _) => "yes".to_owned(),
            (Value::YesNo(false), _) => "no".to_owned(),
            (Value::Whole(number), _) => number.to_string(),
            (Value::Number(mm), Some("in")) => format!("{} in", length::to_inches(*mm)),
            (Value::Number(number), Some(unit)) => format!("{number} {unit}"),
            (Value::Number(number), None) => number.to_string(),
            (Value::Text(text), _) => text.clone(),
        }
    }
}
