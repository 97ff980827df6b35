//! What all doors do with a recipe: the command line, the live page, a program without a system.
//!
//! Lives here:
//! - reading a recipe, a pack or a pinned choice and checking its digest ([`opened`]), what is set and
//!   what goes before what ([`typed`], [`given`], [`knobs`]), what a maker is to be told ([`notice`],
//!   [`fault`]), and text that is safe to show ([`visible`]);
//! - what a run comes to ([`made`], [`state`]) and how it is told and drawn ([`told`], [`drawing`],
//!   [`card`]); what can be kept of it and taken apart ([`kept`], [`unpacked`]);
//! - [`Session`]: all of that for one maker, as [`request`]s and answers.
//!
//! Texts come through a [`Store`]. Never here: files, sockets, the terminal, and words of one door alone,
//! such as the names of its options.
//!
//! [`Store`]: crate::recipe::store::Store

pub mod card;
pub mod drawing;
pub mod excerpt;
pub mod fault;
pub mod given;
pub mod kept;
pub mod knobs;
pub mod made;
pub mod notice;
pub mod open_error;
pub mod opened;
mod picture_json;
pub mod request;
pub mod run_error;
mod sitting;
pub mod state;
mod tiles_json;
pub mod told;
pub mod typed;
pub mod unpacked;
pub mod visible;

pub use given::{Given, Run};
pub use notice::Notice;
pub use open_error::OpenError;
pub use opened::Opened;
pub use request::{Answer, Refusal, Request};
pub use run_error::RunError;
pub use sitting::Session;
pub use state::State;
pub use typed::Typed;
