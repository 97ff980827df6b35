//! Parameters and the seed: what a recipe declares, and what a maker sets.

use crate::in_memory::{place, recipe};
use plyloom::recipe::parameter::{Domain, Value};

#[test]
fn kinds_follow_from_the_default() {
    let outcome = recipe(
        r#"param("a", true); param("b", 3); param("c", 2.5); param("d", "hello");
           param("e", "x", #{ choices: ["x", "y"] }); param("f", "navy", #{ kind: "colour" });
           param("g", 18, #{ unit: "mm" }); param("h", 60, #{ unit: "deg", help: "the edge" });
           param("i", 5, #{ from: 1, to: 9 });"#,
    )
    .works();
    let domains: Vec<Domain> = outcome
        .parameters
        .iter()
        .map(|p| p.domain.clone())
        .collect();
    let number = |unit: Option<&str>| Domain::Number {
        least: None,
        most: None,
        unit: unit.map(str::to_owned),
    };
    assert_eq!(
        domains,
        [
            Domain::YesNo,
            Domain::Whole {
                least: None,
                most: None
            },
            number(None),
            Domain::Text,
            Domain::Choice {
                choices: vec!["x".to_owned(), "y".to_owned()]
            },
            Domain::Colour,
            number(Some("mm")),
            number(Some("deg")),
            Domain::Whole {
                least: Some(1),
                most: Some(9)
            },
        ]
    );
    assert_eq!(outcome.parameters[7].help, "the edge");
    assert_eq!(outcome.parameters[6].value, Value::Number(18.0));
}

#[test]
fn lengths_come_out_in_millimetres_whatever_they_are_typed_in() {
    // 1 in = 25.4 mm exactly (international inch, 1959).
    let run = |options: &str, typed: &str| {
        recipe(&format!("print(param(\"w\", 18, #{{ {options} }}));"))
            .set("w", typed)
            .prints()
    };
    assert_eq!(run("unit: \"mm\"", "3/4 in"), ["19.05"]);
    assert_eq!(run("unit: \"mm\"", "23/32\""), ["18.25625"]);
    assert_eq!(run("unit: \"mm\"", "1 1/2 in"), ["38.1"]);
    assert_eq!(run("unit: \"mm\"", "20"), ["20.0"]);
    assert_eq!(run("unit: \"mm\"", "18 mm"), ["18.0"]);
    assert_eq!(run("unit: \"in\"", "2"), ["50.8"]);
    assert_eq!(run("unit: \"in\"", "3/4"), ["19.05"]);
    assert_eq!(run("unit: \"in\"", "18 mm"), ["18.0"]);
    assert_eq!(
        recipe("print(param(\"w\", \"3/4 in\", #{ unit: \"in\" }));").prints(),
        ["19.05"]
    );
    assert_eq!(
        recipe("print(param(\"w\", 1, #{ unit: \"in\" }));").prints(),
        ["25.4"]
    );
}

#[test]
fn what_a_maker_sets_goes_before_the_default() {
    let text = r#"print(param("n", 3)); print(param("b", false)); print(param("t", "x")); print(param("a", 45.0, #{ unit: "deg" }));"#;
    let lines = recipe(text)
        .set("n", "7")
        .set("b", "yes")
        .set("t", "some text")
        .set("a", "22.5°")
        .prints();
    assert_eq!(lines, ["7", "true", "some text", "22.5"]);
    let outcome = recipe(text).set("n", "7").works();
    assert_eq!(outcome.parameters[0].default, Value::Whole(3));
    assert_eq!(outcome.parameters[0].value, Value::Whole(7));
}

#[test]
fn a_value_that_does_not_fit_points_at_the_declaration_and_says_what_would() {
    for (declaration, typed, message) in [
        (
            "param(\"n\", 8, #{ from: 2, to: 40 })",
            "41",
            "`n`, set to \"41\", must be a whole number from 2 to 40",
        ),
        (
            "param(\"n\", 8, #{ from: 2 })",
            "1",
            "`n`, set to \"1\", must be a whole number from 2 upward",
        ),
        (
            "param(\"n\", 8)",
            "8.5",
            "`n`, set to \"8.5\", must be a whole number",
        ),
        (
            "param(\"n\", true)",
            "maybe",
            "`n`, set to \"maybe\", must be yes or no",
        ),
        (
            "param(\"n\", 18, #{ unit: \"mm\", to: 25 })",
            "30 mm",
            "`n`, set to \"30 mm\", must be a length up to 25 mm",
        ),
        (
            "param(\"n\", 1, #{ unit: \"in\", to: 2 })",
            "60 mm",
            "`n`, set to \"60 mm\", must be a length up to 2 in",
        ),
        (
            "param(\"n\", 18, #{ unit: \"mm\" })",
            "thick",
            "`n`, set to \"thick\", must be a length",
        ),
        (
            "param(\"n\", 1.0)",
            "nan",
            "`n`, set to \"nan\", must be a number",
        ),
        (
            "param(\"n\", 1.0)",
            "inf",
            "`n`, set to \"inf\", must be a number",
        ),
        (
            "param(\"n\", \"red\", #{ choices: [\"red\", \"blue\"] })",
            "bleu",
            "`n`, set to \"bleu\", must be \"red\" or \"blue\", not \"bleu\"",
        ),
        (
            "param(\"n\", \"red\", #{ kind: \"colour\" })",
            "rod",
            "`n`, set to \"rod\", must be a colour, not \"rod\"",
        ),
    ] {
        let failure = recipe(&format!("let x = {declaration};"))
            .set("n", typed)
            .fails();
        assert_eq!(failure.code, "recipe::parameter_value", "{failure}");
        assert_eq!(failure.message, message);
        assert_eq!(place(&failure), "1:9 param");
        assert_eq!(failure.label.as_deref(), Some("declared here"));
    }
}

#[test]
fn a_parameter_that_does_not_exist_lists_those_that_do() {
    let text = "param(\"rows\", 8); param(\"cols\", 5);";
    let failure = recipe(text).set("width", "7").fails();
    assert_eq!(failure.code, "recipe::no_such_parameter");
    assert_eq!(failure.help.as_deref(), Some("it has `rows` and `cols`"));
    let failure = recipe(text).set("row", "7").fails();
    assert_eq!(failure.help.as_deref(), Some("did you mean `rows`?"));
    let failure = recipe("let x = 1;").set("row", "7").fails();
    assert_eq!(failure.help.as_deref(), Some("it has no parameters at all"));
}

#[test]
fn declarations_that_make_no_sense_are_refused() {
    for (text, message) in [
        (
            "param(\"n\", 1); param(\"n\", 2)",
            "the parameter `n` is declared twice",
        ),
        (
            "param(\"two words\", 1)",
            "\"two words\" cannot be the name of a parameter",
        ),
        ("param(\"\", 1)", "\"\" cannot be the name of a parameter"),
        (
            "param(\"a=b\", 1)",
            "\"a=b\" cannot be the name of a parameter",
        ),
        (
            "param(\"n\", [])",
            "the default of `n` must be true or false, a number, or a text, not a list",
        ),
        (
            "param(\"n\", 1, #{ form: 2 })",
            "`form` is not among the options of the parameter `n`",
        ),
        (
            "param(\"n\", 50, #{ to: 40 })",
            "the default of `n` must be a whole number up to 40",
        ),
        (
            "param(\"n\", 5, #{ from: 9, to: 3 })",
            "the parameter `n` has no possible value",
        ),
        (
            "param(\"n\", \"a\", #{ choices: [] })",
            "the parameter `n` has no possible value",
        ),
        (
            "param(\"n\", \"a\", #{ choices: [\"b\"] })",
            "the default of `n` must be \"b\", not \"a\"",
        ),
        (
            "param(\"n\", \"a\", #{ from: 1 })",
            "`from` says nothing about the parameter `n`, which takes a text",
        ),
        (
            "param(\"n\", true, #{ unit: \"mm\" })",
            "`unit` says nothing about the parameter `n`, which takes yes or no",
        ),
        (
            "param(\"n\", 5, #{ choices: [\"a\"] })",
            "`choices` says nothing about the parameter `n`, which takes a whole number",
        ),
        (
            "param(\"n\", \"blu\", #{ kind: \"colour\" })",
            "the default of `n` must be a colour, not \"blu\"",
        ),
        (
            "param(\"n\", 1e308 * 10 - 1e308 * 10)",
            "the default of `n` is no number",
        ),
    ] {
        let failure = recipe(text).fails();
        assert_eq!(failure.message, message, "{text}");
    }
}

#[test]
fn options_by_the_names_of_other_tools_are_answered_by_ours() {
    for (option, help) in [
        ("max", "did you mean `to`?"),
        ("min", "did you mean `from`?"),
        ("values", "did you mean `choices`?"),
        ("form", "did you mean `from`?"),
    ] {
        let failure = recipe(&format!("param(\"n\", 1, #{{ {option}: 3 }});")).fails();
        assert_eq!(failure.help.as_deref(), Some(help), "{option}");
    }
}

#[test]
fn the_makers_seed_goes_before_the_recipes_and_that_before_one() {
    assert_eq!(recipe("print(seed());").prints(), ["1"]);
    assert_eq!(recipe("seed(7); print(seed());").prints(), ["7"]);
    let outcome = recipe("seed(7);").settings(|s| s.seed = Some(9)).works();
    assert_eq!(outcome.seed, 9);
    assert_eq!(recipe("seed(7);").works().seed, 7);
}

#[test]
fn the_seed_is_set_once_and_first() {
    assert_eq!(
        recipe("seed(7); seed(8);").fails().code,
        "recipe::seed_twice"
    );
    assert_eq!(
        recipe("print(seed()); seed(8);").fails().code,
        "recipe::seed_too_late"
    );
    assert_eq!(
        recipe("seed(-1);").fails().message,
        "the seed must be a whole number from 0, not -1"
    );
    let failure = recipe("print(seed());")
        .settings(|s| s.seed = Some(u64::MAX))
        .fails();
    assert_eq!(failure.code, "recipe::seed_too_large");
    assert_eq!(
        recipe("let x = 1;")
            .settings(|s| s.seed = Some(u64::MAX))
            .works()
            .seed,
        u64::MAX
    );
}

#[test]
fn a_colour_is_whatever_a_veneer_takes() {
    recipe(r#"let dye = param("dye", "poppy", #{ kind: "colour" }); veneer(0.6, dye);"#).works();
    recipe(r#"let wood = param("wood", "walnut", #{ kind: "colour" }); veneer(0.6, wood);"#)
        .works();
}
