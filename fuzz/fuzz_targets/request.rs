//! See `plyloom_fuzz::targets::request`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| plyloom_fuzz::targets::request(bytes));
