//! What is known of the texts of a run, and the keys by which Rhai knows them.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rhai::AST;

use crate::recipe::about::About;
use crate::recipe::source::{Located, Source};

/// A function that the recipe or one of its modules defines, for messages.
#[derive(Debug, Clone)]
pub(in crate::recipe) struct ScriptFunction {
    pub(in crate::recipe) name: String,
    pub(in crate::recipe) params: Vec<String>,
    /// Where it is defined.
    pub(in crate::recipe) source: Arc<Source>,
}

/// What is known of the texts.
pub(super) struct Texts {
    pub(super) sources: Vec<Arc<Source>>,
    /// What each source really is: `./rings` or `plyloom/rings`; nothing for the recipe.
    pub(super) modules: Vec<String>,
    /// The language version that each source says it is written for.
    pub(super) languages: Vec<Option<u32>>,
    pub(super) abouts: BTreeMap<usize, Located<About>>,
    /// Modules that the recipe's own folder lacks.
    pub(super) sought_in_vain: BTreeSet<String>,
    pub(super) functions: Vec<ScriptFunction>,
    /// The recipe as the engine understands it.
    pub(super) recipe: Option<AST>,
}

impl Texts {
    /// At the start of a run of a recipe.
    pub(super) fn of(recipe: Arc<Source>) -> Self {
        Self {
            sources: vec![recipe],
            modules: vec![String::new()],
            languages: vec![None],
            abouts: BTreeMap::new(),
            sought_in_vain: BTreeSet::new(),
            functions: Vec::new(),
            recipe: None,
        }
    }

    /// For a run beside this one: the recipe alone, in the same version of the language.
    pub(super) fn of_a_worker(&self) -> Self {
        let recipe = self.sources.first();
        let recipe = recipe.expect("invariant: a run starts with its recipe");
        Self {
            languages: vec![self.languages.first().copied().flatten()],
            ..Self::of(Arc::clone(recipe))
        }
    }
}

/// The key by which Rhai knows source number `index`. It never shows in a message.
pub(in crate::recipe) fn source_key(index: usize) -> String {
    format!("#{index}")
}

/// The number of the source that Rhai knows by `key`; that of the recipe where there is none.
pub(super) fn source_index(key: Option<&str>) -> usize {
    key.and_then(|key| key.strip_prefix('#'))
        .and_then(|index| index.parse().ok())
        .unwrap_or(0)
}
