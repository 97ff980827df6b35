//! A group of words.

use std::any::TypeId;
use std::collections::BTreeMap;

use rhai::plugin::{ModuleManifest, PluginFunc, RhaiResult};
use rhai::{Dynamic, Engine, FuncMetadata, FuncRegistration, Module, NativeCallContext, RhaiFunc};

use crate::recipe::ended::at_call;

/// A group of words.
#[derive(Debug)]
pub struct Group {
    /// Its name, as in the reference.
    pub name: &'static str,
    /// What its words are for, in one sentence.
    pub about: &'static str,
    /// Its words.
    pub module: Module,
}

/// A word whose loops may ask the watch: where that ends it, its call is shown.
struct Looping(&'static (dyn PluginFunc + Send + Sync));

impl PluginFunc for Looping {
    fn call(
        &self,
        context: Option<NativeCallContext<'_>>,
        args: &mut [&mut Dynamic],
    ) -> RhaiResult {
        at_call(|| self.0.call(context, args)).unwrap_or_else(|ended| Err(ended.into()))
    }

    fn is_method_call(&self) -> bool {
        self.0.is_method_call()
    }

    fn has_context(&self) -> bool {
        self.0.has_context()
    }

    fn is_pure(&self) -> bool {
        self.0.is_pure()
    }

    fn is_volatile(&self) -> bool {
        self.0.is_volatile()
    }
}

/// The words of a plugin module whose loops may ask the watch. The wood and the panels are worked out
/// by such loops; words that only look something up do without, as they are called for each cell.
pub(super) fn looping(words: &'static ModuleManifest) -> Module {
    let mut engine = Engine::new_raw();
    engine.register_global_module(Module::from_manifest(words).into());
    let of_hash = |known: FuncMetadata| (known.hash, known);
    let known: BTreeMap<u64, FuncMetadata> = engine
        .collect_fn_metadata(None, |info| Some(of_hash(info.metadata.clone())), false)
        .into_iter()
        .collect();
    let mut module = Module::new();
    words.for_each_fn(false, &mut |word| {
        let known = &known[&word.calc_hash(&[])];
        let func = RhaiFunc::from(Looping(word.func()));
        let types: &[TypeId] = &known.param_types;
        // What a word gives comes after what it takes.
        let params = known.params_info.iter().chain([&known.return_type]);
        FuncRegistration::new(word.name())
            .with_namespace(word.namespace())
            .with_params_info(params)
            .with_comments(&known.comments)
            .set_into_module_raw(&mut module, types, func);
    });
    module
}
