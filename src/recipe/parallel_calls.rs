//! A pure function of the recipe, called by several threads at once, or without counting its steps.
//!
//! Each thread has a worker: an engine, the recipe compiled anew and copies of what the function
//! captured. Workers share nothing that is counted or locked at every call: with one engine for two
//! threads, the counters of shared values made two threads no faster than one. A single worker shares
//! all of it with the run.
//!
//! A function without a loop cannot run for long, so a worker need not count its steps one by one: each
//! call is counted as the most steps that it could take.
//!
//! Where a worker meets anything out of the ordinary (a fault, a bound), the workers give up and nothing
//! has happened: the caller does all of it again on one thread, and so meets it at the same place
//! and with the same words.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use rhai::{AST, Dynamic, Engine, FnPtr, Position};

use super::call::Caller;
use super::run::Run;
use super::vocabulary::wood;
use super::{comparing, engine, limits, pure};
use crate::stock::{Tile, TileKind};

/// Calls that are worth the start of other threads: some milliseconds.
const WORTHWHILE: usize = 4_000;
/// Calls that a worker takes on at a time.
const AT_A_TIME: usize = 2_000;
/// Parts of what a function captured that each worker copies at most, lists in lists counted in. More
/// than that is not worth a copy, and shared parts may stand for many more than there are.
const MOST_COPIED: usize = limits::LIST_ENTRIES + limits::MAP_ENTRIES;

/// What one thread needs to call a function of the recipe.
pub(super) struct Worker<'e> {
    run: Run,
    function: Caller<'e, 1>,
    /// The kinds of tile that the worker has copies of.
    kinds: Vec<Copied>,
}

/// A kind of tile, and a worker's own copy of it.
struct Copied {
    original: Arc<TileKind>,
    copy: Arc<TileKind>,
}

impl<'e> Worker<'e> {
    /// The only worker of a run, which has read this recipe.
    fn alone(run: Run, engine: &'e Engine, recipe: &AST, function: &FnPtr) -> Self {
        let mut global = engine.new_global_runtime_state();
        global.lib.push(recipe.shared_lib().clone());
        let function = Caller::at(engine, global, Some(recipe), function, Position::NONE);
        Self {
            run,
            function,
            kinds: Vec::new(),
        }
    }

    /// A worker beside others: all that it has is its own.
    fn apart(run: Run, engine: &'e Engine, function: &FnPtr) -> Option<Self> {
        let recipe = comparing::compile(engine, &run.source(None).text).ok()?;
        let mut kinds = Vec::new();
        let mut function = function.clone();
        let mut parts = MOST_COPIED;
        for captured in function.iter_curry_mut() {
            let shared = captured.is_shared();
            let copy = copied(captured.flatten_clone(), &mut kinds, &mut parts)?;
            *captured = if shared { copy.into_shared() } else { copy };
        }
        let worker = Self::alone(run, engine, &recipe, &function);
        Some(Self { kinds, ..worker })
    }

    /// Calls the function; nothing where that meets anything out of the ordinary.
    pub(super) fn call(&mut self, value: Dynamic) -> Option<Dynamic> {
        self.run.pulse().ok()?;
        self.function.call([value]).ok()
    }

    /// A tile that the function returned, with the recipe's own kind in the place of the worker's
    /// copy.
    pub(super) fn original(&self, tile: &Tile) -> Tile {
        let known = self.kinds.iter().find(|k| Arc::ptr_eq(&k.copy, &tile.kind));
        Tile {
            kind: Arc::clone(known.map_or(&tile.kind, |k| &k.original)),
            pose: tile.pose,
        }
    }
}

/// A deep copy that shares no reference count with the original: tiles have copies of their kinds.
/// None where it has more parts than a worker may copy.
fn copied(value: Dynamic, kinds: &mut Vec<Copied>, parts: &mut usize) -> Option<Dynamic> {
    *parts = parts.checked_sub(1)?;
    if let Some(tile) = value.read_lock::<wood::Tile>() {
        let original = &tile.0.kind;
        let known = kinds.iter().find(|k| Arc::ptr_eq(&k.original, original));
        let kind = if let Some(known) = known {
            Arc::clone(&known.copy)
        } else {
            let copy = Arc::new((**original).clone());
            kinds.push(Copied {
                original: Arc::clone(original),
                copy: Arc::clone(&copy),
            });
            copy
        };
        let pose = tile.0.pose;
        return Some(Dynamic::from(wood::Tile(Tile { kind, pose })));
    }
    if value.is_array() {
        let list = value.into_array().unwrap_or_default();
        let copies = list
            .into_iter()
            .map(|v| copied(v.flatten(), kinds, parts))
            .collect::<Option<Vec<_>>>()?;
        return Some(copies.into());
    }
    if value.is_map() {
        let mut map = value.cast::<rhai::Map>();
        for entry in map.values_mut() {
            // What is inside is taken out, not copied: a map may hold thousands inside each other.
            *entry = copied(std::mem::take(entry).flatten(), kinds, parts)?;
        }
        return Some(map.into());
    }
    Some(value)
}

/// Shares out the calls numbered from 0 to `count` among the threads of the run: `work` has the
/// numbers of some calls in a row, and gives nothing where it met something out of the ordinary.
/// What it gave is in the order of the calls. None where one thread is to do it all.
pub(super) fn shared_out<T: Send>(
    run: &Run,
    function: &FnPtr,
    count: usize,
    work: impl Fn(&mut Worker<'_>, Range<usize>) -> Option<T> + Sync,
) -> Option<Vec<T>> {
    let threads = run.settings().threads.get();
    let recipe = run.recipe().filter(|_| count >= WORTHWHILE)?;
    let steps = pure::pure(&recipe, function)?.steps;
    let most = steps.map(|steps| steps.saturating_mul(count as u64));
    if most.map_or(threads < 2, |most| most > run.usage().operations_left()) {
        return None;
    }
    let counted = steps.is_none();
    let (next, given_up) = (AtomicUsize::new(0), AtomicBool::new(false));
    let done: Mutex<(BTreeMap<usize, T>, u64)> = Mutex::default();
    let finish = |worker: &mut Worker<'_>| {
        while !given_up.load(Ordering::Relaxed) {
            let start = next.fetch_add(AT_A_TIME, Ordering::Relaxed);
            if start >= count {
                break;
            }
            let given = work(worker, start..(start + AT_A_TIME).min(count))?;
            let mut done = done.lock().unwrap_or_else(PoisonError::into_inner);
            done.0.insert(start, given);
        }
        let mut done = done.lock().unwrap_or_else(PoisonError::into_inner);
        done.1 += worker.run.usage().operations();
        run.take_in(&worker.run);
        Some(())
    };
    let give_up = || given_up.store(true, Ordering::Relaxed);
    if threads < 2 {
        let of_worker = run.worker();
        let engine = engine::for_worker(&of_worker, engine::shared_words(), counted);
        finish(&mut Worker::alone(of_worker, &engine, &recipe, function)).unwrap_or_else(give_up);
    } else {
        let worker = || {
            let of_worker = run.worker();
            let engine = engine::for_worker(&of_worker, engine::all_words(), counted);
            Worker::apart(of_worker, &engine, function)
                .and_then(|mut worker| finish(&mut worker))
                .unwrap_or_else(give_up);
        };
        thread::scope(|scope| {
            for _ in 0..threads {
                let stack = limits::stack(run.settings().budget.memory);
                let builder = thread::Builder::new().name("recipe".to_owned());
                if builder
                    .stack_size(stack)
                    .spawn_scoped(scope, worker)
                    .is_err()
                {
                    give_up();
                }
            }
        });
    }
    let (given, operations) = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    if given_up.into_inner() || !run.usage().take(most.unwrap_or(operations)) {
        return None;
    }
    Some(given.into_values().collect())
}
