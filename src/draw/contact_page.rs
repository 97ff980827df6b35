//! A contact sheet as a page for a browser: one file that asks for nothing else, pictures included.
//!
//! A picture opens large when its link is followed: the page knows by its address which one (CSS
//! `:target`), so it works without script, by keyboard, and with the browser's own way back. A few
//! lines of script add Escape and the arrow keys. What the page may do is held by a policy in it:
//! only this style, this script, and pictures that it carries. Pictures are shown as images, in
//! which no script runs, and every word is escaped.

use std::fmt::Write as _;

use base64::{Engine as _, engine::general_purpose::STANDARD};

use super::{
    contact_sheet::{Card, largest},
    html::{self, escaped, hashed},
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
#[must_use]
pub fn contact_page_html(
    cards: &[Card],
    missing: &[Missing],
    title: &str,
    note: &str,
    credit: &str,
) -> String {
    let style = style();
    let mut out = String::new();
    let title = escaped(title);
    let (mut told, mut described) = (String::new(), String::new());
    if !credit.is_empty() {
        let credit = escaped(credit);
        told = format!("<p>{credit}</p>\n");
        described = format!("<meta name=\"description\" content=\"{credit}\">\n");
    }
    let _ = write!(
        out,
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; \
         style-src '{}'; script-src '{}'; base-uri 'none'; form-action 'none'\">\n\
         {described}<title>{title}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n\
         {told}<p class=\"soft\">{}</p>\n<ol>\n",
        hashed(&style),
        hashed(SCRIPT),
        escaped(note)
    );
    let (width, height) = largest(cards);
    let scale = (LARGEST / width).min(LARGEST / height);
    for (i, card) in cards.iter().enumerate() {
        let before = i.checked_sub(1).map(|i| cards[i].number);
        let after = cards.get(i + 1).map(|c| c.number);
        push_card(&mut out, card, scale, (before, after));
    }
    out.push_str("</ol>\n");
    if !missing.is_empty() {
        out.push_str("<h2>Not made</h2>\n<ul>\n");
        for one in missing {
            let _ = writeln!(
                out,
                "<li><b>{}</b> <span class=\"soft\">{}</span><br>{}</li>",
                one.number,
                escaped(&one.made_with),
                escaped(&one.why)
            );
        }
        out.push_str("</ul>\n");
    }
    let _ = write!(
        out,
        "</main>\n<script>{SCRIPT}</script>\n</body>\n</html>\n"
    );
    out
}

fn push_card(out: &mut String, card: &Card, scale: f64, beside: (Option<u64>, Option<u64>)) {
    let n = card.number;
    let _ = write!(
        out,
        "<li id=\"c{n}\"><figure id=\"v{n}\"><a class=\"open\" href=\"#v{n}\" aria-label=\"Variation {n}, large\">"
    );
    for picture in &card.pictures {
        let _ = write!(
            out,
            "<img alt=\"\" width=\"{:.0}\" height=\"{:.0}\" src=\"data:image/svg+xml;base64,{}\">",
            (picture.width * scale).max(1.0),
            (picture.height * scale).max(1.0),
            STANDARD.encode(&picture.svg)
        );
    }
    let _ = write!(out, "</a>\n<figcaption><b>{n}</b>");
    for words in [&card.times, &card.made_with, &card.figures] {
        if !words.is_empty() {
            let _ = write!(out, " <span>{}</span>", escaped(words));
        }
    }
    out.push_str("</figcaption>\n<nav>");
    if let Some(number) = beside.0 {
        let _ = write!(out, "<a class=\"before\" href=\"#v{number}\">Previous</a> ");
    }
    let _ = write!(out, "<a class=\"back\" href=\"#c{n}\">Back to all</a>");
    if let Some(number) = beside.1 {
        let _ = write!(out, " <a class=\"after\" href=\"#v{number}\">Next</a>");
    }
    out.push_str("</nav></figure></li>\n");
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
    use super::super::contact_sheet::Picture;
    use super::*;

    fn page(words: &str) -> String {
        let card = |number| Card {
            number,
            times: words.to_owned(),
            made_with: words.to_owned(),
            figures: words.to_owned(),
            pictures: vec![Picture {
                svg: format!("<svg>{words}</svg>"),
                width: 100.0,
                height: 50.0,
            }],
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
        assert!(html.contains("Not made"));
    }
}
