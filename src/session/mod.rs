//! What all doors do with a recipe: the command line, the live page, a program without a system.
//!
//! Lives here: reading a recipe, a pack or a pinned choice and checking its digest ([`opened`]), what
//! is set and what goes before what ([`typed`]), what a maker is to be told of it ([`notice`]), and text
//! that is safe to show ([`visible`]). Texts come through a [`Store`]. Never here: files, sockets, the
//! terminal, and words of one door alone, such as the names of its options.
//!
//! [`Store`]: crate::recipe::store::Store

pub mod notice;
pub mod open_error;
pub mod opened;
pub mod typed;
pub mod visible;

pub use notice::Notice;
pub use open_error::OpenError;
pub use opened::Opened;
pub use typed::Typed;
