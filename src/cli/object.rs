//! A small object as an argument: by name, or by its size.

use crate::appearance::object::{OBJECTS, Shape};
use crate::geom::length;

/// A named object, or a size in mm: `90x60`, `round 90`.
pub(super) fn object(text: &str) -> Result<(String, Shape), String> {
    if let Some(known) = OBJECTS.iter().find(|o| o.name == text) {
        return Ok((text.to_owned(), known.shape));
    }
    let names = OBJECTS.map(|o| o.name).join(", ");
    let hint = || format!("expected a size such as `90x60` or `round 90`, or one of {names}");
    let side = |text: &str| {
        length::parse(text)
            .ok()
            .filter(|mm| (1.0..=10_000.0).contains(mm))
            .ok_or_else(hint)
    };
    let shape = match (text.strip_prefix("round "), text.split_once('x')) {
        (Some(diameter), _) => Shape::Circle(side(diameter)?),
        (None, Some((wide, high))) => Shape::Rectangle(side(wide)?, side(high)?),
        (None, None) => return Err(hint()),
    };
    Ok((text.to_owned(), shape))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn objects_by_name_or_size() {
        assert_eq!(
            object("handle").map(|(_, s)| s),
            Ok(Shape::Rectangle(110.0, 25.0))
        );
        assert_eq!(
            object("90x2 in").map(|(_, s)| s),
            Ok(Shape::Rectangle(90.0, 50.8))
        );
        assert_eq!(
            object("round 90 mm").map(|(_, s)| s),
            Ok(Shape::Circle(90.0))
        );
        for bad in ["spoon", "90", "0x10", "10x", "round", "round x"] {
            assert!(object(bad).is_err_and(|e| e.contains("coaster")), "{bad}");
        }
    }
}
