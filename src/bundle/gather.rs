//! The texts that belong to a recipe: the modules that a run of it read, and those that its text
//! imports by a plain name though this run did not come by.

use std::collections::{BTreeMap, VecDeque};

use super::{Bundle, Packed, read::is_file_name};
use crate::recipe::host::Host;
use crate::recipe::host::is_drawing;
use crate::recipe::library;
use crate::recipe::modules::{LIBRARY_PREFIX, OWN_PREFIX, imports, name_fault};
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;

impl Bundle {
    /// The recipe of a run that succeeded, with what was set for it.
    ///
    /// `name` is that of the recipe's file without its ending; `host` the one of the run.
    pub fn of(name: &str, outcome: &Outcome, settings: &Settings, host: &dyn Host) -> Self {
        let mut modules: Vec<Packed> = Vec::new();
        let mut texts = VecDeque::new();
        let mut recipe = String::new();
        for (source, what) in outcome.sources.iter().zip(&outcome.modules) {
            let module = packed(what, &source.text);
            if let Some(module) = module.as_ref().filter(|m| is_drawing(&m.name)) {
                modules.push(module.clone());
                continue;
            }
            texts.push_back((
                source.text.clone(),
                module.as_ref().is_some_and(|m| m.library),
            ));
            match module {
                Some(module) => modules.push(module),
                None => source.text.clone_into(&mut recipe),
            }
        }
        while let Some((text, in_library)) = texts.pop_front() {
            for written in imports(&text) {
                let found = find(&written, in_library, host);
                let known = |m: &Packed| {
                    found
                        .as_ref()
                        .is_some_and(|f| f.name == m.name && f.library == m.library)
                };
                if !modules.iter().any(known)
                    && modules.len() < crate::recipe::limits::MODULES
                    && let Some(found) = found
                {
                    texts.push_back((found.text.clone(), found.library));
                    modules.push(found);
                }
            }
        }
        let changed: BTreeMap<&str, _> = outcome
            .parameters
            .iter()
            .filter(|p| settings.names_set().any(|name| name == p.name))
            .map(|p| (p.name.as_str(), p.value.clone()))
            .collect();
        Self {
            name: if is_file_name(name) { name } else { "recipe" }.to_owned(),
            recipe,
            modules,
            seed: (settings.seed.is_some() || !changed.is_empty()).then_some(outcome.seed),
            values: changed
                .into_iter()
                .map(|(name, value)| (name.to_owned(), value))
                .collect(),
            program: env!("CARGO_PKG_VERSION").to_owned(),
        }
    }
}

/// A module by what it really is; none for the recipe itself.
fn packed(what: &str, text: &str) -> Option<Packed> {
    let (name, library) = match what.strip_prefix(LIBRARY_PREFIX) {
        Some(name) => (name, true),
        None => (what.strip_prefix(OWN_PREFIX)?, false),
    };
    Some(Packed {
        name: name.to_owned(),
        library,
        used: true,
        text: text.to_owned(),
    })
}

/// The module that is imported by `written`, as a run would find it.
fn find(written: &str, in_library: bool, host: &dyn Host) -> Option<Packed> {
    let from_library = |name: &str| {
        let brought = host.library(name).map(|source| source.text);
        let text = brought.or_else(|| library::text(name).map(str::to_owned))?;
        Some(Packed {
            name: name.to_owned(),
            library: true,
            used: false,
            text,
        })
    };
    if let Some(name) = written.strip_prefix(LIBRARY_PREFIX) {
        return from_library(name);
    }
    let own_only = written.starts_with(OWN_PREFIX);
    let name = written.strip_prefix(OWN_PREFIX).unwrap_or(written);
    if name_fault(name).is_some() {
        return None;
    }
    if in_library {
        return from_library(name);
    }
    match host.module(name) {
        Ok(source) => Some(Packed {
            name: name.to_owned(),
            library: false,
            used: false,
            text: source.text,
        }),
        Err(_) if own_only => None,
        Err(_) => from_library(name),
    }
}
