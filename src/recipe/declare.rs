//! How a declared parameter gets its kind and its value.

use rhai::{Dynamic, Map};

use super::args::{self, Options};
use super::diagnostics::types;
use super::fault::Fault;
use super::kind::Kind;
use super::parameter::{Domain, Parameter, Value};
use super::run::Run;
use super::source::Location;
use crate::geom::length;

/// The keys of the options of `param`.
const KEYS: [&str; 6] = ["from", "to", "unit", "choices", "kind", "help"];
/// The kinds that may be asked for.
const KINDS: [&str; 6] = ["colour", "length", "angle", "number", "whole", "text"];

/// Declares a parameter in the run and gives its value as the recipe is to see it.
pub(super) fn declare(
    run: &Run,
    place: Location,
    name: &str,
    default: &Dynamic,
    options: Map,
) -> Result<Dynamic, Fault> {
    check_name(name)?;
    let what = format!("the options of the parameter `{name}`");
    let mut options = Options::read(options, &what, &KEYS)?;
    let help = options.text("help")?.unwrap_or_default();
    let domain = domain(name, default, &mut options)?;
    let default = own_default(&domain, default, name)?;
    let settings = run.settings();
    let typed = settings.set.iter().rev().find(|(set, _)| set == name);
    let known = settings.values.iter().rev().find(|(set, _)| set == name);
    let set = match (typed, known) {
        (Some((_, text)), _) => {
            let what = format!("`{name}`, set to {text:?},");
            Some((from_maker(&domain, text, &what), what))
        }
        (None, Some((_, value))) => {
            let what = format!("`{name}`, set to {},", shown(value));
            Some((from_former(&domain, value, &what), what))
        }
        (None, None) => None,
    };
    let value = match set {
        Some((value, what)) => value
            .and_then(|value| check_range(&domain, &value, &what).map(|()| value))
            .map_err(|fault| {
                let name = name.to_owned();
                fault
                    .label("declared here")
                    .kind(Kind::ParameterValue { name })
            })?,
        None => default.clone(),
    };
    let given = to_recipe(&value);
    let parameter = Parameter {
        name: name.to_owned(),
        domain,
        default,
        value,
        help,
    };
    run.declare(parameter, place)?;
    Ok(given)
}

/// The fault that the maker set a parameter that the recipe does not have.
pub(super) fn unknown(name: &str, declared: &[Parameter]) -> Fault {
    let names: Vec<String> = declared.iter().map(|p| format!("`{}`", p.name)).collect();
    let close =
        super::diagnostics::nearest::nearest(name, declared.iter().map(|p| p.name.as_str()));
    let help = match (close, names.as_slice()) {
        (Some(close), _) => format!("did you mean `{close}`?"),
        (None, []) => "it has no parameters at all".to_owned(),
        (None, names) => format!("it has {}", types::listed(names, "and")),
    };
    Fault::new(
        Kind::NoSuchParameter {
            name: name.to_owned(),
        },
        format!("the recipe has no parameter `{name}`"),
    )
    .help(help)
}

fn check_name(name: &str) -> Result<(), Fault> {
    let good = name.starts_with(|c: char| c.is_ascii_alphabetic())
        && name.len() <= 40
        && name
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-'));
    if good {
        Ok(())
    } else {
        Err(
            Fault::wrong_value(format!("{name:?} cannot be the name of a parameter"))
                .help("take a letter, then letters, digits, `_` or `-`, 40 at most: it is typed as name=value"),
        )
    }
}

/// What values the parameter takes, from its default and its options.
fn domain(name: &str, default: &Dynamic, options: &mut Options) -> Result<Domain, Fault> {
    let (from, to) = (options.take("from"), options.take("to"));
    let unit = options.text("unit")?;
    let choices = options.with("choices", |value, what| args::list(value, what, args::text))?;
    let kind = options
        .with("kind", |value, what| args::choice(value, what, &KINDS))?
        .map(|index| KINDS[index]);
    let kind = kind.unwrap_or_else(|| inferred(default, unit.as_deref(), choices.is_some()));
    if kind.is_empty() {
        return Err(args::unexpected(
            &format!("the default of `{name}`"),
            "true or false, a number, or a text",
            default,
        )
        .help("write `true`, `8`, `2.5`, \"3/4 in\" or \"walnut\"; for one of several texts add `choices`"));
    }
    let domain = match kind {
        "yes or no" => Domain::YesNo,
        "whole" => Domain::Whole {
            least: bound(from.as_ref(), "`from`", args::any_whole)?,
            most: bound(to.as_ref(), "`to`", args::any_whole)?,
        },
        "number" | "length" | "angle" => {
            let unit = unit.clone().or(match kind {
                "length" => Some("mm".to_owned()),
                "angle" => Some("deg".to_owned()),
                _ => None,
            });
            let read = |value: &Dynamic, what: &str| number(value, unit.as_deref(), what);
            Domain::Number {
                least: bound(from.as_ref(), "`from`", read)?,
                most: bound(to.as_ref(), "`to`", read)?,
                unit,
            }
        }
        "choice" => Domain::Choice {
            choices: choices.clone().unwrap_or_default(),
        },
        "colour" => Domain::Colour,
        _ => Domain::Text,
    };
    check_fit(
        name,
        &domain,
        &[
            ("from", from.is_some(), has_range(&domain)),
            ("to", to.is_some(), has_range(&domain)),
            (
                "unit",
                unit.is_some(),
                matches!(domain, Domain::Number { .. }),
            ),
            (
                "choices",
                choices.is_some(),
                matches!(domain, Domain::Choice { .. }),
            ),
        ],
    )?;
    Ok(domain)
}

/// The kind that a default has when the options do not say; empty when there is none.
fn inferred(default: &Dynamic, unit: Option<&str>, choices: bool) -> &'static str {
    match default.type_name() {
        "bool" => "yes or no",
        "i64" if unit.is_some() => "number",
        "i64" => "whole",
        "f64" => "number",
        "char" | "string" if choices => "choice",
        "string" if unit.is_some() => "number",
        "char" | "string" => "text",
        _ => "",
    }
}

fn has_range(domain: &Domain) -> bool {
    matches!(domain, Domain::Whole { .. } | Domain::Number { .. })
}

/// Refuses options that say nothing about a parameter of this kind, and ranges without values.
fn check_fit(name: &str, domain: &Domain, options: &[(&str, bool, bool)]) -> Result<(), Fault> {
    if let Some((key, ..)) = options.iter().find(|(_, given, fits)| *given && !fits) {
        return Err(Fault::wrong_value(format!(
            "`{key}` says nothing about the parameter `{name}`, which takes {}",
            described(domain)
        )));
    }
    let empty = match domain {
        Domain::Whole { least, most } => matches!((least, most), (Some(a), Some(b)) if a > b),
        Domain::Number { least, most, .. } => matches!((least, most), (Some(a), Some(b)) if a > b),
        Domain::Choice { choices } => choices.is_empty(),
        _ => false,
    };
    if empty {
        return Err(
            Fault::wrong_value(format!("the parameter `{name}` has no possible value"))
                .help("`from` must not be above `to`, and `choices` not be empty"),
        );
    }
    Ok(())
}

fn bound<T>(
    value: Option<&Dynamic>,
    what: &str,
    read: impl Fn(&Dynamic, &str) -> Result<T, Fault>,
) -> Result<Option<T>, Fault> {
    value.map(|value| read(value, what)).transpose()
}

/// A number in the unit of the parameter: mm for lengths, whatever unit they are shown in.
fn number(value: &Dynamic, unit: Option<&str>, what: &str) -> Result<f64, Fault> {
    let text = value
        .read_lock::<rhai::ImmutableString>()
        .map(|text| text.to_string());
    match (text, unit) {
        (Some(text), _) => number_text(&text, unit, what),
        (None, Some("in")) => Ok(length::from_inches(args::number(value, what)?)),
        (None, _) => args::number(value, what),
    }
}

fn number_text(text: &str, unit: Option<&str>, what: &str) -> Result<f64, Fault> {
    match unit {
        Some("mm") => args::length_text(text, what),
        // A bare number counts in inches here; a fraction does anyway.
        Some("in") => match text.trim().parse::<f64>() {
            Ok(inches) if inches.is_finite() => Ok(length::from_inches(inches)),
            _ => args::length_text(text, what),
        },
        Some("deg") => args::angle_text(text, what),
        _ => {
            let bare = unit
                .and_then(|unit| text.trim().strip_suffix(unit))
                .unwrap_or(text);
            match bare.trim().parse::<f64>() {
                Ok(number) if number.is_finite() => Ok(number),
                _ => Err(Fault::wrong_value(format!(
                    "{what} must be a number, not {text:?}"
                ))),
            }
        }
    }
}

/// The value of the parameter where none is set.
fn own_default(domain: &Domain, value: &Dynamic, name: &str) -> Result<Value, Fault> {
    let what = format!("the default of `{name}`");
    let advised = |fault: Fault, help: &str| match fault.help {
        Some(_) => fault,
        None => fault.help(help),
    };
    let value = from_recipe(domain, value, &what).map_err(|fault| {
        advised(
            fault,
            "write a default that suits the options, or change the options",
        )
    })?;
    check_range(domain, &value, &what).map_err(|fault| {
        advised(
            fault,
            "write a default within the range, or move `from` or `to`",
        )
    })?;
    Ok(value)
}

/// A value that the recipe itself gives.
fn from_recipe(domain: &Domain, value: &Dynamic, what: &str) -> Result<Value, Fault> {
    Ok(match domain {
        Domain::YesNo => Value::YesNo(args::yes_no(value, what)?),
        Domain::Whole { .. } => Value::Whole(args::any_whole(value, what)?),
        Domain::Number { unit, .. } => Value::Number(number(value, unit.as_deref(), what)?),
        Domain::Choice { .. } | Domain::Colour | Domain::Text => {
            checked_text(domain, &args::text(value, what)?, what)?
        }
    })
}

/// A value that the maker typed.
fn from_maker(domain: &Domain, text: &str, what: &str) -> Result<Value, Fault> {
    let refused = || Fault::wrong_value(format!("{what} must be {}", described(domain)));
    Ok(match domain {
        Domain::YesNo => match text.trim().to_lowercase().as_str() {
            "true" | "yes" | "on" | "1" => Value::YesNo(true),
            "false" | "no" | "off" | "0" => Value::YesNo(false),
            _ => return Err(refused()),
        },
        Domain::Whole { .. } => Value::Whole(text.trim().parse().map_err(|_| refused())?),
        Domain::Number { unit, .. } => {
            let read = number_text(text, unit.as_deref(), what).map_err(|_| refused());
            Value::Number(read?)
        }
        Domain::Choice { .. } | Domain::Colour | Domain::Text => checked_text(domain, text, what)?,
    })
}

/// A value of a former run, lengths in mm. The recipe may have changed since.
fn from_former(domain: &Domain, value: &Value, what: &str) -> Result<Value, Fault> {
    match (domain, value) {
        (Domain::YesNo, Value::YesNo(_))
        | (Domain::Whole { .. }, Value::Whole(_))
        | (Domain::Number { .. }, Value::Number(_)) => Ok(value.clone()),
        (Domain::Number { .. }, Value::Whole(whole)) => Ok(Value::Number(*whole as f64)),
        (_, Value::Text(text)) => from_maker(domain, text, what),
        _ => Err(Fault::wrong_value(format!(
            "{what} must be {}",
            described(domain)
        ))),
    }
}

fn shown(value: &Value) -> String {
    match value {
        Value::YesNo(value) => value.to_string(),
        Value::Whole(value) => value.to_string(),
        Value::Number(value) => value.to_string(),
        Value::Text(value) => format!("{value:?}"),
    }
}

fn checked_text(domain: &Domain, text: &str, what: &str) -> Result<Value, Fault> {
    match domain {
        Domain::Choice { choices } if !choices.iter().any(|choice| choice == text) => {
            let choices: Vec<&str> = choices.iter().map(String::as_str).collect();
            Err(args::no_choice(text, what, &choices))
        }
        Domain::Colour if crate::stock::Colour::parse(text).is_err() => Err(Fault::wrong_value(
            format!("{what} must be a colour, not {text:?}"),
        )
        .help(
            "write the name of a wood or dye, or a CSS colour: \"walnut\", \"poppy\", \"#1e3a5f\"",
        )),
        _ => Ok(Value::Text(text.to_owned())),
    }
}

fn check_range(domain: &Domain, value: &Value, what: &str) -> Result<(), Fault> {
    let within = match (domain, value) {
        (Domain::Whole { least, most }, Value::Whole(value)) => {
            least.is_none_or(|least| *value >= least) && most.is_none_or(|most| *value <= most)
        }
        (Domain::Number { least, most, .. }, Value::Number(value)) => {
            // A millionth of a mm of grace: 3/4 in and 19.05 are the same to a maker.
            least.is_none_or(|least| *value >= least - 1e-6)
                && most.is_none_or(|most| *value <= most + 1e-6)
        }
        _ => true,
    };
    if within {
        Ok(())
    } else {
        Err(Fault::wrong_value(format!(
            "{what} must be {}",
            described(domain)
        )))
    }
}

/// What a parameter takes, in words: `a whole number from 2 to 40`.
fn described(domain: &Domain) -> String {
    let range = |least: Option<String>, most: Option<String>| match (least, most) {
        (Some(least), Some(most)) => format!(" from {least} to {most}"),
        (Some(least), None) => format!(" from {least} upward"),
        (None, Some(most)) => format!(" up to {most}"),
        (None, None) => String::new(),
    };
    match domain {
        Domain::YesNo => "yes or no".to_owned(),
        Domain::Whole { least, most } => format!(
            "a whole number{}",
            range(least.map(|n| n.to_string()), most.map(|n| n.to_string()))
        ),
        Domain::Number { least, most, unit } => {
            let shown = |mm: f64| match unit.as_deref() {
                Some("in") => format!("{} in", length::to_inches(mm)),
                Some(unit) => format!("{mm} {unit}"),
                None => mm.to_string(),
            };
            let kind = match unit.as_deref() {
                Some("mm" | "in") => "a length",
                Some("deg") => "an angle",
                _ => "a number",
            };
            format!("{kind}{}", range(least.map(shown), most.map(shown)))
        }
        Domain::Choice { choices } => {
            let choices: Vec<String> = choices.iter().map(|c| format!("{c:?}")).collect();
            types::listed(&choices, "or")
        }
        Domain::Colour => "a colour".to_owned(),
        Domain::Text => "a text".to_owned(),
    }
}

fn to_recipe(value: &Value) -> Dynamic {
    match value {
        Value::YesNo(value) => Dynamic::from(*value),
        Value::Whole(value) => Dynamic::from(*value),
        Value::Number(value) => Dynamic::from(*value),
        Value::Text(value) => Dynamic::from(value.clone()),
    }
}
