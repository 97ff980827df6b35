//! Why a command ended without doing its work.

use std::io;

use crate::bundle::BundleError;
use crate::files::FileError;
use crate::recipe::failure::Failure;
use crate::recipe::kind::{Bound, Kind};
use crate::recipe::store::ReadError;
use crate::session::OpenError;
use crate::watch::{Alarm, Bounds};

const MIB: usize = 1024 * 1024;

/// Why a command ended without doing its work.
#[derive(Debug, thiserror::Error)]
pub(super) enum CliError {
    /// The command line asks for something that does not go together.
    #[error("{message}")]
    Usage {
        /// What, in one sentence.
        message: String,
        /// What to try.
        help: String,
    },
    /// The recipe failed.
    #[error("{}", .0.message)]
    Recipe(Box<Failure>),
    /// A file could not be read or written.
    #[error(transparent)]
    File(#[from] FileError),
    /// The recipe ended well and made nothing.
    #[error("`{recipe}` makes no panel: there is nothing to draw")]
    NoPanel {
        /// The recipe as typed.
        recipe: String,
    },
    /// There is no plan, or the stock does not suffice for it.
    #[error("{message}")]
    Plan {
        /// What, in one sentence.
        message: String,
        /// What to try.
        help: String,
    },
    /// The panel could not be drawn.
    #[error("{message}")]
    Drawing {
        /// What, in one sentence.
        message: String,
        /// What to try.
        help: String,
    },
    /// A file that the program wrote does not have its form.
    #[error("{message}")]
    Data {
        /// A stable code in dotted form.
        code: &'static str,
        /// What is wrong with it, in one sentence.
        message: String,
        /// What to try.
        help: String,
    },
    /// The work did not end by itself at its bound, and was ended with the process.
    #[error("{}", match .0 {
        Alarm::Memory => format!("the work took more than {} MiB of memory and was ended", .1.memory / MIB),
        _ => format!("the work took more than {} s and was ended", .1.time.as_secs_f64()),
    })]
    Ended(Alarm, Bounds),
    /// The reader of the output has closed it, so the command ends.
    #[error("the output was closed")]
    Closed,
    /// The output could not be written.
    #[error("the output could not be written: {0}")]
    Output(io::Error),
}

impl CliError {
    /// The exit code: 0 done, 1 the recipe or its data failed, 2 wrong usage.
    pub(super) fn exit_code(&self) -> u8 {
        match self {
            Self::Usage { .. } => 2,
            // A value given with `--set` that the recipe does not take.
            Self::Recipe(failure) if is_set_wrongly(&failure.kind) => 2,
            Self::Closed => 0,
            Self::Recipe(_)
            | Self::Ended(..)
            | Self::File(_)
            | Self::NoPanel { .. }
            | Self::Plan { .. }
            | Self::Drawing { .. }
            | Self::Data { .. }
            | Self::Output(_) => 1,
        }
    }

    /// A stable code in dotted form.
    pub(super) fn code(&self) -> &'static str {
        match self {
            Self::Usage { .. } => "command::usage",
            Self::Recipe(failure) => failure.code,
            Self::File(error) => error.code(),
            Self::NoPanel { .. } => "recipe::no_panel",
            Self::Plan { .. } => "plan::failed",
            Self::Drawing { .. } => "drawing::failed",
            Self::Data { code, .. } => code,
            Self::Ended(Alarm::Memory, _) => "command::too_much_memory",
            Self::Ended(..) => "command::too_long",
            Self::Closed => "output::closed",
            Self::Output(_) => "output::failed",
        }
    }

    /// What to try.
    pub(super) fn help(&self) -> Option<String> {
        match self {
            Self::Usage { help, .. }
            | Self::Plan { help, .. }
            | Self::Drawing { help, .. }
            | Self::Data { help, .. } => Some(help.clone()),
            Self::Ended(alarm, _) => Some(format!(
                "make the panel smaller, its tiles plainer, or raise the bound with {}",
                match alarm {
                    Alarm::Memory => "--max-memory",
                    _ => "--max-seconds",
                }
            )),
            Self::Recipe(failure) => recipe_help(failure),
            Self::File(error) => Some(file_help(error)),
            Self::NoPanel { .. } => Some(
                "fill a panel in the recipe; `plyloom new NAME` writes one to start from"
                    .to_owned(),
            ),
            Self::Closed | Self::Output(_) => None,
        }
    }
}

/// What to try with a file, naming commands of the program.
fn file_help(error: &FileError) -> String {
    match error {
        FileError::Read(ReadError::Picture { path }) => format!(
            "name the recipe; if the picture was drawn by Plyloom, `plyloom unpack {}` gets its recipe out of it",
            path.display()
        ),
        other => other.help(),
    }
}

/// Whether the command line is to blame, with a value that the recipe does not take.
fn is_set_wrongly(kind: &Kind) -> bool {
    matches!(
        kind,
        Kind::NoSuchParameter { .. } | Kind::ParameterValue { .. }
    )
}

/// What to try with a recipe, naming options of the command.
pub(super) fn recipe_help(failure: &Failure) -> Option<String> {
    let Kind::Bound(bound) = failure.kind else {
        return failure.help.clone();
    };
    let option = match bound {
        Bound::Operations { .. } => "--max-operations",
        Bound::Time { .. } => "--max-seconds",
        Bound::Memory { .. } => "--max-memory",
        Bound::Tiles { .. } => "--max-tiles",
    };
    let first = failure.help.as_deref().unwrap_or("do less");
    Some(format!(
        "{first}; if it is needed, raise the bound with `{option}`"
    ))
}

impl From<OpenError> for CliError {
    fn from(error: OpenError) -> Self {
        match error {
            OpenError::Read(error) => Self::File(error.into()),
            other => Self::Data {
                code: other.code(),
                message: other.to_string(),
                help: open_help(&other),
            },
        }
    }
}

/// What to try, naming options of the command.
fn open_help(error: &OpenError) -> String {
    match error {
        OpenError::Choice { .. } => "pin it again with `plyloom pick`".to_owned(),
        OpenError::Beyond { .. } => {
            format!("{}, or let it reach there with `--elsewhere`", error.help())
        }
        OpenError::Pack {
            error: BundleError::NoRecipe,
            ..
        } => "ask for the recipe itself; pictures drawn with `--no-recipe` have none, and some \
             programs drop it when they save a picture"
            .to_owned(),
        _ => error.help(),
    }
}

impl From<ReadError> for CliError {
    fn from(error: ReadError) -> Self {
        Self::File(error.into())
    }
}

impl From<Failure> for CliError {
    fn from(failure: Failure) -> Self {
        Self::Recipe(Box::new(failure))
    }
}

impl From<io::Error> for CliError {
    /// An error of our own output.
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Self::Closed,
            _ => Self::Output(error),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of_kind(kind: Kind) -> Failure {
        Failure {
            code: kind.code(),
            kind,
            message: "it fails".to_owned(),
            place: None,
            label: None,
            help: Some("make it smaller".to_owned()),
            inside: Vec::new(),
            trace: Vec::new(),
            sources: Vec::new(),
        }
    }

    /// Of every kind there is those that the command line treats unlike the others, with what it says and how
    /// it ends.
    #[test]
    fn each_kind_has_its_words_and_its_exit_code() {
        let plain = (1, "make it smaller".to_owned());
        let said: Vec<(&str, (u8, String))> = Kind::each()
            .into_iter()
            .map(|kind| CliError::from(of_kind(kind)))
            .map(|trouble| {
                let help = trouble.help().unwrap_or_default();
                (trouble.code(), (trouble.exit_code(), help))
            })
            .filter(|(_, said)| *said != plain)
            .collect();
        let raise = |option: &str| {
            format!("make it smaller; if it is needed, raise the bound with `{option}`")
        };
        let set_wrongly = (2, "make it smaller".to_owned());
        assert_eq!(
            said,
            [
                (
                    "recipe::too_many_operations",
                    (1, raise("--max-operations"))
                ),
                ("recipe::too_long", (1, raise("--max-seconds"))),
                ("recipe::too_much_memory", (1, raise("--max-memory"))),
                ("recipe::too_many_tiles", (1, raise("--max-tiles"))),
                ("recipe::no_such_parameter", set_wrongly.clone()),
                ("recipe::parameter_value", set_wrongly),
            ]
        );
    }
}
