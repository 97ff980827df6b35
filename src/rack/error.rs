//! Why nothing was booked.

use crate::plan::units::decimal;

/// Why nothing was booked. Lengths in mm.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RackError {
    /// The text is no plan of ours.
    #[error("this is no plan that can be booked: {0}")]
    NoPlan(String),
    /// The plan says itself that the stock is not enough.
    #[error("the stock is not enough for this plan, so it cannot have been carried out")]
    Short,
    /// The plan is booked already.
    #[error("plan {0} is booked already")]
    Twice(String),
    /// A piece is not on the rack.
    #[error("the rack has no {list} \"{name}\"")]
    Missing {
        /// The kind of piece.
        list: &'static str,
        /// Its name.
        name: String,
    },
    /// Two entries have one name.
    #[error("the rack has \"{name}\" more than once, so it is not clear which one is meant")]
    Ambiguous {
        /// The name.
        name: String,
    },
    /// A piece has another size than in the plan.
    #[error("\"{name}\" is {} x {} mm in the plan, and {} x {} mm on the rack", decimal(plan[0], 2),
        decimal(plan[1], 2), decimal(rack[0], 2), decimal(rack[1], 2))]
    OtherSize {
        /// The name.
        name: String,
        /// Width and length in the plan.
        plan: [f64; 2],
        /// Width and length on the rack.
        rack: [f64; 2],
    },
    /// There are fewer pieces than the plan takes.
    #[error("the plan takes {takes} of \"{name}\", and the rack has {has}")]
    Fewer {
        /// The name.
        name: String,
        /// What the plan takes.
        takes: u64,
        /// What there is.
        has: u64,
    },
    /// Nothing can be undone.
    #[error("nothing is booked on this rack that could be undone")]
    NothingBooked,
    /// The pieces have changed since the last booking.
    #[error("the pieces on this rack have changed since the last booking")]
    ChangedSince {
        /// The file that holds the rack as it was before it.
        former: String,
    },
    /// The former rack is not what it should be.
    #[error("`{former}` is not this rack as it was before the last booking")]
    NoFormer {
        /// The file's name.
        former: String,
    },
    /// A piece that is added makes the text no rack any more.
    #[error("{0}")]
    NoPiece(String),
}

impl RackError {
    /// What to try.
    pub fn help(&self) -> String {
        match self {
            Self::NoPlan(_) => {
                "write one with `plyloom plan RECIPE --shop RACK --out plan.json`".to_owned()
            }
            Self::Short => "the plan says what is missing: make one that the rack is enough for".to_owned(),
            Self::Twice(_) => {
                "a second panel needs a plan of its own, made from the rack as it is now".to_owned()
            }
            Self::Missing { .. } | Self::OtherSize { .. } | Self::Fewer { .. } => {
                "the rack has changed since the plan was made: make the plan again, then book that. Nothing was \
                 booked"
                    .to_owned()
            }
            Self::Ambiguous { .. } => "give each its own name, and make the plan again".to_owned(),
            Self::NothingBooked => "`plyloom rack take` and `plyloom rack add` book changes".to_owned(),
            Self::ChangedSince { former } => format!(
                "the rack as it was before stands in `{former}`: compare the two, and correct the rack by hand"
            ),
            Self::NoFormer { .. } => {
                "the file was moved or changed: correct the rack by hand. Nothing was undone".to_owned()
            }
            Self::NoPiece(_) => "see `plyloom rack add --help`".to_owned(),
        }
    }
}
