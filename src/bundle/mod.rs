//! A bundle: a recipe's text with those of its rule modules and the settings of a run, in one text
//! that a file or a picture can hold, to be sent to others.
//!
//! What lives here: gathering a bundle, its plain-text form (`text`), its hash (`hash`), its place in
//! the metadata of an SVG and the text of a PNG (`metadata`, `picture`), and the host that gives a
//! packed recipe its own modules and nothing else (`host`).
//!
//! What never does: files and the terminal. A bundle may come from strangers, so it is checked when
//! it is read, and a [`Bundle`] once read can be trusted to be of this form, though not to be
//! benign.

mod error;
mod gather;
mod hash;
mod host;
mod marks;
mod metadata;
mod picture;
mod read;
mod svg;
mod text;
pub mod versioned;

pub use error::BundleError;
pub use hash::Verdict;
pub use host::PackedHost;
pub use metadata::{NAMESPACE, metadata};
pub use picture::{KEYWORD, from_picture};
pub use read::Read;
pub use text::is_pack;

use crate::recipe::parameter::Value;

/// A recipe, packed.
#[derive(Debug, Clone, PartialEq)]
pub struct Bundle {
    /// The recipe's name: that of its file without folder and ending.
    pub name: String,
    /// Its text.
    pub recipe: String,
    /// Its rule modules, in the order in which they were read.
    pub modules: Vec<Packed>,
    /// The seed, where that or a parameter was set.
    pub seed: Option<u64>,
    /// The parameters that were set, lengths in mm.
    pub values: Vec<(String, Value)>,
    /// The version of the program that packed it.
    pub program: String,
}

/// A packed rule module.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Packed {
    /// Its name: plain names with `/` between them.
    pub name: String,
    /// Whether it comes from the library of the program, not from the recipe's own folder.
    pub library: bool,
    /// Whether the run read it for which the bundle was packed; other runs may.
    pub used: bool,
    /// Its text.
    pub text: String,
}

impl Bundle {
    /// The hash of the bundle: it covers the exact bytes of all texts and settings.
    pub fn sha256(&self) -> String {
        hash::exact(self)
    }

    /// Whether another bundle has the same texts and settings.
    pub fn is_same(&self, other: &Self) -> bool {
        self.sha256() == other.sha256()
    }
}
