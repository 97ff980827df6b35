//! A group of words.

use rhai::Module;

/// A group of words.
#[derive(Debug)]
pub struct Group {
    /// Its name, as in the reference.
    pub name: &'static str,
    /// What its words are for, in one sentence.
    pub about: &'static str,
    /// Its words.
    pub module: Module,
}
