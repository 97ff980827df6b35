//! The kinds of failures, with their facts: for code that acts on a failure, or words it in its own
//! way.

use serde::Serialize;

use super::{misuse::Misuse, refusals};
use crate::layout::{LayoutError, solver::RulesError};
use crate::stock::StockError;

/// Every way in which a recipe can fail.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// The text is none of the language.
    Syntax,
    /// The language has this, and recipes do not.
    LeftOut {
        /// What is written.
        sign: String,
    },
    /// A bound was reached that a maker can raise.
    Bound(Bound),
    /// A bound was reached that is fixed.
    Fixed(Fixed),
    /// There is no such word.
    UnknownWord {
        /// What is written.
        word: String,
    },
    /// There is no such name of a value.
    UnknownName {
        /// What is written.
        name: String,
    },
    /// There is no such name of an imported rule module.
    UnknownModule {
        /// What is written.
        name: String,
    },
    /// What is asked has no such property.
    UnknownProperty {
        /// What is written.
        name: String,
    },
    /// A function takes another number of values.
    WrongCount {
        /// How many it was given.
        given: usize,
    },
    /// A word takes other values.
    WrongValues {
        /// The word.
        word: String,
    },
    /// A value is of another kind than its place wants.
    WrongKind,
    /// A list, a text or a map has no such entry.
    OutOfBounds,
    /// A constant would be changed.
    Constant,
    /// A sum has no answer in whole numbers.
    Arithmetic,
    /// A calculation has no answer.
    NoAnswer,
    /// A value is used while it is being changed.
    DataRace,
    /// Two values are compared that cannot be.
    Unlike,
    /// One of the values of a word is not one that it takes.
    Argument,
    /// An option that a word does not have.
    UnknownOption {
        /// The option.
        option: String,
    },
    /// There is no such colour.
    Colour {
        /// What is written.
        name: String,
    },
    /// No licence is called so.
    Licence {
        /// What is written.
        text: String,
    },
    /// A value is set for a parameter that the recipe does not have.
    NoSuchParameter {
        /// Its name.
        name: String,
    },
    /// A value is set that the parameter does not take.
    ParameterValue {
        /// Its name.
        name: String,
    },
    /// A word is called where it cannot be.
    Misuse(Box<Misuse>),
    /// Wood that cannot be made: layers, strips, bars, tiles.
    Wood(Box<StockError>),
    /// A layout that cannot be made.
    Layout(Box<LayoutError>),
    /// No layout meets the conditions that are asked for.
    Rules(Box<RulesError>),
    /// The recipe stopped itself.
    Thrown,
    /// The engine gave up for any other reason.
    Failed,
    /// The program broke down.
    Broken,
    /// The system gives no thread for the run.
    NoThread,
    /// Nobody waited for the run any more.
    Recalled,
}

/// A bound of a run that a maker can raise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "bound", rename_all = "kebab-case")]
pub enum Bound {
    /// Steps of the script.
    Operations {
        /// How many there may be.
        most: u64,
    },
    /// Time.
    Time {
        /// How long it may take, in seconds.
        seconds: f64,
    },
    /// Memory.
    Memory {
        /// How much it may take.
        mebibytes: usize,
    },
    /// Tiles of all panels.
    Tiles {
        /// How many there may be.
        most: usize,
    },
}

impl Bound {
    fn code(self) -> &'static str {
        match self {
            Self::Operations { .. } => "recipe::too_many_operations",
            Self::Time { .. } => "recipe::too_long",
            Self::Memory { .. } => "recipe::too_much_memory",
            Self::Tiles { .. } => "recipe::too_many_tiles",
        }
    }

    /// Whether the same run reaches it sooner on a busier machine.
    pub fn is_felt(self) -> bool {
        match self {
            Self::Time { .. } | Self::Memory { .. } => true,
            Self::Operations { .. } | Self::Tiles { .. } => false,
        }
    }
}

/// A bound that is the same for every run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fixed {
    /// Calls inside each other.
    Calls,
    /// Variables at one time.
    Variables,
    /// Imports.
    Imports,
    /// Length of a text.
    Text,
    /// Entries of a map.
    Map,
    /// Entries of a list.
    List,
    /// Lines printed.
    Lines,
    /// Rule modules.
    Modules,
    /// Texts of all rule modules together.
    ModuleBytes,
    /// Length of one source, or of what is written out in it.
    Source,
    /// Expressions inside each other.
    Depth,
    /// Functions.
    Functions,
}

impl Kind {
    /// Its code: stable, in dotted form, for example `recipe::unknown_word`.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Syntax => "recipe::syntax",
            Self::LeftOut { .. } => "recipe::left_out",
            Self::Bound(bound) => bound.code(),
            Self::Fixed(bound) => bound.code(),
            Self::UnknownWord { .. } => "recipe::unknown_word",
            Self::UnknownName { .. } => "recipe::unknown_name",
            Self::UnknownModule { .. } => "recipe::unknown_module",
            Self::UnknownProperty { .. } => "recipe::unknown_property",
            Self::WrongCount { .. } => "recipe::wrong_count",
            Self::WrongValues { .. } => "recipe::wrong_values",
            Self::WrongKind => "recipe::wrong_kind",
            Self::OutOfBounds => "recipe::out_of_bounds",
            Self::Constant => "recipe::constant",
            Self::Arithmetic => "recipe::arithmetic",
            Self::NoAnswer => "recipe::no_answer",
            Self::DataRace => "recipe::data_race",
            Self::Unlike => "recipe::unlike",
            Self::Argument => "recipe::wrong_argument",
            Self::UnknownOption { .. } => "recipe::unknown_option",
            Self::Colour { .. } => "wood::colour",
            Self::Licence { .. } => "recipe::licence",
            Self::NoSuchParameter { .. } => "recipe::no_such_parameter",
            Self::ParameterValue { .. } => "recipe::parameter_value",
            Self::Misuse(misuse) => misuse.code(),
            Self::Wood(error) => refusals::of_wood(error).0,
            Self::Layout(error) => refusals::of_layout(error).0,
            Self::Rules(error) => refusals::of_rules(error).0,
            Self::Thrown => "recipe::thrown",
            Self::Failed => "recipe::failed",
            Self::Broken => "recipe::broken",
            Self::NoThread => "recipe::no_thread",
            Self::Recalled => "recipe::recalled",
        }
    }

    /// Whether the run ends here even inside `try`.
    pub fn is_fatal(&self) -> bool {
        matches!(self, Self::Bound(_) | Self::Fixed(_) | Self::Recalled)
    }
}

impl Fixed {
    fn code(self) -> &'static str {
        match self {
            Self::Calls => "recipe::too_many_calls",
            Self::Variables => "recipe::too_many_variables",
            Self::Imports => "recipe::too_many_imports",
            Self::Text => "recipe::text_too_long",
            Self::Map => "recipe::map_too_large",
            Self::List => "recipe::list_too_long",
            Self::Lines => "recipe::too_many_lines",
            Self::Modules => "recipe::too_many_modules",
            Self::ModuleBytes => "recipe::modules_too_large",
            Self::Source => "recipe::too_large",
            Self::Depth => "recipe::too_deep",
            Self::Functions => "recipe::too_many_functions",
        }
    }
}

#[cfg(test)]
impl Kind {
    /// One of each kind. A new kind that has no place here does not compile.
    pub(crate) fn each() -> Vec<Self> {
        let mut all = vec![Self::Syntax];
        while let Some(next) = all.last().and_then(Self::next) {
            all.push(next);
        }
        all
    }

    fn next(&self) -> Option<Self> {
        let name = "rows".to_owned();
        Some(match self {
            Self::Syntax => Self::LeftOut { sign: name },
            Self::LeftOut { .. } => Self::Bound(Bound::Operations { most: 1000 }),
            Self::Bound(Bound::Operations { .. }) => Self::Bound(Bound::Time { seconds: 20.0 }),
            Self::Bound(Bound::Time { .. }) => Self::Bound(Bound::Memory { mebibytes: 256 }),
            Self::Bound(Bound::Memory { .. }) => Self::Bound(Bound::Tiles { most: 100 }),
            Self::Bound(Bound::Tiles { .. }) => Self::Fixed(Fixed::Calls),
            Self::Fixed(Fixed::Calls) => Self::Fixed(Fixed::Variables),
            Self::Fixed(Fixed::Variables) => Self::Fixed(Fixed::Imports),
            Self::Fixed(Fixed::Imports) => Self::Fixed(Fixed::Text),
            Self::Fixed(Fixed::Text) => Self::Fixed(Fixed::Map),
            Self::Fixed(Fixed::Map) => Self::Fixed(Fixed::List),
            Self::Fixed(Fixed::List) => Self::Fixed(Fixed::Lines),
            Self::Fixed(Fixed::Lines) => Self::Fixed(Fixed::Modules),
            Self::Fixed(Fixed::Modules) => Self::Fixed(Fixed::ModuleBytes),
            Self::Fixed(Fixed::ModuleBytes) => Self::Fixed(Fixed::Source),
            Self::Fixed(Fixed::Source) => Self::Fixed(Fixed::Depth),
            Self::Fixed(Fixed::Depth) => Self::Fixed(Fixed::Functions),
            Self::Fixed(Fixed::Functions) => Self::UnknownWord { word: name },
            Self::UnknownWord { .. } => Self::UnknownName { name },
            Self::UnknownName { .. } => Self::UnknownModule { name },
            Self::UnknownModule { .. } => Self::UnknownProperty { name },
            Self::UnknownProperty { .. } => Self::WrongCount { given: 3 },
            Self::WrongCount { .. } => Self::WrongValues { word: name },
            Self::WrongValues { .. } => Self::WrongKind,
            Self::WrongKind => Self::OutOfBounds,
            Self::OutOfBounds => Self::Constant,
            Self::Constant => Self::Arithmetic,
            Self::Arithmetic => Self::NoAnswer,
            Self::NoAnswer => Self::DataRace,
            Self::DataRace => Self::Unlike,
            Self::Unlike => Self::Argument,
            Self::Argument => Self::UnknownOption { option: name },
            Self::UnknownOption { .. } => Self::Colour { name },
            Self::Colour { .. } => Self::Licence { text: name },
            Self::Licence { .. } => Self::NoSuchParameter { name },
            Self::NoSuchParameter { .. } => Self::ParameterValue { name },
            Self::ParameterValue { .. } => Self::Misuse(Misuse::NoRun.into()),
            Self::Misuse(_) => Self::Wood(StockError::NoLayers.into()),
            Self::Wood(_) => Self::Layout(LayoutError::NoTiles.into()),
            Self::Layout(_) => Self::Rules(RulesError::TooMuch.into()),
            Self::Rules(_) => Self::Thrown,
            Self::Thrown => Self::Failed,
            Self::Failed => Self::Broken,
            Self::Broken => Self::NoThread,
            Self::NoThread => Self::Recalled,
            Self::Recalled => return None,
        })
    }
}
