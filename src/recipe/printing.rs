//! Text of a recipe on its way to a terminal, and numbers in messages.

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

/// `1234567` as `1 234 567`; for whole numbers of any size.
pub(crate) fn grouped(number: impl std::fmt::Display) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(' ');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_fall_into_groups_of_three() {
        assert_eq!(grouped(7), "7");
        assert_eq!(grouped(1234), "1 234");
        assert_eq!(grouped(10_000_000), "10 000 000");
    }

    #[test]
    fn a_terminal_is_safe_from_what_is_printed() {
        assert_eq!(printable("a\u{1b}[2Jb\tc\u{202e}d\r"), "a[2Jb cd");
    }
}
