//! Why a recipe on the page could not be carried out, and why there is no page.

use crate::recipe::failure::Failure;
use crate::recipe::host::RECALLED;
use crate::session::OpenError;

/// Why a run gave no picture.
#[derive(Debug, thiserror::Error)]
pub enum RunError {
    /// The recipe failed.
    #[error("{}", .0.message)]
    Recipe(Box<Failure>),
    /// The recipe could not be opened.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// The recipe ended well and made nothing.
    #[error("`{recipe}` makes no panel: there is nothing to draw")]
    NoPanel {
        /// The recipe as typed.
        recipe: String,
    },
}

impl RunError {
    /// A stable code in dotted form.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Recipe(failure) => failure.code,
            Self::Open(error) => error.code(),
            Self::NoPanel { .. } => "recipe::no_panel",
        }
    }

    /// Whether the run was ended because something newer was wanted.
    #[must_use]
    pub fn is_recall(&self) -> bool {
        self.code() == RECALLED
    }

    /// What to try.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        match self {
            Self::Recipe(failure) => failure.help.clone(),
            Self::Open(error) => Some(error.help()),
            Self::NoPanel { .. } => Some("let the recipe fill a panel".to_owned()),
        }
    }
}

/// Why there is no page.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// Another program listens there.
    #[error("port {port} is taken by another program")]
    Taken {
        /// The port.
        port: u16,
    },
    /// The system does not let us listen.
    #[error("the page cannot be offered on 127.0.0.1: {0}")]
    Listen(std::io::Error),
    /// The system gave no random bytes for the page's key.
    #[error("the system gave no random bytes for the key of the page: {0}")]
    Key(String),
}

impl PageError {
    /// What to try.
    #[must_use]
    pub fn help(&self) -> String {
        match self {
            Self::Taken { .. } => {
                "leave `--port` out for a free one, or end the other program".to_owned()
            }
            Self::Listen(_) => "try another `--port`, from 1024 up".to_owned(),
            Self::Key(_) => "try again; without a key the page would not be safe".to_owned(),
        }
    }
}
