//! A parameter and its value, as files keep them.

use serde::{Deserialize, Serialize};

use crate::recipe::parameter::{Parameter, Value};

/// A parameter and its value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ParameterValue {
    /// Its name.
    pub name: String,
    /// Its value; lengths in mm.
    pub value: Value,
}

impl From<&Parameter> for ParameterValue {
    fn from(parameter: &Parameter) -> Self {
        Self {
            name: parameter.name.clone(),
            value: parameter.value.clone(),
        }
    }
}
