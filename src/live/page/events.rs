//! The stream of events by which a page hears of changes.
//!
//! Each event holds the newest state. A page that reads slowly misses the states between, and
//! nothing heaps up for it.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::stream::{self, Stream};
use tokio::sync::{OwnedSemaphorePermit, watch};

use super::table::Table;
use crate::session::Snapshot;
use crate::session::snapshot_json::SnapshotJson;

/// How often a line is sent when nothing happens, so that either side notices when the other is gone.
const PULSE: Duration = Duration::from_secs(5);

/// One page's stream.
struct Line {
    table: Arc<Table>,
    changes: watch::Receiver<Arc<Snapshot>>,
    known: Vec<u64>,
    begun: bool,
    _place: OwnedSemaphorePermit,
}

/// The stream of a page; its `place` is free again when the page goes.
pub(super) fn events(
    table: Arc<Table>,
    place: OwnedSemaphorePermit,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let line = Line {
        changes: table.changes(),
        table,
        known: Vec::new(),
        begun: false,
        _place: place,
    };
    let stream = stream::unfold(line, |mut line| async move {
        if line.begun {
            // The table outlives the server.
            line.changes.changed().await.ok()?;
        }
        line.begun = true;
        let shown = Arc::clone(&line.changes.borrow_and_update());
        let event = Event::default().event("state").data(line.told(&shown));
        Some((Ok(event), line))
    });
    Sse::new(stream).keep_alive(KeepAlive::new().interval(PULSE).text("here"))
}

impl Line {
    fn told(&mut self, shown: &Snapshot) -> String {
        let json = told(&self.table, shown, &self.known);
        let made = [&shown.good, &shown.former];
        self.known = made.into_iter().flatten().map(|m| m.id).collect();
        json
    }
}

/// The state as JSON, without the pictures in `known`.
pub(super) fn told(table: &Table, shown: &Snapshot, known: &[u64]) -> String {
    SnapshotJson::of(shown, &table.given(), known).json()
}
