//! The work on a recipe that all doors share: the command line, the live page, a program without a system.
//!
//! Lives here:
//! - reading a recipe, a pack or a pinned choice and checking its digest ([`opened`]), settings and
//!   their precedence ([`typed`], [`given`], [`knobs`]), notices and faults for the maker ([`notice`],
//!   [`fault`]), and text that is safe to show ([`visible`]);
//! - the result of a run ([`run_result`], [`snapshot`]), its JSON and its pictures ([`snapshot_json`],
//!   [`drawing`], [`card`]); what can be kept of it, and unpacking ([`kept`], [`keep`], [`unpacked`]);
//! - what a page does to the recipe: its text ([`own_text`], [`edit`]), edits by hand of the tiles
//!   ([`hands`]) and of the outline ([`rim`]), stars ([`stars`], [`shortlist`]);
//! - plans as text and on paper ([`planned`]); a sheet read from a photo ([`photo`]);
//! - [`Session`]: all of that for one maker, as [`request`]s and answers.
//!
//! Texts come through a [`Store`]. Never here: files, sockets, the terminal, and words of one door alone,
//! such as the names of its options.
//!
//! [`Store`]: crate::recipe::store::Store

pub mod bench;
pub mod card;
pub mod drawing;
pub mod edit;
pub mod excerpt;
pub mod fault;
pub mod given;
pub mod hands;
pub mod keep;
pub mod keep_error;
pub mod kept;
pub mod knobs;
pub mod notice;
pub mod open_error;
pub mod opened;
pub mod own_text;
pub mod photo;
mod picture_json;
pub mod planned;
mod redone;
pub mod request;
pub mod rim;
pub mod run_error;
pub mod run_result;
pub mod shortlist;
mod sitting;
pub mod snapshot;
pub mod snapshot_json;
pub mod stars;
pub mod states;
pub mod steps;
mod sweep;
mod tiles_json;
pub mod typed;
pub mod unpacked;
pub mod values;
pub mod visible;

pub use given::{Given, Run};
pub use notice::Notice;
pub use open_error::OpenError;
pub use opened::Opened;
pub use request::{Answer, PanelOf, Refusal, Request, Sliced, ViewOf};
pub use run_error::RunError;
pub use sitting::Session;
pub use snapshot::Snapshot;
pub use typed::Typed;
