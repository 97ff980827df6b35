//! Outlines read from a drawing: an SVG that lies beside the recipe.
//!
//! Only shapes are read (`path`, `rect`, `circle`, `ellipse`, `polygon`, `polyline`), with their transforms.
//! Nothing is run, nothing fetched, no entity expanded, and the size of a drawing is bounded. Lengths come
//! out in mm, by the width and height that the drawing states.

use std::str::FromStr;

use roxmltree::{Document, Node, ParsingOptions};
use svgtypes::{
    Length, LengthUnit, PointsParser, TransformListParser, TransformListToken, ViewBox,
};

use super::host::MOST_DRAWING;
use crate::geom::{
    Point,
    curve::{Affine, Contour},
    length::INCH,
    path_data::{self, PathFault},
};

/// Most elements, texts and comments.
const MOST_NODES: u32 = 20_000;
/// Most start tags within one another.
const DEEPEST: usize = 64;
/// Most attributes: their namespaces are looked up one by one.
const MOST_ATTRIBUTES: usize = 50_000;

/// Why a drawing gives no outline.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DrawingFault {
    /// Longer than [`MOST_DRAWING`].
    #[error("it is longer than {} MiB", MOST_DRAWING / 1024 / 1024)]
    TooLong,
    /// It is no SVG, or has a document type or entities.
    #[error("it is no plain SVG: {why}")]
    NotSvg {
        /// What the reader said.
        why: String,
    },
    /// It does not say how large it is.
    #[error("it does not say how large it is: it needs a width and a viewBox of the same shape")]
    NoSize,
    /// Nothing in it has this name.
    #[error("nothing in it is called {name:?}; there is {}", listed(.known))]
    NoSuchPart {
        /// The name.
        name: String,
        /// The first few that there are.
        known: Vec<String>,
    },
    /// An element that cannot be followed.
    #[error("a cutter cannot follow the element `{what}`: draw it as a path")]
    NotAShape {
        /// Its name.
        what: String,
    },
    /// An attribute whose value cannot be read.
    #[error("`{attribute}` of a `{what}` cannot be read")]
    Attribute {
        /// Of what.
        what: String,
        /// Which.
        attribute: &'static str,
    },
    /// Path data that cannot be read.
    #[error("{0}")]
    Path(PathFault),
}

fn listed(known: &[String]) -> String {
    if known.is_empty() {
        return "nothing with an id".to_owned();
    }
    let quoted: Vec<String> = known.iter().map(|name| format!("{name:?}")).collect();
    quoted.join(", ")
}

/// How many names a message lists.
const LISTED: usize = 12;

/// The contours of the part that is called `name`: an id, or the label of a layer.
///
/// # Errors
/// When the text is no such drawing, or has no such part.
pub fn contours(text: &str, name: &str) -> Result<Vec<Contour>, DrawingFault> {
    if text.len() > MOST_DRAWING {
        return Err(DrawingFault::TooLong);
    }
    let document = parsed(text)?;
    let root = document.root_element();
    let to_mm = to_mm(root)?;
    let called = |node: &Node<'_, '_>| {
        let mut all = node.attributes();
        all.any(|a| matches!(a.name(), "id" | "label") && a.value() == name)
    };
    let Some(part) = root.descendants().filter(Node::is_element).find(called) else {
        let ids = root.descendants().filter_map(|n| n.attribute("id"));
        return Err(DrawingFault::NoSuchPart {
            name: name.to_owned(),
            known: ids.take(LISTED).map(str::to_owned).collect(),
        });
    };
    // Transforms from the outermost to the part.
    let mut above: Vec<Node<'_, '_>> = part.ancestors().skip(1).collect();
    above.reverse();
    let mut by = to_mm;
    for node in above {
        by = transform(node)?.then(by);
    }
    let mut found = Vec::new();
    gather(part, by, &mut found)?;
    if found.is_empty() {
        return Err(DrawingFault::Path(PathFault::Empty));
    }
    Ok(found)
}

fn parsed(text: &str) -> Result<Document<'_>, DrawingFault> {
    let wrong = |why: String| DrawingFault::NotSvg { why };
    // Checked in the text, before a tree is made of it: how deep elements nest, and how many
    // attributes there are.
    let (mut open, mut deepest) = (0_usize, 0_usize);
    for (at, _) in text.match_indices('<') {
        let rest = &text.as_bytes()[at + 1..];
        match rest.first() {
            Some(b'/') => open = open.saturating_sub(1),
            Some(b'!' | b'?') | None => {}
            Some(_) => {
                let end = text[at..].find('>').map_or(text.len(), |end| at + end);
                if !text[..end].ends_with('/') {
                    open += 1;
                    deepest = deepest.max(open);
                }
            }
        }
    }
    if deepest > DEEPEST {
        return Err(wrong(format!("its groups are more than {DEEPEST} deep")));
    }
    if text.matches('=').count() > MOST_ATTRIBUTES {
        return Err(wrong("it has too many attributes".to_owned()));
    }
    let options = ParsingOptions {
        allow_dtd: false,
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    let document = Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::DtdDetected => wrong("it has a document type or entities".to_owned()),
        roxmltree::Error::NodesLimitReached => wrong("it has too many elements".to_owned()),
        other => wrong(other.to_string()),
    })?;
    if document.root_element().tag_name().name() != "svg" {
        return Err(wrong("its first element is not `svg`".to_owned()));
    }
    Ok(document)
}

/// From the drawing's own units to mm.
fn to_mm(root: Node<'_, '_>) -> Result<Affine, DrawingFault> {
    let side = |name: &str| -> Option<f64> {
        let length = Length::from_str(root.attribute(name)?).ok()?;
        let unit = match length.unit {
            LengthUnit::Mm => 1.0,
            LengthUnit::Cm => 10.0,
            LengthUnit::In => INCH,
            LengthUnit::Pt => INCH / 72.0,
            LengthUnit::Pc => INCH / 6.0,
            // CSS has 96 pixels an inch.
            LengthUnit::Px | LengthUnit::None => INCH / 96.0,
            _ => return None,
        };
        let mm = length.number * unit;
        (mm > 0.0 && mm.is_finite()).then_some(mm)
    };
    let (width, height) = (side("width"), side("height"));
    let shown = root.attribute("viewBox").map(ViewBox::from_str);
    let scale = match (width, shown) {
        (Some(_), None) => INCH / 96.0,
        (Some(width), Some(Ok(shown))) if shown.w > 0.0 && shown.h > 0.0 => {
            let scale = width / shown.w;
            // A drawing that is stretched in one direction has no single scale.
            if height.is_some_and(|h| (h / shown.h / scale - 1.0).abs() > 1e-3) {
                return Err(DrawingFault::NoSize);
            }
            scale
        }
        _ => return Err(DrawingFault::NoSize),
    };
    Ok(Affine::scale(scale, scale))
}

fn attribute_fault(node: Node<'_, '_>, attribute: &'static str) -> DrawingFault {
    DrawingFault::Attribute {
        what: node.tag_name().name().to_owned(),
        attribute,
    }
}

fn transform(node: Node<'_, '_>) -> Result<Affine, DrawingFault> {
    let mut all = Affine::IDENTITY;
    let text = node.attribute("transform").unwrap_or_default();
    for token in TransformListParser::from(text) {
        let one = match token.map_err(|_| attribute_fault(node, "transform"))? {
            TransformListToken::Matrix { a, b, c, d, e, f } => Affine {
                right: Point::new(a, b),
                down: Point::new(c, d),
                shift: Point::new(e, f),
            },
            TransformListToken::Translate { tx, ty } => Affine::shift(Point::new(tx, ty)),
            TransformListToken::Scale { sx, sy } => Affine::scale(sx, sy),
            TransformListToken::Rotate { angle } => Affine::turn(angle),
            TransformListToken::SkewX { angle } => Affine {
                down: Point::new(crate::geom::angle::tan(angle), 1.0),
                ..Affine::IDENTITY
            },
            TransformListToken::SkewY { angle } => Affine {
                right: Point::new(1.0, crate::geom::angle::tan(angle)),
                ..Affine::IDENTITY
            },
        };
        all = one.then(all);
    }
    Ok(all)
}

/// The shapes of an element and of those in it.
fn gather(node: Node<'_, '_>, by: Affine, found: &mut Vec<Contour>) -> Result<(), DrawingFault> {
    crate::watch::ask();
    let by = transform(node)?.then(by);
    match node.tag_name().name() {
        "svg" | "g" | "a" => {
            for child in node.children().filter(Node::is_element) {
                gather(child, by, found)?;
            }
        }
        "title" | "desc" | "metadata" | "defs" | "style" => {}
        _ => found.extend(shape(node)?.iter().map(|c| c.moved(by))),
    }
    Ok(())
}

/// The contours of one shape, in its own units.
fn shape(node: Node<'_, '_>) -> Result<Vec<Contour>, DrawingFault> {
    let number = |name: &'static str| -> Result<Option<f64>, DrawingFault> {
        let Some(text) = node.attribute(name) else {
            return Ok(None);
        };
        let length = Length::from_str(text).map_err(|_| attribute_fault(node, name))?;
        match length.unit {
            LengthUnit::None | LengthUnit::Px => Ok(Some(length.number)),
            _ => Err(attribute_fault(node, name)),
        }
    };
    let or_zero = |name| Ok::<f64, DrawingFault>(number(name)?.unwrap_or(0.0));
    let needed = |name| {
        let size = number(name)?.filter(|size| *size > 0.0);
        size.ok_or_else(|| attribute_fault(node, name))
    };
    Ok(match node.tag_name().name() {
        "path" => {
            let text = node.attribute("d").unwrap_or_default();
            path_data::contours(text).map_err(DrawingFault::Path)?
        }
        "circle" => {
            let (r, at) = (needed("r")?, Point::new(or_zero("cx")?, or_zero("cy")?));
            vec![Contour::ellipse(at, r, r)]
        }
        "ellipse" => {
            let at = Point::new(or_zero("cx")?, or_zero("cy")?);
            vec![Contour::ellipse(at, needed("rx")?, needed("ry")?)]
        }
        "rect" => {
            let (width, height) = (needed("width")?, needed("height")?);
            let (rx, ry) = (number("rx")?, number("ry")?);
            let rx = rx.or(ry).unwrap_or(0.0).clamp(0.0, width / 2.0);
            let ry = ry.or(Some(rx)).unwrap_or(0.0).clamp(0.0, height / 2.0);
            let at = Affine::shift(Point::new(or_zero("x")?, or_zero("y")?));
            let contour = if rx > 0.0 && ry > 0.0 {
                // With round corners as if the height were as many times smaller as the radius.
                Contour::rounded_rectangle(width, height * rx / ry, rx)
                    .moved(Affine::scale(1.0, ry / rx))
            } else {
                Contour::corners(crate::geom::Rect::sized(width, height).polygon().corners())
            };
            vec![contour.moved(at)]
        }
        "polygon" | "polyline" => {
            let text = node.attribute("points").unwrap_or_default();
            let points: Vec<Point> = (PointsParser::from(text))
                .map(|(x, y)| Point::new(x, y))
                .collect();
            if points.len() < 3 {
                return Err(attribute_fault(node, "points"));
            }
            vec![Contour::corners(&points)]
        }
        other => {
            return Err(DrawingFault::NotAShape {
                what: other.to_owned(),
            });
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Region;

    fn area(inner: &str, name: &str) -> f64 {
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"200mm\" height=\"100mm\" viewBox=\"0 0 400 200\">{inner}</svg>"
        );
        let contours = contours(&text, name).unwrap();
        Region::of(&contours).unwrap().area()
    }

    /// As close as chords come that stay within 0.005 mm of their curve.
    fn close(a: f64, b: f64) {
        assert!((a - b).abs() < 1e-3 * b, "{a} {b}");
    }

    #[test]
    fn a_size_below_zero_is_told() {
        for shape in [
            "rect width=\"-9\" height=\"60\"",
            "circle r=\"0\"",
            "ellipse rx=\"9\" ry=\"-1\"",
        ] {
            let text = format!(
                "<svg width=\"9mm\" height=\"9mm\" viewBox=\"0 0 9 9\"><{shape} id=\"a\"/></svg>"
            );
            let fault = contours(&text, "a").unwrap_err();
            assert!(matches!(fault, DrawingFault::Attribute { .. }), "{fault}");
        }
    }

    #[test]
    fn shapes_come_out_in_mm_with_their_transforms() {
        use std::f64::consts::PI;
        close(
            area("<rect id=\"a\" width=\"100\" height=\"60\"/>", "a"),
            1500.0,
        );
        close(
            area("<circle id=\"a\" r=\"20\" cx=\"50\" cy=\"50\"/>", "a"),
            PI * 100.0,
        );
        let tilted = "<g transform=\"translate(9 9) rotate(30)\"><g transform=\"scale(2 1)\"><ellipse id=\"a\" rx=\"20\" ry=\"10\" transform=\"skewX(20)\"/></g></g>";
        close(area(tilted, "a"), PI * 100.0);
        close(
            area(
                "<rect id=\"a\" width=\"100\" height=\"60\" rx=\"10\" ry=\"20\"/>",
                "a",
            ),
            (6000.0 - (4.0 - PI) * 200.0) / 4.0,
        );
        let layer = "<g xmlns:x=\"urn:x\" x:label=\"cut\"><title>t</title><rect width=\"100\" height=\"60\"/><polygon points=\"10,10 20,10 20,20 10,20\"/></g>";
        close(area(layer, "cut"), 1475.0);
    }

    #[test]
    fn what_is_no_drawing_is_refused() {
        let fault = |text: &str| contours(text, "a").unwrap_err().to_string();
        assert!(fault("{}").contains("no plain SVG"));
        let entity =
            "<!DOCTYPE svg [<!ENTITY x \"y\">]><svg width=\"1mm\" viewBox=\"0 0 1 1\">&x;</svg>";
        assert!(fault(entity).contains("document type or entities"));
        assert!(fault("<svg viewBox=\"0 0 9 9\"/>").contains("how large"));
        let svg = |inner: &str| {
            format!("<svg width=\"9mm\" height=\"9mm\" viewBox=\"0 0 9 9\">{inner}</svg>")
        };
        assert!(fault(&svg("<path id=\"b\" d=\"M0 0\"/>")).contains("there is \"b\""));
        assert!(fault(&svg("<use id=\"a\" href=\"http://example.org/x.svg\"/>")).contains("`use`"));
        assert!(fault(&svg("<g id=\"a\"><script>1</script></g>")).contains("`script`"));
        assert!(fault(&svg("<path id=\"a\" d=\"M0 0 L NaN\"/>")).contains("may not go on"));
        assert!(fault(&svg("<circle id=\"a\" r=\"wide\"/>")).contains("`r` of a `circle`"));
        assert!(fault(&svg(&"<g>".repeat(100))).contains("deep"));
        assert!(fault(&" ".repeat(MOST_DRAWING + 1)).contains("longer than 2 MiB"));
        assert!(fault(&svg(&"<g/>".repeat(30_000))).contains("too many elements"));
    }
}
