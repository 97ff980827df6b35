//! Recipes on their way to others: carried by pictures, packed, unpacked, checked.

mod carried;
#[path = "../common/mod.rs"]
mod common;
mod packs;
