//! Text that is safe to print on a terminal: characters that would control it are shown as signs.
//!
//! Recipes come from strangers. A name or a message of theirs may hold the codes that move the
//! cursor, change colours, set a window's title, or turn the direction of reading around.

use std::path::Path;

/// One character as it is shown: itself, or a sign for what must not reach a terminal.
///
/// Carriage returns vanish, so that a line of a file from another system looks like any other.
pub fn shown(letter: char) -> Option<char> {
    match letter {
        '\r' => None,
        '\n' => Some('\n'),
        '\t' => Some(' '),
        '\0'..='\u{1f}' => char::from_u32(0x2400 + u32::from(letter)),
        '\u{7f}' => Some('\u{2421}'),
        // The second set of controls; marks and overrides of the direction of reading; line and
        // paragraph separators; letters of no width: a name must look like what it is.
        '\u{80}'..='\u{9f}'
        | '\u{61c}'
        | '\u{200b}'..='\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{feff}' => Some('\u{fffd}'),
        _ => Some(letter),
    }
}

/// Text of several lines, safe to show.
pub fn visible(text: &str) -> String {
    text.chars().filter_map(shown).collect()
}

/// Text safe to show on one line: line breaks become signs as well.
pub fn on_one_line(text: &str) -> String {
    let lines = text.chars().filter_map(shown);
    lines
        .map(|letter| if letter == '\n' { '\u{2424}' } else { letter })
        .collect()
}

/// A path safe to show on one line.
pub fn shown_path(path: &Path) -> String {
    on_one_line(&path.display().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_show_as_signs() {
        assert_eq!(visible("a\u{1b}[31mb\u{7f}\u{9b}c"), "a␛[31mb␡\u{fffd}c");
        assert_eq!(visible("one\r\ntwo\tthree"), "one\ntwo three");
        assert_eq!(on_one_line("one\r\ntwo"), "one␤two");
        assert_eq!(visible("\u{202e}evil"), "\u{fffd}evil");
        assert_eq!(visible("Nußbaum 3\u{200a}mm é"), "Nußbaum 3\u{200a}mm é");
    }

    #[test]
    fn nothing_that_is_a_control_code_is_left() {
        let all: String = (0..=0xffff).filter_map(char::from_u32).collect();
        assert!(!on_one_line(&all).chars().any(char::is_control));
    }
}
