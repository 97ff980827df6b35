//! How the module is linked.

/// The most memory of one worker in bytes: what a run may take by its budget (256 MiB), what is shown
/// beside it, and as much again for what is told of it.
const MOST_MEMORY: u64 = 1 << 30;

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rustc-link-arg-cdylib=--max-memory={MOST_MEMORY}");
}
