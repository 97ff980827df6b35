//! Calling back into the recipe: functions that a recipe hands to a word.

use rhai::{
    AST, ASTNode, Caches, Dynamic, Engine, EvalAltResult, EvalContext, Expr, Expression, FnPtr,
    GlobalRuntimeState, NativeCallContext, Position, Scope, Shared, Stmt, StmtBlock,
};
use smallvec::SmallVec;

use super::run::Run;

/// A function of the recipe that is called again and again, each time with `N` values.
///
/// Rhai's own way to call a script function from Rust copies the whole state of the script and
/// looks up every word again, at each call: three tenths of the time of a short rule. Here both are
/// kept between calls.
pub struct Caller<'e, const N: usize> {
    engine: &'e Engine,
    global: GlobalRuntimeState,
    caches: Caches,
    scope: Scope<'static>,
    function: FnPtr,
    /// What the function does, where that can be evaluated by itself.
    body: Option<Body<N>>,
    position: Position,
}

impl<const N: usize> std::fmt::Debug for Caller<'_, N> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Caller")
            .field("function", &self.function)
            .finish_non_exhaustive()
    }
}

impl<'e, const N: usize> Caller<'e, N> {
    /// A function that a word was given.
    pub fn new(context: &'e NativeCallContext<'e>, function: &FnPtr) -> Self {
        let recipe = Run::of(context).ok().and_then(|run| run.recipe());
        Self::at(
            context.engine(),
            context.global_runtime_state().clone(),
            recipe.as_ref(),
            function,
            context.call_position(),
        )
    }

    /// A function with the state of the script that it is called in; faults are reported at
    /// `position`.
    pub(super) fn at(
        engine: &'e Engine,
        mut global: GlobalRuntimeState,
        recipe: Option<&AST>,
        function: &FnPtr,
        position: Position,
    ) -> Self {
        let mut scope = Scope::new();
        let body = recipe.and_then(|recipe| Body::of(recipe, &mut global, function));
        if let Some(body) = &body {
            let captured = function.iter_curry().cloned();
            let values = captured.chain(std::iter::repeat_n(Dynamic::UNIT, N));
            scope.extend(body.names.iter().map(String::as_str).zip(values));
        }
        Self {
            engine,
            global,
            caches: Caches::new(),
            scope,
            function: function.clone(),
            body,
            position,
        }
    }

    /// Calls the function and gives what it returns.
    ///
    /// # Errors
    /// What goes wrong inside it, and when it takes another number of values.
    pub fn call(&mut self, values: [Dynamic; N]) -> Result<Dynamic, Box<EvalAltResult>> {
        let given = match self.body.take() {
            Some(body) => {
                let given = self.evaluate(&body, values);
                self.body = Some(body);
                given
            }
            None => self.call_by_name(values),
        };
        given.map_err(|mut error| {
            if error.position().is_none() {
                error.set_position(self.position);
            }
            error
        })
    }

    fn call_by_name(&mut self, values: [Dynamic; N]) -> Result<Dynamic, Box<EvalAltResult>> {
        let captured = self.function.iter_curry().cloned();
        let mut values: SmallVec<[Dynamic; 5]> = captured.chain(values).collect();
        let mut values: SmallVec<[&mut Dynamic; 5]> = values.iter_mut().collect();
        let (global, caches, scope) = (&mut self.global, &mut self.caches, &mut self.scope);
        EvalContext::new(self.engine, global, caches, scope, None).call_fn_raw(
            self.function.fn_name(),
            false,
            false,
            &mut values,
        )
    }

    fn evaluate(
        &mut self,
        body: &Body<N>,
        values: [Dynamic; N],
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        for (name, value) in body.own().iter().zip(values) {
            if let Some(slot) = self.scope.get_mut(name) {
                *slot = value;
            }
        }
        let (global, caches, scope) = (&mut self.global, &mut self.caches, &mut self.scope);
        let given = EvalContext::new(self.engine, global, caches, scope, None)
            .eval_expression_tree(&Expression::from(&body.expression));
        self.scope.rewind(body.names.len());
        match given {
            Ok(value) => Ok(value.flatten()),
            Err(error) => match *error {
                EvalAltResult::Return(value, ..) => Ok(value),
                error if error.is_system_exception() => Err(error.into()),
                error => Err(EvalAltResult::ErrorInFunctionCall(
                    self.function.fn_name().to_owned(),
                    self.global.source().unwrap_or_default().to_owned(),
                    error.into(),
                    Position::NONE,
                )
                .into()),
            },
        }
    }
}

/// The syntax tree of a recipe with one of its functions alone, so that a walk over it begins with that
/// function's statements.
pub(super) fn alone(recipe: &AST, function: &str) -> AST {
    // To filter while cloning does nothing in Rhai 1.27: a fresh module takes all there is.
    let mut alone = recipe.clone_functions_only();
    alone.retain_functions(|_, _, name, _| name == function);
    alone
}

/// The body of an anonymous function of the recipe, as an expression in which its parameters are
/// variables.
///
/// To evaluate the body takes a fifth less time than to call the function by its name: such a call
/// looks up the function, copies the names of its parameters and makes room for them, again for each
/// cell.
struct Body<const N: usize> {
    expression: Expr,
    /// The parameters: what the function captured, then its own.
    names: Vec<String>,
}

impl<const N: usize> Body<N> {
    /// The body of a function, with the state of the script as it is inside the function. None
    /// where a call does something else than evaluate the body: where the function is defined in
    /// another text, takes another number of values, or is empty.
    fn of(recipe: &AST, global: &mut GlobalRuntimeState, function: &FnPtr) -> Option<Self> {
        let [library] = &global.lib[..] else {
            return None;
        };
        let captured = function.curry();
        if !Shared::ptr_eq(library, recipe.shared_lib())
            || !function.is_anonymous()
            || !captured.iter().all(Dynamic::is_shared)
        {
            return None;
        }
        let definition = library.get_script_fn(function.fn_name(), captured.len() + N)?;
        let names = definition.params.iter().map(ToString::to_string).collect();
        let name = &definition.name;
        let mut statements = Vec::new();
        alone(recipe, name).walk(&mut |path: &[ASTNode<'_>]| {
            if let [ASTNode::Stmt(statement)] = path {
                statements.push((*statement).clone());
            }
            true
        });
        let expression = match statements.pop()? {
            Stmt::Expr(only) if statements.is_empty() => *only,
            last => {
                statements.push(last);
                let block = StmtBlock::new(statements, Position::NONE, Position::NONE);
                Expr::Stmt(block.into())
            }
        };
        // As many levels as a call by name has: the call, the function, and its body.
        global.level += 3;
        global.source = library.id().map(Into::into);
        Some(Self { expression, names })
    }

    /// The parameters that are given at each call.
    fn own(&self) -> &[String] {
        &self.names[self.names.len() - N..]
    }
}
