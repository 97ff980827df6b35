//! The mathematics that recipes get, and the sequences of the rule library.

use crate::in_memory::recipe;

#[test]
fn angles_are_in_degrees_and_exact_where_they_can_be() {
    // sin 30 = cos 60 = 1/2, tan 45 = 1: any table of trigonometric values.
    let lines = recipe(
        "print(sin(30)); print(cos(60)); print(tan(45)); print(cos(90)); print(sin(\"30 deg\")); \
         print(asin(1)); print(acos(-1)); print(direction(0, 5)); print(direction(-1, -1));",
    )
    .prints();
    assert_eq!(
        lines,
        [
            "0.5", "0.5", "1.0", "0.0", "0.5", "90.0", "180.0", "90.0", "225.0"
        ]
    );
}

#[test]
fn numbers_round_to_whole_numbers_that_count() {
    let lines = recipe(
        "print(round_down(2.9)); print(round_up(2.1)); print(round(2.5)); print(round(-2.5)); \
         print(round(17.6661, 2)); print(7 / 2); print(6 / 2); print(7.5 / 2); print(7 / 2.0); print(number(\"7\") / 2); print(power(2, 10)); \
         print(power(2, -1)); print(power(2.0, 0.5)); print(around(-1, 6)); print(common_divisor(12, 18)); \
         print(diagonal(3, 4)); print(sqrt(16)); print(length(\"3/4 in\")); for i in 0..round_down(2.9) { print(i); }",
    )
    .prints();
    assert_eq!(
        lines,
        [
            "2",
            "3",
            "3",
            "-3",
            "17.67",
            "3.5",
            "3",
            "3.75",
            "3.5",
            "3.5",
            "1024",
            "0.5",
            "1.4142135623730951",
            "5",
            "6",
            "5.0",
            "4.0",
            "19.05",
            "0",
            "1"
        ]
    );
}

/// The whole quotient is the fraction rounded down, whatever the signs, and the remainder fills the rest.
#[test]
fn a_whole_quotient_is_the_fraction_rounded_down() {
    let lines = recipe(
        "for a in -7..=7 { for b in [-3, -2, -1, 1, 2, 3] { \
           if quotient(a, b) != round_down(a / b) { print(`${a} ${b}`); } \
           if b > 0 && b * quotient(a, b) + around(a, b) != a { print(`rest ${a} ${b}`); } } } \
         print(2 + 12 / 4 / 2 * 3); print(7 - 6 / 4); print(-7 / 2);",
    )
    .prints();
    assert_eq!(lines, ["6.5", "5.5", "-3.5"]);
}

#[test]
fn what_has_no_answer_says_so() {
    for (text, message) in [
        ("sqrt(-1)", "-1 has no square root"),
        ("1.5 / 0", "division by zero: 1.5 / 0"),
        ("1 / 0.0", "division by zero: 1 / 0"),
        ("quotient(7, 0)", "7 cannot be divided by 0"),
        (
            "quotient(7, 1.5)",
            "what goes into it must be a whole number, not a number (1.5)",
        ),
        ("asin(1.5)", "no angle has the sine 1.5"),
        ("tan(90)", "an angle of 90 degrees has no tangent"),
        (
            "power(10, 30)",
            "10 to the power of 30 is too large for a whole number",
        ),
        (
            "round_down(1.0e300)",
            "1e300 is too large for a whole number",
        ),
        ("sin(1e308 * 10)", "the angle of `sin` is infinite"),
        ("around(1, 0)", "a circle of 0 cannot be counted around"),
        ("number(\"x\")", "\"x\" is no number"),
    ] {
        let failure = recipe(text).fails();
        assert!(failure.message.contains(message), "{text}: {failure}");
    }
}

#[test]
fn sorting_by_a_rule_keeps_its_errors_and_survives_nonsense() {
    let lines = recipe(
        "let a = [3, 1, 2]; print(a.sorted(|x, y| x < y)); print([3, 1, 2].sorted(|x, y| y - x)); \
         let b = []; for i in 0..3000 { b.push(i * 7919 % 3001); } b = b.sorted(|x, y| (x + y) % 3 == 0); print(b.len());",
    )
    .prints();
    assert_eq!(lines, ["[1, 2, 3]", "[3, 2, 1]", "3000"]);
    let failure = recipe("let a = [3, 1];\na.sorted(|x, y| foo(x));").fails();
    assert_eq!(failure.message, "there is no word `foo`");
    let failure = recipe("let a = [3, 1];\na.sorted(|x, y| \"x\");").fails();
    assert!(
        failure
            .message
            .starts_with("what the rule for sorting returns must be"),
        "{failure}"
    );
}

#[test]
fn sorting_without_a_rule_takes_numbers_or_texts() {
    let lines = recipe(
        "print([3, 1.5, 2].sorted()); print([\"b\", \"a\"].sorted()); print([].sorted()); \
         let kept = [2, 1]; kept.sorted(); print(kept);",
    )
    .prints();
    assert_eq!(lines, ["[1.5, 2, 3]", "[\"a\", \"b\"]", "[]", "[2, 1]"]);
}

#[test]
fn what_a_value_is_is_told_in_the_words_of_messages() {
    let lines = recipe(
        "let tile = bar(plywood(9, 12).square()).slice(\"t\"); \
         for thing in [1, 1.5, \"a\", [], #{}, true, (), || 1, 0..3, 0..=3, 'c', plywood(9, 12), tile] { \
         print(type_of(thing)); }",
    )
    .prints();
    assert_eq!(
        lines,
        [
            "whole number",
            "number",
            "text",
            "list",
            "map",
            "yes-or-no",
            "nothing",
            "function",
            "range",
            "range",
            "character",
            "sheet",
            "tile"
        ]
    );
}

/// OEIS A010060 (Thue-Morse) and A003849 (the Fibonacci word): first terms, from memory.
#[test]
fn the_librarys_sequences_are_the_published_ones() {
    let lines = recipe(
        "import \"plyloom/sequences\" as s; print(s::thue_morse(16)); print(s::fibonacci_word(21)); \
         print(s::thue_morse(0)); print(s::fibonacci_word(0));",
    )
    .prints();
    assert_eq!(
        lines,
        [
            "[0, 1, 1, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 1, 1, 0]",
            "[0, 1, 0, 0, 1, 0, 1, 0, 0, 1, 0, 0, 1, 0, 1, 0, 0, 1, 0, 1, 0]",
            "[]",
            "[]"
        ]
    );
}

#[test]
fn the_librarys_lists_turn_back_and_spread_evenly() {
    let lines = recipe(
        "import \"plyloom/sequences\" as s; \
         for l in [[], [1], [1, 2], [1, 2, 3]] { print(s::there_and_back(l)); print(s::palindrome(l)); } \
         print(s::repeat_to([1, 2], 5)); print(s::repeat_to([], 5)); print(s::spread(3, 8)); print(s::spread(0, 3)); print(s::spread(3, 3));",
    )
    .prints();
    assert_eq!(
        lines,
        [
            "[]",
            "[]",
            "[1]",
            "[1]",
            "[1, 2]",
            "[1, 2, 1]",
            "[1, 2, 3, 2]",
            "[1, 2, 3, 2, 1]",
            "[1, 2, 1, 2, 1]",
            "[]",
            "[1, 0, 0, 1, 0, 0, 1, 0]",
            "[0, 0, 0]",
            "[1, 1, 1]"
        ]
    );
}
