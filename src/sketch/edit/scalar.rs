//! How a single value is written: plain where it reads back as the same text, else quoted.

/// Where a single value stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ground {
    /// Between brackets or braces, where commas and brackets end a value.
    Flow,
    /// Anywhere else.
    Block,
}

/// How the value that stood there before was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Before {
    /// Nothing stood there.
    New,
    /// It was plain: what needs quotes gets single ones, so that it is plain again when it needs none.
    Plain,
    /// It stood in single quotes without need: it keeps them.
    Single,
    /// It stood in double quotes that others could stand for: it keeps them.
    Double,
}

impl Before {
    /// How a value is written in a text.
    pub fn of(written: &str, value: &str, ground: Ground) -> Before {
        match written.as_bytes().first() {
            Some(b'"') if fits_single(value) => Before::Double,
            Some(b'\'') if is_plain(value, ground) && !is_other_word(value) => Before::Single,
            _ => Before::Plain,
        }
    }
}

/// A text as YAML for its place.
pub(super) fn word(text: &str, ground: Ground, before: Before) -> String {
    let single_fits = fits_single(text);
    match before {
        Before::Double => double(text),
        Before::Single if single_fits => single(text),
        // Where a plain word stood, another of the same kind may: `yes` for `no`, `012` for `010`.
        Before::Plain if is_plain(text, ground) => text.to_owned(),
        Before::New if is_plain(text, ground) && !is_other_word(text) => text.to_owned(),
        Before::Plain if single_fits => single(text),
        _ => double(text),
    }
}

/// Whether a text can stand in single quotes, which know no escapes.
fn fits_single(text: &str) -> bool {
    !text.chars().any(needs_escape)
}

fn single(text: &str) -> String {
    format!("'{}'", text.replace('\'', "''"))
}

fn double(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if needs_escape(c) => {
                let code = u32::from(c);
                if code <= 0xff {
                    out.push_str(&format!("\\x{code:02x}"));
                } else if code <= 0xffff {
                    out.push_str(&format!("\\u{code:04x}"));
                } else {
                    out.push_str(&format!("\\U{code:08x}"));
                }
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Characters that a text may not hold as they are.
fn needs_escape(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{feff}' | '\u{2028}' | '\u{2029}' | '\u{85}' | '\u{fffe}' | '\u{ffff}'
        )
}

/// Whether a text, written plain, is read as this text here.
pub(super) fn is_plain(text: &str, ground: Ground) -> bool {
    let Some(first) = text.chars().next() else {
        return false;
    };
    if text.trim() != text || text.chars().any(needs_escape) || is_null(text) {
        return false;
    }
    let second = text.chars().nth(1);
    let starts_badly = match first {
        '-' | '?' | ':' => {
            second.is_none_or(|c| c.is_whitespace() || ground == Ground::Flow && is_flow_mark(c))
        }
        c => ",[]{}#&*!|>'\"%@`".contains(c),
    };
    let inside = text.contains(": ")
        || text.contains(":\t")
        || text.ends_with(':')
        || text.contains(" #")
        || text.contains("\t#");
    let ends_flow =
        ground == Ground::Flow && (text.chars().any(is_flow_mark) || text.contains(":,"));
    !(starts_badly || inside || ends_flow || text.starts_with("---") || text.starts_with("..."))
}

fn is_flow_mark(c: char) -> bool {
    ",[]{}".contains(c)
}

fn is_null(text: &str) -> bool {
    matches!(text, "~" | "null" | "Null" | "NULL")
}

/// Words that some readers of YAML take for something else than a text: `yes`, `010`, `.5`. Plain whole numbers and decimals stay
/// plain, since a sketch reads their text.
fn is_other_word(text: &str) -> bool {
    const TRUTH: [&str; 8] = ["yes", "no", "on", "off", "true", "false", "y", "n"];
    if TRUTH.iter().any(|word| word.eq_ignore_ascii_case(text)) {
        return true;
    }
    let lower = text.to_ascii_lowercase();
    if matches!(
        lower.as_str(),
        ".nan" | ".inf" | "-.inf" | "+.inf" | "=" | "<<"
    ) {
        return true;
    }
    let starts_as_number = text.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c));
    let is_numeral = starts_as_number
        && text.chars().any(|c| c.is_ascii_digit())
        && text
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || "+-._:".contains(c))
        && {
            let body = text.trim_start_matches(['+', '-']).replace('_', "");
            body.parse::<f64>().is_ok()
                || ["0x", "0o", "0b"]
                    .iter()
                    .any(|radix| body.to_ascii_lowercase().starts_with(radix))
                || body.split(':').count() > 1
                    && body.split(':').all(|part| part.parse::<f64>().is_ok())
        };
    is_numeral && !is_simple_number(text)
}

/// `0`, `12`, `-3`, `0.5`.
fn is_simple_number(text: &str) -> bool {
    let body = text.strip_prefix('-').unwrap_or(text);
    let (whole, rest) = body.split_once('.').unwrap_or((body, "0"));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    digits(whole) && digits(rest) && (whole == "0" || !whole.starts_with('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_plain_where_they_read_as_themselves() {
        for text in [
            "kitchen",
            "east 11 ft",
            "268 cfm at 25 Pa ± 3 %",
            "10x4 in",
            "12",
            "0.5",
            "-3",
            "2026-10-12",
            "a#b",
            "a:b",
            "-x",
            "don't",
            "ä",
        ] {
            assert_eq!(word(text, Ground::Flow, Before::New), text);
        }
        assert_eq!(word("a, b", Ground::Block, Before::New), "a, b");
    }

    #[test]
    fn words_that_mean_something_else_are_quoted() {
        for text in [
            "yes", "No", "010", ".5", "1e3", "0x1F", "1_000", "~", "null", "", " x", "x ", "a: b",
            "a:", "- x", "-", "# x", "a # b", "&a", "*a", "!a", "[a", "{a", "@a", "`a", "%a", "|",
            ">", "'a", "---", "12:30",
        ] {
            assert_eq!(
                word(text, Ground::Block, Before::New),
                format!("\"{text}\"")
            );
        }
        for text in ["a, b", "a]", "a}", "x{y"] {
            assert_eq!(word(text, Ground::Flow, Before::New), format!("\"{text}\""));
        }
        assert_eq!(
            word("a\n\"b\\\u{7}", Ground::Block, Before::New),
            "\"a\\n\\\"b\\\\\\x07\""
        );
    }

    #[test]
    fn quotes_stay_as_they_were() {
        assert_eq!(word("x", Ground::Flow, Before::Double), "\"x\"");
        assert_eq!(word("x", Ground::Flow, Before::Single), "'x'");
        assert_eq!(
            word("don't: do", Ground::Flow, Before::Plain),
            "'don''t: do'"
        );
        assert_eq!(word("no", Ground::Flow, Before::Plain), "no");
        assert_eq!(Before::of("'a: b'", "a: b", Ground::Block), Before::Plain);
        assert_eq!(Before::of("'ab'", "ab", Ground::Block), Before::Single);
    }
}
