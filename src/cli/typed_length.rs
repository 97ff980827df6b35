//! Lengths that a maker has measured, as they are typed on the command line.

use crate::geom::length;

/// A small length of 0 or more, in mm, such as a gap.
///
/// # Errors
/// When it is no length, or below 0: what to write.
pub(super) fn measured(text: &str) -> Result<f64, String> {
    let help = "write a length of 0 or more, such as `0.4`, `0.4 mm` or `1/64 in`";
    match length::parse(text) {
        Ok(mm) if mm >= 0.0 => Ok(mm),
        Ok(_) => Err(help.to_owned()),
        Err(error) => Err(format!("{error}; {help}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_read_in_either_unit() {
        assert_eq!(measured("0.4"), Ok(0.4));
        assert!((measured("1/64 in").unwrap() - 0.396_875).abs() < 1e-9);
        assert!(measured("-0.4").is_err() && measured("wide").is_err());
    }
}
