//! Numbers that can be asked why: a value, its unit, and the sum it came from.

use serde::{Serialize, Serializer};

use super::units::{Units, decimal};

/// What a figure counts or measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Unit {
    /// Whole things: tiles, bars, strips, sheets.
    #[serde(rename = "pieces")]
    Pieces,
    /// A length, in mm.
    #[serde(rename = "mm")]
    Length,
    /// An area, in square mm.
    #[serde(rename = "mm2")]
    Area,
    /// A mass, in kg.
    #[serde(rename = "kg")]
    Mass,
    /// Money, in the shop's currency.
    #[serde(rename = "money")]
    Money,
}

/// A piece of a sum.
#[derive(Debug, Clone, PartialEq)]
pub enum Term {
    /// Words and signs.
    Text(String),
    /// A length in mm.
    Length(f64),
    /// An area in square mm.
    Area(f64),
    /// A mass in kg.
    Mass(f64),
    /// A spread of glue in g for a square metre.
    Spread(f64),
    /// A density in kg for a cubic metre.
    Density(f64),
    /// A plain number.
    Number(f64),
}

/// How a figure was worked out: words, signs and the numbers that went in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sum {
    terms: Vec<Term>,
}

/// A value with its sum.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// The value, in the unit's base (pieces, mm, square mm, kg, money).
    pub value: f64,
    /// What it measures.
    pub unit: Unit,
    /// How it was worked out.
    #[serde(serialize_with = "in_metric")]
    pub why: Sum,
}

/// A sum as data for other programs: in metric units, like every value beside it.
fn in_metric<S: Serializer>(why: &Sum, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(&why.shown(Units::Metric))
}

impl Sum {
    /// An empty sum.
    pub fn new() -> Self {
        Self::default()
    }

    /// With words or signs added.
    #[must_use]
    pub fn text(self, text: impl Into<String>) -> Self {
        self.term(Term::Text(text.into()))
    }

    /// With a length in mm added.
    #[must_use]
    pub fn length(self, mm: f64) -> Self {
        self.term(Term::Length(mm))
    }

    /// With a sign and a length in mm, and what it is for, where there is such a length.
    #[must_use]
    pub fn length_if_any(self, sign: &str, mm: f64, what: &str) -> Self {
        if mm > 0.0 {
            self.text(sign).length(mm).text(what)
        } else {
            self
        }
    }

    /// With an area in square mm added.
    #[must_use]
    pub fn area(self, mm2: f64) -> Self {
        self.term(Term::Area(mm2))
    }

    /// With a mass in kg added.
    #[must_use]
    pub fn mass(self, kg: f64) -> Self {
        self.term(Term::Mass(kg))
    }

    /// With a plain number added.
    #[must_use]
    pub fn number(self, value: f64) -> Self {
        self.term(Term::Number(value))
    }

    /// With a count added.
    #[must_use]
    pub fn count(self, value: u64) -> Self {
        self.term(Term::Number(value as f64))
    }

    /// With a term added.
    #[must_use]
    pub fn term(mut self, term: Term) -> Self {
        self.terms.push(term);
        self
    }

    /// The terms, in order.
    pub fn terms(&self) -> &[Term] {
        &self.terms
    }

    /// The sum in words; lengths without their unit, all in the same one.
    pub fn shown(&self, units: Units) -> String {
        self.terms
            .iter()
            .map(|term| match term {
                Term::Text(text) => text.clone(),
                Term::Length(mm) => units.term(*mm),
                Term::Area(mm2) => units.area(*mm2),
                Term::Mass(kg) => units.mass(*kg),
                Term::Spread(grams) => units.spread(*grams),
                Term::Density(density) => units.density(*density),
                Term::Number(value) => decimal(*value, 4),
            })
            .collect()
    }
}

impl Figure {
    /// A number of things.
    pub fn pieces(count: u64, why: Sum) -> Self {
        Self {
            value: count as f64,
            unit: Unit::Pieces,
            why,
        }
    }

    /// A figure in some unit.
    pub fn new(value: f64, unit: Unit, why: Sum) -> Self {
        Self { value, unit, why }
    }

    /// The value of a number of things.
    pub fn count(&self) -> u64 {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "counts are whole, not negative and far below 2^52"
        )]
        let count = self.value.round() as u64;
        count
    }

    /// The value of what is needed at least, with its unit: a length is rounded up.
    pub fn at_least(&self, units: Units) -> String {
        match self.unit {
            Unit::Length => units.at_least(self.value),
            _ => self.shown(units),
        }
    }

    /// The value with its unit, without the sum.
    pub fn shown(&self, units: Units) -> String {
        match self.unit {
            Unit::Pieces => decimal(self.value, 0),
            Unit::Length => units.length(self.value),
            Unit::Area => units.area(self.value),
            Unit::Mass => units.mass(self.value),
            Unit::Money => decimal(self.value, 2),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sum_reads_in_either_unit() {
        let why = Sum::new()
            .text("floor((")
            .length(609.6)
            .text(" - ")
            .length(25.4)
            .text(") / ")
            .length(12.7)
            .text(") = ")
            .count(46);
        let figure = Figure::pieces(46, why);
        assert_eq!(
            figure.why.shown(Units::Metric),
            "floor((609.6 - 25.4) / 12.7) = 46"
        );
        assert_eq!(figure.why.shown(Units::Inch), "floor((24 - 1) / 0.5) = 46");
        assert_eq!(
            (figure.count(), figure.shown(Units::Inch)),
            (46, "46".to_owned())
        );
    }
}
