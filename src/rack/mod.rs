//! The rack: what wood a maker has and where it lies, kept as a ledger.
//!
//! A rack is a shop file that says `rack = true`: wood that it does not list is not there. The functions here
//! are pure: from the text of a rack and of a plan (`plyloom plan --json`) to the text of the rack
//! afterwards. Comments and order stay as the maker wrote them. Lengths in mm. Never here: files, the
//! terminal, how a plan is found.

mod booking;
mod check;
mod done;
mod edit;
mod entries;
mod error;
pub mod largest;
mod leaf;
mod list;
pub mod makes;
pub mod thickness;

pub use booking::{Booking, Moved};
pub use entries::{New, RackEntry};
pub use error::RackError;
pub use list::List;

use sha2::{Digest as _, Sha256};
use toml_edit::DocumentMut;

use crate::plan::{Shop, ShopError};

/// The text of a new rack.
pub const NEW_RACK: &str =
    "# A rack: the wood there is. What is not listed is not there.\nrack = true\n";

/// A rack as its file has it.
#[derive(Debug, Clone)]
pub struct Rack {
    document: DocumentMut,
    shop: Shop,
}

impl Rack {
    /// Reads a rack.
    ///
    /// # Errors
    /// As [`Shop::parse`].
    ///
    /// # Panics
    /// Never: what reads as a shop file is TOML.
    pub fn parse(text: &str) -> Result<Self, ShopError> {
        let shop = Shop::parse(text)?;
        let mut document: DocumentMut =
            (text.parse()).expect("invariant: what reads as a shop file is TOML");
        edit::open_lists(&mut document);
        Ok(Self { document, shop })
    }

    /// What it has as a shop: the stock of a plan.
    pub fn shop(&self) -> &Shop {
        &self.shop
    }

    /// A mark that changes when a piece of the rack changes, and not when a comment does.
    pub fn mark(&self) -> String {
        mark(&self.document)
    }

    /// Whether the last booking can be undone; gives the name of the file that has the rack as it was before.
    ///
    /// # Errors
    /// When nothing is booked, or the pieces are no longer those that the booking left.
    pub fn former(&self) -> Result<&str, RackError> {
        let last = self.shop.booked.last().ok_or(RackError::NothingBooked)?;
        if last.pieces != self.mark() {
            return Err(RackError::ChangedSince {
                former: last.former.clone(),
            });
        }
        if last.former.contains(['/', '\\']) || last.former.trim_matches('.').is_empty() {
            return Err(RackError::NoFormer {
                former: last.former.clone(),
            });
        }
        Ok(&last.former)
    }

    /// Whether a text is this rack as it was before the last booking.
    ///
    /// # Errors
    /// When it is not.
    pub fn was(&self, former: &str) -> Result<(), RackError> {
        let before = Self::parse(former).ok();
        let booked = &self.shop.booked;
        let fits = before
            .is_some_and(|rack| rack.shop.booked[..] == booked[..booked.len().saturating_sub(1)]);
        if fits {
            return Ok(());
        }
        Err(RackError::NoFormer {
            former: booked.last().map_or_else(String::new, |b| b.former.clone()),
        })
    }
}

fn mark(document: &DocumentMut) -> String {
    short(Sha256::digest(edit::pieces(document)).as_slice())
}

/// The first twelve digits of a hash.
fn short(hash: &[u8]) -> String {
    use std::fmt::Write as _;
    hash.iter().take(6).fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}
