//! Recipes: from Rhai text to panels. Knows the engine; never touches files or the terminal.

pub mod failure;
pub mod host;
pub mod parameter;
pub mod settings;
pub mod source;
