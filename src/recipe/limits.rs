//! The bounds on what a recipe may be and hold. They are the same in debug and release.
//!
//! Operations, time, memory and tiles belong to one run and can be raised ([`super::settings::Budget`]);
//! the bounds here are fixed: no panel that a person will glue comes near them, and the stack of the
//! evaluating thread is measured against them.

use rhai::Engine;

/// Bytes of one recipe or rule module.
pub const SOURCE_BYTES: usize = 256 * 1024;
/// Bytes of all rule modules of one run together.
pub const MODULE_BYTES: usize = 1024 * 1024;
/// Rule modules in one run.
pub const MODULES: usize = 64;
/// `import` statements carried out at any one time.
pub const IMPORTS: usize = 10_000;
/// Functions that call functions.
pub const CALL_LEVELS: usize = 64;
/// Brackets, blocks and operators inside each other.
pub const EXPRESSION_DEPTH: usize = 128;
/// Bytes of a text, and of all texts in one list or map together.
pub const TEXT_BYTES: usize = 256 * 1024;
/// Entries of a list, lists inside it counted in.
pub const LIST_ENTRIES: usize = 100_000;
/// Entries of a map, maps inside it counted in.
pub const MAP_ENTRIES: usize = 10_000;
/// Variables at any one time.
pub const VARIABLES: usize = 1_000;
/// Functions, the nameless ones counted in.
pub const FUNCTIONS: usize = 1_000;
/// Lines that one run may print.
pub const PRINTED_LINES: usize = 10_000;
/// Bytes of all lines that one run may print.
pub const PRINTED_BYTES: usize = 1024 * 1024;
/// Letters of a message, and of what it says to try.
pub(super) const MESSAGE: usize = 2000;
/// Calls that a message lists before it leaves some out.
pub(super) const TRACE: usize = 8;

/// Bytes of stack for each byte of memory that a run may take. A chain of functions, each holding the
/// one before, is let go of one inside the other; that takes about 1.3 bytes of stack for each byte
/// of the chain, measured in debug and release. The stack is reserved, and used only as it is needed.
const STACK_FOR_MEMORY: usize = 3;
/// Stack enough for the bounds on nesting by themselves.
const LEAST_STACK: usize = 96 * 1024 * 1024;

/// The stack of a thread that evaluates with `memory` bytes at most.
pub(super) fn stack(memory: usize) -> usize {
    memory.saturating_mul(STACK_FOR_MEMORY).max(LEAST_STACK)
}

/// Sets every limit of the engine.
pub(super) fn set(engine: &mut Engine) {
    engine
        // Rhai counts operations anew in each callback, so the run has a counter of its own.
        .set_max_operations(0)
        .set_max_call_levels(CALL_LEVELS)
        .set_max_expr_depths(EXPRESSION_DEPTH, EXPRESSION_DEPTH)
        .set_max_string_size(TEXT_BYTES)
        .set_max_array_size(LIST_ENTRIES)
        .set_max_map_size(MAP_ENTRIES)
        .set_max_variables(VARIABLES)
        .set_max_functions(FUNCTIONS)
        .set_max_modules(IMPORTS);
}
