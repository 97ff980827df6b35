//! `plyloom preview`: what goes wrong is told with its place, and nothing is half done.

mod common;

use common::Bench;

#[test]
fn a_mistake_is_told_with_file_line_column_and_source() {
    let bench = Bench::new().file(
        "in/a.rhai",
        "let a = 1;\nlet b = [\"é\", plywod(13, 18)];\n",
    );
    let ran = bench.run(&["preview", "in/a.rhai"]);
    ran.ended(1)
        .err_has("in/a.rhai:2:15")
        .err_has("2 | let b = [\"é\", plywod(13, 18)];")
        .err_has("plywood");
    assert_eq!(ran.out, "");
    assert_eq!(bench.names("in"), ["a.rhai"]);
}

#[test]
fn a_mistake_in_a_module_is_told_with_the_calls_that_led_there() {
    Bench::new()
        .file("a.rhai", "import \"rules/m\" as m;\nm::f(0);\n")
        .file("rules/m.rhai", "fn f(n) {\n  sqrt(n - 1)\n}\n")
        .run(&["preview", "a.rhai"])
        .ended(1)
        .err_has("rules/m.rhai:2:3")
        .err_has("called from a.rhai:2:4")
        .err_has("2 | m::f(0);");
}

#[test]
fn a_value_that_the_recipe_does_not_take_is_wrong_usage() {
    let bench = Bench::new().file("a.rhai", "let n = param(\"courses\", 3);\n");
    bench
        .run(&["preview", "a.rhai", "--set", "course=4"])
        .ended(2)
        .err_has("did you mean `courses`?");
    bench
        .run(&["preview", "a.rhai", "--set", "courses=many"])
        .ended(2)
        .err_has("courses");
}

#[test]
fn bounds_hold_from_the_command_line() {
    let bench = Bench::new().file("a.rhai", "loop { }\n");
    bench
        .run(&["preview", "a.rhai", "--max-operations", "1000"])
        .ended(1)
        .err_has("--max-operations");
    bench
        .run(&[
            "preview",
            "a.rhai",
            "--max-operations",
            "1_000_000_000_000",
            "--max-seconds",
            "0.2",
        ])
        .ended(1)
        .err_has("--max-seconds");
}

#[test]
fn what_a_recipe_prints_is_no_part_of_the_result() {
    let ran = Bench::new()
        .file("a.rhai", "print(\"counting \\x1b[31m\");\n")
        .run(&["preview", "a.rhai", "--json"]);
    ran.err_has("counting");
    assert_eq!(ran.out, "");
    assert!(!ran.err.contains('\u{1b}'), "{ran:#?}");
}

#[cfg(unix)]
#[test]
fn a_recipe_reads_nothing_outside_its_folder() {
    let bench = Bench::new()
        .file("secret.rhai", "fn f() { 1 }\n")
        .file("in/a.rhai", "import \"../secret\" as s;\n")
        .file("in/b.rhai", "import \"leak\" as s;\n");
    std::os::unix::fs::symlink("../secret.rhai", bench.path("in/leak.rhai")).expect("a link");
    bench
        .run(&["preview", "in/a.rhai"])
        .ended(1)
        .err_has("in/a.rhai:1:8")
        .err_has("own folder");
    bench
        .run(&["preview", "in/b.rhai"])
        .ended(1)
        .err_has("a link leads out of the recipe's folder");
}
