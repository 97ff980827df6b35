//! Words that had another name once, or that Rhai's own library names otherwise: what they are called
//! now. They no longer work; the message tells the word to write.

use rhai::{Array, Dynamic, Engine, EvalAltResult, FnPtr};

use crate::recipe::fault::Fault;

/// A former name.
struct Former {
    name: &'static str,
    now: &'static str,
    written: &'static str,
}

const fn former(name: &'static str, now: &'static str, written: &'static str) -> Former {
    Former { name, now, written }
}

const FORMER: [Former; 17] = [
    former("rotate", "turn", "tile.turn(90)"),
    former("whole", "pick", "pick(\"name\", 0..=5)"),
    former("pow", "power", "power(2, 3)"),
    former("hypot", "diagonal", "diagonal(300, 400)"),
    former("floor", "round_down", "round_down(2.5)"),
    former("ceil", "round_up", "round_up(2.5)"),
    former("ceiling", "round_up", "round_up(2.5)"),
    former("tumbling", "tumbling_blocks", "tumbling_blocks(tile)"),
    former("differ", "neighbours_differ", "neighbours_differ(\"kind\")"),
    former("sort", "sorted", SORTED),
    former("sort_by", "sorted", SORTED),
    former("sort_desc", "sorted", SORTED),
    former("order", "sorted", SORTED),
    former("order_by", "sorted", SORTED),
    former("order_desc", "sorted", SORTED),
    former("atan2", "direction", "direction(x, y)"),
    former("rand", "pick", "pick(\"name\", 0..=5)"),
];

const SORTED: &str = "list = list.sorted(|a, b| a > b)";

/// Words of Rhai's own library that are never to run: its sorting drops errors of the comparing
/// function and may panic on one that contradicts itself.
const HIDDEN: [&str; 6] = [
    "sort",
    "sort_by",
    "sort_desc",
    "order",
    "order_by",
    "order_desc",
];

/// What a former name is called now.
#[must_use]
pub fn now(name: &str) -> Option<&'static str> {
    let former = FORMER.iter().find(|former| former.name == name)?;
    Some(former.now)
}

/// The fault for a former name.
#[must_use]
pub fn fault(name: &str) -> Option<Fault> {
    let former = FORMER.iter().find(|former| former.name == name)?;
    Some(
        Fault::new(
            "recipe::unknown_word",
            format!("`{name}` is now called `{}`", former.now),
        )
        .label("former name")
        .help(format!("write `{}`", former.written)),
    )
}

/// Whether a word of Rhai's library is hidden from recipes.
#[must_use]
pub fn is_hidden(name: &str) -> bool {
    HIDDEN.contains(&name)
}

/// Puts the faults in the place of the hidden words.
pub fn hide(engine: &mut Engine) {
    for name in HIDDEN {
        let refuse = move || -> Result<Dynamic, Box<EvalAltResult>> {
            fault(name).map_or(Ok(Dynamic::UNIT), |fault| Err(fault.into()))
        };
        engine
            .register_fn(name, move |_: &mut Array| refuse())
            .register_fn(name, move |_: &mut Array, _: FnPtr| refuse())
            .register_fn(name, move |_: &mut Array, _: &str| refuse());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::words::words;

    #[test]
    fn what_a_former_name_is_called_now_is_a_word_and_the_former_name_is_none() {
        let words = words();
        for former in &FORMER {
            assert!(
                words.iter().any(|word| word.name == former.now),
                "{}",
                former.now
            );
            assert!(
                !words.iter().any(|word| word.name == former.name),
                "{}",
                former.name
            );
        }
        assert!(HIDDEN.iter().all(|name| fault(name).is_some()));
    }
}
