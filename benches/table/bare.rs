//! A bare Rhai engine that calls the rule of [`super::recipes`]: nothing is placed, drawn or bounded.

use std::hint::black_box;
use std::time::Duration;

use rhai::{AST, Dynamic, Engine, FnPtr, Scope};

use super::pair::timed;
use super::recipes::RULE;

/// A cell with no more than the rule asks for.
#[derive(Debug, Clone, Copy)]
struct Cell {
    column: i64,
    course: i64,
}

/// The engine with the rule compiled.
pub(crate) struct Bare {
    engine: Engine,
    ast: AST,
    rule: FnPtr,
}

impl Bare {
    /// The engine as Rhai gives it, with two getters.
    pub(crate) fn new() -> Self {
        // The program fixes how Rhai hashes names, once a process and before any engine is made.
        drop(plyloom::recipe::vocabulary::groups());
        let mut engine = Engine::new();
        engine
            .register_type_with_name::<Cell>("cell")
            .register_get("column", |cell: &mut Cell| cell.column)
            .register_get("course", |cell: &mut Cell| cell.course);
        let text = format!("let ways = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]; {RULE}");
        let ast = engine.compile(text).expect("the rule compiles");
        let rule = engine
            .eval_ast_with_scope(&mut Scope::new(), &ast)
            .expect("the rule is a function");
        Self { engine, ast, rule }
    }

    /// How long it takes to call the rule for each cell.
    pub(crate) fn calls(&self, (columns, courses): (u32, u32)) -> Duration {
        let (took, ()) = timed(|| {
            for course in 0..i64::from(courses) {
                for column in 0..i64::from(columns) {
                    let cell = Dynamic::from(Cell { column, course });
                    let given: Dynamic = self
                        .rule
                        .call(&self.engine, &self.ast, (cell,))
                        .expect("the rule gives an entry");
                    drop(black_box(given));
                }
            }
        });
        took
    }
}
