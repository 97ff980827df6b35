//! Calling back into the recipe: functions that a recipe hands to a word.

use rhai::{Dynamic, EvalAltResult, FnPtr, NativeCallContext};

use super::args;
use super::fault::Fault;

/// Calls a function of the recipe and gives what it returns.
///
/// # Errors
/// What goes wrong inside it, and when it takes another number of values.
pub fn call<const N: usize>(
    context: &NativeCallContext,
    function: &FnPtr,
    values: [Dynamic; N],
) -> Result<Dynamic, Box<EvalAltResult>> {
    function.call_raw(context, None, values)
}

/// Calls a function of the recipe and converts what it returns; `what` names the function in
/// messages (`"the function given to `fill`"`).
///
/// # Errors
/// As [`call`], and what `convert` objects to.
pub fn call_for<const N: usize, T>(
    context: &NativeCallContext,
    function: &FnPtr,
    values: [Dynamic; N],
    what: &str,
    convert: impl FnOnce(&Dynamic, &str) -> Result<T, Fault>,
) -> Result<T, Box<EvalAltResult>> {
    let value = call(context, function, values)?;
    Ok(convert(&value, &format!("what {what} returns"))?)
}

/// A function, or else a value of the kind that `convert` takes: for words that accept both.
///
/// # Errors
/// What `convert` objects to.
pub fn function_or<T>(
    value: &Dynamic,
    what: &str,
    convert: impl FnOnce(&Dynamic, &str) -> Result<T, Fault>,
) -> Result<Result<FnPtr, T>, Fault> {
    if value.is_fnptr() {
        return args::function(value, what).map(Ok);
    }
    convert(value, what).map(Err)
}
