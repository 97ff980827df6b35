//! Plain lengths in a text: read, and written in the same form and unit as before.

use std::ops::Range;

use super::error::HandleError;
use crate::geom::length;
use crate::recipe::rewrite::{inches, quoted};

/// No outline is larger than this, in mm.
const LARGEST: f64 = 1e6;

/// A length that stands in the text as it is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Length {
    /// Where.
    pub(super) span: Range<usize>,
    /// In mm.
    pub(super) mm: f64,
}

/// Whether a length that is written as a text is in inches or feet.
fn in_inches(inner: &str) -> bool {
    let unit = inner.trim_end_matches('.').trim_start_matches(|c: char| {
        c.is_ascii_digit() || c.is_whitespace() || matches!(c, '.' | '/' | '-')
    });
    let metric = matches!(unit.to_lowercase().as_str(), "mm" | "cm" | "m");
    !metric && (!unit.is_empty() || inner.contains('/'))
}

impl Length {
    /// The length that a text is as a whole; none where it is worked out.
    pub(super) fn read(text: &str, span: Range<usize>) -> Option<Self> {
        let written = &text[span.clone()];
        let mm = match written.strip_prefix('"') {
            Some(rest) => {
                let inner = rest.strip_suffix('"').filter(|rest| !rest.contains('\\'))?;
                length::parse(inner).ok()?
            }
            None => written.replace('_', "").parse().ok()?,
        };
        Some(Self { span, mm })
    }

    /// The text of the length when it has grown by so many mm: a multiple of `step`, in its own
    /// unit.
    pub(super) fn written(&self, text: &str, more: f64, step: f64) -> Result<String, HandleError> {
        let was = &text[self.span.clone()];
        let grid = |value: f64, step: f64| libm::round(value / step) * step;
        let mm = self.mm + more;
        if !(mm.abs() <= LARGEST && step > 0.0) {
            return Err(HandleError::TooLarge);
        }
        let Some(inner) = was.strip_prefix('"') else {
            let shown = shown(grid(mm, step));
            // A number with a point keeps one, so that it stays a number of the same type.
            let keeps = was.contains('.') && !shown.contains('.');
            return Ok(if keeps { format!("{shown}.0") } else { shown });
        };
        let inner = inner.trim_end_matches('"');
        Ok(quoted(&if in_inches(inner) {
            let parts = if step < 1.0 { 64.0 } else { 16.0 };
            let mm = length::from_inches(grid(length::to_inches(mm), 1.0 / parts));
            format!("{} in", inches(mm))
        } else {
            format!("{} mm", shown(grid(mm, step)))
        }))
    }
}

/// A length to a thousandth of a mm, without a sign before nothing.
pub(super) fn shown(mm: f64) -> String {
    let rounded = libm::round(mm * 1000.0) / 1000.0;
    (rounded + 0.0).to_string()
}
