//! The live page: a local page that shows the panel as the recipe is saved, with knobs.
//!
//! What lives here: the server on the loopback address, what lies on its table, the guards around
//! it, what is kept in files beside the recipe, and the page itself (`web/`). What never does: how a
//! panel is made, drawn or planned, and the terminal.
//!
//! One thread carries out the recipe, when a file changed or a knob was turned. It lays the result on the
//! `table` and never waits for a page; a long run is ended when something newer is wanted. The server's
//! threads read the table.

mod answers;
mod app_state;
mod asking;
mod assets;
mod cancel;
mod connections;
mod error;
mod events;
mod guards;
mod papers;
mod patterns;
mod sent;
mod server;
mod shelf;
mod steps;
mod table;
mod wall;

use std::net::TcpListener;
use std::sync::Arc;
use std::time::{Duration, Instant};

pub use self::error::PageError;

use self::app_state::AppState;
use self::server::{listen, serve};
use self::table::Table;
use super::watch::{Cause, FileWatch, Ran, Stop};
use crate::layout::panel::Panel;
use crate::session::planned::ShopFile;
use crate::session::{Given, RunError};

/// A page that is ready to be opened.
pub struct Page {
    watch: FileWatch,
    stop: Stop,
    table: Arc<Table>,
    listener: TcpListener,
    app: AppState,
}

impl std::fmt::Debug for Page {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Page")
            .field("port", &self.app.port)
            .finish_non_exhaustive()
    }
}

/// What came of one run, for the terminal.
#[derive(Debug)]
pub struct Came<'a> {
    /// Why it ran.
    pub cause: &'a Cause,
    /// The panels, or why there are none.
    pub result: Result<&'a [Panel], &'a RunError>,
    /// Whether an earlier picture stays.
    pub kept: bool,
    /// How long it took.
    pub took: Duration,
}

impl Page {
    /// Takes a port of the loopback address, a free one where none is given.
    ///
    /// # Errors
    /// When the port is taken, or the system gives no random key.
    pub fn new(given: Given, port: Option<u16>, shop: ShopFile) -> Result<Self, PageError> {
        let listener = listen(port)?;
        let port = listener.local_addr().map_err(PageError::Listen)?.port();
        let (watch, stop) = FileWatch::new();
        let table = Arc::new(Table::new(given, stop.clone()));
        let app = AppState::new(Arc::clone(&table), shop, port)?;
        Ok(Self {
            watch,
            stop,
            table,
            listener,
            app,
        })
    }

    /// Where to open it. The key behind the `#` is what lets a browser in.
    pub fn address(&self) -> String {
        format!(
            "http://127.0.0.1:{}/#{}",
            self.app.port,
            self.app.key.text()
        )
    }

    /// What ends it.
    pub fn stop(&self) -> Stop {
        self.stop.clone()
    }

    /// Why the system gives no notices of changes, where it does not.
    pub fn slow_because(&self) -> Option<String> {
        self.watch.slow_because()
    }

    /// Serves the page until it is stopped. What each run came to goes to `tell`, what the recipe
    /// prints to `print`.
    ///
    /// # Errors
    /// When the system gives no threads.
    pub fn run(
        self,
        mut tell: impl FnMut(&Came<'_>),
        print: impl Fn(&str) + Clone + Send + Sync + 'static,
    ) -> Result<(), PageError> {
        let Self {
            watch,
            table,
            listener,
            app,
            ..
        } = self;
        std::thread::Builder::new()
            .name("page".to_owned())
            .spawn(move || serve(listener, app))
            .map_err(PageError::Listen)?;
        watch.run(|cause| {
            let started = Instant::now();
            let (result, witnesses) = table.carry_out(print.clone());
            if let Some(result) = &result {
                tell(&Came {
                    cause,
                    result: result.as_ref().map(|made| made.outcome.panels.as_slice()),
                    kept: table.now().good.is_some(),
                    took: started.elapsed(),
                });
            }
            Ran {
                recalled: result.is_none(),
                witnesses,
            }
        });
        Ok(())
    }
}
