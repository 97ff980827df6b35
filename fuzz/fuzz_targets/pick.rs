//! See `plyloom_fuzz::targets::pick`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| plyloom_fuzz::targets::pick(bytes));
