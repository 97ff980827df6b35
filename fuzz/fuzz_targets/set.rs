//! See `plyloom_fuzz::targets::set`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| plyloom_fuzz::targets::set(bytes));
