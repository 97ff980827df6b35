//! From a recipe's text to its panels, or to what went wrong.

use std::sync::Arc;
#[cfg(not(target_family = "wasm"))]
use std::{
    io,
    sync::mpsc::{self, Receiver, RecvTimeoutError},
    time::Duration,
};

use super::diagnostics;
use super::failure::Failure;
use super::fault::Fault;
use super::host::Host;
use super::outcome::{self, Outcome};
use super::run::{self, Run};
use super::settings::Settings;
use super::source::{Location, Source};
use super::{comparing, declare, engine, modules};
#[cfg(not(target_family = "wasm"))]
use super::{ended, kind::Kind, limits};
#[cfg(not(target_family = "wasm"))]
use crate::watch::{Alarm, Stopped, within};

/// Evaluates a recipe.
///
/// The same text, modules, seed and parameter values give the same outcome on any machine. The
/// recipe reaches nothing but `host`, and ends within the bounds of `settings`; it runs on a thread
/// of its own, with a stack that is large enough for the bounds on nesting.
///
/// WebAssembly has no threads: there it runs on the thread that calls, and the embedder bounds time
/// and memory, as it gives the thread and its memory.
///
/// # Errors
/// Whatever is wrong with the recipe, its modules or its parameters, with the place.
#[allow(
    clippy::needless_pass_by_value,
    reason = "taken by value like every shared host, so that callers need not know that it is cloned"
)]
pub fn evaluate(
    source: &Arc<Source>,
    settings: &Settings,
    host: Arc<dyn Host>,
) -> Result<Outcome, Failure> {
    carried_out(source, settings, &host)
}

#[cfg(target_family = "wasm")]
fn carried_out(
    source: &Arc<Source>,
    settings: &Settings,
    host: &Arc<dyn Host>,
) -> Result<Outcome, Failure> {
    let (source, settings, host) = (Arc::clone(source), settings.clone(), Arc::clone(host));
    on_this_thread(&Run::new(source, settings, host))
}

#[cfg(not(target_family = "wasm"))]
fn carried_out(
    source: &Arc<Source>,
    settings: &Settings,
    host: &Arc<dyn Host>,
) -> Result<Outcome, Failure> {
    let mut settings = settings.clone();
    loop {
        let run = Run::new(Arc::clone(source), settings.clone(), Arc::clone(host));
        match on_own_thread(&run) {
            Ok(result) => return result,
            // No room for the stack: with less memory, less will do.
            Err(_) if settings.budget.memory > LEAST_MEMORY => settings.budget.memory /= 2,
            Err(error) => {
                let fault = Fault::new(
                    Kind::NoThread,
                    format!("no thread could be started: {error}"),
                );
                return Err(failure(
                    &run,
                    fault.help("close other programs and try again"),
                    None,
                ));
            }
        }
    }
}

/// The least memory that is worth a try.
#[cfg(not(target_family = "wasm"))]
const LEAST_MEMORY: usize = 16 * 1024 * 1024;
/// Time between two looks at a run.
#[cfg(not(target_family = "wasm"))]
const EVERY: Duration = Duration::from_millis(2);

/// Evaluates on a thread with the stack that the bounds need, and watches over it; an error when no
/// such thread can be had.
#[cfg(not(target_family = "wasm"))]
fn on_own_thread(run: &Run) -> io::Result<Result<Outcome, Failure>> {
    let inside = run.clone();
    let (done, ended) = mpsc::channel::<()>();
    let thread = std::thread::Builder::new()
        .name("recipe".to_owned())
        .stack_size(limits::stack(run.settings().budget.memory))
        .spawn(move || {
            let result = within(inside.watch(), || on_this_thread(&inside));
            drop(done);
            // The alarm came between the calls of words, so no line is known.
            result.unwrap_or_else(|Stopped(alarm)| {
                let fault = ended::fault(alarm, inside.watch().bounds());
                Err(failure(&inside, fault, None))
            })
        })?;
    look_after(run, &ended);
    Ok(thread.join().unwrap_or_else(|_| {
        let fault = Fault::new(Kind::Broken, "the program broke down over this recipe").help(
            "this is a fault of Plyloom, not of the recipe: please report it, with the recipe",
        );
        Err(failure(run, fault, None))
    }))
}

/// Watches over a run until the other end of `ended` is dropped; raises an alarm when a bound is
/// passed, or the run is cancelled.
///
/// This happens on the thread that asked for the evaluation, which only waits. The script then has no
/// more to do than to read a flag at each operation, and a single operation that takes much time or
/// memory is noticed too.
#[cfg(not(target_family = "wasm"))]
fn look_after(run: &Run, ended: &Receiver<()>) {
    while ended.recv_timeout(EVERY) == Err(RecvTimeoutError::Timeout) {
        let watch = run.watch();
        watch.look();
        // Where the memory was halved to get a stack, the bound of the run is lower than that of the
        // watch.
        let most = run.settings().budget.memory;
        if most < watch.bounds().memory && watch.memory() > Some(most) {
            watch.raise(Alarm::Memory);
        }
        if !run.host().is_wanted() {
            watch.raise(Alarm::Recalled);
        }
    }
}

fn on_this_thread(run: &Run) -> Result<Outcome, Failure> {
    let source = run.source(None);
    modules::check_size(&source).map_err(|fault| failure(run, fault, None))?;
    run.read_language()
        .map_err(|fault| failure(run, fault, None))?;
    let engine = engine::for_run(run);
    let mut ast = comparing::compile(&engine, &source.text)
        .map_err(|error| diagnostics::of_parse_error(run, &engine, None, &error))?;
    ast.set_source(run::source_key(0));
    run.add_functions(&ast);
    run.set_recipe(&ast);
    let mut scope = rhai::Scope::new();
    engine
        .run_ast_with_scope(&mut scope, &ast)
        .map_err(|error| diagnostics::of_error(run, &engine, error))?;
    run.pulse().map_err(|fault| failure(run, fault, None))?;
    let parameters = run.parameters();
    let given = run.settings().names_set();
    for name in given {
        if parameters.iter().all(|known| known.name != name) {
            return Err(failure(run, declare::unknown(name, &parameters), None));
        }
    }
    let begun = run.take_panels();
    let panels =
        outcome::finish(run, &begun).map_err(|(fault, place)| failure(run, fault, Some(place)))?;
    let mut credits = run.abouts();
    let about = credits.remove(&0).unwrap_or_default();
    Ok(Outcome {
        about,
        credits,
        language: run.language_of(0),
        joint_tolerance: run.joint_tolerance(),
        kinds: run.kinds(),
        named: outcome::named(&scope),
        panels,
        bags: begun.iter().map(|made| made.thing.bag()).collect(),
        hands: begun.iter().map(outcome::hands).collect(),
        parameters,
        // Before the seed is asked for.
        chance: run.is_by_chance(),
        seed: run.seed(),
        sources: run.sources(),
        modules: run.modules(),
        held_nowhere: run.take_held_nowhere(),
        operations: run.usage().operations(),
    })
}

/// The failure for a fault, at `place` where the fault has no place of its own.
fn failure(run: &Run, fault: Fault, place: Option<Location>) -> Failure {
    diagnostics::of_fault(run, fault, place, Vec::new())
}
