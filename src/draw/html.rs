//! What our pages for a browser have in common: ink and ground, plain words, and the policy on what
//! a page may do.

use base64::{Engine as _, engine::general_purpose::STANDARD};
use sha2::{Digest as _, Sha256};

use super::words;

/// Ink and ground for light and dark surroundings: words, soft words, links, ground.
pub(super) const LIGHT: [&str; 4] = ["#2b2520", "#5d544b", "#0b4f8a", "#fbf9f6"];
pub(super) const DARK: [&str; 4] = ["#f0ebe4", "#b9afa4", "#8fc3f5", "#1c1917"];

/// The style of words and links, in light and in dark surroundings.
pub(super) fn style() -> String {
    let colours = |[ink, soft, link, ground]: [&str; 4]| {
        format!("--ink:{ink};--soft:{soft};--link:{link};--ground:{ground}")
    };
    format!(
        ":root{{color-scheme:light dark;{}}}\n\
         @media (prefers-color-scheme:dark){{:root{{{}}}}}\n\
         body{{margin:0;background:var(--ground);color:var(--ink);font:1rem/1.45 system-ui,sans-serif}}\n",
        colours(LIGHT),
        colours(DARK)
    )
}

/// What the policy calls a text: CSP Level 3, section 2.3.1.
pub(super) fn hashed(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}

/// Words as text of a page.
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut out = String::new();
    for letter in words::clean(text).chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sight::contrast::ratio;
    use crate::stock::Colour;

    /// WCAG 2.2, success criterion 1.4.3 (level AA): at least 4.5 : 1.
    #[test]
    fn words_stand_out_from_the_ground() {
        let colour = |hex: &str| Colour::parse(hex).unwrap();
        for [words @ .., ground] in [LIGHT, DARK] {
            for ink in words {
                let ratio = ratio(colour(ink), colour(ground));
                assert!(ratio >= 4.5, "{ink} on {ground}: {ratio}");
            }
        }
    }

    /// SHA-256 of "abc", the example of FIPS 180-4, in base64.
    #[test]
    fn the_policy_names_the_digest() {
        assert_eq!(
            hashed("abc"),
            "sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="
        );
    }
}
