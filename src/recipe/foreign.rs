//! Words that a maker may bring along from other languages or from the bench, and what recipes have
//! instead.

/// Words of Rhai's own library that sort lists, which recipes do not have.
pub(super) const SORTING: [&str; 6] = [
    "sort",
    "sort_by",
    "sort_desc",
    "order",
    "order_by",
    "order_desc",
];
/// How a list is sorted.
pub(super) const SORTED: &str = "write `list = list.sorted(|a, b| a > b)`";

/// Words of other languages and of the bench, each with the word to write instead.
const FOREIGN: &[(&[&str], &str)] = &[
    (
        &["function", "def", "func", "fun"],
        "functions begin with `fn`: `fn name(value) { ... }`",
    ),
    (
        &["var", "local", "set", "auto"],
        "names are given with `let`: `let name = ...;`",
    ),
    (&["and"], "write `&&`"),
    (&["or"], "write `||`"),
    (&["not"], "write `!`"),
    (&["elif", "elsif", "elseif"], "write `else if`"),
    (&["True", "yes"], "write `true`"),
    (&["False", "no"], "write `false`"),
    (
        &["None", "null", "nil", "undefined"],
        "nothing is written `()`",
    ),
    (&["foreach", "each"], "write `for name in list { ... }`"),
    (&["PI", "Pi"], "write `pi()`"),
    (
        &["lambda"],
        "a function without a name is written `|x| x + 1`",
    ),
    (
        &["then", "endif", "end"],
        "what belongs to `if` stands in curly brackets: `if x > 0 { ... }`",
    ),
    (
        &["turn", "spin"],
        "a tile is turned by `tile.rotate(90)`; `tile.rotated` tells how far it is",
    ),
    (&["turned"], "`tile.rotated` tells how far a tile is turned"),
    (
        &["mirror", "reflect"],
        "a tile is turned over by `tile.flip()`",
    ),
    (&["pow"], "write `power(2, 3)`"),
    (&["hypot"], "write `diagonal(300, 400)`"),
    (&["atan2"], "write `direction(x, y)`"),
    (&["floor"], "write `round_down(2.5)`"),
    (&["ceil", "ceiling"], "write `round_up(2.5)`"),
    (&["rand"], "write `pick(\"name\", 0..=5)`"),
    (&SORTING, SORTED),
];

/// What to write instead of a word that recipes do not have; none where nothing is known of it.
pub fn instead_of(name: &str) -> Option<&'static str> {
    let found = FOREIGN.iter().find(|(names, _)| names.contains(&name));
    found.map(|(_, instead)| *instead)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::words::words;

    #[test]
    fn no_word_of_ours_is_taken_for_a_foreign_one() {
        for (names, _) in FOREIGN {
            for name in *names {
                let ours = words().iter().any(|word| word.name == *name);
                assert!(!ours, "{name}");
            }
        }
    }
}
