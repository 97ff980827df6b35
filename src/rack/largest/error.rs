//! Why there is no largest panel. Lengths in mm.

use crate::plan::PlanError;
use crate::plan::units::decimal;

/// Why there is no largest panel.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LargestError {
    /// There is no wood.
    #[error("there is no sheet and no scrap on the rack")]
    NoWood,
    /// Boards without a count can be bought.
    #[error(
        "\"{0}\" has no count, so as many as needed can be bought, and no panel is the largest"
    )]
    Endless(String),
    /// Nothing makes the panel larger.
    #[error("nothing in this recipe makes its panel larger")]
    NoHandle,
    /// The shape cannot be changed.
    #[error(
        "this recipe has one number for the panel's size, `{0}`, so its shape cannot be chosen"
    )]
    OneHandle(String),
    /// No size mirrors itself as it must.
    #[error(
        "no panel of this recipe that the wood is enough for, or a little smaller, mirrors itself so"
    )]
    NotSymmetric,
    /// Not even the smallest panel comes of it.
    #[error("not even a panel of {} x {} mm comes of this wood: it lacks {}", decimal(size[0], 0), decimal(size[1], 0),
        lacks.join("; "))]
    TooSmall {
        /// Width and height of the smallest that was tried, in mm.
        size: [f64; 2],
        /// What the wood lacks for it.
        lacks: Vec<String>,
    },
    /// There is no plan for this recipe.
    #[error(transparent)]
    Plan(#[from] PlanError),
}

impl LargestError {
    /// What to try.
    pub fn help(&self) -> String {
        match self {
            Self::NoWood => "add what you have with `plyloom rack add`".to_owned(),
            Self::Endless(_) => "give it a `count` in the rack: how many you would buy".to_owned(),
            Self::NoHandle => "write its size as a parameter, `let wide = param(\"wide\", 420, #{ unit: \"mm\" })`, or \
                               as a plain number: `.finished(420, 260)`"
                .to_owned(),
            Self::OneHandle(_) => "leave `--shape` out, or write `.finished(width, height)` with two numbers".to_owned(),
            Self::NotSymmetric => {
                "look at it with `plyloom preview`: what mirrors itself has its middle in a joint or in a tile that \
                 is its own image"
                    .to_owned()
            }
            Self::TooSmall { .. } => "`plyloom rack check` lists pieces that are of no use".to_owned(),
            Self::Plan(_) => "check the panel with `plyloom preview`".to_owned(),
        }
    }
}
