//! What an author says of a recipe, for the terminal.

use std::fmt::Write as _;

use crate::recipe::about::About;
use crate::session::visible::{on_one_line, visible};

/// Title, author, licence and purpose: what comes before the panels; empty where nothing is said.
pub(super) fn before(about: &About) -> String {
    let mut head = about.title.as_deref().map(on_one_line).unwrap_or_default();
    if let Some(author) = &about.author {
        let between = if head.is_empty() { "" } else { ", " };
        let _ = write!(head, "{between}by {}", on_one_line(author));
    }
    if let Some(licence) = &about.licence {
        let between = if head.is_empty() { "" } else { " " };
        let _ = write!(head, "{between}({})", on_one_line(licence));
    }
    let lines = [
        Some(head).filter(|head| !head.is_empty()),
        about.purpose.as_deref().map(on_one_line),
    ];
    ended(lines.into_iter().flatten())
}

/// Notes and what to try next: what comes after the panels; empty where nothing is said.
pub(super) fn after(about: &About) -> String {
    let notes = about.notes.iter().flat_map(|notes| notes.lines());
    let tries = about.try_next.iter().enumerate().map(|(i, text)| {
        let lead = if i == 0 { "try next:" } else { "" };
        format!("{lead:<10}{}", on_one_line(text))
    });
    ended(notes.map(visible).chain(tries))
}

fn ended(lines: impl Iterator<Item = String>) -> String {
    lines.fold(String::new(), |text, line| text + line.as_str() + "\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_stands_in_a_few_lines() {
        let about = About {
            title: Some("Ferry floor".to_owned()),
            author: Some("A. Joiner".to_owned()),
            licence: Some("CC0-1.0".to_owned()),
            purpose: Some("a tray".to_owned()),
            try_next: vec!["--seed 2".to_owned(), "another dye".to_owned()],
            notes: Some("one\ntwo".to_owned()),
            ..About::default()
        };
        assert_eq!(
            before(&about),
            "Ferry floor, by A. Joiner (CC0-1.0)\na tray\n"
        );
        assert_eq!(
            after(&about),
            "one\ntwo\ntry next: --seed 2\n          another dye\n"
        );
        assert_eq!(before(&About::default()), "");
        assert_eq!(after(&About::default()), "");
        let licence = Some("MIT".to_owned());
        let about = About {
            licence,
            ..About::default()
        };
        assert_eq!(before(&about), "(MIT)\n");
    }
}
