//! Text of a recipe on its way to the page: no control codes, nothing that turns reading around.
//!
//! Markup needs no care here: the page only ever sets text.

/// A text in which what would steer a reader shows as a sign. Line breaks stay.
pub(super) fn plain(text: &str) -> String {
    text.chars()
        .filter(|c| *c != '\r')
        .map(|c| match c {
            '\n' => '\n',
            '\t' => ' ',
            '\u{61c}'
            | '\u{200b}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{feff}' => '\u{fffd}',
            c if c.is_control() => '\u{fffd}',
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_show_as_signs_and_markup_stays_text() {
        assert_eq!(plain("a\u{1b}[2J\r\n\u{202e}b"), "a\u{fffd}[2J\n\u{fffd}b");
        assert_eq!(plain("<b>Nußbaum</b>"), "<b>Nußbaum</b>");
    }
}
