//! Text of a recipe on its way to a terminal.

/// A line without control characters, so that a recipe cannot play with the terminal.
pub(super) fn printable(line: &str) -> String {
    line.chars()
        .map(|c| if c == '\t' { ' ' } else { c })
        .filter(|c| !c.is_control() && !changes_direction(*c))
        .collect()
}

/// Characters that make a terminal show text in another order than it stands.
fn changes_direction(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_terminal_is_safe_from_what_is_printed() {
        assert_eq!(printable("a\u{1b}[2Jb\tc\u{202e}d\r"), "a[2Jb cd");
    }
}
