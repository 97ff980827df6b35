//! The only door to the file system: recipes and rule modules come in, finished files go out.
//!
//! What lives here: the [`DiskStore`] that recipes are read from, the [`DiskHost`] that gives a recipe
//! its own folder and nothing else, what a file looked like when it was read, writing a file whole or
//! not at all, a folder that one run has to itself, and a journal of what is done so far.
//!
//! What never does: the terminal, watching, and any meaning of what a recipe says.

mod error;
mod file_stamp;
mod folder;
mod host;
mod journal;
mod near;
mod patience;
mod read;
mod store;
mod unfinished;
mod write;

pub use error::FileError;
pub use file_stamp::{FileStamp, Identity, Seen, folders_to_watch};
pub use folder::{FolderLock, exists, from_folder, make_folder, remove};
pub use host::DiskHost;
pub use journal::Journal;
pub use read::{MOST_BYTES, read_bytes_up_to, read_recipe, read_text_file, recipes_of};
pub use store::DiskStore;
pub use unfinished::{clear_unfinished, remove_unfinished};
pub use write::{
    Sink, same_file, write_inside, write_new, write_picture, write_picture_by, write_whole,
};
