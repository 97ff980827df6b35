//! The engine that evaluates recipes: what is in it, and what is not.
//!
//! It starts empty and takes only what recipes need. There is no file, network, clock, `eval`,
//! `exit` or `sleep`, and no mathematics but our own (see [`super::vocabulary::maths`]), so that two
//! machines agree to the last bit.

use std::sync::OnceLock;

use rhai::packages::{
    ArithmeticPackage, BasicArrayPackage, BasicIteratorPackage, BasicMapPackage,
    BasicStringPackage, LogicPackage, MoreStringPackage, Package,
};
use rhai::{Dynamic, Engine, FnPtr, Module, OptimizationLevel, Shared};

use super::diagnostics::types;
use super::fault::Fault;
use super::modules::Resolver;
use super::run::Run;
use super::{comparing, division, hashing, limits, script_types, vocabulary};

/// Words of the language that recipes do not get, and what to write instead.
pub(super) const LEFT_OUT: [(&str, &str); 6] = [
    (
        "eval",
        "recipes cannot run text as code: write the code itself, or a function",
    ),
    ("**", "write `power(a, b)` for a to the power of b"),
    ("**=", "write `a = power(a, b)`"),
    ("/=", "write `a = a / b`"),
    ("curry", "write a function in place: `|x| word(given, x)`"),
    (
        "is_shared",
        "this word of the language is of no use in a recipe",
    ),
];

/// The engine for one run.
pub(super) fn for_run(run: &Run) -> Engine {
    let mut engine = with_words(shared_words());
    // `type_of` gives the same names as messages do.
    for (name, word) in types::of_the_language() {
        engine.register_type_with_name_raw(name, word);
    }
    engine.set_module_resolver(Resolver::new(run.clone()));
    let printer = run.clone();
    engine.on_print(move |text| printer.print(text));
    let printer = run.clone();
    engine.on_debug(move |text, _, _| printer.print(text));
    bind(&mut engine, run, true);
    engine
}

/// The engine for a worker of a run (see [`super::parallel_calls`]) with these words. Where every call is known
/// to end soon, its steps need not be counted one by one, which saves a tenth of a rule's time.
pub(super) fn for_worker(run: &Run, words: Shared<Module>, counted: bool) -> Engine {
    let mut engine = with_words(words);
    bind(&mut engine, run, counted);
    engine
}

/// Ties an engine to a run: words find the run by the engine's tag, and the run's bounds are set.
fn bind(engine: &mut Engine, run: &Run, counted: bool) {
    // The value is shared: Rhai copies it at each call.
    engine.set_default_tag(Dynamic::from(run.clone()).into_shared());
    limits::set(engine);
    if counted {
        let counter = run.clone();
        engine.on_progress(move |_| counter.usage().operation().map(Dynamic::from));
    }
}

/// Every word, registered once a process; engines share what that gives.
pub(super) fn shared_words() -> Shared<Module> {
    static WORDS: OnceLock<Shared<Module>> = OnceLock::new();
    Shared::clone(WORDS.get_or_init(all_words))
}

/// All words in one module. At each call of a script function from Rust, Rhai looks up the words
/// again, module by module: with a module for each group, the two getters of a rule took a third of
/// its time.
pub(super) fn all_words() -> Shared<Module> {
    hashing::fix();
    let mut all = Module::new();
    add_language(&mut all);
    comparing::add(&mut all);
    // Without this, each unknown word would be compared with all of these one by one.
    all.register_lazy_functions();
    // Later groups override what was added before.
    for group in vocabulary::groups() {
        all.combine(group.module);
    }
    all.into()
}

/// An engine that reads texts and runs none.
pub(super) fn for_reading() -> Engine {
    with_words(shared_words())
}

fn with_words(words: Shared<Module>) -> Engine {
    let mut engine = empty();
    engine.register_global_module(words);
    name_things(&mut engine);
    engine
}

/// Only our own words: for the definitions of the vocabulary.
pub(super) fn with_vocabulary_only() -> Engine {
    let mut engine = empty();
    add_vocabulary(&mut engine);
    engine
}

/// Only what recipes have of Rhai's own library: for the definitions of the language.
pub(super) fn with_language_only() -> Engine {
    let mut engine = empty();
    let mut words = Module::new();
    add_language(&mut words);
    engine.register_global_module(words.into());
    engine
}

fn empty() -> Engine {
    hashing::fix();
    let mut engine = Engine::new_raw();
    engine
        .set_optimization_level(OptimizationLevel::None)
        .set_strict_variables(true)
        .set_fail_on_invalid_map_property(true)
        .set_max_strings_interned(1024);
    for (symbol, _) in LEFT_OUT {
        engine.disable_symbol(symbol);
    }
    division::replace(&mut engine);
    comparing::prepare(&mut engine);
    engine
}

fn add_vocabulary(engine: &mut Engine) {
    for group in vocabulary::groups() {
        engine.register_global_module(group.module.into());
    }
    name_things(engine);
}

/// The names of the script types, and how their values are printed.
fn name_things(engine: &mut Engine) {
    for (rust, word) in script_types::types() {
        engine.register_type_with_name_raw(rust, word);
    }
    vocabulary::hidden::hide(engine);
    engine
        .register_fn("to_string", |fault: &mut Fault| fault.message.clone())
        .register_fn("to_debug", |fault: &mut Fault| fault.message.clone());
    // Rhai would show the name that it gives to a function without one.
    for name in ["print", "debug", "to_string", "to_debug"] {
        engine.register_fn(name, shown_function);
    }
}

/// What a recipe sees of a function that it prints.
fn shown_function(function: &mut FnPtr) -> String {
    if function.is_anonymous() {
        "a function".to_owned()
    } else {
        format!("the function {}", function.fn_name())
    }
}

/// Adds the parts of Rhai's own library that recipes get.
fn add_language(words: &mut Module) {
    ArithmeticPackage::init(words);
    LogicPackage::init(words);
    BasicStringPackage::init(words);
    MoreStringPackage::init(words);
    BasicArrayPackage::init(words);
    BasicMapPackage::init(words);
    BasicIteratorPackage::init(words);
    division::add(words);
}
