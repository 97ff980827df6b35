//! Parameters whose value is used nowhere in the text of their source.

use std::sync::Arc;

use super::{Doubt, Doubtful};
use crate::recipe::reading::{bound_parameters, names_in};
use crate::recipe::source::{Location, Source};

pub(super) fn doubts(source: &Arc<Source>) -> Vec<Doubtful> {
    let names = names_in(&source.text);
    let unused = bound_parameters(&source.text)
        .into_iter()
        .filter(|bound| match &bound.variable {
            Some(variable) => names.iter().filter(|name| *name == variable).count() < 2,
            None => bound.alone,
        });
    unused
        .map(|bound| Doubtful {
            doubt: Doubt::UnusedParameter { name: bound.name },
            place: Location {
                source: Arc::clone(source),
                span: bound.span,
            },
        })
        .collect()
}
