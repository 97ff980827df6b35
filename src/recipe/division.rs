//! Division as makers expect it: 7 / 2 is 3.5, and 6 / 2 is the whole number 3.
//!
//! Rhai's own `/` drops the fraction of whole numbers without a fault, and cannot be overridden for
//! numbers. So it is disabled, and a custom operator of the same sign and precedence takes its place.

use rhai::{Dynamic, Engine, EvalAltResult, FuncRegistration, Module, Position};

/// Rhai's precedence of `*`, `/` and `%` (`Token::precedence`).
const RANK: u8 = 180;

/// Replaces Rhai's operator by ours.
pub(super) fn replace(engine: &mut Engine) {
    engine
        .disable_symbol("/")
        .register_custom_operator("/", RANK)
        .expect("invariant: a sign that is put aside can be given anew");
}

/// Registers the function behind the operator.
pub(super) fn add(words: &mut Module) {
    FuncRegistration::new("/").set_into_module(words, whole);
    FuncRegistration::new("/").set_into_module(words, fraction);
    FuncRegistration::new("/").set_into_module(words, |a: i64, b: f64| fraction(a as f64, b));
    FuncRegistration::new("/").set_into_module(words, |a: f64, b: i64| fraction(a, b as f64));
}

fn whole(number: i64, part: i64) -> Result<Dynamic, Box<EvalAltResult>> {
    match number.checked_rem(part) {
        Some(0) => Ok((number / part).into()),
        _ => fraction(number as f64, part as f64).map(Dynamic::from),
    }
}

fn fraction(number: f64, part: f64) -> Result<f64, Box<EvalAltResult>> {
    if part == 0.0 {
        let sum = format!("Division by zero: {number} / {part}");
        return Err(EvalAltResult::ErrorArithmetic(sum, Position::NONE).into());
    }
    Ok(number / part)
}
