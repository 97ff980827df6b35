//! Calling back into the recipe: functions that a recipe hands to a word.

use rhai::{
    Caches, Dynamic, Engine, EvalAltResult, EvalContext, FnPtr, GlobalRuntimeState,
    NativeCallContext, Position, Scope,
};
use smallvec::SmallVec;

/// A function of the recipe that is called again and again.
///
/// A call of Rhai's own from outside of a script copies the whole state of the script and looks for
/// every word anew: three tenths of what a short rule takes. Here both are kept between calls.
pub struct Caller<'e> {
    engine: &'e Engine,
    global: GlobalRuntimeState,
    caches: Caches,
    scope: Scope<'static>,
    function: FnPtr,
    position: Position,
}

impl std::fmt::Debug for Caller<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Caller")
            .field("function", &self.function)
            .finish_non_exhaustive()
    }
}

impl<'e> Caller<'e> {
    /// A function that a word was given.
    #[must_use]
    pub fn new(context: &'e NativeCallContext<'e>, function: &FnPtr) -> Self {
        let global = context.global_runtime_state().clone();
        Self::at(context.engine(), global, function, context.call_position())
    }

    /// A function in some state of a script; what goes wrong is put to `position`.
    pub(super) fn at(
        engine: &'e Engine,
        global: GlobalRuntimeState,
        function: &FnPtr,
        position: Position,
    ) -> Self {
        Self {
            engine,
            global,
            caches: Caches::new(),
            scope: Scope::new(),
            function: function.clone(),
            position,
        }
    }

    /// Calls the function and gives what it returns.
    ///
    /// # Errors
    /// What goes wrong inside it, and when it takes another number of values.
    pub fn call<const N: usize>(
        &mut self,
        values: [Dynamic; N],
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        let captured = self.function.iter_curry().cloned();
        let mut values: SmallVec<[Dynamic; 5]> = captured.chain(values).collect();
        let mut values: SmallVec<[&mut Dynamic; 5]> = values.iter_mut().collect();
        let (global, caches, scope) = (&mut self.global, &mut self.caches, &mut self.scope);
        EvalContext::new(self.engine, global, caches, scope, None)
            .call_fn_raw(self.function.fn_name(), false, false, &mut values)
            .map_err(|mut error| {
                if error.position().is_none() {
                    error.set_position(self.position);
                }
                error
            })
    }
}
