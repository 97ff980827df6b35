//! See `plyloom_fuzz::targets::outline`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| plyloom_fuzz::targets::outline(bytes));
