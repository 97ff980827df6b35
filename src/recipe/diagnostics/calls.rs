//! Messages for calls that match no function: unknown words, wrong values, properties that are not
//! there.

use crate::recipe::kind::Kind;
use rhai::Engine;

use super::names::{self, Known, kind};
use super::nearest::nearest;
use super::types::values;
use super::{NAMELESS, places, tokens, types};
use crate::recipe::fault::Fault;
use crate::recipe::foreign::instead_of;
use crate::recipe::run::{Run, ScriptFunction};
use crate::recipe::source::Location;
use crate::recipe::{script_types, steps};

/// The fault that no function fits `signature`, as Rhai writes it: `name (type, type)`.
pub(super) fn unknown(engine: &Engine, run: &Run, place: &Location, signature: &str) -> Fault {
    let (name, given) = split(signature);
    if name.starts_with(NAMELESS) {
        return nameless(run, place, name, given.len());
    }
    if !name.starts_with(|c: char| c.is_alphabetic() || c == '_') {
        return operator(name, &given);
    }
    let word = name.rsplit("::").next().unwrap_or(name);
    // Without `::` a name means a function of the same source, with it one of another.
    let mut functions = run.functions();
    functions.retain(|f| (f.source == place.source) == (name == word));
    let own: Vec<&ScriptFunction> = functions.iter().filter(|f| f.name == word).collect();
    if !own.is_empty() {
        return wrong_count(word, &own, given.len());
    }
    if name != word {
        let close = nearest(word, functions.iter().map(|f| f.name.as_str()));
        return Fault::new(
            Kind::UnknownWord {
                word: word.to_owned(),
            },
            format!("the rule module has no function `{word}`"),
        )
        .label("not known")
        .maybe_help(close.map(|close| format!("did you mean `{close}`?")));
    }
    let known = names::known(engine);
    let forms: Vec<&Known> = known
        .iter()
        .filter(|known| known.name == word && !known.form.property)
        .collect();
    if forms.is_empty() {
        return unknown_word(place, word, &given, &known, &functions);
    }
    if given
        .first()
        .is_some_and(|first| types::word(first) == "nothing")
        && is_method(place, word)
    {
        return Fault::new(
            Kind::WrongValues {
                word: word.to_owned(),
            },
            format!("`{word}` is used on nothing"),
        )
        .help("what stands before the point has no value yet, or the word there gives none back");
    }
    wrong_values(place, word, &given, &forms)
}

/// Whether the word at a place is written after a point.
fn is_method(place: &Location, word: &str) -> bool {
    let text = &place.source.text;
    &text[place.span.clone()] == word && text[..place.span.start].trim_end().ends_with('.')
}

/// Splits a signature into the name and the kinds of what was given.
fn split(signature: &str) -> (&str, Vec<&str>) {
    let Some((name, given)) = signature.split_once(" (") else {
        return (signature, Vec::new());
    };
    let given = given.strip_suffix(')').unwrap_or(given);
    if given.is_empty() {
        return (name, Vec::new());
    }
    (name, given.split(", ").collect())
}

/// A function without a name that takes another number of values.
fn nameless(run: &Run, place: &Location, name: &str, given: usize) -> Fault {
    let functions = run.functions();
    let params = functions
        .iter()
        .find(|function| function.name == name)
        .map(|function| function.params.as_slice())
        .unwrap_or_default();
    // The names that it captures stand before its own; both the call and the definition count them.
    let own = own_params(&place.source.text, params);
    let captured = params.len() - own.len();
    let given = given.saturating_sub(captured);
    if given == own.len() {
        let message = "this function cannot be called from here";
        return Fault::new(Kind::WrongCount { given }, message)
            .label("called here")
            .help("write it in the text that calls it, or give it a name and call it by that");
    }
    Fault::new(
        Kind::WrongCount { given },
        format!("the function takes {} but gets {given}", values(own.len())),
    )
    .label("called here")
    .help(format!(
        "write a function of {}: `|{}| ...`",
        values(given),
        sample(given)
    ))
}

/// The longest end of `params` that stands between bars somewhere in the text.
fn own_params<'a>(text: &str, params: &'a [String]) -> &'a [String] {
    let list = tokens::tokens(text);
    let words: Vec<&str> = list.iter().map(|token| &text[token.span.clone()]).collect();
    (0..=params.len())
        .map(|start| &params[start..])
        .find(|own| {
            if own.is_empty() {
                return true;
            }
            let mut written = vec!["|"];
            for (i, name) in own.iter().enumerate() {
                if i > 0 {
                    written.push(",");
                }
                written.push(name);
            }
            written.push("|");
            words.windows(written.len()).any(|window| window == written)
        })
        .unwrap_or_default()
}

fn sample(count: usize) -> String {
    ["a", "b", "c", "d", "e", "f"]
        .into_iter()
        .take(count)
        .collect::<Vec<_>>()
        .join(", ")
}

fn operator(sign: &str, given: &[&str]) -> Fault {
    match (sign, given) {
        (".." | "..=", _) => Fault::new(
            Kind::WrongKind,
            format!(
                "a range goes from one whole number to another, not from {} to {}",
                given.first().map_or_else(String::new, |g| kind(g)),
                given.get(1).map_or_else(String::new, |g| kind(g))
            ),
        )
        .help("write `0..5`; `quotient(a, b)`, `round(x)` and `round_down(x)` give whole numbers"),
        ("!", [only]) => Fault::new(
            Kind::WrongKind,
            format!("`!` turns yes into no; it does not fit {}", kind(only)),
        )
        .help("write a comparison, such as `x == 0`"),
        (_, [only]) => Fault::new(
            Kind::WrongKind,
            format!("`{sign}` does not fit {}", kind(only)),
        ),
        (_, [left, right, ..]) => {
            let fault = Fault::new(
                Kind::WrongKind,
                format!(
                    "`{sign}` does not fit between {} and {}",
                    kind(left),
                    kind(right)
                ),
            );
            if [left, right].iter().any(|side| types::word(side) == "text") {
                return fault.help(
                    "a text is no number: `number(text)` reads a number, `length(text)` a length",
                );
            }
            fault
        }
        _ => Fault::new(Kind::WrongKind, format!("`{sign}` does not fit here")),
    }
}

/// A function of the recipe that takes another number of values.
fn wrong_count(name: &str, own: &[&ScriptFunction], given: usize) -> Fault {
    let forms: Vec<String> = own
        .iter()
        .map(|f| format!("`{name}({})`", f.params.join(", ")))
        .collect();
    let counts: Vec<String> = own.iter().map(|f| f.params.len().to_string()).collect();
    let takes = match own {
        [only] => values(only.params.len()),
        _ => format!("{} values", types::listed(&counts, "or")),
    };
    Fault::new(
        Kind::WrongCount { given },
        format!("`{name}` takes {takes} but gets {given}"),
    )
    .help(format!("it is written {}", types::listed(&forms, "or")))
}

fn unknown_word(
    place: &Location,
    word: &str,
    given: &[&str],
    known: &[Known],
    functions: &[ScriptFunction],
) -> Fault {
    let text = &place.source.text;
    let method = is_method(place, word);
    if !method && names::declared(text).iter().any(|(name, _)| name == word) {
        return Fault::new(
            Kind::UnknownWord {
                word: word.to_owned(),
            },
            format!("`{word}` is no word but the name of a value"),
        )
        .help(format!("if it is a function, write `{word}.call(...)`"));
    }
    let owner = given
        .first()
        .map(|given| types::word(given))
        .filter(|_| method);
    let message = match &owner {
        Some(owner) if owner == "nothing" => {
            format!("there is nothing here that could have `{word}`")
        }
        Some(owner) => format!("{} has no `{word}`", types::with_article(owner)),
        None => format!("there is no word `{word}`"),
    };
    let fault = Fault::new(
        Kind::UnknownWord {
            word: word.to_owned(),
        },
        message,
    )
    .label("not known");
    if let Some(instead) = instead_of(word) {
        return fault.help(instead);
    }
    let takes_owner = |known: &&Known| {
        let first = known.form.params.first().map(|param| param.kind.as_str());
        owner.as_deref().is_none_or(|owner| first == Some(owner))
    };
    if let Some(owner) = &owner
        && known
            .iter()
            .any(|known| known.name == word && known.form.property && takes_owner(&known))
    {
        return Fault::new(
            Kind::UnknownWord {
                word: word.to_owned(),
            },
            format!(
                "`{word}` of {} is read without brackets",
                types::with_article(owner)
            ),
        )
        .help(format!("write `.{word}`"));
    }
    if owner.is_none()
        && let Some(read) = read_off(known, word)
    {
        return fault.help(format!("it is read without brackets: write `{read}`"));
    }
    let words = known
        .iter()
        .filter(takes_owner)
        .map(|known| known.name.as_str());
    let close = nearest(word, words).or_else(|| {
        let all = known.iter().map(|known| known.name.as_str());
        nearest(word, all.chain(functions.iter().map(|f| f.name.as_str())))
    });
    match (close, &owner) {
        (Some(close), None) => {
            let close = read_off(known, close).unwrap_or_else(|| close.to_owned());
            fault.help(format!("did you mean `{close}`?"))
        }
        (Some(close), Some(_)) => fault.help(format!("did you mean `{close}`?")),
        (None, Some(owner)) => fault.maybe_help(offered(&known_of(known, owner), owner)),
        (None, None) => fault,
    }
}

/// How a word that is only ever read off a value is written, as in `cell.column`; none for other words.
fn read_off(known: &[Known], word: &str) -> Option<String> {
    let mut forms = known.iter().filter(|known| known.name == word).peekable();
    let owner = &forms.peek()?.form.params.first()?.kind;
    forms
        .all(|known| known.form.property)
        .then(|| format!("{owner}.{word}"))
}

/// The words of a kind of value.
fn known_of<'a>(known: &'a [Known], owner: &str) -> Vec<&'a Known> {
    known
        .iter()
        .filter(|known| {
            known
                .form
                .params
                .first()
                .is_some_and(|param| param.kind == owner)
        })
        .collect()
}

/// The properties of a script type, for a message where none of them is similar to the name that is
/// written.
fn offered(of_owner: &[&Known], owner: &str) -> Option<String> {
    if !script_types::types().iter().any(|(_, word)| *word == owner) {
        return None;
    }
    let mut names: Vec<String> = of_owner
        .iter()
        .map(|known| {
            let brackets = if known.form.property { "" } else { "()" };
            format!("`.{}{brackets}`", known.name)
        })
        .filter(|name| !name.starts_with("`.to_"))
        .collect();
    names.dedup();
    let shown = types::with_article(owner);
    (!names.is_empty()).then(|| format!("{shown} has {}", types::listed(&names, "and")))
}

/// A known word with values that it does not take.
fn wrong_values(place: &Location, word: &str, given: &[&str], forms: &[&Known]) -> Fault {
    let fault = values_that_do_not_fit(word, given, forms);
    let takes_fewer = || {
        forms
            .iter()
            .any(|form| form.form.params.len() + 1 == given.len())
    };
    if let Some(meant) = places::comma_in_call(place)
        && takes_fewer()
    {
        return fault.help(with_point(&meant));
    }
    let owners = usize::from(is_method(place, word));
    if let Some(written) = name_first(word, given, forms, owners) {
        return fault.help(format!("its name comes first: `{written}`"));
    }
    odd_one(fault, given, forms, owners)
}

/// The form of a word that begins with a name, where that name is all that is missing.
fn name_first(word: &str, given: &[&str], forms: &[&Known], owners: usize) -> Option<String> {
    let own = given.get(owners..)?;
    if own
        .first()
        .is_some_and(|first| types::word(first) == "text")
    {
        return None;
    }
    forms.iter().find_map(|form| {
        let (name, rest) = form.form.params.get(owners..)?.split_first()?;
        if name.name != "name" || rest.len() != own.len() {
            return None;
        }
        let rest = rest.iter().map(|param| param.name.as_str());
        let values: Vec<&str> = std::iter::once("\"name\"").chain(rest).collect();
        Some(format!("{word}({})", values.join(", ")))
    })
}

/// Where only one form of the word takes as many values: blames the first value that is of another kind
/// than this form takes, and names the steps of the trade that lead from one kind to the other.
fn odd_one(fault: Fault, given: &[&str], forms: &[&Known], owners: usize) -> Fault {
    let mut fitting = forms
        .iter()
        .filter(|form| form.form.params.len() == given.len());
    let (Some(form), None) = (fitting.next(), fitting.next()) else {
        return fault;
    };
    let is_odd = |wanted: &str, got: &str| {
        types::is_kind(wanted) && got != wanted && (got, wanted) != ("whole number", "number")
    };
    let mut pairs = form.form.params.iter().zip(given);
    let Some(odd) = pairs.position(|(param, given)| is_odd(&param.kind, &types::word(given)))
    else {
        return fault;
    };
    let fault = match odd.checked_sub(owners) {
        Some(number) => fault.argument(number),
        None => fault,
    };
    let how = steps::made_from(&form.form.params[odd].kind, &types::word(given[odd]));
    match how {
        Some(how) => fault.help(how),
        None => fault,
    }
}

/// What to write for a number with a comma in it.
pub(super) fn with_point(meant: &str) -> String {
    format!("decimals are written with a point: {meant}; a comma begins the next value")
}

fn values_that_do_not_fit(word: &str, given: &[&str], forms: &[&Known]) -> Fault {
    let got: Vec<String> = given.iter().map(|given| kind(given)).collect();
    let got = types::listed(&got, "and");
    let mut written: Vec<String> = forms
        .iter()
        .map(|known| format!("`{}`", known.form.written(word)))
        .collect();
    written.dedup();
    let message = match forms {
        [only] => {
            let takes: Vec<String> = only
                .form
                .params
                .iter()
                .map(|param| types::with_article(&param.kind))
                .collect();
            format!(
                "`{word}` expects {}; got {got}",
                types::listed(&takes, "and")
            )
        }
        _ => format!("`{word}` cannot take {got}"),
    };
    Fault::new(
        Kind::WrongValues {
            word: word.to_owned(),
        },
        message,
    )
    .help(format!("it is written {}", types::listed(&written, "or")))
}

/// The fault for a property that is not there, from Rhai's message.
pub(super) fn unknown_property(engine: &Engine, sentence: &str) -> Fault {
    let unknown = |name: &str| Kind::UnknownProperty {
        name: name.to_owned(),
    };
    let quoted: Vec<&str> = sentence.split('\'').skip(1).step_by(2).collect();
    let (property, owner) = match quoted.as_slice() {
        [property, owner, ..] => (*property, types::word(owner)),
        _ => return Fault::new(unknown(sentence), "there is no such property"),
    };
    let shown = types::with_article(&owner);
    if sentence.starts_with("No writable") {
        return Fault::new(
            unknown(property),
            format!("{shown} has no `{property}` that could be changed"),
        );
    }
    let known = names::known(engine);
    let of_owner = known_of(&known, &owner);
    let fault =
        Fault::new(unknown(property), format!("{shown} has no `{property}`")).label("not known");
    if of_owner.iter().any(|known| known.name == property) {
        return fault.help(format!(
            "`{property}` is used with brackets: `.{property}(...)`"
        ));
    }
    if let Some(instead) = instead_of(property) {
        return fault.help(instead);
    }
    if matches!(property, "length" | "size" | "count")
        && of_owner.iter().any(|known| known.name == "len")
    {
        return fault.help("write `.len()`");
    }
    let close = nearest(property, of_owner.iter().map(|known| known.name.as_str()));
    match close {
        Some(close) => fault.help(format!("did you mean `{close}`?")),
        None => fault.maybe_help(offered(&of_owner, &owner)),
    }
}
