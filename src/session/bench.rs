//! What a maker works at.

use super::{Given, Snapshot};
use crate::recipe::store::Store;

/// The recipe as it was given, its picture that is shown, and the store of its texts.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    /// The recipe.
    pub given: &'a Given,
    /// What is shown.
    pub state: &'a Snapshot,
    /// Its texts and its modules.
    pub store: &'a dyn Store,
}

impl std::fmt::Debug for Bench<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Bench")
            .field("given", &self.given)
            .finish_non_exhaustive()
    }
}
