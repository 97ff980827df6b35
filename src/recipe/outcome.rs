//! What a recipe that succeeded leaves behind.

use std::any::Any;
use std::sync::Arc;

use super::fault::Fault;
use super::parameter::Parameter;
use super::run::Made;
use super::source::Source;

/// A panel as the vocabulary holds it while the recipe still adds to it.
pub type Handle = Arc<dyn Any + Send + Sync>;

/// A panel with everything in it resolved.
pub type Panel = Arc<dyn Any + Send + Sync>;

/// What one run of a recipe gave.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The panels, in the order in which the recipe began them.
    pub panels: Vec<Panel>,
    /// The parameters, in the order in which the recipe declared them.
    pub parameters: Vec<Parameter>,
    /// The seed that random choices started from.
    pub seed: u64,
    /// Every source that was read: the recipe first, then its modules in the order of loading.
    pub sources: Vec<Arc<Source>>,
    /// Module names that were looked for in the recipe's own folder and are not there: were they
    /// created, the next run would read them.
    pub sought: Vec<String>,
    /// Script operations that the run took.
    pub operations: u64,
}

/// Resolves what a recipe began, when its script has ended.
pub(super) fn finish(begun: Vec<Made<Handle>>) -> Result<Vec<Panel>, (Fault, Made<Handle>)> {
    Ok(begun.into_iter().map(|made| made.thing).collect())
}
