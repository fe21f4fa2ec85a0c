//! Every input that fuzzing kept, and every one that once broke a reader, through the functions that fuzzing calls; and a short
//! run of inputs made anew from them, the same each time.
//!
//! The short run needs no other compiler and sees no coverage: it is what every change must pass, `.ci/fuzz` is what finds more.
//! `FUZZ_SEED=2 cargo test --test fuzz_corpus` makes other inputs.
//!
//! `tests/fuzz/corpus/TARGET` holds them; see `Fuzzing and hostile input` in DEVELOPERS.md.

use std::fs;
use std::path::{Path, PathBuf};

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

#[path = "fuzz/bodies.rs"]
mod bodies;
#[cfg(feature = "page")]
#[path = "fuzz/page_body.rs"]
mod page_body;

/// Longest input, bytes.
const LONGEST: usize = 8192;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz")
        .join(name)
}

/// The corpus of a target, by path.
fn corpus(target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let mut paths: Vec<_> = fs::read_dir(folder("corpus").join(target))
        .expect("the corpus is part of the repository")
        .map(|entry| entry.expect("it can be listed").path())
        .collect();
    paths.sort();
    assert!(paths.len() >= 5, "{} files for {target}", paths.len());
    paths
        .into_iter()
        .map(|path| {
            let bytes = fs::read(&path).expect("it can be read");
            (path, bytes)
        })
        .collect()
}

/// Gives every file of a target's corpus to its function, then `changed` inputs made from them; says which one failed.
fn each(target: &str, changed: usize, check: fn(&[u8])) {
    let corpus = corpus(target);
    let fails = |bytes: &[u8]| std::panic::catch_unwind(|| check(bytes)).is_err();
    let failed: Vec<_> = corpus
        .iter()
        .filter(|(_, bytes)| fails(bytes))
        .map(|(path, _)| path)
        .collect();
    assert!(failed.is_empty(), "{target} fails at {failed:?}");

    let words = words(target);
    let seed = std::env::var("FUZZ_SEED").map_or(1, |seed| seed.parse().expect("a whole number"));
    let mut random = Pcg64::seed_from_u64(seed);
    for k in 0..changed {
        let bytes = change(&corpus, &words, &mut random);
        if fails(&bytes) {
            let kept = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{target}-{k}"));
            fs::write(&kept, &bytes).expect("it can be kept");
            panic!(
                "{target} fails at changed input {k} of seed {seed}, kept as {}",
                kept.display()
            );
        }
    }
}

/// The dictionary of a target: a quoted word a line, `\xNN`, `\\` and `\"` standing for one byte.
fn words(target: &str) -> Vec<Vec<u8>> {
    let text = fs::read_to_string(folder("words").join(format!("{target}.txt")))
        .expect("the dictionary is part of the repository");
    let words: Vec<Vec<u8>> = text
        .lines()
        .filter_map(|line| line.trim().strip_prefix('"')?.strip_suffix('"'))
        .map(|word| {
            let mut rest = word.as_bytes();
            let mut found = Vec::new();
            while let Some((&first, after)) = rest.split_first() {
                rest = after;
                found.push(match (first, rest) {
                    (b'\\', [b'x', high, low, after @ ..]) => {
                        rest = after;
                        let digits = [*high, *low];
                        let digits = std::str::from_utf8(&digits).expect("two digits");
                        u8::from_str_radix(digits, 16).expect("two digits")
                    }
                    (b'\\', [one, after @ ..]) => {
                        rest = after;
                        *one
                    }
                    _ => first,
                });
            }
            found
        })
        .collect();
    assert!(words.len() >= 5, "{} words for {target}", words.len());
    words
}

/// One input of the corpus with one to six things changed.
fn change(corpus: &[(PathBuf, Vec<u8>)], words: &[Vec<u8>], random: &mut Pcg64) -> Vec<u8> {
    let mut bytes = corpus[random.random_range(0..corpus.len())].1.clone();
    bytes.truncate(LONGEST);
    for _ in 0..random.random_range(1..=6) {
        let from = random.random_range(0..=bytes.len());
        let to = (from + random.random_range(0..40)).min(bytes.len());
        match random.random_range(0..6) {
            0 if from < bytes.len() => bytes[from] ^= 1 << random.random_range(0..8),
            1 => drop(bytes.drain(from..to)),
            2 => {
                let again = bytes[from..to].to_vec();
                let at = random.random_range(0..=bytes.len());
                bytes.splice(at..at, again);
            }
            3 => {
                let other = &corpus[random.random_range(0..corpus.len())].1;
                let begin = random.random_range(0..=other.len());
                let end = (begin + random.random_range(0..200)).min(other.len());
                bytes.splice(from..to, other[begin..end].iter().copied());
            }
            4 => {
                const HARD: [&str; 8] = ["-", "0", "1e308", "1e-308", "nan", "\u{feff}", "\r", "½"];
                let word = HARD[random.random_range(0..HARD.len())];
                bytes.splice(from..from, word.bytes());
            }
            _ => {
                let word = &words[random.random_range(0..words.len())];
                bytes.splice(from..to, word.iter().copied());
            }
        }
    }
    bytes.truncate(LONGEST);
    bytes
}

#[test]
fn sketches() {
    each("sketch", 3000, bodies::sketch);
}

#[test]
fn quantities() {
    each("quantity", 5000, bodies::quantity);
}

#[test]
fn overlays() {
    each("overlay", 2000, bodies::overlay);
}

#[test]
fn lists_and_series() {
    each("csv", 3000, bodies::csv);
}

#[test]
fn records_of_a_batch() {
    each("ndjson", 3000, bodies::ndjson);
}

#[test]
#[cfg(feature = "page")]
fn requests_of_the_page() {
    each("page", 1000, page_body::page);
}
