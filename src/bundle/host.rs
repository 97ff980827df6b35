//! The host of a packed recipe: its modules are those of the bundle, and there are no others.

use std::sync::Arc;

use super::Bundle;
use crate::recipe::host::{Host, HostError};
use crate::recipe::source::Source;

/// Gives a packed recipe its own modules.
pub struct PackedHost {
    bundle: Arc<Bundle>,
    shown: String,
    print: Box<dyn Fn(&str) + Send + Sync>,
}

impl std::fmt::Debug for PackedHost {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("PackedHost")
            .field("shown", &self.shown)
            .finish_non_exhaustive()
    }
}

impl PackedHost {
    /// The host of a bundle that messages call `shown`; what the recipe prints goes to `print`.
    pub fn new(
        bundle: Arc<Bundle>,
        shown: &str,
        print: impl Fn(&str) + Send + Sync + 'static,
    ) -> Self {
        Self {
            bundle,
            shown: shown.to_owned(),
            print: Box::new(print),
        }
    }

    fn find(&self, name: &str, library: bool) -> Option<Source> {
        let mut all = self.bundle.modules.iter();
        let found = all.find(|m| m.name == name && m.library == library)?;
        let shown = format!("{} in {}", found.name, self.shown);
        Some(Source::new(shown, found.text.as_str()))
    }
}

impl Host for PackedHost {
    fn module(&self, name: &str) -> Result<Source, HostError> {
        self.find(name, false).ok_or_else(|| HostError::NotFound {
            known: self.bundle.modules.iter().map(|m| m.name.clone()).collect(),
        })
    }

    fn drawing(&self, name: &str) -> Result<Source, HostError> {
        self.module(name)
    }

    fn library(&self, name: &str) -> Option<Source> {
        self.find(name, true)
    }

    fn printed(&self, line: &str) {
        (self.print)(line);
    }
}
