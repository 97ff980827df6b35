//! Names of strangers, made fit for a drawing.
//!
//! XML 1.0 (fifth edition), section 2.2, says which characters a document may hold; marks that turn
//! the reading direction are left out too, as they could make other text of the page read
//! backwards. Markup is escaped where the element is written, not here.

/// The most characters of a name kept for a document's title.
const LONGEST: usize = 300;

/// A text in one line: without control and direction marks and what XML forbids, single spaces.
pub(crate) fn clean(text: &str) -> String {
    cut(&on_one_line(text.chars().take(LONGEST * 4)), LONGEST)
}

/// A whole statement cleaned in the same way, however long it is.
pub(crate) fn clean_whole(text: &str) -> String {
    on_one_line(text.chars())
}

fn on_one_line(text: impl Iterator<Item = char>) -> String {
    let mut out = String::new();
    let mut gap = false;
    for c in text {
        if c.is_whitespace() || c.is_control() {
            gap = true;
        } else if !unwelcome(c) {
            if gap && !out.is_empty() {
                out.push(' ');
            }
            gap = false;
            out.push(c);
        }
    }
    out
}

/// A cleaned text shortened to a width given in ems of its own size, with an ellipsis where
/// something went. Widths of letters are estimated on the wide side, so that any plain sans-serif
/// typeface fits.
pub(crate) fn fitted(text: &str, ems: f64) -> String {
    if width(text) <= ems {
        return text.to_owned();
    }
    let mut sum = letter('\u{2026}');
    let kept = text
        .chars()
        .take_while(|&c| {
            sum += letter(c);
            sum <= ems
        })
        .count();
    cut(text, kept + 1)
}

/// A cleaned text in lines of a width given in ems, broken at spaces; the last of at most `lines` lines
/// is shortened like [`fitted`].
pub(crate) fn wrapped(text: &str, ems: f64, lines: usize) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for word in text.split(' ') {
        let room = all.len() == lines;
        match all.last_mut() {
            Some(line) if room || width(line) + letter(' ') + width(word) <= ems => {
                line.push(' ');
                line.push_str(word);
            }
            _ => all.push(word.to_owned()),
        }
    }
    all.iter().map(|line| fitted(line, ems)).collect()
}

/// Estimated width of a text in ems.
pub(crate) fn width(text: &str) -> f64 {
    text.chars().map(letter).sum()
}

fn cut(text: &str, most: usize) -> String {
    if text.chars().nth(most).is_none() {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}\u{2026}", kept.trim_end())
}

fn letter(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' | '\u{a0}' => 0.31,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '/' | '-' => 0.42,
        'm' | 'w' | 'M' | 'W' | '%' | '@' | '\u{2026}' => 0.95,
        'A'..='Z' => 0.72,
        '\0'..='\u{7f}' => 0.58,
        '\u{300}'..='\u{36f}' => 0.0,
        '\u{80}'..='\u{10ff}' => 0.72,
        _ => 1.05,
    }
}

fn unwelcome(c: char) -> bool {
    let code = u32::from(c);
    code & 0xfffe == 0xfffe
        || matches!(c,
            '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fdd0}'..='\u{fdef}'
            | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}' | '\u{e000}'..='\u{f8ff}'
            | '\u{f0000}'..)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_and_controls_go() {
        assert_eq!(
            clean("  a\u{0}b\n\tc\u{fffe}d\u{202e}e\u{200f}f\u{feff} "),
            "a b cdef"
        );
        assert_eq!(clean("\u{1}\u{2}"), "");
        assert_eq!(clean("<b> & \"Q\""), "<b> & \"Q\"");
        assert_eq!(clean(&"x".repeat(5000)).chars().count(), LONGEST);
    }

    #[test]
    fn long_lines_go_on_below() {
        assert_eq!(wrapped("one two three", 100.0, 2), ["one two three"]);
        assert_eq!(wrapped("one two three", 4.5, 2), ["one two", "three"]);
        let cut = wrapped("one two three four five six", 4.5, 2);
        assert_eq!(cut.len(), 2);
        assert!(cut[1].ends_with('\u{2026}'), "{cut:?}");
        assert_eq!(wrapped("", 4.0, 2), [""]);
    }

    #[test]
    fn long_names_are_cut() {
        assert_eq!(fitted("short", 10.0), "short");
        let cut = fitted(&"Rosette ".repeat(40), 12.0);
        assert!(cut.ends_with('\u{2026}') && width(&cut) <= 12.0, "{cut}");
        assert!(!cut.contains(" \u{2026}"));
        assert_eq!(
            fitted("\u{4e00}\u{4e01}\u{4e02}\u{4e03}", 3.1),
            "\u{4e00}\u{4e01}\u{2026}"
        );
    }
}
