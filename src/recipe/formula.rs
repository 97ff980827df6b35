//! Sums over named numbers, such as `contrast*2 + longest/100`, written as in a recipe.

use std::fmt;
use std::sync::Arc;

use rhai::packages::{ArithmeticPackage, LogicPackage, Package as _};
use rhai::{AST, Dynamic, Engine, EvalAltResult, Module, OptimizationLevel, ParseErrorType, Scope};

use super::{division, hashing};

/// Words that a formula may not have. `**` would call the system's power function, which differs from machine
/// to machine.
const LEFT_OUT: [&str; 9] = [
    "**",
    "eval",
    "if",
    "switch",
    "print",
    "debug",
    "Fn",
    "call",
    "is_def_var",
];
/// Steps of one value.
const MOST_STEPS: u64 = 10_000;
/// How deep brackets may nest.
const DEEPEST: usize = 64;
/// The longest formula in bytes.
const LONGEST: usize = 1000;
/// How many characters of a wrong formula a message shows.
const SHOWN: usize = 80;

/// A sum over named numbers.
#[derive(Clone)]
pub struct Formula {
    text: String,
    names: &'static [&'static str],
    sum: Arc<(Engine, AST)>,
}

/// Why a text is no formula.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormulaError {
    /// A name that stands for no number.
    #[error("there is no measure `{0}`")]
    Name(String),
    /// Not a sum at all.
    #[error("`{0}` is no formula")]
    NotOne(String),
}

impl Formula {
    /// Reads a sum over some of `names`: numbers, `+ - * / %`, brackets, `min`, `max`, `abs`.
    ///
    /// # Errors
    /// When it is none, or has other names.
    pub fn read(text: &str, names: &'static [&'static str]) -> Result<Self, FormulaError> {
        let text = text.trim();
        let not_one = || FormulaError::NotOne(text.chars().take(SHOWN).collect());
        if text.len() > LONGEST {
            return Err(not_one());
        }
        let mut scope = Scope::new();
        for name in names {
            scope.push(*name, 1.0_f64);
        }
        let engine = engine();
        let sum =
            engine
                .compile_expression_with_scope(&scope, text)
                .map_err(|error| match error.err_type() {
                    ParseErrorType::VariableUndefined(name) => FormulaError::Name(name.clone()),
                    _ => not_one(),
                })?;
        let formula = Self {
            text: text.to_owned(),
            names,
            sum: Arc::new((engine, sum)),
        };
        // It is evaluated once, which finds words that there are not, and texts; where it has no value here,
        // it may have one for other numbers.
        match formula.carried_out(&mut scope) {
            Ok(value) if number(&value).is_none() => Err(not_one()),
            Err(error) if !matches!(*error, EvalAltResult::ErrorArithmetic(..)) => Err(not_one()),
            _ => Ok(formula),
        }
    }

    /// As typed.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Its value, with the numbers that `of` gives; none where it is not defined, or a number in it is not.
    pub fn value(&self, of: impl Fn(&str) -> Option<f64>) -> Option<f64> {
        let mut scope = Scope::new();
        for name in self.names {
            if let Some(value) = of(name) {
                scope.push(*name, value);
            }
        }
        number(&self.carried_out(&mut scope).ok()?).filter(|value| value.is_finite())
    }

    fn carried_out(&self, scope: &mut Scope<'_>) -> Result<Dynamic, Box<EvalAltResult>> {
        let (engine, sum) = &*self.sum;
        engine.eval_ast_with_scope(scope, sum)
    }
}

impl PartialEq for Formula {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

impl Eq for Formula {}

impl fmt::Debug for Formula {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Formula({:?})", self.text)
    }
}

fn number(value: &Dynamic) -> Option<f64> {
    value
        .as_float()
        .ok()
        .or_else(|| value.as_int().ok().map(|n| n as f64))
}

fn engine() -> Engine {
    hashing::fix();
    let mut engine = Engine::new_raw();
    engine
        .set_optimization_level(OptimizationLevel::None)
        .set_strict_variables(true)
        .set_max_operations(MOST_STEPS)
        .set_max_expr_depths(DEEPEST, 0)
        .set_max_string_size(LONGEST)
        .set_max_array_size(16)
        .set_max_map_size(16);
    for word in LEFT_OUT {
        engine.disable_symbol(word);
    }
    division::replace(&mut engine);
    let mut words = Module::new();
    ArithmeticPackage::init(&mut words);
    LogicPackage::init(&mut words);
    division::add(&mut words);
    engine.register_global_module(words.into());
    engine
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAMES: &[&str] = &["contrast", "longest", "cost"];

    fn value(text: &str) -> Option<f64> {
        Formula::read(text, NAMES)
            .unwrap()
            .value(|name| match name {
                "contrast" => Some(0.25),
                "longest" => Some(800.0),
                _ => None,
            })
    }

    #[test]
    fn sums_as_makers_write_them() {
        for (text, expected) in [
            ("contrast", 0.25),
            ("contrast*2 + longest/100", 8.5),
            ("1/2", 0.5),
            ("-(longest - 1000) / 8", 25.0),
            ("max(contrast, 1) + min(2, longest) - abs(0 - 3)", 0.0),
            ("7 % 4 + 0.5", 3.5),
        ] {
            assert_eq!(value(text), Some(expected), "{text}");
        }
    }

    #[test]
    fn what_is_not_defined_has_no_value() {
        for text in [
            "cost",
            "longest / (contrast - 0.25)",
            "cost + 1",
            "1 / (contrast - contrast)",
        ] {
            assert_eq!(value(text), None, "{text}");
        }
    }

    #[test]
    fn what_is_no_sum_is_told() {
        let told = |text: &str| Formula::read(text, NAMES).unwrap_err().to_string();
        assert_eq!(told("shine*2"), "there is no measure `shine`");
        for text in [
            "",
            "contrast*",
            "contrast > 1",
            "\"a\"",
            "contrast ** 2",
            "let x = 1",
            "eval(\"1\")",
            "while true {}",
            "power(1, 2)",
            "[1]",
            "|x| x",
            "contrast; 1",
        ] {
            let said = told(text);
            assert!(said.contains("is no formula"), "{text}: {said}");
        }
        assert!(told(&"(".repeat(500)).len() < 120);
        assert!(Formula::read(&"1+".repeat(900), NAMES).is_err());
    }
}
