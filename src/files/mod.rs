//! The only door to the file system: recipes and rule modules come in, finished files go out.
//!
//! What lives here: reading a recipe, the [`DiskHost`] that gives a recipe its own folder and
//! nothing else, what a file looked like when it was read, and writing a file whole or not at all.
//!
//! What never does: the terminal, watching, and any meaning of what a recipe says.

mod error;
mod host;
mod near;
mod read;
mod seen;
mod write;

pub use error::FileError;
pub use host::DiskHost;
pub use read::{MOST_BYTES, read_recipe};
pub use seen::{Identity, Seen, Witness, folders_to_watch};
pub use write::{same_file, write_new, write_whole};
