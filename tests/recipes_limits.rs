//! The bounds on what a recipe may do and hold: whatever it tries, it ends with a message that says
//! which bound, its value, and how to raise it where that can be done.
#![allow(
    clippy::unwrap_used,
    clippy::format_collect,
    reason = "a test may stop at once, and need not be fast"
)]

mod in_memory;

use std::time::Duration;

use in_memory::{place, recipe};
use plyloom::recipe::Failure;
use plyloom::recipe::kind::{Bound, Kind};
use plyloom::recipe::limits;

/// A recipe that is stopped by the bound on steps, set low.
fn steps(text: &str) -> Failure {
    let failure = recipe(text)
        .settings(|s| s.budget.operations = 20_000)
        .fails();
    assert_eq!(
        failure.code, "recipe::too_many_operations",
        "{text}: {failure}"
    );
    assert!(failure.message.contains("20 000"), "{failure}");
    let most = 20_000;
    assert_eq!(failure.kind, Kind::Bound(Bound::Operations { most }));
    failure
}

#[test]
fn endless_loops_end_at_their_head_in_every_form() {
    for (text, head) in [
        ("let n = 0;\nloop { n += 1; }", "2:1 loop"),
        ("let n = 0;\nwhile true { n += 1; }", "2:1 while"),
        ("let n = 0;\nfor i in 0..1000000000 { n = i; }", "2:1 for"),
        (
            "let n = 0;\nfor i in range(0, 1000000000, 3) { n = i; }",
            "2:1 for",
        ),
        ("let n = 0;\ndo { n += 1; } while true;", "2:1 do"),
        ("loop {}", "1:1 loop"),
        ("for i in 0..1000000000 {}", "1:1 for"),
        ("for a in 0..9 { while true { let b = a; } }", "1:17 while"),
    ] {
        let failure = steps(text);
        assert_eq!(place(&failure), head, "{text}");
        assert_eq!(
            failure.label.as_deref(),
            Some("this loop was still running")
        );
    }
}

#[test]
fn endless_loops_inside_functions_are_told_where_the_text_makes_them_plain() {
    for (text, at, label) in [
        (
            "fn spin() { loop { let a = 1; } }\nlet x = 1;\nspin();",
            "1:13 loop",
            "this loop was still running",
        ),
        (
            "fn spin() { loop { let a = 1; } }\nfn set_off() { spin() }\nset_off();",
            "1:13 loop",
            "this loop was still running",
        ),
        (
            "fn spin() { for a in 0..9 { let b = a; } loop { let a = 1; } }\nspin();",
            "1:4 spin",
            "this function was still running",
        ),
        (
            "fn spin() { let again = || { while true { } }; again.call() }\nfn still() { 1 }\nfn both() { still(); spin() }\nboth();",
            "4:1 both",
            "this call was still running",
        ),
    ] {
        let failure = steps(text);
        assert_eq!(place(&failure), at, "{text}");
        assert_eq!(failure.label.as_deref(), Some(label), "{text}");
    }
    let failure = steps("let spin = || { loop { let a = 1; } };\n[1].map(|x| spin.call());");
    assert_eq!(place(&failure), "2:5 map");
}

#[test]
fn steps_inside_callbacks_count_for_the_whole_run() {
    // Each callback takes a handful of steps; Rhai's own counter would start anew for each.
    let text = "let list = []; list.pad(9000, 1); list.map(|x| x + 1); list.map(|x| x + 2);";
    steps(text);
    recipe(text).works();
}

#[test]
fn no_recipe_catches_a_bound() {
    steps("loop { try { loop { let a = 1; } } catch { } }");
    let failure = recipe("try { let s = \"\"; s.pad(300000, 'x'); } catch { }").fails();
    assert_eq!(failure.code, "recipe::text_too_long");
}

#[test]
fn time_is_bounded_and_the_message_says_how_to_raise_it() {
    let failure = recipe("let a = 0;\nloop { a = 1 - a; }")
        .settings(|s| {
            s.budget.time = Duration::from_millis(50);
            s.budget.operations = u64::MAX;
        })
        .fails();
    assert_eq!(failure.code, "recipe::too_long");
    assert_eq!(failure.message, "the recipe ran for more than 0.05 s");
    let seconds = 0.05;
    assert_eq!(failure.kind, Kind::Bound(Bound::Time { seconds }));
    assert_eq!(place(&failure), "2:1 loop");
}

#[test]
fn memory_is_bounded_also_where_no_single_value_is_large() {
    // A thousand lists, none of them too long, each held by a function.
    let failure = recipe(
        "let held = []; let list = []; list.pad(90000, 0);\nloop { let copy = list; held.push(|| copy); }",
    )
    .settings(|s| s.budget.memory = 64 * 1024 * 1024)
    .fails();
    assert_eq!(failure.code, "recipe::too_much_memory", "{failure}");
    assert_eq!(
        failure.message,
        "the recipe took more than 64 MiB of memory"
    );
    let mebibytes = 64;
    assert_eq!(failure.kind, Kind::Bound(Bound::Memory { mebibytes }));
}

#[test]
fn a_long_chain_of_functions_ends_without_breaking_the_program() {
    let failure = recipe("let f = || 0; loop { let g = f; f = || g; }")
        .settings(|s| {
            s.budget.memory = 32 * 1024 * 1024;
            s.budget.operations = u64::MAX;
        })
        .fails();
    assert_eq!(failure.code, "recipe::too_much_memory", "{failure}");
}

#[test]
fn fixed_bounds_say_which_and_that_they_are_fixed() {
    let many_functions: String = (0..=limits::FUNCTIONS)
        .map(|i| format!("fn f{i}() {{ 1 }}\n"))
        .collect();
    let many_variables: String = (0..=limits::VARIABLES)
        .map(|i| format!("let v{i} = 1;\n"))
        .collect();
    let wide_text = format!("let t = \"{}\";", "x".repeat(limits::SOURCE_BYTES));
    let deep = format!("let x = {}1{};", "(".repeat(200), ")".repeat(200));
    let sum = format!("let x = {}1;", "1 + ".repeat(200));
    for (text, code, value) in [
        ("fn f(x) { f(x + 1) } f(1)", "recipe::too_many_calls", "64"),
        (
            "let f = |g| g.call(g); f.call(f)",
            "recipe::too_many_calls",
            "64",
        ),
        (
            "fn f(x) { [x].map(|y| f(y)) } f(1)",
            "recipe::too_many_calls",
            "64",
        ),
        (
            "let s = \"x\"; loop { s += s; }",
            "recipe::text_too_long",
            "262 144",
        ),
        (
            "let s = \"x\"; loop { s = `${s}${s}`; }",
            "recipe::text_too_long",
            "262 144",
        ),
        (
            "let s = \"\"; s.pad(99999999, 'x');",
            "recipe::text_too_long",
            "262 144",
        ),
        (
            "let s = \"\"; s.pad(9999, 'x'); s.replace(\"x\", s);",
            "recipe::text_too_long",
            "262 144",
        ),
        (
            "let a = [1]; loop { a += a; }",
            "recipe::list_too_long",
            "100 000",
        ),
        (
            "let a = [1]; loop { a = a + a; }",
            "recipe::list_too_long",
            "100 000",
        ),
        (
            "let a = [1]; loop { a.append(a); }",
            "recipe::list_too_long",
            "100 000",
        ),
        (
            "let a = [1]; loop { a = [a, a]; }",
            "recipe::list_too_long",
            "100 000",
        ),
        (
            "let a = []; a.pad(99999999, 0);",
            "recipe::list_too_long",
            "100 000",
        ),
        (
            "let m = #{ a: 1 }; loop { m = #{ a: m, b: m }; }",
            "recipe::map_too_large",
            "10 000",
        ),
        (
            many_functions.as_str(),
            "recipe::too_many_functions",
            "1 000",
        ),
        (
            many_variables.as_str(),
            "recipe::too_many_variables",
            "1 000",
        ),
        (wide_text.as_str(), "recipe::too_large", "262 144"),
        (deep.as_str(), "recipe::too_deep", "128"),
        (sum.as_str(), "recipe::too_deep", "128"),
    ] {
        let failure = recipe(text).fails();
        let start = &text[..text.len().min(60)];
        assert_eq!(failure.code, code, "{start}: {failure}");
        let shown = failure.to_string();
        assert!(shown.contains(value), "{start}: {shown}");
        assert!(shown.contains("this bound is fixed"), "{start}: {shown}");
    }
}

#[test]
fn growing_in_place_stays_within_the_bounds_of_the_run() {
    // Rhai does not measure what is put into a list or map by its index.
    let doubling = recipe("let a = [0, 0]; loop { a[0] = a; a[1] = a; }").fails();
    assert_eq!(doubling.code, "recipe::list_too_long", "{doubling}");
    steps("let m = #{}; let i = 0; loop { m[`${i}`] = i; i += 1; }");
}

#[test]
fn printing_is_bounded_and_stripped() {
    let failure = recipe("loop { print(\"again\"); }").fails();
    assert_eq!(failure.code, "recipe::too_many_lines", "{failure}");
    let failure = recipe("let s = \"\"; s.pad(20000, '\\n'); print(s);").fails();
    assert_eq!(failure.code, "recipe::too_many_lines", "{failure}");
    let lines = recipe("print(\"a\\x1b[31mb\\tc\\u202ed\\ne\"); debug(1);").prints();
    assert_eq!(lines, ["a[31mb cd", "e", "1"]);
}

#[test]
fn nesting_at_the_bounds_works_in_every_build() {
    // The same in debug and release: as deep as is allowed, on the stack that there is.
    let brackets = format!("let x = {}1{}; print(x);", "(".repeat(60), ")".repeat(60));
    assert_eq!(recipe(&brackets).prints(), ["1"]);
    let inner = format!("{}f(n - 1){}", "(".repeat(40), ")".repeat(40));
    let calls = format!("fn f(n) {{ if n < 1 {{ 0 }} else {{ 1 + {inner} }} }} print(f(60));");
    assert_eq!(recipe(&calls).prints(), ["60"]);
    let chain = format!("let x = -1; print(x{});", ".abs()".repeat(60));
    assert_eq!(recipe(&chain).prints(), ["1"]);
}

#[test]
fn what_recipes_lack_is_not_there() {
    for text in [
        "sleep(1)",
        "exit()",
        "eval(\"1\")",
        "timestamp()",
        "parse_json(\"1\")",
        "open_file(\"x\")",
        "get_fn_metadata_list()",
        "let x = 2 ** 3;",
    ] {
        let failure = recipe(text).fails();
        assert!(
            ["recipe::unknown_word", "recipe::left_out"].contains(&failure.code),
            "{text}: {failure}"
        );
    }
}
