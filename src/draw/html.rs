//! What our pages for a browser have in common: the frame around their content, text and background
//! colours, texts by others, and the policy on what a page may do.
//!
//! Markup is written by [`maud`], which escapes every text it is given.

use base64::{Engine as _, engine::general_purpose::STANDARD};
use maud::{DOCTYPE, Markup, PreEscaped, Render, html};
use sha2::{Digest as _, Sha256};

use super::words;

/// Colours for the light and the dark scheme: text, soft text, links, background.
pub(super) const LIGHT: [&str; 4] = ["#2b2520", "#5d544b", "#0b4f8a", "#fbf9f6"];
pub(super) const DARK: [&str; 4] = ["#f0ebe4", "#b9afa4", "#8fc3f5", "#1c1917"];

/// The style of text and links, in the light and the dark scheme.
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

/// The frame of a page, besides its content.
#[derive(Debug, Default)]
pub(super) struct Frame<'a> {
    /// Its title.
    pub(super) title: &'a str,
    /// Its description, for search engines and lists of pages; may be empty.
    pub(super) description: &'a str,
    /// Its style sheet, the only one it may use.
    pub(super) style: &'a str,
    /// Its script, the only one that runs in it; may be empty.
    pub(super) script: &'a str,
    /// Where pictures may come from, in the words of the policy; empty where it asks for none.
    pub(super) images: &'a str,
}

impl Frame<'_> {
    /// The whole page around its main part.
    pub(super) fn around(&self, main: &Markup) -> String {
        let whole = html! {
            (DOCTYPE) "\n"
            html lang="en" { "\n"
                head { "\n"
                    meta charset="utf-8"; "\n"
                    meta name="viewport" content="width=device-width, initial-scale=1"; "\n"
                    meta http-equiv="Content-Security-Policy" content=(self.policy()); "\n"
                    @if !self.description.is_empty() {
                        meta name="description" content=(Clean(self.description)); "\n"
                    }
                    title { (Clean(self.title)) } "\n"
                    style { (PreEscaped(self.style)) } "\n"
                } "\n"
                body { "\n"
                    main { "\n" (main) } "\n"
                    @if !self.script.is_empty() {
                        script { (PreEscaped(self.script)) } "\n"
                    }
                } "\n"
            } "\n"
        };
        whole.into_string()
    }

    /// What the page may do: CSP Level 3.
    fn policy(&self) -> String {
        let mut parts = vec!["default-src 'none'".to_owned()];
        if !self.images.is_empty() {
            parts.push(format!("img-src {}", self.images));
        }
        parts.push(format!("style-src '{}'", hashed(self.style)));
        if !self.script.is_empty() {
            parts.push(format!("script-src '{}'", hashed(self.script)));
        }
        parts.extend(["base-uri 'none'", "form-action 'none'"].map(str::to_owned));
        parts.join("; ")
    }
}

/// The source expression of a text by its hash: CSP Level 3, section 2.3.1.
fn hashed(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}

/// A name or a line that others wrote: cleaned, shortened where it is too long, and escaped.
pub(super) struct Clean<'a>(pub(super) &'a str);

impl Render for Clean<'_> {
    fn render_to(&self, to: &mut String) {
        words::clean(self.0).render_to(to);
    }
}

/// A statement of any length: cleaned, then escaped.
pub(super) struct Whole<'a>(pub(super) &'a str);

impl Render for Whole<'_> {
    fn render_to(&self, to: &mut String) {
        words::clean_whole(self.0).render_to(to);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::appearance::contrast::ratio;
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
        let abc = "sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=";
        assert_eq!(hashed("abc"), abc);
        let frame = |script, images| Frame {
            style: "abc",
            script,
            images,
            ..Frame::default()
        };
        assert_eq!(
            frame("", "").policy(),
            format!("default-src 'none'; style-src '{abc}'; base-uri 'none'; form-action 'none'")
        );
        assert_eq!(
            frame("abc", "data:").policy(),
            format!(
                "default-src 'none'; img-src data:; style-src '{abc}'; script-src '{abc}'; \
                 base-uri 'none'; form-action 'none'"
            )
        );
    }

    /// A page without script or pictures neither has nor allows them.
    #[test]
    fn a_page_holds_what_its_policy_allows() {
        let bare = Frame {
            title: "a <b>",
            description: "\"it\"",
            ..Frame::default()
        };
        let page = bare.around(&html! { p { "x" } });
        assert!(page.contains("<title>a &lt;b&gt;</title>"), "{page}");
        assert!(page.contains("content=\"&quot;it&quot;\""), "{page}");
        for absent in ["<script", "script-src", "img-src"] {
            assert!(!page.contains(absent), "{absent} in {page}");
        }
    }
}
