//! Whether a drawing has nothing but what drawings of this program have: shapes, texts and pictures, no
//! script, no style, no links to other files. A drawing from another machine is kept only if this holds.

use roxmltree::{Document, Node, NodeType, ParsingOptions};

pub(super) const SVG: &str = "http://www.w3.org/2000/svg";
const XLINK: &str = "http://www.w3.org/1999/xlink";
const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";

/// The elements of our drawings.
const ELEMENTS: [&str; 13] = [
    "svg", "title", "desc", "metadata", "defs", "clipPath", "g", "path", "rect", "circle", "use",
    "text", "image",
];
/// The attributes of these, besides links.
const ATTRIBUTES: [&str; 27] = [
    "id",
    "version",
    "width",
    "height",
    "viewBox",
    "x",
    "y",
    "cx",
    "cy",
    "r",
    "d",
    "fill",
    "stroke",
    "stroke-width",
    "stroke-linejoin",
    "stroke-linecap",
    "fill-rule",
    "clip-rule",
    "clip-path",
    "transform",
    "preserveAspectRatio",
    "font-family",
    "font-size",
    "font-weight",
    "text-anchor",
    "role",
    "aria-labelledby",
];
/// How a picture begins that stands in the drawing itself.
const PICTURE: &str = "data:image/png;base64,";
/// The most nodes of a drawing.
const MOST_NODES: u32 = 20_000_000;

/// Whether a drawing holds nothing but what those of this program hold.
pub fn drawing_is_ours(svg: &str) -> bool {
    parsed(svg).is_ok_and(|document| {
        let mut nodes = document.root().descendants();
        nodes.all(|node| match node.node_type() {
            NodeType::Root | NodeType::Text => true,
            NodeType::Comment | NodeType::PI => false,
            NodeType::Element => element(node),
        })
    })
}

/// A drawing as a tree.
pub(super) fn parsed(svg: &str) -> Result<Document<'_>, roxmltree::Error> {
    let options = ParsingOptions {
        allow_dtd: false,
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(svg, options)
}

fn element(node: Node<'_, '_>) -> bool {
    let name = node.tag_name();
    match name.namespace() {
        Some(SVG) => ELEMENTS.contains(&name.name()) && node.attributes().all(|a| attribute(&a)),
        // Metadata: texts, and terms for what is known by a name.
        Some(space) => {
            let in_metadata = node.ancestors().any(|a| a.has_tag_name((SVG, "metadata")));
            let known = [RDF, "http://purl.org/dc/elements/1.1/"].contains(&space)
                || space.starts_with("urn:uuid:");
            in_metadata && known
        }
        None => false,
    }
}

fn attribute(attribute: &roxmltree::Attribute<'_, '_>) -> bool {
    let (name, value) = (attribute.name(), attribute.value());
    match attribute.namespace() {
        Some(XLINK) => name == "href" && (value.starts_with('#') || value.starts_with(PICTURE)),
        Some(_) => false,
        None => ATTRIBUTES.contains(&name) && !elsewhere(value),
    }
}

/// Whether a value points anywhere but into the drawing.
fn elsewhere(value: &str) -> bool {
    value
        .match_indices("url")
        .any(|(at, _)| !value[at..].starts_with("url(#"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawing(inside: &str) -> String {
        format!(
            "<svg xmlns=\"{SVG}\" xmlns:xlink=\"{XLINK}\" version=\"1.1\"><title>t</title>{inside}</svg>"
        )
    }

    #[test]
    fn shapes_links_inside_and_pictures_are_ours() {
        for inside in [
            "",
            "<g fill=\"red\" clip-path=\"url(#a)\"><path d=\"M0 0l1 1z\"/></g>",
            "<use xlink:href=\"#f0\" x=\"3\"/>",
            "<image xlink:href=\"data:image/png;base64,AAAA\"/>",
        ] {
            assert!(drawing_is_ours(&drawing(inside)), "{inside}");
        }
    }

    #[test]
    fn whatever_acts_or_comes_from_elsewhere_is_not() {
        for inside in [
            "<script>1</script>",
            "<g onload=\"x\"/>",
            "<g style=\"fill:red\"/>",
            "<style>g{}</style>",
            "<a xlink:href=\"#x\"><g/></a>",
            "<use xlink:href=\"other.svg#f\"/>",
            "<use href=\"#f\"/>",
            "<image xlink:href=\"data:image/svg+xml;base64,AAAA\"/>",
            "<image xlink:href=\"http://x/y.png\"/>",
            "<g fill=\"url(http://x)\"/>",
            "<foreignObject/>",
            "<h:div xmlns:h=\"http://www.w3.org/1999/xhtml\"/>",
            "<metadata><h:script xmlns:h=\"http://www.w3.org/1999/xhtml\"/></metadata>",
            "<metadata><script/></metadata>",
            "<animate attributeName=\"x\"/>",
            "<?xml-stylesheet href='x'?>",
            "<!-- x -->",
        ] {
            assert!(!drawing_is_ours(&drawing(inside)), "{inside}");
        }
        assert!(!drawing_is_ours(
            "<!DOCTYPE svg><svg xmlns='http://www.w3.org/2000/svg'/>"
        ));
        assert!(!drawing_is_ours("<svg>"));
    }
}
