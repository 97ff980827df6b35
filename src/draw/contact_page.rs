//! A contact sheet as a page for a browser: one file that asks for nothing else, pictures included.
//!
//! A picture opens large when its link is followed: the page's address says which one (CSS
//! `:target`), so this works without script, by keyboard, and with the browser's Back. A few lines
//! of script add Escape and the arrow keys. A policy in the page says what it may use: only this
//! style, this script, and pictures that it carries. Pictures are shown as images, in which no
//! script runs.

use base64::{Engine as _, engine::general_purpose::STANDARD};
use maud::{Markup, html};

use super::{
    contact_sheet::{Picture, SheetCard, largest},
    html::{self, Clean, Frame},
};

/// Width and height of the largest picture on the page, in CSS pixels.
const LARGEST: f64 = 260.0;

const SCRIPT: &str = "\
const open = () => document.querySelector('figure:target');
const settle = () => {
  const figure = open();
  for (const li of document.querySelectorAll('li')) li.inert = figure !== null && !li.contains(figure);
  if (figure) figure.querySelector('.back').focus();
};
addEventListener('hashchange', settle);
addEventListener('keydown', (event) => {
  const figure = open();
  if (!figure || event.altKey || event.ctrlKey || event.metaKey) return;
  const way = { Escape: '.back', ArrowLeft: '.before', ArrowRight: '.after' }[event.key];
  const link = way && figure.querySelector(way);
  if (link) { event.preventDefault(); link.click(); }
});
settle();
";

/// A variation that is not shown, with the reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// Its number.
    pub number: u64,
    /// What it was to be made with.
    pub made_with: String,
    /// Why it was not made.
    pub why: String,
}

/// The page, under a title, a line of words, and one about who made the recipe, where it says so.
pub fn contact_page_html(
    cards: &[SheetCard],
    missing: &[Missing],
    title: &str,
    note: &str,
    credit: &str,
) -> String {
    let (width, height) = largest(cards);
    let scale = (LARGEST / width).min(LARGEST / height);
    let main = html! {
        h1 { (Clean(title)) } "\n"
        @if !credit.is_empty() { p { (Clean(credit)) } "\n" }
        p class="soft" { (Clean(note)) } "\n"
        ol { "\n"
            @for (i, card) in cards.iter().enumerate() {
                li id={ "c" (card.number) } {
                    (figure(card, scale, &ways(cards, i)))
                } "\n"
            }
        } "\n"
        @if !missing.is_empty() {
            h2 { "Failed" } "\n"
            ul { "\n"
                @for one in missing {
                    li { b { (one.number) } " " span class="soft" { (Clean(&one.made_with)) } br; (Clean(&one.why)) } "\n"
                }
            } "\n"
        }
    };
    Frame {
        title,
        description: credit,
        style: &style(),
        script: SCRIPT,
        images: "data:",
    }
    .around(&main)
}

/// A variation of a sweep that is still at work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Growing {
    /// Its number.
    pub number: u64,
    /// What it was made with.
    pub made_with: String,
    /// Its drawings, and a small picture of each: files beside the page.
    pub pictures: Vec<(String, String)>,
}

/// The page of a sweep that is still at work: its pictures are files beside it.
pub fn growing_page_html(cards: &[Growing], title: &str, note: &str) -> String {
    let main = html! {
        h1 { (Clean(title)) } "\n"
        p class="soft" { (Clean(note)) } "\n"
        ol { "\n"
            @for card in cards {
                li {
                    figure {
                        div class="open" {
                            @for (drawing, small) in &card.pictures {
                                a href=(drawing) { img alt={ "Variation " (card.number) } src=(small); }
                            }
                        }
                        figcaption { b { (card.number) } " " span { (Clean(&card.made_with)) } }
                    }
                } "\n"
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

/// A variation's pictures, with its text below, and links to its neighbours.
fn figure(card: &SheetCard, scale: f64, ways: &Markup) -> Markup {
    let n = card.number;
    html! {
        figure id={ "v" (n) } {
            a class="open" href={ "#v" (n) } aria-label={ "Picture " (n) ", large" } {
                @for picture in &card.pictures { (image(picture, scale)) }
            } "\n"
            figcaption {
                b { (n) }
                @for words in [&card.times, &card.made_with, &card.figures] {
                    @if !words.is_empty() { " " span { (Clean(words)) } }
                }
            } "\n"
            (ways)
        }
    }
}

fn image(picture: &Picture, scale: f64) -> Markup {
    let pixels = |length: f64| format!("{:.0}", (length * scale).max(1.0));
    let data = STANDARD.encode(picture.document());
    html! {
        img alt="" width=(pixels(picture.width)) height=(pixels(picture.height))
            src={ "data:image/svg+xml;base64," (data) };
    }
}

/// Links from one of the cards to its neighbours, and back to all.
fn ways(cards: &[SheetCard], at: usize) -> Markup {
    let before = at.checked_sub(1).map(|i| cards[i].number);
    let after = cards.get(at + 1).map(|card| card.number);
    html! {
        nav {
            @if let Some(number) = before {
                a class="before" href={ "#v" (number) } { "Previous" } " "
            }
            a class="back" href={ "#c" (cards[at].number) } { "Back to all" }
            @if let Some(number) = after {
                " " a class="after" href={ "#v" (number) } { "Next" }
            }
        }
    }
}

fn style() -> String {
    let common = html::style();
    format!(
        "{common}\
         main{{padding:1.5rem}}\n\
         h1{{font-size:1.6rem;margin:0}}\n\
         .soft,figcaption span{{color:var(--soft)}}\n\
         a{{color:var(--link)}}\n\
         a:focus-visible{{outline:3px solid var(--link);outline-offset:3px}}\n\
         ol{{list-style:none;margin:1.5rem 0;padding:0;display:grid;gap:1.75rem;align-items:start;\
         grid-template-columns:repeat(auto-fill,minmax(16.5rem,1fr))}}\n\
         figure{{margin:0}}\n\
         .open{{display:flex;gap:.5rem;align-items:end}}\n\
         img{{display:block;max-width:100%}}\n\
         figcaption{{margin-top:.4rem;font-size:.9rem;overflow-wrap:anywhere}}\n\
         figcaption b{{font-size:1.25rem}}\n\
         figcaption span{{display:block}}\n\
         figcaption b+span{{display:inline}}\n\
         nav{{display:none;gap:1.5rem;margin-top:.75rem}}\n\
         figure:target{{position:fixed;inset:0;z-index:1;overflow:auto;padding:1.5rem;\
         background:var(--ground);box-sizing:border-box}}\n\
         figure:target nav{{display:flex}}\n\
         figure:target .open{{justify-content:center}}\n\
         figure:target img{{width:auto;height:min(74vh,74dvh);min-width:0;flex:0 1 auto;object-fit:contain}}\n\
         @media print{{nav{{display:none}}}}\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(words: &str) -> String {
        let card = |number| SheetCard {
            number,
            times: words.to_owned(),
            made_with: words.to_owned(),
            figures: words.to_owned(),
            pictures: vec![
                Picture::read("<svg xmlns=\"http://www.w3.org/2000/svg\"/>", (100.0, 50.0))
                    .unwrap(),
            ],
        };
        let missing = Missing {
            number: 9,
            made_with: words.to_owned(),
            why: words.to_owned(),
        };
        contact_page_html(&[card(3), card(5)], &[missing], words, words, words)
    }

    #[test]
    fn no_markup_of_others_and_no_request() {
        let html = page("</title><script>alert(1)</script><img src=http://x onerror='1'>\"");
        assert_eq!(html.matches("<script").count(), 1, "only its own");
        assert!(!html.contains("<img src=http"));
        assert!(!html.contains("href=\"http") && !html.contains("src=\"http"));
        let policy = html.find("Content-Security-Policy").unwrap();
        assert!(policy < html.find("<style>").unwrap());
    }

    #[test]
    fn each_leads_to_its_neighbours_and_back() {
        let html = page("x");
        for link in ["#v3", "#v5", "#c3", "#c5"] {
            assert!(html.contains(&format!("href=\"{link}\"")), "{link}");
            assert!(html.contains(&format!("id=\"{}\"", &link[1..])), "{link}");
        }
        assert_eq!(html.matches("class=\"before\"").count(), 1);
        assert_eq!(html.matches("class=\"after\"").count(), 1);
        assert!(html.contains("Failed"));
    }
}
