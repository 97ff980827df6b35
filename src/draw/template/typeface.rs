//! The one typeface of a template, and which letters asked of it it does not have.
//!
//! Letters are looked for as they are set: one that is put together with a mark above it counts as
//! there where the typeface has it whole.

use std::collections::BTreeSet;

use krilla::text::Font;
use rustybuzz::{Face, UnicodeBuffer, shape};

const FILE: &[u8] = epaint_default_fonts::UBUNTU_LIGHT;

pub(super) struct Typeface {
    font: Font,
    face: Face<'static>,
    missing: BTreeSet<char>,
}

impl Typeface {
    pub(super) fn new() -> Self {
        Self {
            font: Font::new(FILE.to_vec().into(), 0)
                .expect("invariant: the font comes with the program"),
            face: Face::from_slice(FILE, 0).expect("invariant: the font comes with the program"),
            missing: BTreeSet::new(),
        }
    }

    /// The font to set a text with; letters of it that are not there are kept in mind.
    pub(super) fn for_text(&mut self, text: &str) -> Font {
        if !text.is_ascii() {
            self.missing.extend(lacking(&self.face, text));
        }
        self.font.clone()
    }

    /// The letters that were asked for and are not there.
    pub(super) fn missing(self) -> BTreeSet<char> {
        self.missing
    }
}

/// The letters of a text for which a font has only its empty box: glyph 0 (OpenType, table `cmap`).
fn lacking(face: &Face<'_>, text: &str) -> Vec<char> {
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    shape(face, &[], buffer)
        .glyph_infos()
        .iter()
        .filter(|glyph| glyph.glyph_id == 0)
        .filter_map(|glyph| text.get(glyph.cluster as usize..)?.chars().next())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_that_are_there_and_letters_that_are_not() {
        let face = Face::from_slice(FILE, 0).unwrap();
        let ascii: String = (' '..='~').collect();
        assert!(lacking(&face, &ascii).is_empty());
        assert!(lacking(&face, "Gr\u{fc}\u{df}e \u{3a9} \u{416}").is_empty());
        // An e and an acute accent over it.
        assert!(lacking(&face, "caf\u{65}\u{301}").is_empty());
        assert_eq!(lacking(&face, "a \u{6728} b"), ['\u{6728}']);
    }
}
