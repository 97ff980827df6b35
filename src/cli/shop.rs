//! Reading the shop file that a command names.

use std::path::Path;
use std::sync::Arc;

use super::cli_error::CliError;
use crate::files::read_recipe;
use crate::plan::{Shop, ShopError};
use crate::recipe::failure::Failure;
use crate::recipe::kind::Kind;
use crate::recipe::source::{Location, Source};
use crate::recipe::store::ReadError;

/// The shop of a file, or the common one where none is named.
///
/// # Errors
/// When the file cannot be read, or has a mistake.
pub(super) fn shop(path: Option<&Path>) -> Result<Shop, CliError> {
    path.map_or_else(|| Ok(Shop::common()), read_shop)
}

pub(super) fn read_shop(path: &Path) -> Result<Shop, CliError> {
    let (source, _) = read_recipe(path);
    let source = source.map_err(|error| match error {
        ReadError::Missing { .. } => CliError::Plan {
            message: format!("there is no shop file `{}`", path.display()),
            help: format!(
                "check the name, or write one with `plyloom plan --new-shop {}`",
                path.display()
            ),
        },
        other => other.into(),
    })?;
    Shop::parse(&source.text).map_err(|error| mistake(error, source))
}

/// A mistake in a shop file or a rack, reported like a mistake in a recipe.
pub(super) fn mistake(error: ShopError, source: Arc<Source>) -> CliError {
    CliError::from(Failure {
        code: "shop::mistake",
        kind: Kind::Syntax,
        message: error.message,
        place: Some(Location {
            source: Arc::clone(&source),
            span: error.span,
        }),
        label: None,
        help: error.help,
        inside: Vec::new(),
        trace: Vec::new(),
        sources: vec![source],
    })
}
