//! The program's own data as JSON that says what it is: a `schema`, and a `version` that grows when its
//! form changes.

use serde::de::DeserializeOwned;
use serde_json::Value;

/// Why a text is not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unread {
    /// It is something else, or damaged: why.
    NotOne(String),
    /// A later program wrote it: in this version.
    Newer(u64),
}

/// Reads data of this schema, of versions up to `latest`. The version comes first: what a later one means, this
/// program cannot know.
///
/// # Errors
/// When it is something else, or of a later version.
pub fn read<T: DeserializeOwned>(text: &str, schema: &str, latest: u32) -> Result<T, Unread> {
    let not_one = |error: serde_json::Error| Unread::NotOne(error.to_string());
    let value: Value = serde_json::from_str(text).map_err(not_one)?;
    if value.get("schema").and_then(Value::as_str) != Some(schema) {
        return Err(Unread::NotOne(format!("it does not say `{schema}`")));
    }
    match value.get("version").and_then(Value::as_u64) {
        Some(found) if found > u64::from(latest) => Err(Unread::Newer(found)),
        Some(_) => serde_json::from_value(value).map_err(not_one),
        None => Err(Unread::NotOne("its version is missing".to_owned())),
    }
}
