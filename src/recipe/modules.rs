//! Rule modules: which text an `import` means, and its one evaluation.
//!
//! - `import "rings" as r` looks in the recipe's own folder, then in the library that comes with
//!   Plyloom. A maker's own file wins, so that a later library cannot change an old recipe.
//! - `import "./rings"` looks in the recipe's own folder only, `import "plyloom/rings"` in the
//!   library only.
//! - Names are plain segments (`rings`, `borders/greek`), always counted from the recipe's folder,
//!   also inside modules. Modules of the library import from the library only.
//! - A module is evaluated once in a run, sees nothing of its importer, and may not lead back to
//!   itself.

use super::kind::Fixed;
use super::misuse::Misuse;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, PoisonError};

use rhai::{
    AST, Engine, EvalAltResult, FnNamespace, GlobalRuntimeState, Module, ModuleResolver, Position,
    Scope, Shared,
};

use super::comparing;
use super::diagnostics::tokens::{Token, TokenKind, tokens};
use super::diagnostics::{NAMELESS, nearest};
use super::fault::Fault;
use super::host::HostError;
use super::library;
use super::limits;
use super::run::Run;
use super::source::Source;
use crate::geom::number::grouped;

/// The prefix by which a recipe names a module of the library and no other.
pub(crate) const LIBRARY_PREFIX: &str = "plyloom/";
/// The prefix by which a recipe names a module of its own folder and no other.
pub(crate) const OWN_PREFIX: &str = "./";

/// Resolves the imports of one run.
pub(super) struct Resolver {
    run: Run,
    state: Mutex<LoadState>,
}

#[derive(Default)]
struct LoadState {
    /// By their full names: `./rings` or `plyloom/rings`.
    loaded: BTreeMap<String, Shared<Module>>,
    /// What is being evaluated now, outermost first.
    loading: Vec<String>,
    bytes: usize,
    /// The functions without a name that importers may call.
    lent: BTreeSet<String>,
}

impl Resolver {
    pub(super) fn new(run: Run) -> Self {
        Self {
            run,
            state: Mutex::new(LoadState::default()),
        }
    }

    fn state(&self) -> std::sync::MutexGuard<'_, LoadState> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Which module `written` means, seen from the module that is being evaluated now, and its text
    /// unless it is loaded already.
    fn find(&self, written: &str) -> Result<(String, Option<Source>), Fault> {
        let in_library = self
            .state()
            .loading
            .last()
            .is_some_and(|name| name.starts_with(LIBRARY_PREFIX));
        if let Some(name) = written.strip_prefix(LIBRARY_PREFIX) {
            check_name(written, name)?;
            return self
                .in_library(name)
                .ok_or_else(|| not_found(written, library::names().map(str::to_owned).collect()));
        }
        let (name, own_only) = match written.strip_prefix(OWN_PREFIX) {
            Some(name) => (name, true),
            None => (written, false),
        };
        check_name(written, name)?;
        if in_library {
            return self
                .in_library(name)
                .ok_or_else(|| not_found(written, library::names().map(str::to_owned).collect()));
        }
        let own = format!("{OWN_PREFIX}{name}");
        if self.state().loaded.contains_key(&own) || self.is_loading(&own) {
            return Ok((own, None));
        }
        if self.run.was_sought_in_vain(name)
            && let Some(found) = self.in_library(name)
            && !own_only
        {
            return Ok(found);
        }
        match self.run.host().module(name) {
            Ok(source) => Ok((own, Some(source))),
            Err(HostError::NotFound { mut known }) => {
                self.run.sought_in_vain(name);
                if own_only {
                    return Err(not_found(written, known));
                }
                known.extend(library::names().map(str::to_owned));
                self.in_library(name)
                    .ok_or_else(|| not_found(written, known))
            }
            Err(error) => Err(Misuse::ModuleUnreadable {
                name: written.to_owned(),
                why: error.to_string(),
            }
            .into()),
        }
    }

    fn in_library(&self, name: &str) -> Option<(String, Option<Source>)> {
        let own = || library::text(name).map(|text| Source::new(format!("scripts/{name}"), text));
        let source = self.run.host().library(name).or_else(own)?;
        Some((format!("{LIBRARY_PREFIX}{name}"), Some(source)))
    }

    fn is_loading(&self, name: &str) -> bool {
        self.state().loading.iter().any(|known| known == name)
    }

    /// Notes that `name` with `source` is about to be evaluated.
    fn begin(&self, name: &str, source: &Source) -> Result<(), Fault> {
        let mut state = self.state();
        state.bytes += source.text.len();
        if state.loaded.len() + state.loading.len() >= limits::MODULES {
            return Err(Fault::new(
                super::kind::Kind::Fixed(Fixed::Modules),
                format!(
                    "the recipe imports more than {} rule modules",
                    limits::MODULES
                ),
            )
            .help("put small modules together: this bound is fixed"));
        }
        if state.bytes > limits::MODULE_BYTES {
            return Err(Fault::new(
                super::kind::Kind::Fixed(Fixed::ModuleBytes),
                format!(
                    "the rule modules of the recipe together have more than {} bytes",
                    grouped(limits::MODULE_BYTES as u64)
                ),
            )
            .help("make the modules smaller: this bound is fixed"));
        }
        state.loading.push(name.to_owned());
        Ok(())
    }

    /// Makes the anonymous functions of a module known to its importers, so that a function that
    /// the module returns can be called. Should two modules hold the very same one, at the same
    /// place of their texts, only the first is lent: which is meant could not be told.
    fn lend_nameless(&self, module: &mut Module, ast: &AST) {
        let mut state = self.state();
        for function in ast.iter_functions() {
            if function.name.starts_with(NAMELESS) && state.lent.insert(function.name.to_owned()) {
                let definition = ast
                    .shared_lib()
                    .get_script_fn(function.name, function.params.len());
                // A separate module shows the number by which Rhai knows the function.
                let number = definition.map(|it| Module::new().set_script_fn(Arc::clone(it)));
                #[allow(
                    deprecated,
                    reason = "a script's functions have no other way to change it"
                )]
                number.map(|number| module.update_fn_namespace(number, FnNamespace::Global));
            }
        }
        module.build_index();
    }

    fn load(
        &self,
        engine: &Engine,
        global: &GlobalRuntimeState,
        name: &str,
        source: Source,
        position: Position,
    ) -> Result<Shared<Module>, Box<EvalAltResult>> {
        check_size(&source)?;
        self.begin(name, &source)?;
        let text = source.text.clone();
        let key = match self.run.add_source(source, name) {
            Ok(key) => key,
            Err(fault) => {
                self.state().loading.pop();
                let mut error: Box<EvalAltResult> = fault.into();
                error.set_position(position);
                return Err(error);
            }
        };
        let in_module = |error| EvalAltResult::ErrorInModule(key.clone(), error, position);
        // A fresh state: a module sees neither variables nor functions of its importer.
        let mut inner = engine.new_global_runtime_state();
        inner.level = global.level + 1;
        let module = if inner.level > limits::CALL_LEVELS {
            Err(Box::new(EvalAltResult::ErrorStackOverflow(position)))
        } else {
            comparing::compile(engine, &text)
                .map_err(|error| in_module(Box::new(error.into())))
                .and_then(|mut ast| {
                    ast.set_source(key.clone());
                    self.run.add_functions(&ast);
                    Module::eval_ast_as_new_raw(engine, &mut Scope::new(), &mut inner, &ast)
                        .map(|mut module| {
                            self.lend_nameless(&mut module, &ast);
                            module
                        })
                        .map_err(in_module)
                })
                .map_err(Box::new)
        };
        let mut state = self.state();
        state.loading.pop();
        let module: Shared<Module> = module?.into();
        state.loaded.insert(name.to_owned(), Arc::clone(&module));
        Ok(module)
    }
}

impl ModuleResolver for Resolver {
    fn resolve(
        &self,
        engine: &Engine,
        _source: Option<&str>,
        path: &str,
        position: Position,
    ) -> Result<Shared<Module>, Box<EvalAltResult>> {
        let mut global = engine.new_global_runtime_state();
        self.resolve_raw(engine, &mut global, &mut Scope::new(), path, position)
    }

    fn resolve_raw(
        &self,
        engine: &Engine,
        global: &mut GlobalRuntimeState,
        _scope: &mut Scope,
        path: &str,
        position: Position,
    ) -> Result<Shared<Module>, Box<EvalAltResult>> {
        let at = |fault: Fault| {
            let mut error: Box<EvalAltResult> = fault.into();
            error.set_position(position);
            error
        };
        let (name, source) = self.find(path).map_err(at)?;
        if let Some(module) = self.state().loaded.get(&name) {
            return Ok(Arc::clone(module));
        }
        if self.is_loading(&name) {
            return Err(at(cycle(&self.state().loading, &name)));
        }
        let Some(source) = source else {
            return Err(at(not_found(path, Vec::new())));
        };
        self.load(engine, global, &name, source, position)
            .map_err(|mut error| {
                if error.position().is_none() {
                    error.set_position(position);
                }
                error
            })
    }
}

/// What a text imports by names that it writes out, in their order.
pub(crate) fn imports(text: &str) -> Vec<String> {
    let all = tokens(text);
    let word = |token: &Token| &text[token.span.clone()];
    all.windows(2)
        .filter(|two| word(&two[0]) == "import" && two[1].kind == TokenKind::Text)
        .filter_map(|two| word(&two[1]).strip_prefix('"')?.strip_suffix('"'))
        .map(str::to_owned)
        .collect()
}

/// Refuses a source that is too large to be read at all.
pub(super) fn check_size(source: &Source) -> Result<(), Fault> {
    if source.text.len() > limits::SOURCE_BYTES {
        return Err(Fault::new(
            super::kind::Kind::Fixed(Fixed::Source),
            format!(
                "{} has {} bytes; at most {} are read",
                source.name,
                grouped(source.text.len() as u64),
                grouped(limits::SOURCE_BYTES as u64)
            ),
        )
        .help("split it into rule modules: this bound is fixed"));
    }
    Ok(())
}

/// Refuses names that are no plain segments.
fn check_name(written: &str, name: &str) -> Result<(), Fault> {
    name_fault(name).map_or(Ok(()), |reason| {
        Err(Misuse::ModuleName {
            name: written.to_owned(),
            why: reason,
        }
        .into())
    })
}

/// Why `name` cannot be the name of a rule module; none where it can.
pub(crate) fn name_fault(name: &str) -> Option<&'static str> {
    if name.is_empty() {
        Some("it is empty")
    } else if name.len() > 200 {
        Some("it is too long")
    } else if name.starts_with('/') || name.contains(['\\', ':']) {
        Some("a recipe reaches no files but those in its own folder")
    } else if name.to_lowercase().ends_with(".rhai") {
        Some("the ending `.rhai` is left out")
    } else {
        name.split('/').find_map(|segment| match segment {
            ".." => Some("a recipe reaches no files but those in its own folder"),
            "" => Some("there is nothing between two slashes"),
            _ if segment.starts_with('.') || segment.ends_with('.') => {
                Some("no part of it may begin or end with a point")
            }
            _ if segment.starts_with(' ') || segment.ends_with(' ') => {
                Some("no part of it may begin or end with a space")
            }
            _ if segment.chars().any(char::is_control) => Some("it has control characters"),
            _ => None,
        })
    }
}

fn not_found(written: &str, mut known: Vec<String>) -> Fault {
    known.sort();
    known.dedup();
    let help = match nearest::nearest(written, known.iter().map(String::as_str)) {
        Some(close) => format!("did you mean {close:?}?"),
        None if known.is_empty() => {
            format!("there is no file {written}.rhai in the recipe's own folder")
        }
        None => format!("there are: {}", known.join(", ")),
    };
    Fault::from(Misuse::NoSuchModule {
        name: written.to_owned(),
    })
    .label("not found")
    .help(help)
}

fn cycle(loading: &[String], name: &str) -> Fault {
    let shown = |name: &str| name.trim_start_matches(OWN_PREFIX).to_owned();
    let start = loading.iter().position(|known| known == name).unwrap_or(0);
    let mut chain: Vec<String> = loading[start..].iter().map(|n| shown(n)).collect();
    chain.push(shown(name));
    Fault::from(Misuse::ImportCycle { chain }).label("leads back to itself")
}
