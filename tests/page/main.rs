//! The live page: what a browser shows, and what the server refuses.

#![cfg(unix)]

mod browser;
#[path = "../common/mod.rs"]
mod common;
mod following;
mod scene;
