//! Rule modules: where names lead, where they never lead, and what is read.
#![allow(
    clippy::unwrap_used,
    clippy::format_collect,
    reason = "a test may stop at once, and need not be fast"
)]

use crate::in_memory::{place, recipe};

#[test]
fn a_module_gives_its_functions_and_what_it_exports() {
    let lines =
        recipe("import \"rings\" as r;\nprint(r::twice(4)); print(r::width); print(r::via());")
            .module(
                "rings",
                "export const width = 18;\nfn twice(x) { x * 2 }\nfn via() { twice(5) }",
            )
            .prints();
    assert_eq!(lines, ["8", "18", "10"]);
}

#[test]
fn functions_of_the_recipe_may_use_an_import_at_its_top() {
    let lines = recipe(
        "import \"rings\" as r;\nfn f() { r::one() }\nprint(f()); print([1].map(|x| r::one()));",
    )
    .module("rings", "fn one() { 1 }")
    .prints();
    assert_eq!(lines, ["1", "[1]"]);
}

#[test]
fn the_recipes_own_folder_goes_before_the_library() {
    let own = "fn thue_morse(n) { \"own\" }";
    let run = |written: &str| {
        recipe(&format!(
            "import \"{written}\" as s; print(s::thue_morse(4));"
        ))
        .module("sequences", own)
        .prints()
    };
    assert_eq!(run("sequences"), ["own"]);
    assert_eq!(run("./sequences"), ["own"]);
    assert_eq!(run("plyloom/sequences"), ["[0, 1, 1, 0]"]);
    let failure = recipe("import \"./sequences\" as s;").fails();
    assert_eq!(failure.code, "recipe::module_not_found");
}

#[test]
fn modules_import_modules_counted_from_the_recipes_folder() {
    let outcome = recipe("import \"a\" as a; print(a::depth());")
        .module("a", "import \"deep/b\" as b; fn depth() { b::depth() + 1 }")
        .module("deep/b", "import \"c\" as c; fn depth() { c::depth() + 1 }")
        .module("c", "fn depth() { 1 }");
    let (result, lines) = outcome.run();
    let outcome = result.unwrap();
    assert_eq!(lines, ["3"]);
    let names: Vec<&str> = outcome.sources.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["test.rhai", "a.rhai", "deep/b.rhai", "c.rhai"]);
}

#[test]
fn a_module_is_evaluated_once() {
    let lines =
        recipe("import \"a\" as a; import \"a\" as again; import \"b\" as b; print(b::x());")
            .module("a", "print(\"once\"); fn x() { 1 }")
            .module("b", "import \"a\" as a; fn x() { a::x() }")
            .prints();
    assert_eq!(lines, ["once", "1"]);
}

#[test]
fn a_module_sees_nothing_of_its_importer() {
    let failure = recipe("let secret = 1; fn helper() { 2 } import \"a\" as a;")
        .module("a", "let x = helper();")
        .fails();
    assert_eq!(failure.code, "recipe::unknown_word");
    assert_eq!(failure.place.unwrap().source.name, "a.rhai");
    let failure = recipe("let secret = 1; import \"a\" as a;")
        .module("a", "let x = secret;")
        .fails();
    assert_eq!(failure.code, "recipe::unknown_name");
}

#[test]
fn circles_are_named() {
    let failure = recipe("import \"a\" as a;")
        .module("a", "import \"b\" as b;")
        .module("b", "import \"c\" as c;")
        .module("c", "import \"a\" as a;")
        .fails();
    assert_eq!(failure.code, "recipe::import_cycle");
    assert!(failure.message.ends_with("a -> b -> c -> a"), "{failure}");
    assert_eq!(failure.place.as_ref().unwrap().source.name, "c.rhai");
    assert_eq!(failure.trace.len(), 3);
    let failure = recipe("import \"self\" as a;")
        .module("self", "import \"./self\" as a;")
        .fails();
    assert!(failure.message.ends_with("self -> self"), "{failure}");
}

#[test]
fn no_name_leads_out_of_the_folder() {
    for name in [
        "../rings",
        "a/../../rings",
        "/etc/passwd",
        "C:rings",
        "C:\\\\rings",
        "a\\\\b",
        "",
        ".",
        "..",
        "./../rings",
        "././rings",
        "plyloom/../rings",
        "a//b",
        "a/",
        ".hidden",
        "a/.b",
        "a.",
        " a",
        "a ",
        "a\\nb",
        "rings.rhai",
        "http://example.org/x",
    ] {
        let failure = recipe(&format!("import \"{name}\" as r;"))
            .module("rings", "")
            .fails();
        assert_eq!(failure.code, "recipe::module_name", "{name}: {failure}");
        assert!(place(&failure).starts_with("1:8 \""), "{name}: {failure}");
    }
}

#[test]
fn a_missing_module_is_named_with_what_could_be_meant() {
    let failure = recipe("import \"rigns\" as r;").module("rings", "").fails();
    assert_eq!(failure.code, "recipe::module_not_found");
    assert_eq!(failure.help.as_deref(), Some("did you mean \"rings\"?"));
    let failure = recipe("import \"sequence\" as r;").fails();
    assert_eq!(failure.help.as_deref(), Some("did you mean \"sequences\"?"));
}

#[test]
fn a_failure_keeps_every_source_that_was_read() {
    let failure = recipe("import \"a\" as a;\nimport \"b\" as b;")
        .module("a", "fn x() { 1 }")
        .module("b", "let x = ;")
        .fails();
    let names: Vec<&str> = failure.sources.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["test.rhai", "a.rhai", "b.rhai"]);
    assert_eq!(failure.place.as_ref().unwrap().source.name, "b.rhai");
    assert_eq!(failure.trace[0].1, "the rule module b.rhai");
    assert_eq!(failure.trace[0].0.line_column(), (2, 8));
}

#[test]
fn an_error_inside_a_module_names_the_recipes_line_first() {
    let failure = recipe("import \"a\" as a;\nlet y = a::outer(0);")
        .module("a", "fn outer(x) { inner(x) }\n\nfn inner(x) { 1 / x }")
        .fails();
    assert_eq!(
        failure.to_string(),
        "recipe::arithmetic: division by zero: 1 / 0\n  at test.rhai:2:12: `outer` fails, with \
         what it gets here\n  inside it at a.rhai:3:17\n  inside it at a.rhai:1:15\n"
    );
}

#[test]
fn a_function_of_a_module_works_in_the_recipes_callbacks_and_fails_with_its_own_line() {
    let lines = recipe("import \"a\" as a; let f = a::adder(2); print([1, 2].map(f));")
        .module("a", "fn adder(n) { |x| x + n }")
        .prints();
    assert_eq!(lines, ["[3, 4]"]);
    let failure = recipe("import \"a\" as a;\nlet f = a::divider();\nprint([1, 2].map(f));")
        .module("a", "fn divider() { |x| x / 0 }")
        .fails();
    assert_eq!(place(&failure), "3:14 map");
    let inside: Vec<String> = failure.inside.iter().map(ToString::to_string).collect();
    assert_eq!(inside, ["a.rhai:1:22"]);
    let lines = recipe("import \"a\" as a; print(a::lend().call(3));")
        .module("a", "import \"b\" as b; fn lend() { b::lend() }")
        .module("b", "fn lend() { |x| helper(x) } fn helper(x) { x * 2 }")
        .prints();
    assert_eq!(
        lines,
        ["6"],
        "through two modules, with what it needs of its own"
    );
}

#[test]
fn the_number_and_size_of_modules_is_bounded() {
    let mut run = recipe(
        &(0..70)
            .map(|i| format!("import \"m{i}\" as m{i};\n"))
            .collect::<String>(),
    );
    for i in 0..70 {
        run = run.module(&format!("m{i}"), "fn x() { 1 }");
    }
    let failure = run.fails();
    assert_eq!(failure.code, "recipe::too_many_modules", "{failure}");
    assert!(failure.message.contains("64"));
    let large = format!("// {}\n", "x".repeat(200_000));
    let mut run = recipe(
        &(0..6)
            .map(|i| format!("import \"m{i}\" as m{i};\n"))
            .collect::<String>(),
    );
    for i in 0..6 {
        run = run.module(&format!("m{i}"), &large);
    }
    let failure = run.fails();
    assert_eq!(failure.code, "recipe::modules_too_large", "{failure}");
}

#[test]
fn imports_must_be_texts() {
    let failure = recipe("import 5 as x;").fails();
    assert_eq!(
        failure.message,
        "a text is expected here, not a whole number"
    );
}
