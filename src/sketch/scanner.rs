//! Plain words for what the YAML scanner refuses, for people who never heard of scalars and indicators.

use super::diagnostics::{Diagnostic, quoted};
use super::span::Span;

/// Parts of the scanner's messages, with what is wrong and what to do in plain words. The first that fits is taken.
const PLAIN: &[(&str, &str, &str)] = &[
    (
        "expected '-' indicator",
        "this line does not line up with the list it stands in",
        "start every item of a list in one column, and write the other keys of an item two blanks further in",
    ),
    (
        "block sequence entries are not allowed",
        "a list starts where a value has begun on the line",
        "start the first `- ` on a line of its own, below its key",
    ),
    (
        "block mapping",
        "this line does not line up with the keys round it",
        "write the keys of one thing in one column, each as `key: value`",
    ),
    (
        "simple key",
        "a line here has no `key: value`",
        "write `key: value`, with a blank after the `:`",
    ),
    (
        "mapping values are not allowed",
        "a second `:` stands where a value is expected",
        "look for a wrong indent, or put words that hold a `:` in quotes",
    ),
    (
        "illegal placement of ':'",
        "a `:` stands inside a list that is still open",
        "look on the lines before for a `[` without its `]`",
    ),
    (
        "flow mapping",
        "a `{` is not closed, or a comma is missing after it",
        "look here and on the line before for a missing `}` or `,`",
    ),
    (
        "flow sequence",
        "a `[` is not closed, or a comma is missing after it",
        "look here and on the line before for a missing `]` or `,`",
    ),
    (
        "flow construct",
        "a `[` or `{` goes on below without an indent",
        "close it on its line, or indent what follows",
    ),
    (
        "unclosed bracket",
        "a bracket is not closed",
        "look for the missing `]` or `}`",
    ),
    (
        "misplaced bracket",
        "a bracket closes what was never opened",
        "take it out, or open it before",
    ),
    (
        "unclosed quote",
        "a quote is not closed",
        "write the same quote at the end of the words",
    ),
    (
        "trailing content after",
        "words follow a closed quote",
        "put all of the value in one pair of quotes",
    ),
    (
        "escape",
        "a `\\` in double quotes is not understood",
        "write `\\\\` for one `\\`, or use single quotes",
    ),
    (
        "quoted scalar",
        "a text in quotes is not closed or holds what cannot be read",
        "look for the missing quote",
    ),
    (
        "tag",
        "a word that starts with `!` cannot be read",
        "put words that start with `!` in quotes",
    ),
    (
        "anchor",
        "a word that starts with `*` or `&` cannot be read",
        "put words that start with `*` or `&` in quotes",
    ),
    (
        "directive",
        "a line that starts with `%` cannot be read",
        "put words that start with `%` in quotes",
    ),
    (
        "block scalar",
        "the lines of a text after `|` or `>` do not line up",
        "indent all of its lines alike",
    ),
    (
        "unexpected character",
        "a character here has a meaning of its own",
        "put words that start with `@`, a backquote or `%` in quotes",
    ),
    (
        "indentation",
        "this line does not line up with the lines round it",
        "write what belongs together in one column",
    ),
    (
        "eof",
        "the file ends in the middle of something",
        "look for a missing `]`, `}` or quote",
    ),
];

/// What to say when the scanner stopped at a place with these words.
pub(super) fn plainly(text: &str, at: Span, words: &str) -> Diagnostic {
    if let Some(tab) = misplaced_tab(text, at.start, words.contains("tab")) {
        return Diagnostic::new("E0103", tab, "a tab stands here; use blanks")
            .label("a tab")
            .hint("indent with blanks, two for each level");
    }
    let lower = words.to_lowercase();
    let (title, hint) = PLAIN
        .iter()
        .find(|(part, _, _)| lower.contains(part))
        .map_or(
            (
                "the text cannot be read here",
                "look here and on the line before for a missing quote, a missing `:` or a wrong indent",
            ),
            |(_, title, hint)| (*title, *hint),
        );
    // The name of an unknown tag is the person's own word.
    let title = match words.split_once("unsupported tag ") {
        Some((_, tag)) => format!(
            "{} is read as a tag, which a sketch does not have",
            quoted(tag.trim().trim_matches('`'))
        ),
        None => title.to_owned(),
    };
    Diagnostic::new("E0103", at, title)
        .label("the reader stopped here")
        .hint(hint)
}

/// A tab in front of a line's words, after `- ` or after a `:`: on the line where the scanner stopped, on its
/// neighbours, and, where the scanner speaks of tabs, anywhere.
fn misplaced_tab(text: &str, stop: usize, anywhere: bool) -> Option<Span> {
    let stop = text.floor_char_boundary(stop);
    let stopped = text[..stop].matches('\n').count();
    let mut start = 0;
    let mut best: Option<(usize, Span)> = None;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        if let Some(column) = tab_in(line, anywhere) {
            let at = Span::new(start + column, start + column + 1);
            let far = number.abs_diff(stopped);
            if (anywhere || far <= 1) && best.is_none_or(|(least, _)| far < least) {
                best = Some((far, at));
            }
        }
        start += line.len();
    }
    best.map(|(_, at)| at)
}

/// Where in a line the first tab stands that indents it; with `separators`, also one after `-` or `:`.
fn tab_in(line: &str, separators: bool) -> Option<usize> {
    let words = line.trim_start_matches([' ', '\t']);
    if words.trim().is_empty() || words.starts_with('#') {
        return None;
    }
    let indent = line.len() - words.len();
    if let Some(tab) = line[..indent].find('\t') {
        return Some(tab);
    }
    if !separators {
        return None;
    }
    ["-\t", ":\t", ": \t", "- \t"]
        .iter()
        .filter_map(|mark| Some(line.find(mark)? + mark.len() - 1))
        .min()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str, stop: usize, words: &str) -> (String, Span) {
        let found = plainly(text, Span::new(stop, stop), words);
        (found.title, found.at)
    }

    #[test]
    fn a_tab_is_named_at_its_own_place() {
        // The scanner stops at the end of the line before.
        let text = "a:\n  b: 1\n\tc: 2\n";
        let (title, at) = said(text, 8, "while scanning a plain scalar, found a tab");
        assert!(title.contains("tab"));
        assert_eq!(at, Span::new(10, 11));
    }

    #[test]
    fn a_tab_inside_words_is_nobodys_fault() {
        let (title, _) = said("a: 1\nb: x\ty\nc", 12, "simple key expected ':'");
        assert!(!title.contains("tab"), "{title}");
    }

    #[test]
    fn no_word_of_the_scanner_reaches_a_person() {
        for (part, title, hint) in PLAIN {
            for jargon in ["scalar", "indicator", "simple key", "mapping", "sequence"] {
                assert!(!title.contains(jargon) && !hint.contains(jargon), "{part}");
            }
        }
    }
}
