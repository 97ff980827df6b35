//! "Did you mean": the nearest of the known names.

/// The known name that `written` was most likely meant to be, if one is near enough.
pub(crate) fn nearest<'a>(written: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let lower = written.to_lowercase();
    // About one slip in three letters; a swap of two letters counts as one.
    let allowed = match written.chars().count() {
        0..=1 => 0,
        2..=5 => 1,
        6..=8 => 2,
        _ => 3,
    };
    known
        .filter(|name| *name != written)
        .map(|name| (distance(&lower, &name.to_lowercase()), name))
        .filter(|(distance, _)| *distance <= allowed)
        .min_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.cmp(b.1)))
        .map(|(_, name)| name)
}

fn distance(a: &str, b: &str) -> usize {
    strsim::damerau_levenshtein(a, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guess(written: &str) -> Option<&'static str> {
        nearest(
            written,
            ["plywood", "panel", "param", "rhombus", "end_for_end"].into_iter(),
        )
    }

    #[test]
    fn slips_find_the_word_and_strangers_do_not() {
        assert_eq!(guess("plywod"), Some("plywood"));
        assert_eq!(guess("Panel"), Some("panel"));
        assert_eq!(guess("pnael"), Some("panel"));
        assert_eq!(guess("endforend"), Some("end_for_end"));
        assert_eq!(guess("saw"), None);
        assert_eq!(guess("x"), None);
    }
}
