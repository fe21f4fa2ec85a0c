//! Arbitrary bytes for `ndjson` of `bodies.rs`.
#![no_main]

#[path = "../bodies.rs"]
mod bodies;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| bodies::ndjson(bytes));
