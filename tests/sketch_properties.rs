//! Whatever the bytes, reading ends in a sketch or in words, never in a panic.

use ductseam::sketch;
use proptest::prelude::*;

fn check(bytes: &[u8]) {
    if let Err(wrong) = sketch::read_bytes(bytes, "any.yaml") {
        assert!(wrong.count() > 0);
        for item in &wrong.items {
            assert!(
                wrong.text.get(item.at.start..item.at.end).is_some(),
                "{item:?}"
            );
        }
        assert!(!wrong.render(false).is_empty());
        assert!(serde_json::from_str::<serde_json::Value>(&wrong.to_json()).is_ok());
    }
}

/// Pieces of text that are likely to upset a reader.
const UPSETTING: [&str; 24] = [
    "", " ", "\n", "\t", "\r\n", ":", ": ", "- ", "[", "]", "{", "}", "\"", "'", "#", "&a ", "*a",
    "±", "1e308", "-0", "\u{feff}", "\u{0}", "ä", "at",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        check(&bytes);
    }

    #[test]
    fn a_good_sketch_with_pieces_changed_is_read_or_refused(
        changes in prop::collection::vec((any::<prop::sample::Index>(), 0..8_usize, prop::sample::select(&UPSETTING[..])), 1..6),
    ) {
        let mut text = include_str!("good/full.yaml").as_bytes().to_vec();
        for (at, taken, put) in changes {
            let start = at.index(text.len());
            let end = (start + taken).min(text.len());
            text.splice(start..end, put.bytes());
        }
        check(&text);
    }
}
