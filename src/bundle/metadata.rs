//! The metadata of a drawing: what it shows, who made it, and the recipe it was made from.
//!
//! A `metadata` element of SVG with RDF in it: terms of Dublin Core (DCMI Metadata Terms, the fifteen
//! elements) for what libraries and search programs know, and terms of our own for the rest. The
//! recipe itself stands in one element, in the plain-text form of a pack.

use std::fmt::Write as _;

use svg::node::Text;

use super::Bundle;
use super::error::BundleError;
use crate::recipe::outcome::Outcome;

/// The namespace of our own terms: a fixed identifier of ours, not an address.
pub const NAMESPACE: &str = "urn:uuid:0c6f7a0e-8f3d-4b0b-9f5b-6d1c7c1e52a4#";

const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
const DUBLIN_CORE: &str = "http://purl.org/dc/elements/1.1/";

/// The `metadata` element of a drawing of one panel of a run, ended by a line end.
///
/// # Errors
/// When a text of the bundle would not survive the way.
pub fn metadata(bundle: &Bundle, outcome: &Outcome, panel: &str) -> Result<String, BundleError> {
    let pack = bundle.text()?;
    let about = &outcome.about;
    let mut out = format!(
        "<metadata>\n<rdf:RDF xmlns:rdf=\"{RDF}\" xmlns:dc=\"{DUBLIN_CORE}\" \
         xmlns:plyloom=\"{NAMESPACE}\">\n<rdf:Description rdf:about=\"\">\n\
         <dc:format>image/svg+xml</dc:format>\n\
         <dc:type rdf:resource=\"http://purl.org/dc/dcmitype/StillImage\"/>\n"
    );
    let mut term = |name: &str, text: &str| {
        let _ = writeln!(out, "<{name}>{}</{name}>", escaped(text));
    };
    term("dc:title", about.title.as_deref().unwrap_or(panel));
    let said = [
        ("dc:creator", &about.author),
        ("dc:rights", &about.licence),
        ("dc:description", &about.purpose),
    ];
    for (name, text) in said {
        if let Some(text) = text {
            term(name, text);
        }
    }
    for credit in outcome.credits.values() {
        if let Some(author) = &credit.author {
            term("dc:contributor", author);
        }
    }
    term("plyloom:panel", panel);
    term("plyloom:program", &bundle.program);
    term("plyloom:language", &outcome.language.to_string());
    term("plyloom:seed", &outcome.seed.to_string());
    for parameter in &outcome.parameters {
        term(
            "plyloom:parameter",
            &format!("{} = {}", parameter.name, parameter.shown()),
        );
    }
    for module in &bundle.modules {
        let prefix = if module.library { "plyloom/" } else { "" };
        term("plyloom:module", &format!("{prefix}{}", module.name));
    }
    term("plyloom:sha256", &bundle.sha256());
    let _ = writeln!(
        out,
        "<plyloom:pack xml:space=\"preserve\">{}</plyloom:pack>",
        escaped(&pack)
    );
    out.push_str("</rdf:Description>\n</rdf:RDF>\n</metadata>\n");
    Ok(out)
}

/// A text as the content of an element. Carriage returns are written as references: a reader would
/// turn them into line feeds (XML 1.0, section 2.11).
fn escaped(text: &str) -> String {
    // XML 1.0, section 2.2; names of panels come from strangers.
    let forbidden = |c: char| {
        c < ' ' && !matches!(c, '\n' | '\t' | '\r') || matches!(c, '\u{fffe}' | '\u{ffff}')
    };
    Text::new(text.replace(forbidden, "\u{fffd}"))
        .to_string()
        .replace('\r', "&#13;")
}
