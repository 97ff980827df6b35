//! The names that a recipe has for its tiles at some place of its text.

use crate::geom::angle;
use crate::recipe::diagnostics::tokens::{Token, TokenKind, closing, word};
use crate::recipe::outcome::Named;
use crate::recipe::rewrite::quoted;
use crate::stock::{Pose, Tile};

/// How a tile is written that no variable holds.
pub(super) const BY_NAME: &str = "tile(";

/// The word for a turn.
const ROTATE: &str = "rotate";

/// The names that are good for a place in a text.
pub(super) struct Calls<'a> {
    named: Vec<&'a Named>,
}

impl<'a> Calls<'a> {
    /// At byte `at` of `text`. A name is good when it is declared once, outside of all braces, before
    /// that place, and never changed.
    pub(super) fn at(text: &str, all: &[Token], named: &'a [Named], at: usize) -> Self {
        let open = |until: usize| {
            let before = all.iter().take_while(|t| t.span.start < until);
            before.fold(0_i32, |depth, t| match &text[t.span.clone()] {
                "{" | "#{" => depth + 1,
                "}" => depth - 1,
                _ => depth,
            })
        };
        if open(at) != 0 {
            return Self { named: Vec::new() };
        }
        let good = |named: &&Named| {
            let root = named.written.split('[').next().unwrap_or_default();
            let places = (0..all.len()).filter(|&i| word(text, all, i) == root);
            let mut declared = None;
            for i in places {
                let before = i.checked_sub(1).map_or("", |b| word(text, all, b));
                let after = word(text, all, i + 1);
                if matches!(before, "let" | "const") {
                    if declared.replace(i).is_some() {
                        return false;
                    }
                } else if is_change(text, all, i) && before != "." && after != ":" {
                    return false;
                }
            }
            declared.is_some_and(|i| all[i].span.start < at && open(all[i].span.start) == 0)
        };
        Self {
            named: named.iter().filter(good).collect(),
        }
    }

    /// The tile as the recipe writes it there.
    pub(super) fn written(&self, tile: &Tile) -> String {
        let kind = tile.kind.name();
        let own = self.named.iter().filter(|n| n.tile.kind.name() == kind);
        let steps = |n: &&&Named| {
            let listed = usize::from(n.written.contains('['));
            2 * changes(n.tile.pose, tile.pose).len() + listed
        };
        if let Some(named) = own.min_by_key(steps) {
            let changes = changes(named.tile.pose, tile.pose).concat();
            return format!("{}{changes}", named.written);
        }
        let changes = changes(Pose::default(), tile.pose).concat();
        format!("{BY_NAME}{}){changes}", quoted(kind))
    }
}

/// Whether the name at token `i` is given another value there, or has some put into it.
fn is_change(text: &str, all: &[Token], i: usize) -> bool {
    const CHANGING: [&str; 10] = [
        "push", "insert", "remove", "pop", "shift", "clear", "append", "reverse", "truncate",
        "retain",
    ];
    let assigns = |w: &str| matches!(w, "=" | "+=" | "-=" | "*=" | "/=" | "%=" | "**=");
    let next = word(text, all, i + 1);
    if assigns(next) {
        return true;
    }
    if next == "." {
        return CHANGING.contains(&word(text, all, i + 2));
    }
    next == "[" && closing(text, all, i + 1).is_some_and(|end| assigns(word(text, all, end + 1)))
}

/// The words that bring a tile from one pose to another.
fn changes(from: Pose, to: Pose) -> Vec<String> {
    let mut words = Vec::new();
    let turn = if from.flip == to.flip {
        to.turn - from.turn
    } else {
        words.push(".flip()".to_owned());
        to.turn + from.turn
    };
    let turn = angle::tidied(turn);
    // A turn by less than rounding does not count.
    if turn > 1e-9 && turn < 360.0 - 1e-9 {
        words.push(format!(".{ROTATE}({turn})"));
    }
    words
}

/// Whether tiles are sliced after byte `at`.
pub(super) fn slices_after(text: &str, all: &[Token], at: usize) -> bool {
    let later = all
        .iter()
        .filter(|t| t.span.start >= at && t.kind == TokenKind::Name);
    let mut words = later.map(|t| &text[t.span.clone()]);
    words.any(|w| w == "slice" || w == "import")
}
