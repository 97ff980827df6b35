//! The live page: what a browser shows, and what the server refuses.

#![cfg(unix)]

mod browser;
mod choosing;
#[path = "../common/mod.rs"]
mod common;
mod following;
mod guarding;
mod looking;
mod scene;
mod turning;
