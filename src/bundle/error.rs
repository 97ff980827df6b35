//! Why a text or a picture gives no recipe, or a recipe cannot be packed.

/// What is wrong with a bundle.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BundleError {
    /// A text holds what does not survive the way.
    #[error("{part}, line {line}, holds {what}")]
    Unfit {
        /// `the recipe` or `the rule module ...`.
        part: String,
        /// Line, from 1.
        line: usize,
        /// What it holds, with its article.
        what: String,
    },
    /// A text that is no pack.
    #[error("it is not a pack: the line that begins with `{mark}` is missing", mark = super::marks::MARK)]
    NoPack,
    /// A pack of a later form.
    #[error("the pack has format {found}; this program reads up to format {known}", known = super::marks::FORM)]
    Newer {
        /// Its form.
        found: u64,
    },
    /// A pack that was cut off or mangled.
    #[error("the pack is damaged at line {line}: {why}")]
    Damaged {
        /// Line of the text, from 1.
        line: usize,
        /// What is wrong there.
        why: String,
    },
    /// A picture without a recipe in it.
    #[error("this picture carries no recipe")]
    NoRecipe,
    /// Neither an SVG drawing nor a PNG picture.
    #[error("it cannot be read as {form}: {why}")]
    Picture {
        /// `SVG` or `PNG`.
        form: &'static str,
        /// What is wrong with it.
        why: String,
    },
}

impl BundleError {
    /// What to try.
    pub fn help(&self) -> &'static str {
        match self {
            Self::Newer { .. } => "get a newer Plyloom",
            Self::Damaged { .. } => {
                "ask for it again, as a file: a message may have broken its lines"
            }
            Self::NoRecipe => {
                "ask for the recipe itself; some pictures are drawn without it, and some programs \
                 drop it when they save a picture"
            }
            Self::NoPack => "a recipe is a text already: it need not be unpacked",
            Self::Picture { .. } => "name an svg drawing, a png picture or a packed recipe",
            Self::Unfit { .. } => "leave it out of the text",
        }
    }
}
