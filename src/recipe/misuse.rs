//! Words that are called where they cannot be: the refusals of the vocabulary that are not about a
//! single value.

use crate::layout::slats::SlatsError;
#[cfg(test)]
use crate::stock::StockError;

/// The version of this program.
const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// Why a word cannot do what it is asked to, though each of its values is a good one.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Misuse {
    /// A word is called by no run.
    #[error("this word only works inside a recipe")]
    NoRun,
    /// Plies thinner than any on sale: probably inches were meant.
    #[error("{plies} plies in {inches} mm would be {each:.3} mm each: no veneer is cut so thin")]
    ThinPlies {
        /// How many.
        plies: usize,
        /// The thickness of the sheet in mm, which is probably meant in inches.
        inches: f64,
        /// The thickness of one in mm.
        each: f64,
    },
    /// Joints that may stand open too far.
    #[error("the tolerance of joints must be at most {most} mm, not {mm}")]
    Tolerance {
        /// What is asked for.
        mm: f64,
        /// The most.
        most: f64,
    },
    /// A kind of tile has an empty name.
    #[error("a kind of tile needs a name")]
    NamelessTile,
    /// Two bars are sliced under one name.
    #[error("two different bars are sliced to tiles named {name:?}")]
    TileTwice {
        /// The name.
        name: String,
    },
    /// No tiles have this name yet.
    #[error("no tiles named {name:?} are sliced before this line")]
    NoSuchTile {
        /// The name.
        name: String,
    },
    /// A set of strips for a bar has too few or too many.
    #[error("a bar has {each} strips, and this set has {strips}")]
    SetOfStrips {
        /// Strips of the set.
        strips: usize,
        /// Strips of a bar.
        each: usize,
    },
    /// A set has a strip that is not among those to be used up.
    #[error("a set of `mix` has a strip that is not among the strips to be used up")]
    StrangeStrip,
    /// More strips than can be used up at once.
    #[error("at most {most} strips are used up at once")]
    ManyStrips {
        /// The most.
        most: u64,
    },
    /// Short bars that would give more than a full one.
    #[error(
        "{each} short bars of {short} tiles would give more than a full bar of {tiles}, of as many strips"
    )]
    LongShortBars {
        /// Tiles of a short bar.
        short: usize,
        /// Strips of a full one.
        each: usize,
        /// Tiles of a full one.
        tiles: usize,
    },
    /// The strips are not enough for the tiles that are wanted.
    #[error("these strips give {made} tiles, and {wanted} are wanted")]
    TooFewTiles {
        /// Tiles that they give.
        made: u64,
        /// Tiles that are wanted.
        wanted: u64,
    },
    /// A panel cannot be ripped to slats.
    #[error(transparent)]
    Slats(SlatsError),
    /// A panel that is ripped already is to change.
    #[error("the panel {name:?} is ripped to slats before this line, so it cannot change any more")]
    RippedAlready {
        /// The panel.
        name: String,
    },
    /// A panel has an empty name.
    #[error("a panel needs a name")]
    NamelessPanel,
    /// Two panels have one name.
    #[error("there are two panels named {name:?}")]
    PanelTwice {
        /// The name.
        name: String,
    },
    /// No panel has this name yet.
    #[error("no panel named {name:?} was begun before this line")]
    NoSuchPanel {
        /// The name.
        name: String,
    },
    /// A distance is asked from an outline that there is not.
    #[error("this panel has no finished outline to measure from")]
    NoOutline,
    /// A size is given to a panel that has tiles already.
    #[error("the size of a panel cannot change once it is being filled")]
    SizeTooLate,
    /// A function that fills a panel fills it.
    #[error("a panel cannot be filled from inside a function that is filling it")]
    FillInFill,
    /// A function that fills a panel ended the recipe.
    #[error("the panel {name:?} is still being filled")]
    NotFilled {
        /// The panel.
        name: String,
    },
    /// A tile is placed freely on a panel that has cells.
    #[error("this panel has a lattice, so its tiles go into cells")]
    HasLattice,
    /// Cells are asked of a panel that has none.
    #[error("this panel has no lattice, so there are no cells to be {how}")]
    NoLattice {
        /// What was to be done with them: `filled`, `laid in`.
        how: &'static str,
    },
    /// Conditions are to hold for some cells only.
    #[error("conditions are kept by all cells of a panel, not by some")]
    KeepingSome,
    /// A step of a lattice is no pair of lengths.
    #[error("{what} must be a list of 2 lengths, not of {count}")]
    StepShape {
        /// Which step.
        what: String,
        /// How many lengths there are.
        count: usize,
    },
    /// A step of a lattice is missing.
    #[error("`lattice` needs the step `{key}`")]
    NoStep {
        /// Its name.
        key: &'static str,
    },
    /// With so many colours, or with any, neighbours would be alike.
    #[error("{}", uncoloured(*.colours))]
    Uncoloured {
        /// How many colours; none where no number of them would do.
        colours: Option<i64>,
    },
    /// A share that is no chance.
    #[error("a chance must be from 0 (never) to 1 (always), not {share}")]
    Chance {
        /// The share.
        share: f64,
    },
    /// A list to pick from is empty.
    #[error("there is nothing to pick from: the list is empty")]
    NothingToPick,
    /// A range to pick from is empty.
    #[error("there is nothing to pick from: the range from {from} to {to} is empty")]
    EmptyRange {
        /// Its first number.
        from: i64,
        /// Its last one, or the one after that.
        to: i64,
    },
    /// A range to pick from has all numbers that there are.
    #[error("there are too many numbers to pick from")]
    EndlessRange,
    /// A parameter is declared twice.
    #[error("the parameter `{name}` is declared twice")]
    ParameterTwice {
        /// Its name.
        name: String,
    },
    /// The seed is set twice.
    #[error("the seed is set twice")]
    SeedTwice,
    /// The seed is set after chance had its say.
    #[error("the seed is set after a random choice was made with another")]
    SeedTooLate,
    /// The recipe asks for a seed that is no number of its language.
    #[error("the seed {seed} is too large to calculate with")]
    SeedTooLarge {
        /// The seed.
        seed: u64,
    },
    /// A text does not say its version of the language where it is read.
    #[error("the version of the language is not written plainly")]
    LanguageNotPlain,
    /// A text says twice what it is.
    #[error("`about` stands twice in this text")]
    AboutTwice,
    /// A text is written for a version of the language that is not known yet.
    #[error(
        "{is} is written for version {number} of the language, and this program knows it up to version {known}"
    )]
    NewerLanguage {
        /// Which text.
        is: String,
        /// Its version.
        number: u64,
        /// The newest that is known.
        known: u32,
    },
    /// A text needs a newer program.
    #[error("{is} needs Plyloom {needs}, and this is {PROGRAM}")]
    NewerProgram {
        /// Which text.
        is: String,
        /// The version that it needs.
        needs: String,
    },
    /// No rule module has this name.
    #[error("there is no rule module {name:?}")]
    NoSuchModule {
        /// As written.
        name: String,
    },
    /// The name cannot be one of a rule module.
    #[error("{name:?} is no name of a rule module: {why}")]
    ModuleName {
        /// As written.
        name: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Rule modules need each other.
    #[error("rule modules import each other in a circle: {}", .chain.join(" -> "))]
    ImportCycle {
        /// Their names; the last one is the first.
        chain: Vec<String>,
    },
    /// A rule module cannot be read.
    #[error("the rule module `{name}` cannot be used: {why}")]
    ModuleUnreadable {
        /// As written.
        name: String,
        /// What the host says.
        why: String,
    },
}

fn uncoloured(colours: Option<i64>) -> String {
    match colours {
        Some(n) => format!("with {n} colours, neighbours on this lattice would be alike"),
        None => "there is no regular colouring of this lattice".to_owned(),
    }
}

impl Misuse {
    /// Its code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoRun => "recipe::no_run",
            Self::ThinPlies { .. } => "wood::thin_plies",
            Self::Tolerance { .. } => "wood::tolerance",
            Self::NamelessTile => "wood::no_name",
            Self::TileTwice { .. } => "wood::name_twice",
            Self::NoSuchTile { .. } => "wood::no_such_tile",
            Self::SetOfStrips { .. }
            | Self::StrangeStrip
            | Self::ManyStrips { .. }
            | Self::LongShortBars { .. }
            | Self::TooFewTiles { .. } => "wood::use_up",
            Self::Slats(_) => "layout::slats",
            Self::RippedAlready { .. } => "layout::ripped_already",
            Self::NamelessPanel => "layout::no_name",
            Self::PanelTwice { .. } => "layout::panel_twice",
            Self::NoSuchPanel { .. } => "layout::no_such_panel",
            Self::NoOutline => "layout::no_outline",
            Self::SizeTooLate => "layout::size_too_late",
            Self::FillInFill => "layout::fill_in_fill",
            Self::NotFilled { .. } => "layout::not_filled",
            Self::HasLattice => "layout::has_lattice",
            Self::NoLattice { .. } => "layout::no_lattice",
            Self::KeepingSome => "layout::keeping_some",
            Self::StepShape { .. } | Self::NoStep { .. } => "layout::step",
            Self::Uncoloured { .. } => "layout::colouring",
            Self::Chance { .. } => "layout::chance",
            Self::NothingToPick => "layout::pick",
            Self::EmptyRange { .. } | Self::EndlessRange => "layout::range",
            Self::ParameterTwice { .. } => "recipe::parameter_twice",
            Self::SeedTwice => "recipe::seed_twice",
            Self::SeedTooLate => "recipe::seed_too_late",
            Self::SeedTooLarge { .. } => "recipe::seed_too_large",
            Self::LanguageNotPlain => "recipe::language_not_plain",
            Self::AboutTwice => "recipe::about_twice",
            Self::NewerLanguage { .. } => "recipe::newer_language",
            Self::NewerProgram { .. } => "recipe::newer_program",
            Self::NoSuchModule { .. } => "recipe::module_not_found",
            Self::ModuleName { .. } => "recipe::module_name",
            Self::ImportCycle { .. } => "recipe::import_cycle",
            Self::ModuleUnreadable { .. } => "recipe::module_unreadable",
        }
    }

    /// What to try, where that does not depend on the rest of the recipe.
    pub fn help(&self) -> Option<String> {
        let help = match self {
            Self::ThinPlies { inches, .. } => {
                return Some(format!(
                    "a number is in mm; if inches are meant, write a text: \"{inches} in\""
                ));
            }
            Self::NewerLanguage { .. } => {
                return Some(format!(
                    "get a newer Plyloom (this is {PROGRAM}): it will know the recipe, and older recipes keep their meaning"
                ));
            }
            Self::Tolerance { .. } => "a joint that far open holds no glue",
            Self::NamelessTile => "bar.slice(\"block\")",
            Self::TileTwice { .. } => {
                "give each kind of tile a name of its own: the tally and the plan go by it"
            }
            Self::NoSuchTile { .. } => "bar.slice(\"name\") gives tiles their name",
            Self::SetOfStrips { .. } => "each set of `mix` lists the strips of one bar",
            Self::StrangeStrip => "name it among the strips, with its count, 0 where there is none",
            Self::ManyStrips { .. } => "use up a part of them",
            Self::LongShortBars { .. } => {
                "a short bar has ends of its own, so it gives less than its share of a full one"
            }
            Self::TooFewTiles { .. } => {
                "make the panel smaller, let short bars be made with `short`, or allow more mixed bars with `mix`"
            }
            Self::Slats(SlatsError::Gaps { .. } | SlatsError::Outline) => {
                "give it a rectangle as its finished size, without gaps: .finished(300, 200)"
            }
            Self::Slats(SlatsError::Narrow { .. }) => "take narrower slats, or a larger panel",
            Self::Slats(SlatsError::Many { .. } | SlatsError::Stock(_)) => {
                "take wider slats, or a smaller panel"
            }
            Self::Slats(SlatsError::Width { .. }) => "nobody can hold a narrower one at a saw",
            Self::Slats(SlatsError::Kerf { .. }) => {
                "write what your saw's cut takes: #{ kerf: 2.4 }"
            }
            Self::RippedAlready { .. } => "fill it first, then write slats(...)",
            Self::NamelessPanel => "panel(\"tray\", squares(tile))",
            Self::NoSuchPanel { .. } => "write `lay` after the panel that it is for",
            Self::NoOutline => {
                "write .finished_outline(ellipse(300, 200)) or another finished size before the first fill"
            }
            Self::SizeTooLate => {
                "write size(...), finished(...) and shift(...) before the first fill"
            }
            Self::FillInFill => "give the tile back from the function instead",
            Self::HasLattice => "fill it, or begin one without a lattice: panel(\"tray\")",
            Self::NoLattice { .. } => {
                "begin it with one: panel(\"tray\", squares(tile)), or place(tile, x, y) each tile"
            }
            Self::KeepingSome => {
                "write fill(keeping(...)) first, then fill_where(...) what is to differ"
            }
            Self::StepShape { .. } => "to the right and down, in mm: [40, 0]",
            Self::NoStep { .. } => "lattice(tile, #{ column: 36, course: [-24, 24] })",
            Self::Uncoloured { .. } => "`cell.checkered` takes as many colours as it needs",
            Self::Chance { .. } => "0.25 is one time in four",
            Self::NothingToPick => "put something into the list",
            Self::EmptyRange { .. } => {
                "write the smaller number first; with `..=` the last one is among them"
            }
            Self::SeedTwice => "keep one `seed(...)`, at the top of the recipe",
            Self::SeedTooLate => "move `seed(...)` to the top of the recipe",
            Self::SeedTooLarge { .. } => "take a seed up to 9223372036854775807",
            Self::LanguageNotPlain => {
                "write it as a number in the first `about` of the text: `language: 1`"
            }
            Self::NewerProgram { .. } => "get a newer Plyloom; older recipes keep their meaning",
            Self::ModuleName { .. } => {
                "write names like \"rings\" or \"borders/greek\", counted from the recipe's own folder"
            }
            Self::ImportCycle { .. } => "move what both need into a third module",
            Self::NoRun
            | Self::PanelTwice { .. }
            | Self::NotFilled { .. }
            | Self::EndlessRange
            | Self::ParameterTwice { .. }
            | Self::AboutTwice
            | Self::NoSuchModule { .. }
            | Self::ModuleUnreadable { .. } => return None,
        };
        Some(help.to_owned())
    }
}

#[cfg(test)]
impl Misuse {
    /// One of each. A new one that has no place here does not compile.
    pub(crate) fn each() -> Vec<Self> {
        let mut all = vec![Self::NoRun];
        while let Some(next) = all.last().and_then(Self::next) {
            all.push(next);
        }
        all
    }

    fn next(&self) -> Option<Self> {
        let name = "tray".to_owned();
        Some(match self {
            Self::NoRun => Self::ThinPlies {
                plies: 13,
                inches: 0.75,
                each: 0.75 / 13.0,
            },
            Self::ThinPlies { .. } => Self::Tolerance { mm: 5.0, most: 1.0 },
            Self::Tolerance { .. } => Self::NamelessTile,
            Self::NamelessTile => Self::TileTwice { name },
            Self::TileTwice { .. } => Self::NoSuchTile { name },
            Self::NoSuchTile { .. } => Self::SetOfStrips { strips: 2, each: 3 },
            Self::SetOfStrips { .. } => Self::StrangeStrip,
            Self::StrangeStrip => Self::ManyStrips { most: 10_000 },
            Self::ManyStrips { .. } => Self::LongShortBars {
                short: 12,
                each: 3,
                tiles: 30,
            },
            Self::LongShortBars { .. } => Self::TooFewTiles {
                made: 84,
                wanted: 96,
            },
            Self::TooFewTiles { .. } => Self::Slats(SlatsError::Width { width: 2.0 }),
            Self::Slats(error) => match error {
                SlatsError::Width { .. } => Self::Slats(SlatsError::Kerf { kerf: -1.0 }),
                SlatsError::Kerf { .. } => Self::Slats(SlatsError::Narrow {
                    across: 60.0,
                    width: 80.0,
                }),
                SlatsError::Narrow { .. } => Self::Slats(SlatsError::Many { slats: 300 }),
                SlatsError::Many { .. } => Self::Slats(SlatsError::Gaps {
                    number: 2,
                    missing: 12.5,
                }),
                SlatsError::Gaps { .. } => Self::Slats(SlatsError::Outline),
                SlatsError::Outline => {
                    Self::Slats(SlatsError::Stock(StockError::TooManyStrips { count: 6000 }))
                }
                SlatsError::Stock(_) => Self::RippedAlready { name },
            },
            Self::RippedAlready { .. } => Self::NamelessPanel,
            Self::NamelessPanel => Self::PanelTwice { name },
            Self::PanelTwice { .. } => Self::NoSuchPanel { name },
            Self::NoSuchPanel { .. } => Self::NoOutline,
            Self::NoOutline => Self::SizeTooLate,
            Self::SizeTooLate => Self::FillInFill,
            Self::FillInFill => Self::NotFilled { name },
            Self::NotFilled { .. } => Self::HasLattice,
            Self::HasLattice => Self::NoLattice { how: "filled" },
            Self::NoLattice { .. } => Self::KeepingSome,
            Self::KeepingSome => Self::StepShape {
                what: "the step `column`".to_owned(),
                count: 3,
            },
            Self::StepShape { .. } => Self::NoStep { key: "column" },
            Self::NoStep { .. } => Self::Uncoloured { colours: Some(2) },
            Self::Uncoloured { colours: Some(_) } => Self::Uncoloured { colours: None },
            Self::Uncoloured { colours: None } => Self::Chance { share: 1.5 },
            Self::Chance { .. } => Self::NothingToPick,
            Self::NothingToPick => Self::EmptyRange { from: 5, to: 1 },
            Self::EmptyRange { .. } => Self::EndlessRange,
            Self::EndlessRange => Self::ParameterTwice { name },
            Self::ParameterTwice { .. } => Self::SeedTwice,
            Self::SeedTwice => Self::SeedTooLate,
            Self::SeedTooLate => Self::SeedTooLarge { seed: u64::MAX },
            Self::SeedTooLarge { .. } => Self::LanguageNotPlain,
            Self::LanguageNotPlain => Self::AboutTwice,
            Self::AboutTwice => Self::NewerLanguage {
                is: "this recipe".to_owned(),
                number: 9,
                known: 1,
            },
            Self::NewerLanguage { .. } => Self::NewerProgram {
                is: "this recipe".to_owned(),
                needs: "9.1".to_owned(),
            },
            Self::NewerProgram { .. } => Self::NoSuchModule { name },
            Self::NoSuchModule { .. } => Self::ModuleName {
                name,
                why: "it is empty",
            },
            Self::ModuleName { .. } => Self::ImportCycle {
                chain: vec![name.clone(), "rings".to_owned(), name],
            },
            Self::ImportCycle { .. } => Self::ModuleUnreadable {
                name,
                why: "the system says no".to_owned(),
            },
            Self::ModuleUnreadable { .. } => return None,
        })
    }
}
