//! The names that a recipe could have meant, and what to say about one that means nothing.

use rhai::Engine;

use super::nearest::nearest;
use super::tokens::{self, Token, TokenKind};
use super::types;
use crate::recipe::fault::Fault;
use crate::recipe::foreign::instead_of;
use crate::recipe::run::Run;
use crate::recipe::source::Location;
use crate::recipe::vocabulary::hidden;
use crate::recipe::words::Form;

/// A function of the engine: a word of the vocabulary or of the language.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub(super) name: String,
    pub(super) form: Form,
}

/// Every function of the engine that a maker can write, sorted by name and number of values.
pub(super) fn known(engine: &Engine) -> Vec<Known> {
    let mut known = engine.collect_fn_metadata(
        None,
        |info| {
            let (name, form, _) = crate::recipe::words::function(info.metadata);
            let writable = name.starts_with(|c: char| c.is_alphabetic());
            let reachable = form.params.iter().all(|param| !is_unreachable(&param.kind));
            (writable && reachable && !hidden::is_hidden(&name) && !name.contains('$'))
                .then_some(Known { name, form })
        },
        true,
    );
    known.sort_by(|a, b| {
        (&a.name, a.form.params.len())
            .cmp(&(&b.name, b.form.params.len()))
            .then_with(|| a.form.written("").cmp(&b.form.written("")))
    });
    known.dedup_by(|a, b| a.name == b.name && a.form == b.form);
    known
}

/// Number types of Rhai that recipes do not have.
fn is_unreachable(kind: &str) -> bool {
    kind.strip_prefix(['i', 'u', 'f'])
        .is_some_and(|bits| matches!(bits, "8" | "16" | "32" | "64" | "128"))
}

/// The names that a source gives to values, in order: after `let`, `const`, `for`, `as`, `catch (`,
/// in the brackets of `fn` and between the bars of a function without a name.
pub(super) fn declared(text: &str) -> Vec<(String, Token)> {
    let list = tokens::tokens(text);
    let word = |token: &Token| text[token.span.clone()].to_owned();
    let mut found = Vec::new();
    let mut i = 0;
    while i < list.len() {
        let here = word(&list[i]);
        let closing = match here.as_str() {
            "let" | "const" | "as" => {
                found.extend(list.get(i + 1).map(|t| (word(t), t.clone())));
                None
            }
            "for" => Some("in"),
            "catch" | "fn" => Some(")"),
            "|" if opens_bars(text, &list, i) => Some("|"),
            _ => None,
        };
        i += 1;
        if let Some(closing) = closing {
            let start = i + usize::from(here == "fn");
            i = start;
            while i < list.len() && word(&list[i]) != closing && i < start + 40 {
                if list[i].kind == TokenKind::Name {
                    found.push((word(&list[i]), list[i].clone()));
                }
                i += 1;
            }
            i += 1;
        }
    }
    found.retain(|(name, token)| token.kind == TokenKind::Name && name != "in");
    found
}

/// Whether the bar at `list[i]` begins a function without a name rather than an "or" of bits.
fn opens_bars(text: &str, list: &[Token], i: usize) -> bool {
    let Some(before) = i.checked_sub(1).map(|i| &list[i]) else {
        return true;
    };
    before.kind == TokenKind::Sign && !matches!(&text[before.span.clone()], ")" | "]" | "}")
}

/// What to say about a name of a value that is not known at its place.
pub(super) fn unknown_value(engine: &Engine, run: &Run, place: &Location, name: &str) -> Fault {
    let text = &place.source.text;
    let fault = Fault::new(
        crate::recipe::kind::Kind::UnknownName {
            name: name.to_owned(),
        },
        format!("there is nothing called `{name}` here"),
    )
    .label("not known");
    let declared = declared(text);
    let mut functions = run.functions();
    functions.retain(|function| function.source == place.source);
    let known = known(engine);
    let before = text[..place.span.start].trim_end();
    if before.ends_with("import") {
        return fault.help(format!(
            "names of rule modules stand in quotes: `import \"{name}\" as {name};`"
        ));
    }
    if before.ends_with('{')
        && tokens::next(text, place.span.end).is_some_and(|t| &text[t.span] == ":")
    {
        return fault.help("a map begins with `#{`");
    }
    if let Some((_, first)) = declared.iter().find(|(known, _)| known == name) {
        return fault.help(if inside_function(text, place.span.start, first.span.start) {
            format!("a function does not see the names outside of it: hand `{name}` over as one of its values")
        } else if first.span.start > place.span.start {
            format!("`{name}` is made further down: move that line up")
        } else {
            format!("`{name}` is known only inside the block in curly brackets where it is made: make it before the block")
        });
    }
    if let Some(instead) = instead_of(name) {
        return fault.help(instead);
    }
    if tokens::next(text, place.span.end).is_some_and(|t| matches!(&text[t.span], "=>" | "->")) {
        return fault.help(format!(
            "a function without a name is written `|{name}| ...`"
        ));
    }
    if name == "cell" {
        return fault.help("a cell is what a function of `fill` gets: `|cell| cell.column > 2`");
    }
    if crate::stock::Colour::parse(name).is_ok() {
        return fault.help(format!("colours are texts, in quotes: \"{name}\""));
    }
    if known.iter().any(|word| word.name == name)
        || functions.iter().any(|function| function.name == name)
    {
        return fault.help(format!(
            "`{name}` is a word that is used with brackets: `{name}(...)`"
        ));
    }
    // Names of the recipe itself go before words of the vocabulary.
    let own = declared.iter().map(|(name, _)| name.as_str());
    let own = own.chain(functions.iter().map(|function| function.name.as_str()));
    let close = nearest(name, own).or_else(|| {
        let words = known.iter().filter(|word| !word.form.property);
        nearest(name, words.map(|word| word.name.as_str()))
    });
    match close {
        Some(close) => fault.help(format!("did you mean `{close}`?")),
        None => fault.help(format!("give it a value first: `let {name} = ...;`")),
    }
}

/// What to say about a name before `::` that no `import` has given.
pub(super) fn unknown_module(place: &Location, name: &str) -> Fault {
    let text = &place.source.text;
    let list = tokens::tokens(text);
    let imported: Vec<&str> = list
        .windows(2)
        .filter(|pair| &text[pair[0].span.clone()] == "as")
        .map(|pair| &text[pair[1].span.clone()])
        .collect();
    let fault = Fault::new(
        crate::recipe::kind::Kind::UnknownModule {
            name: name.to_owned(),
        },
        format!("there is no rule module called `{name}` here"),
    )
    .label("not imported");
    match nearest(name, imported.iter().copied()) {
        Some(close) => fault.help(format!("did you mean `{close}`?")),
        None if imported.contains(&name) => {
            fault.help("the `import` stands further down or in another block: move it to the top")
        }
        None => fault.help(format!(
            "import it at the top: `import \"{name}\" as {name};`"
        )),
    }
}

/// Whether `at` lies inside a named function that `declaration` lies outside of.
fn inside_function(text: &str, at: usize, declaration: usize) -> bool {
    functions(text)
        .iter()
        .any(|body| body.contains(&at) && !body.contains(&declaration))
}

/// The named functions of a text: from `fn` to the closing bracket.
pub(super) fn functions(text: &str) -> Vec<std::ops::Range<usize>> {
    let list = tokens::tokens(text);
    let word = |token: &Token| &text[token.span.clone()];
    let mut found = Vec::new();
    for (i, token) in list.iter().enumerate() {
        if word(token) != "fn" {
            continue;
        }
        let mut depth = 0_usize;
        let mut end = text.len();
        for inner in &list[i..] {
            match word(inner) {
                "{" | "#{" => depth += 1,
                "}" => {
                    depth = depth.saturating_sub(1);
                    if depth == 0 {
                        end = inner.span.end;
                        break;
                    }
                }
                _ => {}
            }
        }
        found.push(token.span.start..end);
    }
    found
}

/// A value in a message: `a text`.
pub(super) fn kind(rhai: &str) -> String {
    types::with_article(&types::word(rhai))
}
