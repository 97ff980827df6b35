//! A host without a disk: rule modules held in memory, printed lines kept. For tests, and for
//! programs that embed the library.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use super::host::{Host, HostError};
use super::source::Source;

/// Modules by name, and the lines printed so far.
#[derive(Debug, Default)]
pub struct MemoryHost {
    modules: BTreeMap<String, String>,
    lines: Mutex<Vec<String>>,
}

impl MemoryHost {
    /// A host without modules.
    pub fn new() -> Self {
        Self::default()
    }

    /// With a rule module `name` of this text.
    #[must_use]
    pub fn with(mut self, name: &str, text: &str) -> Self {
        self.modules.insert(name.to_owned(), text.to_owned());
        self
    }

    /// The lines printed so far.
    pub fn lines(&self) -> Vec<String> {
        self.lines
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }
}

impl Host for MemoryHost {
    fn module(&self, name: &str) -> Result<Source, HostError> {
        match self.modules.get(name) {
            Some(text) => Ok(Source::new(format!("{name}.rhai"), text.as_str())),
            None => Err(HostError::NotFound {
                known: self.modules.keys().cloned().collect(),
            }),
        }
    }

    fn drawing(&self, name: &str) -> Result<Source, HostError> {
        self.module(name)
    }

    fn printed(&self, line: &str) {
        self.lines
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .push(line.to_owned());
    }
}
