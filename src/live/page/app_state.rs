//! The state that all answers of the server share: the table, the keys, and the limits on work side by
//! side.

use std::sync::Arc;

use tokio::sync::Semaphore;

use super::error::PageError;
use super::guards::Key;
use super::table::Table;
use crate::files::DiskStore;
use crate::session::Given;
use crate::session::Snapshot;
use crate::session::bench::Bench;
use crate::session::edit::Written;
use crate::session::planned::ShopFile;

/// How many pages may listen at once.
const MOST_PAGES: usize = 24;
/// How many pictures are drawn at once, and how many more may wait for it.
pub(super) const AT_ONCE: usize = 2;
const MOST_WAITING: usize = 48;

/// What every answer is made from.
#[derive(Clone)]
pub(super) struct AppState {
    pub(super) table: Arc<Table>,
    /// What plans are made with.
    pub(super) shop: Arc<ShopFile>,
    pub(super) key: Key,
    pub(super) paper_key: Key,
    pub(super) port: u16,
    pub(super) pages: Arc<Semaphore>,
    pub(super) drawing: Arc<Semaphore>,
    pub(super) waiting: Arc<Semaphore>,
    /// One variation of the wall is carried out at a time, so that knobs are answered first.
    pub(super) trying: Arc<Semaphore>,
    /// What the page itself wrote into the recipe.
    pub(super) written: Arc<Written>,
}

impl AppState {
    pub(super) fn new(table: Arc<Table>, shop: ShopFile, port: u16) -> Result<Self, PageError> {
        Ok(Self {
            table,
            shop: Arc::new(shop),
            key: Key::new()?,
            paper_key: Key::new()?,
            port,
            pages: Arc::new(Semaphore::new(MOST_PAGES)),
            drawing: Arc::new(Semaphore::new(AT_ONCE)),
            waiting: Arc::new(Semaphore::new(MOST_WAITING)),
            trying: Arc::new(Semaphore::new(1)),
            written: Arc::default(),
        })
    }
}

/// What a request works on: a state of the table, and the texts on the disk.
pub(super) fn bench<'a>(given: &'a Given, state: &'a Snapshot, store: &'a DiskStore) -> Bench<'a> {
    Bench {
        given,
        state,
        store,
    }
}
