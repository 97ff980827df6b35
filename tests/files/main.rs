//! Reading and writing files, also when the disk or the folder will not have it.

#[path = "../common/mod.rs"]
mod common;
mod disk_host;
mod read;
mod write;
