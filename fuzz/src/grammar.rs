//! Recipes by grammar: most of what comes out can be read, and a good part of it makes panels.

use std::fmt::Write as _;

use arbitrary::{Result, Unstructured};

/// How deep expressions nest.
const DEEPEST: u32 = 4;

/// A recipe as the bytes choose it.
pub fn recipe(bytes: &mut Unstructured<'_>) -> Result<String> {
    let mut text = String::new();
    if bytes.ratio(1, 3)? {
        let _ = writeln!(
            text,
            "about(#{{ title: {}, language: {} }});",
            quoted(bytes)?,
            bytes.int_in_range(0..=2)?
        );
    }
    text.push_str(
        "let sheet = laminate([veneer(0.6, \"navy\"), plywood(5, 12), veneer(0.6, \"navy\")]);\n",
    );
    text.push_str("let s = sheet.square(); let r = sheet.rhombus(60); let b = bar(s); let t = b.slice(\"t\");\n");
    for _ in 0..bytes.int_in_range(1..=8)? {
        statement(bytes, &mut text, 0)?;
    }
    if bytes.ratio(2, 3)? {
        let lattice = *bytes.choose(&[
            "squares(t)",
            "squares(t).running(0.5)",
            "hexagons(hexagon([r, r, r]).slice(\"h\"))",
            "brick(t)",
        ])?;
        let _ = write!(text, "panel({}, {lattice})", quoted(bytes)?);
        for _ in 0..bytes.int_in_range(1..=4)? {
            let word = *bytes.choose(&["size", "finished", "shift", "fill", "fill_where"])?;
            let _ = write!(text, ".{word}(");
            match word {
                "fill" => text.push_str(*bytes.choose(&[
                    "t",
                    "t.flip()",
                    "random(\"mix\", t.looks())",
                    "sequence([t, t.rotate(90)])",
                    "|cell| if cell.column % 2 == 0 { t } else { t.flip() }",
                    "bag(\"b\", #{ })",
                    "x",
                ])?),
                "fill_where" => text.push_str("|cell| cell.edge, t.flip()"),
                _ => {
                    number(bytes, &mut text)?;
                    text.push_str(", ");
                    number(bytes, &mut text)?;
                }
            }
            text.push(')');
        }
        text.push_str(";\n");
    }
    Ok(text)
}

fn statement(bytes: &mut Unstructured<'_>, text: &mut String, depth: u32) -> Result<()> {
    match bytes.int_in_range(0..=11)? {
        0..=4 => {
            text.push_str("let x = ");
            expression(bytes, text, depth)?;
        }
        5 => {
            text.push_str("let p = param(");
            text.push_str(&quoted(bytes)?);
            text.push_str(", ");
            expression(bytes, text, DEEPEST)?;
            text.push_str(", #{ from: ");
            number(bytes, text)?;
            text.push_str(", to: ");
            number(bytes, text)?;
            text.push_str(" })");
        }
        6 => {
            text.push_str("for i in 0..");
            number(bytes, text)?;
            text.push_str(" { let y = ");
            expression(bytes, text, depth + 1)?;
            text.push_str("; }");
        }
        7 => {
            text.push_str("if ");
            expression(bytes, text, depth + 1)?;
            text.push_str(" { ");
            if depth < DEEPEST {
                statement(bytes, text, depth + 1)?;
            }
            text.push('}');
        }
        8 => {
            text.push_str("fn f(a) { ");
            expression(bytes, text, depth + 1)?;
            text.push('}');
        }
        9 => {
            let name = *bytes.choose(&[
                "rings",
                "circle",
                "wrong",
                "none",
                "../up",
                "sequences",
                "plyloom/sequences",
            ])?;
            let _ = write!(text, "import \"{name}\" as m");
        }
        10 => {
            text.push_str("print(");
            expression(bytes, text, depth)?;
            text.push(')');
        }
        _ => {
            text.push_str("try { ");
            expression(bytes, text, depth + 1)?;
            text.push_str("; } catch (e) { print(e); }");
        }
    }
    text.push_str(";\n");
    Ok(())
}

fn expression(bytes: &mut Unstructured<'_>, text: &mut String, depth: u32) -> Result<()> {
    if depth >= DEEPEST || bytes.ratio(1, 3)? {
        return atom(bytes, text);
    }
    match bytes.int_in_range(0..=6)? {
        0 => {
            expression(bytes, text, depth + 1)?;
            text.push_str(*bytes.choose(&[
                " + ", " - ", " * ", " / ", " % ", " == ", " < ", " && ", " ?? ",
            ])?);
            expression(bytes, text, depth + 1)
        }
        1 => {
            text.push('[');
            for _ in 0..bytes.int_in_range(0..=3)? {
                expression(bytes, text, depth + 1)?;
                text.push_str(", ");
            }
            text.push(']');
            Ok(())
        }
        2 => {
            text.push('(');
            expression(bytes, text, depth + 1)?;
            text.push_str(").");
            text.push_str(*bytes.choose(&[
                "flip",
                "turn",
                "slice",
                "looks",
                "end_for_end",
                "rip",
                "rhombus",
                "square",
                "trapezoid",
                "triangle",
                "map",
                "filter",
                "push",
                "len",
                "pad",
                "split",
                "replace",
                "sub_string",
                "keys",
                "abs",
                "round",
                "call",
                "halved",
                "count",
                "same",
                "to_string",
                "reduce",
                "sort",
                "reverse",
                "insert",
                "extract",
                "remove",
            ])?);
            arguments(bytes, text, depth)
        }
        3 => {
            text.push_str(*bytes.choose(&[
                "ply",
                "plywood",
                "veneer",
                "laminate",
                "bar",
                "hexagon",
                "stack",
                "squares",
                "hexagons",
                "rhombuses",
                "triangles",
                "sequence",
                "random",
                "shuffled",
                "choose",
                "range",
                "sin",
                "sqrt",
                "pow",
                "floor",
                "min",
                "max",
                "seed",
                "joint_tolerance",
                "herringbone",
                "basket",
                "f",
                "keeping",
                "differ",
                "symmetric",
            ])?);
            arguments(bytes, text, depth)
        }
        4 => {
            text.push_str("|a| ");
            expression(bytes, text, depth + 1)
        }
        5 => {
            text.push_str("#{ ");
            text.push_str(*bytes.choose(&["a", "from", "gap", "turn"])?);
            text.push_str(": ");
            expression(bytes, text, depth + 1)?;
            text.push_str(" }");
            Ok(())
        }
        _ => {
            text.push_str("if true { ");
            expression(bytes, text, depth + 1)?;
            text.push_str(" } else { ");
            expression(bytes, text, depth + 1)?;
            text.push_str(" }");
            Ok(())
        }
    }
}

fn arguments(bytes: &mut Unstructured<'_>, text: &mut String, depth: u32) -> Result<()> {
    text.push('(');
    for i in 0..bytes.int_in_range(0..=3)? {
        if i > 0 {
            text.push_str(", ");
        }
        expression(bytes, text, depth + 1)?;
    }
    text.push(')');
    Ok(())
}

fn atom(bytes: &mut Unstructured<'_>, text: &mut String) -> Result<()> {
    match bytes.int_in_range(0..=4)? {
        0 | 1 => number(bytes, text),
        2 => {
            text.push_str(&quoted(bytes)?);
            Ok(())
        }
        _ => {
            text.push_str(
                *bytes.choose(&["sheet", "s", "r", "b", "t", "x", "true", "()", "a", "i"])?,
            );
            Ok(())
        }
    }
}

fn number(bytes: &mut Unstructured<'_>, text: &mut String) -> Result<()> {
    let _ = match bytes.int_in_range(0..=5)? {
        0..=2 => write!(text, "{}", bytes.int_in_range(0..=90)?),
        3 => write!(text, "{}", bytes.arbitrary::<i64>()?),
        4 => write!(text, "{:?}", bytes.arbitrary::<f64>()?.clamp(-1e308, 1e308)),
        _ => write!(
            text,
            "{}",
            *bytes.choose(&[
                "0.5",
                "-1",
                "1e-300",
                "9223372036854775807",
                "0.0",
                "\"3/4 in\"",
                "\"18 mm\""
            ])?
        ),
    };
    Ok(())
}

fn quoted(bytes: &mut Unstructured<'_>) -> Result<String> {
    let length = bytes.int_in_range(0..=6)?;
    let mut text = String::new();
    for _ in 0..length {
        text.push(*bytes.choose(&[
            'a', 'b', ' ', '3', '/', '<', '\u{1b}', '\u{202e}', 'ß', '\n', '-', '.', '"',
        ])?);
    }
    Ok(format!("{text:?}")
        .replace("\\u{", "\\x1b")
        .replace('}', ""))
}
