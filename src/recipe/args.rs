//! Conversion of arguments: from a recipe's values to the types that a word needs. Every word of
//! the vocabulary converts its arguments here, so that the same mistake always gives the same
//! message.
//!
//! `what` names the argument in the message: `"the width of a strip"`. Lengths come out in mm, angles
//! in degrees, all numbers finite.

use super::kind::Kind;
use rhai::{Array, Dynamic, FnPtr, Map};

use super::diagnostics::{nearest, types};
use super::fault::Fault;
use super::steps;
use crate::geom::length;

/// A length for a recipe to read, rounded to a millionth of a millimetre, so that a sum of layers
/// prints as it was written.
pub fn measured(mm: f64) -> f64 {
    libm::round(mm * 1e6) / 1e6
}

/// The fault that `what` must be `expected` (with its article), and what it is instead.
pub fn unexpected(what: &str, expected: &str, value: &Dynamic) -> Fault {
    Fault::wrong_value(format!(
        "{what} must be {expected}, not {}",
        described(value)
    ))
}

/// A value for a message: its kind with the article, and itself where that is short.
pub fn described(value: &Dynamic) -> String {
    let kind = types::of_value(value);
    let shown = match value.type_name() {
        "i64" | "f64" | "bool" | "char" => Some(value.to_string()),
        _ => value
            .read_lock::<rhai::ImmutableString>()
            .filter(|text| text.len() <= 40)
            .map(|text| format!("{:?}", text.as_str())),
    };
    match shown {
        Some(shown) => format!("{} ({shown})", types::with_article(&kind)),
        None => types::with_article(&kind),
    }
}

/// A number, whole or not.
///
/// # Errors
/// When it is no number, or not finite.
pub fn number(value: &Dynamic, what: &str) -> Result<f64, Fault> {
    let number = match (value.as_int(), value.as_float()) {
        (Ok(whole), _) => whole as f64,
        (_, Ok(number)) => number,
        _ => return Err(unexpected(what, "a number", value)),
    };
    finite(number, what)
}

fn finite(number: f64, what: &str) -> Result<f64, Fault> {
    if number.is_finite() {
        return Ok(number);
    }
    let problem = if number.is_nan() {
        "is no number"
    } else {
        "is infinite"
    };
    Err(Fault::wrong_value(format!("{what} {problem}"))
        .help("a number that grew too large gives this: look at what was multiplied"))
}

/// A length in mm: a number, or a text such as `"3/4 in"`.
///
/// # Errors
/// When it is neither, or not finite.
pub fn length(value: &Dynamic, what: &str) -> Result<f64, Fault> {
    let Some(text) = value.read_lock::<rhai::ImmutableString>() else {
        return match number(value, what) {
            Err(_) if !value.is_int() && !value.is_float() => {
                Err(unexpected(what, "a length", value)
                    .help("write mm as a number, or a text with a unit: 18, \"18 mm\", \"3/4 in\""))
            }
            other => other,
        };
    };
    length_text(&text, what)
}

/// A length in mm from a text with a unit.
///
/// # Errors
/// When the text is no length.
pub fn length_text(text: &str, what: &str) -> Result<f64, Fault> {
    length::parse(text).map_err(|error| {
        Fault::wrong_value(format!("{what} must be a length, not {text:?}: {error}"))
            .help("write \"18 mm\", \"3/4 in\", \"23/32\\\"\" or \"1 1/2 in\"")
    })
}

/// A length in mm above 0.
///
/// # Errors
/// When it is no length, or not above 0.
pub fn positive_length(value: &Dynamic, what: &str) -> Result<f64, Fault> {
    let mm = length(value, what)?;
    above_zero(mm, what, value)
}

fn above_zero(number: f64, what: &str, value: &Dynamic) -> Result<f64, Fault> {
    if number > 0.0 {
        Ok(number)
    } else {
        Err(Fault::wrong_value(format!(
            "{what} must be more than 0, not {value}"
        )))
    }
}

/// An angle in degrees: a number, or a text such as `"60 deg"` or `"60°"`.
///
/// # Errors
/// When it is neither.
pub fn angle(value: &Dynamic, what: &str) -> Result<f64, Fault> {
    let Some(text) = value.read_lock::<rhai::ImmutableString>() else {
        return match number(value, what) {
            Err(_) if !value.is_int() && !value.is_float() => {
                Err(unexpected(what, "an angle in degrees", value))
            }
            other => other,
        };
    };
    angle_text(&text, what)
}

/// An angle in degrees from a text.
///
/// # Errors
/// When the text is no angle.
pub fn angle_text(text: &str, what: &str) -> Result<f64, Fault> {
    let trimmed = text.trim();
    let digits = ["degrees", "deg", "\u{b0}"]
        .iter()
        .find_map(|unit| trimmed.strip_suffix(unit))
        .unwrap_or(trimmed);
    match digits.trim().parse::<f64>() {
        Ok(degrees) if degrees.is_finite() => Ok(degrees),
        _ => Err(
            Fault::wrong_value(format!("{what} must be an angle in degrees, not {text:?}"))
                .help("write 60 or \"60 deg\""),
        ),
    }
}

/// A whole number from `least` to `most`; numbers such as `4.0` count as whole.
///
/// # Errors
/// When it is not whole, or out of the range.
pub fn whole(value: &Dynamic, what: &str, least: i64, most: i64) -> Result<i64, Fault> {
    let whole = any_whole(value, what)?;
    if (least..=most).contains(&whole) {
        return Ok(whole);
    }
    let range = match (least, most) {
        (i64::MIN, most) => format!("at most {most}"),
        (least, i64::MAX) => format!("at least {least}"),
        (least, most) => format!("from {least} to {most}"),
    };
    Err(Fault::wrong_value(format!(
        "{what} must be {range}, not {whole}"
    )))
}

/// Any whole number; numbers such as `4.0` count as whole.
///
/// # Errors
/// When it is not whole.
pub fn any_whole(value: &Dynamic, what: &str) -> Result<i64, Fault> {
    if let Ok(whole) = value.as_int() {
        return Ok(whole);
    }
    if let Ok(number) = value.as_float() {
        let number = finite(number, what)?;
        // Beyond 2^53 not every whole number has an f64, so none is taken for exact.
        if number.fract() == 0.0 && number.abs() < 9_007_199_254_740_992.0 {
            #[allow(
                clippy::cast_possible_truncation,
                reason = "whole and below 2^53, as just checked"
            )]
            return Ok(number as i64);
        }
    }
    Err(unexpected(what, "a whole number", value))
}

/// A count: a whole number from 0, or from `least`, as `usize`.
///
/// # Errors
/// When it is not whole, or below `least`.
pub fn count(value: &Dynamic, what: &str, least: usize) -> Result<usize, Fault> {
    let least = i64::try_from(least).unwrap_or(i64::MAX);
    let whole = whole(value, what, least, i64::MAX)?;
    usize::try_from(whole).map_err(|_| unexpected(what, "a count", value))
}

/// A text.
///
/// # Errors
/// When it is none.
pub fn text(value: &Dynamic, what: &str) -> Result<String, Fault> {
    value
        .clone()
        .into_immutable_string()
        .map(|text| text.to_string())
        .map_err(|_| unexpected(what, "a text", value))
}

/// `true` or `false`.
///
/// # Errors
/// When it is neither.
pub fn yes_no(value: &Dynamic, what: &str) -> Result<bool, Fault> {
    value
        .as_bool()
        .map_err(|_| unexpected(what, "true or false", value))
}

/// One of some texts; gives its index in `choices`.
///
/// # Errors
/// When it is another text, or none.
pub fn choice(value: &Dynamic, what: &str, choices: &[&str]) -> Result<usize, Fault> {
    let written = text(value, what)?;
    if let Some(index) = choices.iter().position(|choice| *choice == written) {
        return Ok(index);
    }
    Err(no_choice(&written, what, choices))
}

/// The fault that `written` is none of `choices`.
pub fn no_choice(written: &str, what: &str, choices: &[&str]) -> Fault {
    let listed: Vec<String> = choices.iter().map(|choice| format!("{choice:?}")).collect();
    Fault::wrong_value(format!(
        "{what} must be {}, not {written:?}",
        types::listed(&listed, "or")
    ))
    .maybe_help(
        nearest::nearest(written, choices.iter().copied())
            .map(|close| format!("did you mean {close:?}?")),
    )
}

/// A list, its entries converted one by one; `convert` gets the entry and its name in messages.
///
/// # Errors
/// When it is no list, and what `convert` objects to.
pub fn list<T>(
    value: &Dynamic,
    what: &str,
    convert: impl Fn(&Dynamic, &str) -> Result<T, Fault>,
) -> Result<Vec<T>, Fault> {
    let Some(entries) = value.read_lock::<Array>() else {
        return Err(unexpected(what, "a list", value));
    };
    entries
        .iter()
        .enumerate()
        .map(|(i, entry)| convert(entry, &format!("entry {i} of {what}")))
        .collect()
}

/// A function.
///
/// # Errors
/// When it is none.
pub fn function(value: &Dynamic, what: &str) -> Result<FnPtr, Fault> {
    value
        .clone()
        .try_cast::<FnPtr>()
        .ok_or_else(|| unexpected(what, "a function such as `|x| x + 1`", value))
}

/// A thing of the vocabulary, such as a sheet; `expected` is its word with the article.
///
/// # Errors
/// When it is something else.
pub fn thing<T: Clone + Send + Sync + 'static>(
    value: &Dynamic,
    what: &str,
    expected: &str,
) -> Result<T, Fault> {
    value.clone().try_cast::<T>().ok_or_else(|| {
        let wanted = expected.trim_start_matches("a ");
        let how = steps::made_from(wanted, &types::of_value(value));
        unexpected(what, expected, value).maybe_help(how.map(str::to_owned))
    })
}

/// What options are called elsewhere, and what they are called here.
const ELSEWHERE: [(&str, &str); 8] = [
    ("min", "from"),
    ("max", "to"),
    ("minimum", "from"),
    ("maximum", "to"),
    ("options", "choices"),
    ("values", "choices"),
    ("description", "help"),
    ("type", "kind"),
];

/// Options: a map whose keys are checked, then taken one by one.
///
/// ```text
/// let mut options = Options::read(map, "the options of `panel`", &["gap", "colour"])?;
/// let gap = options.length("gap")?.unwrap_or(0.0);
/// ```
#[derive(Debug)]
pub struct Options {
    map: Map,
    what: String,
}

impl Options {
    /// Takes a map with no keys but `known`.
    ///
    /// # Errors
    /// When there is another key; it says which could have been meant.
    pub fn read(map: Map, what: &str, known: &[&str]) -> Result<Self, Fault> {
        for key in map.keys() {
            if !known.contains(&key.as_str()) {
                let listed: Vec<String> = known.iter().map(|key| format!("`{key}`")).collect();
                let ours = ELSEWHERE.iter().find(|(theirs, _)| key == theirs);
                let ours = ours.map(|(_, ours)| *ours).filter(|o| known.contains(o));
                let close = ours.or_else(|| nearest::nearest(key, known.iter().copied()));
                let help = match close {
                    Some(close) => format!("did you mean `{close}`?"),
                    None => format!("there are {}", types::listed(&listed, "and")),
                };
                return Err(Fault::new(
                    Kind::UnknownOption {
                        option: key.to_string(),
                    },
                    format!("`{key}` is not among {what}"),
                )
                .help(help));
            }
        }
        Ok(Self {
            map,
            what: what.to_owned(),
        })
    }

    /// The value of a key, if it is there and not `()`.
    pub fn take(&mut self, key: &str) -> Option<Dynamic> {
        self.map.remove(key).filter(|value| !value.is_unit())
    }

    /// The value of a key as `convert` reads it; `convert` gets the key's name in messages.
    ///
    /// # Errors
    /// What `convert` objects to.
    pub fn with<T>(
        &mut self,
        key: &str,
        convert: impl FnOnce(&Dynamic, &str) -> Result<T, Fault>,
    ) -> Result<Option<T>, Fault> {
        self.take(key)
            .map(|value| convert(&value, &format!("`{key}` in {}", self.what)))
            .transpose()
    }

    /// A length in mm.
    ///
    /// # Errors
    /// See [`length()`].
    pub fn length(&mut self, key: &str) -> Result<Option<f64>, Fault> {
        self.with(key, length)
    }

    /// A text.
    ///
    /// # Errors
    /// See [`text`].
    pub fn text(&mut self, key: &str) -> Result<Option<String>, Fault> {
        self.with(key, text)
    }

    /// `true` or `false`.
    ///
    /// # Errors
    /// See [`yes_no`].
    pub fn yes_no(&mut self, key: &str) -> Result<Option<bool>, Fault> {
        self.with(key, yes_no)
    }
}
