//! Which functions of a recipe are pure: what they give depends on what they are called with alone,
//! and nothing else notices that they were called. Such a function can be called in any order, and
//! by several threads at once (see `super::parallel_calls`).
//!
//! The answer is on the safe side: a function is pure when all of it is in a short list of things
//! that are. It may read what it captured, decide, reckon, turn and flip tiles, and draw by chance
//! (a draw depends on the seed, its name and the cell). It may set variables of its own. It may not
//! print, change what it captured, or call other functions of the recipe.

use rhai::{AST, ASTNode, Expr, FnPtr, ScriptFnMetadata, Stmt};

use super::call::alone;

/// Words that only look at what they are given.
const PURE: [&str; 26] = [
    "coloured",
    "rotate",
    "flip",
    "chance",
    "pick",
    "sin",
    "cos",
    "tan",
    "asin",
    "acos",
    "atan",
    "direction",
    "sqrt",
    "diagonal",
    "power",
    "round_down",
    "round_up",
    "round",
    "around",
    "quotient",
    "pi",
    "abs",
    "min",
    "max",
    "len",
    "contains",
];

/// The most steps that one part of a function is counted as: itself, and as a link of a chain.
const STEPS: u64 = 2;

/// What is known of a pure function.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Pure {
    /// The most steps that a call can take; none where it has a loop.
    pub(super) steps: Option<u64>,
}

/// What is known of a function of this recipe; nothing where it is not pure.
pub(super) fn pure(recipe: &AST, function: &FnPtr) -> Option<Pure> {
    let mut functions = recipe.iter_functions();
    if functions.any(|own| PURE.contains(&own.name)) {
        return None;
    }
    let named = |own: &ScriptFnMetadata<'_>| own.name == function.fn_name();
    let itself = recipe.iter_functions().find(named)?;
    // What it captured is a parameter like the others; all else is its own.
    let own = |name: &str| !itself.params.contains(&name);
    let alone = alone(recipe, itself.name);
    // The call itself is a step; without a loop, no part of the function is carried out twice.
    let mut steps = Some(1);
    let pure = alone.walk(&mut |path: &[ASTNode<'_>]| {
        steps = steps.map(|sum: u64| sum + STEPS);
        match path.last() {
            Some(ASTNode::Stmt(statement)) => {
                if matches!(statement, Stmt::While(..) | Stmt::Do(..) | Stmt::For(..)) {
                    steps = None;
                }
                pure_statement(statement, own)
            }
            Some(ASTNode::Expr(expression)) => pure_expression(expression),
            _ => false,
        }
    });
    pure.then_some(Pure { steps })
}

/// The parts inside of it are looked at separately.
fn pure_statement(statement: &Stmt, own: impl Fn(&str) -> bool) -> bool {
    match statement {
        Stmt::Noop(..)
        | Stmt::If(..)
        | Stmt::Switch(..)
        | Stmt::While(..)
        | Stmt::Do(..)
        | Stmt::For(..)
        | Stmt::Var(..)
        | Stmt::Block(..)
        | Stmt::Expr(..)
        | Stmt::BreakLoop(..)
        | Stmt::Return(..) => true,
        Stmt::FnCall(call, ..) => pure_call(call),
        Stmt::Assignment(parts) => {
            matches!(&parts.1.lhs, Expr::Variable(variable, ..) if own(&variable.1))
        }
        _ => false,
    }
}

fn pure_expression(expression: &Expr) -> bool {
    match expression {
        Expr::BoolConstant(..)
        | Expr::IntegerConstant(..)
        | Expr::FloatConstant(..)
        | Expr::CharConstant(..)
        | Expr::StringConstant(..)
        | Expr::InterpolatedString(..)
        | Expr::Array(..)
        | Expr::Map(..)
        | Expr::Unit(..)
        | Expr::Property(..)
        | Expr::Stmt(..)
        | Expr::Dot(..)
        | Expr::Index(..)
        | Expr::And(..)
        | Expr::Or(..)
        | Expr::Coalesce(..) => true,
        Expr::DynamicConstant(value, ..) => !value.is_fnptr(),
        Expr::Variable(variable, ..) => variable.2.is_empty(),
        Expr::FnCall(call, ..) | Expr::MethodCall(call, ..) => pure_call(call),
        _ => false,
    }
}

fn pure_call(call: &rhai::FnCallExpr) -> bool {
    !call.is_qualified()
        && !call.capture_parent_scope
        && (call.is_operator_call() || PURE.contains(&call.name.as_str()))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::sync::Arc;

    use super::*;
    use crate::recipe::memory_host::MemoryHost;
    use crate::recipe::run::Run;
    use crate::recipe::settings::Settings;
    use crate::recipe::source::Source;
    use crate::recipe::{engine, words};

    fn judged(text: &str) -> bool {
        let source = Arc::new(Source::new("test.rhai", text.to_owned()));
        let run = Run::new(source, Settings::default(), Arc::new(MemoryHost::new()));
        let engine = engine::for_run(&run);
        let ast = engine.compile(text).unwrap();
        let function: FnPtr = engine.eval_ast(&ast).unwrap();
        pure(&ast, &function).is_some()
    }

    #[test]
    fn functions_that_only_look_are_pure() {
        for text in [
            "|cell| 1",
            "let ways = [1, 2]; |cell| ways[(cell.column * 5 + cell.course) % 2]",
            "let a = 1; let t = 2; |cell| if cell.chance(\"a\", 0.2) && !(cell.ring > 3) { t.rotate(90).flip() } else { t }",
            "|cell| { let n = 0; for i in 0..3 { n += i; } switch n { 3 => sin(30), _ => [n, #{ a: `${n}` }] } }",
            "|cell| { let x = cell.x; while x > 3 { x -= 1.0; if x < 2 { break; } } return x; }",
            "fn other(x) { print(x); other(x) } |cell| 1",
        ] {
            assert!(judged(text), "{text}");
        }
    }

    #[test]
    fn functions_that_leave_a_trace_are_not() {
        for text in [
            "|cell| print(\"here\")",
            "let n = 0; |cell| { n += 1; n }",
            "let list = []; |cell| { list.push(1); 1 }",
            "let list = [1]; |cell| { list[0] = 2; 1 }",
            "let map = #{ a: 1 }; |cell| { map.a = 2; 1 }",
            "fn own(x) { print(x); x } |cell| own(1)",
            "fn turn(x, y) { print(x); x } |cell| turn(cell, 1)",
            "let f = |x| x; |cell| f.call(1)",
            "|cell| { let f = |x| x; 1 }",
            "|cell| { try { 1 } catch { 2 } }",
            "|cell| seed(3)",
            "|cell| shuffle(\"all\", [1, 2])",
        ] {
            assert!(!judged(text), "{text}");
        }
    }

    #[test]
    fn every_pure_word_is_a_word() {
        let known: BTreeSet<String> = words::words().into_iter().map(|word| word.name).collect();
        let of_the_language = ["abs", "min", "max", "len", "contains"];
        for word in PURE {
            assert!(
                known.contains(word) || of_the_language.contains(&word),
                "{word}"
            );
        }
    }
}
