//! See `plyloom_fuzz::targets::hands`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| plyloom_fuzz::targets::hands(bytes));
