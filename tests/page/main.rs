//! The live page: what a browser shows, and what the server refuses.

#![cfg(unix)]

mod asking;
mod browser;
mod checker;
mod choosing;
#[path = "../common/mod.rs"]
mod common;
mod following;
mod guarding;
mod hands;
mod keyboard;
mod looking;
mod pinned;
mod recalling;
mod reminding;
mod scene;
mod sensing;
mod touching;
mod turning;
