//! Why there is no page.

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
