//! The index of a folder of recipes as a page for a browser: each with its picture, what it is for and
//! what to try next.
//!
//! Each picture is shown whole, and a piece from its middle at its own scale, 96 pixels an inch, at which a
//! veneer of 0.6 mm is 2 pixels wide.
//!
//! The pictures lie beside the page as files, so that it stays small and readable as text. The page
//! runs no script and asks for nothing but those pictures, which a policy in it holds.

use maud::{Markup, html};
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

use super::{
    html::{self, Clean, Frame},
    words::clean,
};

/// A recipe on the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exhibit {
    /// The recipe's file beside the page.
    pub file: String,
    /// Its title.
    pub title: String,
    /// Its purpose; may be empty.
    pub purpose: String,
    /// Its panels.
    pub pictures: Vec<Hung>,
    /// What to try next.
    pub try_next: Vec<String>,
    /// The address at which it opens live, where there is one.
    pub live: Option<String>,
    /// Who made it and how it may be used; may be empty.
    pub credit: String,
}

/// A picture of one panel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hung {
    /// Its file, seen from the page, with `/` between folders.
    pub file: String,
    /// Width and height in whole mm.
    pub size: (u32, u32),
    /// Size and tiles in words.
    pub facts: String,
}

/// The page under a title, with a line of words.
pub fn gallery_page_html(title: &str, note: &str, exhibits: &[Exhibit]) -> String {
    let main = html! {
        h1 { (Clean(title)) } "\n"
        p class="soft" { (with_code(note)) } "\n"
        ol { "\n"
            @for exhibit in exhibits {
                li id=(Clean(stem(&exhibit.file))) { "\n" (shown(exhibit)) } "\n"
            }
        } "\n"
    };
    Frame {
        title,
        style: &style(),
        images: "'self' file:",
        ..Frame::default()
    }
    .around(&main)
}

fn shown(exhibit: &Exhibit) -> Markup {
    html! {
        @for picture in &exhibit.pictures { (hung(picture, exhibit)) "\n" }
        h2 { (Clean(&exhibit.title)) } "\n"
        @if !exhibit.purpose.is_empty() { p { (with_code(&exhibit.purpose)) } "\n" }
        @for picture in &exhibit.pictures { p class="soft" { (Clean(&picture.facts)) } "\n" }
        @if !exhibit.try_next.is_empty() {
            p class="soft" { "Try next:" } "\n"
            ul { "\n"
                @for one in &exhibit.try_next { li { (with_code(one)) } "\n" }
            } "\n"
        }
        p { a href=(address(&exhibit.file)) { (Clean(&exhibit.file)) } } "\n"
        @if !exhibit.credit.is_empty() { p class="soft" { (Clean(&exhibit.credit)) } "\n" }
    }
}

fn hung(picture: &Hung, exhibit: &Exhibit) -> Markup {
    let file = address(&picture.file);
    let title = &exhibit.title;
    let opens = exhibit.live.as_ref().unwrap_or(&file);
    let (width, height) = picture.size;
    html! {
        a class="picture" href=(opens) {
            img src=(file) alt={ (Clean(title)) ": the panel drawn at true scale" }
                width=(width) height=(height) loading="lazy";
        }
        img class="close" src=(file) alt={ (Clean(title)) ": a piece of it larger" } loading="lazy";
    }
}

/// Words as text of a page, what stands between backticks as code.
fn with_code(text: &str) -> Markup {
    let text = clean(text);
    let parts: Vec<&str> = text.split('`').collect();
    // Without its other half a backtick is a letter like any other.
    if parts.len().is_multiple_of(2) {
        return html! { (text) };
    }
    html! {
        @for (i, part) in parts.iter().enumerate() {
            @if i.is_multiple_of(2) { (part) } @else { code { (part) } }
        }
    }
}

fn stem(file: &str) -> &str {
    file.rsplit_once('.').map_or(file, |(stem, _)| stem)
}

/// What is written as `%XX` in an address: all but the unreserved letters and the `/` between folders
/// (RFC 3986, sections 2.3 and 3.3).
const ENCODED: &AsciiSet = &NON_ALPHANUMERIC
    .remove(b'-')
    .remove(b'.')
    .remove(b'_')
    .remove(b'~')
    .remove(b'/');

/// A file beside the page as a relative address: RFC 3986, section 4.2.
fn address(file: &str) -> String {
    format!("./{}", utf8_percent_encode(file, ENCODED))
}

fn style() -> String {
    let common = html::style();
    format!(
        "{common}\
         main{{padding:1rem;max-width:84rem;margin:auto}}\n\
         h1{{font-size:1.6rem;margin:0}}\n\
         h2{{font-size:1.15rem;margin:.6rem 0 0}}\n\
         p,ul{{margin:.25rem 0}}\n\
         .soft,ul{{color:var(--soft);font-size:.9rem}}\n\
         a{{color:var(--link)}}\n\
         a:focus-visible{{outline:3px solid var(--link);outline-offset:3px}}\n\
         ol{{list-style:none;margin:1.5rem 0;padding:0;display:grid;gap:2rem 1.5rem;align-items:start;\
         grid-template-columns:repeat(auto-fill,minmax(min(100%,36rem),1fr))}}\n\
         ol>li{{min-width:0;overflow-wrap:anywhere}}\n\
         ul{{padding-left:1.1rem}}\n\
         .picture{{display:block;margin-bottom:.5rem}}\n\
         img{{display:block;width:100%;height:auto;max-height:32rem;object-fit:contain;object-position:left bottom}}\n\
         img.close{{height:8rem;object-fit:none;object-position:center;margin-bottom:.5rem}}\n\
         @media print{{li{{break-inside:avoid}}}}\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(words: &str) -> String {
        gallery_page_html(
            words,
            words,
            &[Exhibit {
                file: words.to_owned(),
                title: words.to_owned(),
                purpose: words.to_owned(),
                pictures: vec![Hung {
                    file: words.to_owned(),
                    size: (300, 200),
                    facts: words.to_owned(),
                }],
                try_next: vec![words.to_owned()],
                live: None,
                credit: words.to_owned(),
            }],
        )
    }

    #[test]
    fn no_markup_of_others_no_script_and_no_request() {
        let html = page("</title><script>alert(1)</script><img src=http://x onerror='1'>\"");
        assert!(!html.contains("<script"));
        assert!(!html.contains("<img src=http"));
        assert!(!html.contains("href=\"http") && !html.contains("src=\"http"));
        let policy = html.find("Content-Security-Policy").unwrap();
        assert!(policy < html.find("<style>").unwrap());
    }

    #[test]
    fn backticks_in_pairs_make_code() {
        let told = |text| with_code(text).into_string();
        assert_eq!(told("a `<b>` c"), "a <code>&lt;b&gt;</code> c");
        assert_eq!(told("5 ` wide"), "5 ` wide");
    }

    #[test]
    fn an_address_stays_beside_the_page() {
        assert_eq!(
            address("pictures/a b#1?.svg"),
            "./pictures/a%20b%231%3F.svg"
        );
        assert_eq!(address("javascript:x"), "./javascript%3Ax");
        assert_eq!(address("ä.svg"), "./%C3%A4.svg");
    }
}
