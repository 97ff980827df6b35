//! The recipe in an SVG drawing: the text is scanned once, and no more of it is parsed as XML than the
//! elements that can hold a pack.
//!
//! Drawings come from strangers. A reader of XML keeps every element, attribute and namespace of a
//! document, so that some kilobytes take minutes and some megabytes gigabytes; here nothing is kept but the
//! start tags of what is open, and both these and the elements that are read are bounded.

use roxmltree::{Document, ParsingOptions};

use super::error::BundleError;
use super::metadata::NAMESPACE;

/// How deep a `metadata` element may lie. In our drawings it lies in the outermost element.
const DEEPEST: usize = 8;
/// The most bytes of one start tag on the way to it.
const LONGEST_TAG: usize = 16 * 1024;
/// The most bytes of all `metadata` elements together: a pack, and what others write.
const MOST_BYTES: usize = 12 * 1024 * 1024;
/// The most nodes of one of them.
const MOST_NODES: u32 = 100_000;
/// A text without such an element is read as a whole up to this many bytes, to tell what is wrong with it.
const SHORT: usize = 64 * 1024;
/// The most attributes of a document that is read: namespaces are looked up one by one.
const MOST_ATTRIBUTES: usize = 2_000;

/// The packed text in a drawing.
///
/// # Errors
/// When it is no SVG, carries no pack, or is put together to be slow to read.
pub(super) fn pack(text: &str) -> Result<String, BundleError> {
    let wrong = |why: String| BundleError::Picture { form: "SVG", why };
    let mut left = MOST_BYTES;
    let mut tags = Tags::new(text);
    let mut open: Vec<&str> = Vec::new();
    let mut deeper = 0_usize;
    while let Some(tag) = tags.next() {
        match tag.kind {
            Kind::Declaration => return Err(wrong("it has a document type".to_owned())),
            Kind::End if deeper > 0 => deeper -= 1,
            Kind::End => drop(open.pop()),
            Kind::Empty => {}
            Kind::Start if local(tag.name) == "metadata" && deeper == 0 => {
                let Some(end) = tags.end_of_element() else {
                    return Err(wrong("its metadata are cut off".to_owned()));
                };
                let element = &text[tag.start..end];
                left = left
                    .checked_sub(element.len())
                    .ok_or_else(|| wrong("its metadata are too long".to_owned()))?;
                if let Some(pack) = read(&open, element).map_err(wrong)? {
                    return Ok(pack);
                }
            }
            Kind::Start if open.len() == DEEPEST || tag.whole.len() > LONGEST_TAG => deeper += 1,
            Kind::Start if deeper > 0 => deeper += 1,
            Kind::Start => open.push(tag.whole),
        }
    }
    if text.len() <= SHORT {
        parsed(text).map_err(wrong)?;
    } else if !text.trim_start().starts_with('<') {
        return Err(wrong("it does not begin like one".to_owned()));
    }
    Err(BundleError::NoRecipe)
}

/// The pack in a `metadata` element that lies inside of these start tags.
fn read(open: &[&str], element: &str) -> Result<Option<String>, String> {
    let mut alone = open.concat();
    alone.push_str(element);
    for tag in open.iter().rev() {
        let name = tag[1..].split([' ', '\t', '\r', '\n', '/', '>']).next();
        alone.extend(["</", name.unwrap_or_default(), ">"]);
    }
    let document = parsed(&alone)?;
    let pack = document
        .descendants()
        .find(|node| node.has_tag_name((NAMESPACE, "pack")));
    Ok(pack.map(|pack| pack.children().filter_map(|node| node.text()).collect()))
}

fn parsed(text: &str) -> Result<Document<'_>, String> {
    let attributes: usize = Tags::new(text).map(|tag| tag.attributes).sum();
    if attributes > MOST_ATTRIBUTES {
        return Err("its metadata have too many attributes".to_owned());
    }
    let options = ParsingOptions {
        allow_dtd: false,
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(text, options).map_err(|error| error.to_string())
}

/// A name without the prefix of its namespace.
fn local(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or(name)
}

/// What a tag is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Start,
    Empty,
    End,
    Declaration,
}

/// One tag of a text.
#[derive(Debug, Clone, Copy)]
struct Tag<'a> {
    kind: Kind,
    name: &'a str,
    whole: &'a str,
    start: usize,
    attributes: usize,
}

/// The tags of a text, one after the other; comments, instructions and literal text are passed over.
struct Tags<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Iterator for Tags<'a> {
    type Item = Tag<'a>;

    /// The next tag; none at the end, and where the text breaks off inside of one.
    fn next(&mut self) -> Option<Tag<'a>> {
        loop {
            let start = self.at + self.text[self.at..].find('<')?;
            let rest = &self.text[start..];
            let passed = [("<!--", "-->"), ("<![CDATA[", "]]>"), ("<?", "?>")]
                .into_iter()
                .find(|(begin, _)| rest.starts_with(begin));
            if let Some((begin, end)) = passed {
                let inside = start + begin.len();
                self.at = inside + self.text[inside..].find(end)? + end.len();
                continue;
            }
            let (length, attributes) = extent(rest)?;
            self.at = start + length;
            let whole = &rest[..length];
            let inner = whole[1..length - 1].trim_start_matches('/');
            let kind = if whole.starts_with("</") {
                Kind::End
            } else if whole.starts_with("<!") {
                Kind::Declaration
            } else if whole.ends_with("/>") {
                Kind::Empty
            } else {
                Kind::Start
            };
            return Some(Tag {
                kind,
                name: inner
                    .split([' ', '\t', '\r', '\n', '/'])
                    .next()
                    .unwrap_or_default(),
                whole,
                start,
                attributes,
            });
        }
    }
}

impl<'a> Tags<'a> {
    fn new(text: &'a str) -> Self {
        Self { text, at: 0 }
    }

    /// Where the element ends whose start tag was given last.
    fn end_of_element(&mut self) -> Option<usize> {
        let mut depth = 1_usize;
        while depth > 0 {
            match self.next()?.kind {
                Kind::Start => depth += 1,
                Kind::End => depth -= 1,
                Kind::Empty | Kind::Declaration => {}
            }
        }
        Some(self.at)
    }
}

/// How long the tag is that a text begins with, and how many attributes it has.
fn extent(text: &str) -> Option<(usize, usize)> {
    let (mut quote, mut attributes) = (None, 0);
    for (at, byte) in text.bytes().enumerate() {
        match (quote, byte) {
            (None, b'>') => return Some((at + 1, attributes)),
            (None, b'"' | b'\'') => {
                quote = Some(byte);
                attributes += 1;
            }
            (Some(begun), _) if begun == byte => quote = None,
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawing(before: &str, inside: &str) -> String {
        format!(
            "<?xml version=\"1.0\"?><!-- <metadata> --><svg xmlns=\"http://www.w3.org/2000/svg\" \
             xmlns:p=\"{NAMESPACE}\">{before}<metadata>{inside}</metadata><g/></svg>"
        )
    }

    #[test]
    fn the_pack_is_found_wherever_others_put_it() {
        let held = "<p:pack>a &lt; b<![CDATA[ <c>]]></p:pack>";
        for before in [
            "",
            "<title>x</title><g><path d=\"M0 0\"/></g>",
            "<g id='a>b'/>",
        ] {
            assert_eq!(pack(&drawing(before, held)).as_deref(), Ok("a < b <c>"));
        }
        let renamed = drawing("<metadata><other/></metadata>", held).replace("p:", "q:");
        let renamed = renamed.replace("xmlns:p", "xmlns:q");
        assert_eq!(pack(&renamed).as_deref(), Ok("a < b <c>"));
    }

    #[test]
    fn what_is_none_is_told() {
        let why = |text: &str| match pack(text) {
            Err(BundleError::Picture { why, .. }) => why,
            other => panic!("{other:?}"),
        };
        assert_eq!(pack("<svg/>"), Err(BundleError::NoRecipe));
        assert!(!why("<svg>").is_empty());
        assert!(!why("no drawing").is_empty());
        assert!(!why(&"no drawing".repeat(10_000)).is_empty());
        assert!(why("<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>").contains("document type"));
        assert!(why("<svg><metadata>").contains("cut off"));
    }

    #[test]
    fn what_is_slow_to_read_is_not_read() {
        // Nested namespaces, a hundred thousand attributes, a million elements.
        let many = |count: usize, one: &dyn Fn(usize) -> String| {
            (0..count).map(one).collect::<Vec<_>>().concat()
        };
        let nested = many(20_000, &|i| format!("<g xmlns:a{i}='u{i}'>"));
        assert_eq!(pack(&format!("<svg>{nested}")), Err(BundleError::NoRecipe));
        let inside = format!("{nested}{}", "</g>".repeat(20_000));
        assert!(pack(&drawing("", &inside)).is_err());
        let attributes = many(100_000, &|i| format!(" a{i}='1'"));
        assert!(pack(&drawing("", &format!("<g{attributes}/>"))).is_err());
        assert!(pack(&format!("<svg{attributes}><metadata/></svg>")).is_err());
        assert!(pack(&drawing(&"<g/>".repeat(1_000_000), "")).is_err());
        assert!(pack(&drawing("", &"<g/>".repeat(200_000))).is_err());
        assert!(pack(&drawing("", &"x".repeat(MOST_BYTES))).is_err());
    }
}
