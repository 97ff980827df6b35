//! The texts of a run: the recipe and the rule modules that it read, where a word stands in them, and
//! what each says of itself.
//!
//! Rhai knows a source by a key that never shows in a message; the recipe is number 0.

use crate::recipe::misuse::Misuse;
use std::collections::BTreeMap;
use std::sync::Arc;

use rhai::{AST, NativeCallContext, Position};

use super::Run;
use super::sources::{ScriptFunction, source_index, source_key};
use crate::recipe::about::About;
use crate::recipe::diagnostics::places;
use crate::recipe::fault::Fault;
use crate::recipe::language;
use crate::recipe::source::{Located, Location, Source};

impl Run {
    /// Notes the recipe as the engine understands it.
    pub(in crate::recipe) fn set_recipe(&self, recipe: &AST) {
        self.state().texts.recipe = Some(recipe.clone());
    }

    /// The recipe as the engine understands it, once it is read.
    pub(in crate::recipe) fn recipe(&self) -> Option<AST> {
        self.state().texts.recipe.clone()
    }

    /// The place of the call that a word is carrying out.
    pub fn place(&self, context: &NativeCallContext) -> Location {
        self.place_at(context.call_source(), context.call_position())
    }

    /// The place of a Rhai position in the source that Rhai knows by `key`.
    pub(in crate::recipe) fn place_at(&self, key: Option<&str>, position: Position) -> Location {
        places::place(self.source(key), position)
    }

    /// The source that Rhai knows by `key`; the recipe itself where there is none.
    pub(in crate::recipe) fn source(&self, key: Option<&str>) -> Arc<Source> {
        let state = self.state();
        let sources = &state.texts.sources;
        let source = sources.get(source_index(key)).or_else(|| sources.first());
        Arc::clone(source.expect("invariant: a run starts with its recipe"))
    }

    /// Takes in a source that was read for the module `name` (`./rings`), and gives the key by which
    /// Rhai is to know it.
    ///
    /// # Errors
    /// When it is written for a later language or program than this one.
    pub(in crate::recipe) fn add_source(
        &self,
        source: Source,
        name: &str,
    ) -> Result<String, Fault> {
        let source = Arc::new(source);
        let language = language::of_source(&source, "this rule module");
        let mut state = self.state();
        state.texts.sources.push(source);
        state.texts.modules.push(name.to_owned());
        state.texts.languages.push(language?);
        Ok(source_key(state.texts.sources.len() - 1))
    }

    /// Takes in a drawing that was read, so that it is packed and hashed with the recipe.
    pub(in crate::recipe) fn add_drawing(&self, source: Source, name: &str) {
        let mut state = self.state();
        if !state.texts.modules.iter().any(|known| known == name) {
            state.texts.sources.push(Arc::new(source));
            state.texts.modules.push(name.to_owned());
            state.texts.languages.push(None);
        }
    }

    /// Takes in the language version of the recipe itself.
    ///
    /// # Errors
    /// When it is written for a later language or program than this one.
    pub(in crate::recipe) fn read_language(&self) -> Result<(), Fault> {
        let language = language::of_source(&self.source(None), language::RECIPE)?;
        self.state().texts.languages[0] = language;
        Ok(())
    }

    /// The language version of source number `index`.
    pub(in crate::recipe) fn language_of(&self, index: usize) -> u32 {
        let state = self.state();
        let said = state.texts.languages.get(index).copied().flatten();
        said.unwrap_or(language::FIRST)
    }

    /// Every source read so far, the recipe first.
    pub(in crate::recipe) fn sources(&self) -> Vec<Arc<Source>> {
        self.state().texts.sources.clone()
    }

    /// What each of these sources really is: `./rings` or `plyloom/rings`; nothing for the recipe.
    pub(in crate::recipe) fn modules(&self) -> Vec<String> {
        self.state().texts.modules.clone()
    }

    /// Notes that a module of this name is not in the recipe's own folder.
    pub(in crate::recipe) fn sought_in_vain(&self, name: &str) {
        (self.state().texts.sought_in_vain).insert(name.to_owned());
    }

    /// Whether a module of this name was looked for in the recipe's own folder, and is not there.
    pub(in crate::recipe) fn was_sought_in_vain(&self, name: &str) -> bool {
        self.state().texts.sought_in_vain.contains(name)
    }

    /// Notes the functions of a source, for messages.
    pub(in crate::recipe) fn add_functions(&self, ast: &AST) {
        let source = self.source(ast.source());
        let found = ast.iter_functions().map(|function| ScriptFunction {
            source: Arc::clone(&source),
            name: function.name.to_owned(),
            params: function
                .params
                .iter()
                .map(|&name| name.to_owned())
                .collect(),
        });
        self.state().texts.functions.extend(found);
    }

    /// The functions of all sources, sorted by name.
    pub(in crate::recipe) fn functions(&self) -> Vec<ScriptFunction> {
        let mut functions = self.state().texts.functions.clone();
        functions.sort_by(|a, b| {
            a.name
                .cmp(&b.name)
                .then(a.params.len().cmp(&b.params.len()))
        });
        functions
    }

    /// Notes what the text says of itself in which `about` is called.
    ///
    /// # Errors
    /// When it was said before, or the language version is not written plainly.
    pub(in crate::recipe) fn set_about(
        &self,
        context: &NativeCallContext,
        about: About,
    ) -> Result<(), Fault> {
        let index = source_index(context.call_source());
        let place = self.place(context);
        if about
            .language
            .is_some_and(|_| self.state().texts.languages.get(index) != Some(&about.language))
        {
            return Err(Misuse::LanguageNotPlain.into());
        }
        let mut state = self.state();
        if let Some(first) = state.texts.abouts.get(&index) {
            let (line, _) = first.place.line_column();
            return Err(Fault::from(Misuse::AboutTwice)
                .label("here again")
                .help(format!(
                    "put both together: the first one is in line {line}"
                )));
        }
        let thing = about;
        state.texts.abouts.insert(index, Located { thing, place });
        Ok(())
    }

    /// What each source says of itself, by its number; those that say nothing are left out.
    pub(in crate::recipe) fn abouts(&self) -> BTreeMap<usize, About> {
        let state = self.state();
        let said = state.texts.abouts.iter();
        said.map(|(index, made)| (*index, made.thing.clone()))
            .collect()
    }
}
