//! Keeping a picture in step with its recipe while the maker edits.
//!
//! What lives here: watching the files that a run read. What never does: the terminal.

pub mod watch;
