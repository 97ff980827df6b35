//! Whatever the text of a recipe, the program does not break: recipes are cut up, doubled and mixed,
//! and each either works or fails with a message whose place lies within the text.

mod in_memory;

use std::sync::Arc;
use std::time::Duration;

use plyloom::recipe::evaluate;
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use proptest::prelude::*;

/// Pieces that recipes are made of, and some that they are not.
const PIECES: [&str; 72] = [
    "let",
    "x",
    "y",
    "=",
    "==",
    "+",
    "-",
    "*",
    "/",
    "%",
    "<",
    "&&",
    "!",
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    "#{",
    ",",
    ";",
    ":",
    ".",
    "..",
    "..=",
    "|",
    "||",
    "?.",
    "??",
    "=>",
    "::",
    "fn",
    "f",
    "if",
    "else",
    "for",
    "in",
    "while",
    "loop",
    "do",
    "break",
    "continue",
    "return",
    "throw",
    "try",
    "catch",
    "switch",
    "_",
    "const",
    "import",
    "\"rings\"",
    "as",
    "r",
    "export",
    "this",
    "1",
    "0",
    "2.5",
    "true",
    "()",
    "'c'",
    "\"text\"",
    "`a${x}b`",
    "print",
    "param",
    "sin",
    "[1, 2, 3]",
    ".map(|x| x + 1)",
    ".push(x)",
    "\u{e4}",
    "\"",
];

fn holds(text: &str) {
    let host = MemoryHost::new().with("rings", "fn f(x) { |y| x + y }");
    let mut settings = Settings::default();
    settings.budget.operations = 20_000;
    settings.budget.time = Duration::from_secs(10);
    let source = Arc::new(Source::new("test.rhai", text));
    if let Err(failure) = evaluate(&source, &settings, Arc::new(host)) {
        assert_ne!(failure.code, "recipe::broken", "{text}");
        assert!(!failure.message.is_empty(), "{text}");
        in_memory::places_lie_in_the_text(&failure, text);
        let told = failure.to_string();
        assert!(!told.contains("anon$"), "{text}: {told}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_row_of_pieces(pieces in prop::collection::vec(prop::sample::select(&PIECES[..]), 1..40)) {
        holds(&pieces.join(" "));
    }

    #[test]
    fn any_text(text in "\\PC{0,60}") {
        holds(&text);
    }

    #[test]
    fn a_good_recipe_with_a_cut_and_a_stray_piece(
        cut in 0..400_usize,
        length in 0..12_usize,
        stray in prop::sample::select(&PIECES[..]),
    ) {
        let good = "let rows = param(\"rows\", 8, #{ from: 2, to: 40 });\nfn wide(n) { if n > 1 { n * 2 } else { 0 } }\nlet list = [1, 2, 3].map(|i| wide(i) + rows);\nimport \"rings\" as r;\nfor (v, i) in list { print(`${i}: ${v}`); }\nlet add = r::f(2);\nprint(add.call(rows));\nlet m = #{ a: list, b: sin(30) };\nwhile m.a.len() > 0 { m.a.pop(); }\n";
        let start = cut.min(good.len());
        let end = (start + length).min(good.len());
        holds(&format!("{} {stray} {}", &good[..start], &good[end..]));
    }
}
