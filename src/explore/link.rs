//! A panel as a link: recipe, rule modules, seed, parameters and look, packed behind the `#` of an
//! address.
//!
//! What stands behind the `#` stays in the browser: no server sees it. It is `p1.`, where 1 is the
//! version of the form, and a text, compressed (zlib, RFC 1950) and encoded with characters that
//! addresses may have (base64url without padding, RFC 4648). The text is the pack of the recipe,
//! followed by `// look` and the look in the form of a pinned choice, where that is not the default.
//!
//! A link may come from a stranger, so its size is bounded before it is unpacked and meanwhile.

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use miniz_oxide::deflate::compress_to_vec_zlib;
use miniz_oxide::inflate::{TINFLStatus, decompress_to_vec_zlib_with_limit};

use crate::appearance::Look;
use crate::bundle::{Bundle, BundleError, Verdict};
use crate::recipe::limits::{MODULE_BYTES, SOURCE_BYTES};

/// The newest form, which is the one that is written.
const FORM: u64 = 1;
/// How a link's own part begins, before the version of its form.
const MARK: char = 'p';
/// What ends the number.
const DOT: char = '.';
/// How the line of the look begins.
const LOOK: &str = "// look ";
/// A link longer than this, in characters, is cut off by some programs that send messages (common
/// practice).
pub const LONGEST: usize = 8_000;
/// The longest link that is read, in characters.
const MOST_READ: usize = 512 * 1024;
/// The largest text in a link, in bytes: a recipe with as many modules as a run may have, and what a
/// pack says of each line.
const MOST_TEXT: usize = 2 * (SOURCE_BYTES + MODULE_BYTES);
/// The highest level of compression, as a recipe is short.
const LEVEL: u8 = 10;

/// A panel to be sent.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    /// The recipe, and what was set for it.
    pub bundle: Bundle,
    /// How it is looked at.
    pub look: Look,
}

/// A link that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct LinkRead {
    /// What it holds.
    pub link: Link,
    /// How the recipe agrees with its hashes.
    pub verdict: Verdict,
}

/// What is wrong with a link.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LinkError {
    /// It holds no panel.
    #[error("this is not a link to a panel: it has no `#{MARK}{FORM}{DOT}`")]
    NoLink,
    /// A later form.
    #[error("the link has format {found}; this program reads up to format {FORM}")]
    Newer {
        /// Its form.
        found: u64,
    },
    /// Cut off, or changed on its way.
    #[error("the link is damaged: a part of it is missing or was changed")]
    Damaged,
    /// More than any recipe has.
    #[error("the link holds more than a recipe can have")]
    TooLarge,
    /// The text in it is no recipe.
    #[error("the recipe in the link cannot be read: {0}")]
    Bundle(#[from] BundleError),
    /// Its look is none.
    #[error("the look in the link cannot be read: {0}")]
    Look(String),
}

impl LinkError {
    /// A stable code in dotted form.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoLink => "link::none",
            Self::Newer { .. } => "link::newer",
            Self::Damaged => "link::damaged",
            Self::TooLarge => "link::too_large",
            Self::Bundle(_) => "link::unread",
            Self::Look(_) => "link::look",
        }
    }

    /// What to try.
    pub fn help(&self) -> &'static str {
        match self {
            Self::NoLink => "copy the whole address, with all that stands behind the `#`",
            Self::Newer { .. } => "open it with a newer Plyloom",
            Self::Damaged => {
                "copy the whole address again; ask for the recipe as a file, where a message cuts it off"
            }
            Self::TooLarge | Self::Bundle(_) | Self::Look(_) => "ask for the recipe as a file",
        }
    }
}

/// Whether a text looks like a link to a panel, whole or damaged.
pub fn is_link(text: &str) -> bool {
    own_part(text).is_some()
}

/// The number of the form, and what comes after it.
fn own_part(text: &str) -> Option<(u64, &str)> {
    let (_, part) = text.rsplit_once('#')?;
    let (number, rest) = part.trim_start().strip_prefix(MARK)?.split_once(DOT)?;
    let plain = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
    Some((plain.then(|| number.parse().ok())??, rest))
}

/// The line of a look.
fn line_of(look: &Look) -> String {
    let look = serde_json::to_string(look).expect("invariant: a look has a form in JSON");
    format!("{LOOK}{look}\n")
}

impl Link {
    /// The link's own part, from the `#` on. One longer than [`LONGEST`] may not reach its reader.
    ///
    /// # Errors
    /// When the recipe cannot be packed.
    pub fn text(&self) -> Result<String, BundleError> {
        let mut text = self.bundle.text()?;
        let look = self.look;
        if !look.is_plain() {
            text.push_str(&line_of(&look));
        }
        let packed = URL_SAFE_NO_PAD.encode(compress_to_vec_zlib(text.as_bytes(), LEVEL));
        Ok(format!("#{MARK}{FORM}{DOT}{packed}"))
    }

    /// Reads a link: a whole address, or its part from the `#` on. Blanks and line ends that a message
    /// put into it are overlooked.
    ///
    /// # Errors
    /// When there is no panel in it, or it was damaged. Texts that were changed are no error: the
    /// verdict tells of them.
    pub fn read(text: &str) -> Result<LinkRead, LinkError> {
        let (form, packed) = own_part(text).ok_or(LinkError::NoLink)?;
        if form != FORM {
            return Err(LinkError::Newer { found: form });
        }
        if packed.len() > MOST_READ {
            return Err(LinkError::TooLarge);
        }
        let packed: String = packed.split_whitespace().collect();
        let packed = URL_SAFE_NO_PAD.decode(packed);
        let packed = packed.map_err(|_| LinkError::Damaged)?;
        let bytes = decompress_to_vec_zlib_with_limit(&packed, MOST_TEXT).map_err(|error| {
            if error.status == TINFLStatus::HasMoreOutput {
                LinkError::TooLarge
            } else {
                LinkError::Damaged
            }
        })?;
        let text = String::from_utf8(bytes).map_err(|_| LinkError::Damaged)?;
        let read = Bundle::read(&text)?;
        let last = text.trim_end().rsplit('\n').next().unwrap_or("");
        let look = match last.strip_prefix(LOOK) {
            Some(look) => {
                serde_json::from_str(look).map_err(|error| LinkError::Look(error.to_string()))?
            }
            None => Look::default(),
        };
        Ok(LinkRead {
            link: Self {
                bundle: read.bundle,
                look,
            },
            verdict: read.verdict,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::appearance::{Finish, Light, View};

    fn link() -> Link {
        Link {
            bundle: Bundle {
                name: "tray".to_owned(),
                recipe: "let a = 1;\n".repeat(40),
                modules: Vec::new(),
                seed: Some(7),
                values: Vec::new(),
                program: "0.1.0".to_owned(),
            },
            look: Look {
                finish: Finish::Oil,
                light: Some(Light::default()),
                view: View::Grey,
                ..Look::default()
            },
        }
    }

    #[test]
    fn what_is_linked_is_read_from_any_address() {
        let text = link().text().unwrap();
        assert!(text.len() < 500, "{} characters", text.len());
        let ours = |c: char| c.is_ascii_alphanumeric() || "#.-_".contains(c);
        assert!(text.chars().all(ours), "{text}");
        let (half, rest) = text.split_at(text.len() / 2);
        for address in [
            text.clone(),
            format!("https://example.org/a/plyloom.html{text}"),
            format!("file:///C:/My%20Shop/plyloom.html{half}\r\n  {rest}\n"),
        ] {
            let read = Link::read(&address).unwrap();
            assert_eq!(read.link, link());
            assert_eq!(read.verdict, Verdict::Exact);
        }
        let plain = Link {
            look: Look::default(),
            ..link()
        };
        let read = Link::read(&plain.text().unwrap()).unwrap();
        assert_eq!(read.link, plain);
    }

    #[test]
    fn damage_is_told() {
        let text = link().text().unwrap();
        let bomb = compress_to_vec_zlib(&vec![b' '; MOST_TEXT + 1], LEVEL);
        let none = compress_to_vec_zlib(b"let a = 1;", LEVEL);
        let own = |bytes: &[u8]| format!("#p1.{}", URL_SAFE_NO_PAD.encode(bytes));
        for (bad, code) in [
            (String::new(), "link::none"),
            ("https://example.org/".to_owned(), "link::none"),
            ("#p.abc".to_owned(), "link::none"),
            ("#p-1.abc".to_owned(), "link::none"),
            (text.replacen("#p1.", "#p2.", 1), "link::newer"),
            (text[..text.len() - 9].to_owned(), "link::damaged"),
            (format!("{text}!"), "link::damaged"),
            (text.replacen("#p1.e", "#p1.f", 1), "link::damaged"),
            (own(&bomb), "link::too_large"),
            (
                format!("#p1.{}", "a".repeat(MOST_READ + 1)),
                "link::too_large",
            ),
            (own(&none), "link::unread"),
        ] {
            let error = Link::read(&bad).expect_err(code);
            assert_eq!(error.code(), code, "{error}");
        }
    }
}
