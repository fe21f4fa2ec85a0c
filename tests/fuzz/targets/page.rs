//! Arbitrary bytes for `page` of `page_body.rs`.
#![no_main]

#[path = "../page_body.rs"]
mod page_body;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| page_body::page(bytes));
