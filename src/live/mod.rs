//! Keeping a picture in step with its recipe while the maker edits.
//!
//! What lives here: watching the files that a run read, and the live page. What never does: the terminal.

pub mod page;
pub mod watch;
