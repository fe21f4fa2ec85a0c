//! A small writer of SVG: escaped, at most two decimals, no state but the text itself.

use super::text::measure;

/// A document in the making.
#[derive(Debug, Default)]
pub(super) struct Svg {
    out: String,
}

/// A text of one line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line<'a> {
    /// Class, may be empty.
    pub class: &'a str,
    /// Start of the baseline, mm.
    pub at: [f64; 2],
    /// Em, mm.
    pub size: f64,
    /// Bold.
    pub bold: bool,
    /// Words.
    pub words: &'a str,
    /// Whole words where `words` is shortened.
    pub whole: Option<&'a str>,
}

impl Svg {
    /// `<tag a="b">`.
    pub fn open(&mut self, tag: &str, attrs: &[(&str, &str)]) {
        self.start(tag, attrs);
        self.out.push('>');
    }

    /// `</tag>`.
    pub fn close(&mut self, tag: &str) {
        self.out.push_str("</");
        self.out.push_str(tag);
        self.out.push('>');
    }

    /// `<tag a="b"/>`.
    pub fn leaf(&mut self, tag: &str, attrs: &[(&str, &str)]) {
        self.start(tag, attrs);
        self.out.push_str("/>");
    }

    /// `<tag>words</tag>`.
    pub fn words(&mut self, tag: &str, attrs: &[(&str, &str)], words: &str) {
        self.open(tag, attrs);
        self.out.push_str(&escaped(words));
        self.close(tag);
    }

    /// A line break, so that the file can be read.
    pub fn newline(&mut self) {
        self.out.push('\n');
    }

    /// A line of text, never turned, with its measured width.
    pub fn text(&mut self, line: Line<'_>) {
        if line.words.is_empty() {
            return;
        }
        let width = measure(line.words, line.size, line.bold).width_mm;
        let (x, y) = (num(line.at[0]), num(line.at[1]));
        let (size, width) = (num(line.size), num(width));
        let mut attrs: Vec<(&str, &str)> = Vec::with_capacity(7);
        if !line.class.is_empty() {
            attrs.push(("class", line.class));
        }
        attrs.extend([("x", x.as_str()), ("y", &y), ("font-size", &size)]);
        if line.bold {
            attrs.push(("font-weight", "bold"));
        }
        attrs.extend([
            ("textLength", width.as_str()),
            ("lengthAdjust", "spacingAndGlyphs"),
        ]);
        self.open("text", &attrs);
        if let Some(whole) = line.whole {
            self.words("title", &[], whole);
        }
        self.out.push_str(&escaped(line.words));
        self.close("text");
    }

    /// `<path d="…" …/>`.
    pub fn path(&mut self, d: &str, attrs: &[(&str, &str)]) {
        if d.is_empty() {
            return;
        }
        self.start("path", attrs);
        self.out.push_str(" d=\"");
        self.out.push_str(d);
        self.out.push_str("\"/>");
    }

    /// The document.
    pub fn finish(self) -> String {
        self.out
    }

    fn start(&mut self, tag: &str, attrs: &[(&str, &str)]) {
        self.out.push('<');
        self.out.push_str(tag);
        for (name, value) in attrs {
            self.out.push(' ');
            self.out.push_str(name);
            self.out.push_str("=\"");
            self.out.push_str(&escaped(value));
            self.out.push('"');
        }
    }
}

/// A number with at most two decimals; what is not finite is 0.
pub(super) fn num(x: f64) -> String {
    if !x.is_finite() {
        return "0".into();
    }
    let mut text = format!("{x:.2}");
    text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    // SVG and CSS read `.5` as 0.5.
    for (long, short) in [("0.", "."), ("-0.", "-.")] {
        if let Some(rest) = text.strip_prefix(long) {
            text = format!("{short}{rest}");
        }
    }
    if text == "-0" { "0".into() } else { text }
}

/// A path through points, to a tenth of a millimetre (half of that is less than a printed hairline), in steps from point to
/// point.
pub(super) fn polyline(points: &[[f64; 2]]) -> String {
    let mut d = String::new();
    let mut last: Option<[i64; 2]> = None;
    for p in points {
        let here = p.map(|x| (10.0 * x).round() as i64);
        let Some([x, y]) = last.replace(here) else {
            d.push('M');
            pair(&mut d, here);
            continue;
        };
        match [here[0] - x, here[1] - y] {
            [0, 0] => {}
            [dx, 0] => {
                d.push('h');
                tenths(&mut d, dx);
            }
            [0, dy] => {
                d.push('v');
                tenths(&mut d, dy);
            }
            step => {
                d.push('l');
                pair(&mut d, step);
            }
        }
    }
    d
}

fn pair(d: &mut String, [x, y]: [i64; 2]) {
    tenths(d, x);
    if y >= 0 {
        d.push(' ');
    }
    tenths(d, y);
}

/// A number of tenths, as short as SVG allows.
fn tenths(d: &mut String, n: i64) {
    if n < 0 {
        d.push('-');
    }
    let n = n.unsigned_abs();
    if n >= 10 || n == 0 {
        d.push_str(&(n / 10).to_string());
    }
    if !n.is_multiple_of(10) {
        d.push('.');
        d.push_str(&(n % 10).to_string());
    }
}

/// A closed shape through points.
pub(super) fn polygon(points: &[[f64; 2]]) -> String {
    let mut d = polyline(points);
    if !d.is_empty() {
        d.push('z');
    }
    d
}

/// A circle as a path.
pub(super) fn circle(at: [f64; 2], r: f64) -> String {
    let (x, y, r2) = (tenth(at[0] - r), tenth(at[1]), num(2.0 * r));
    let r = num(r);
    format!("M{x} {y}a{r} {r} 0 1 0 {r2} 0 {r} {r} 0 1 0-{r2} 0")
}

/// A number with at most one decimal.
pub(super) fn tenth(x: f64) -> String {
    let mut d = String::new();
    tenths(&mut d, (10.0 * x).round() as i64);
    d
}

/// Text or attribute with `& < > " '` escaped and control characters (not allowed in XML) left out.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if (c.is_control() && !matches!(c, '\t' | '\n'))
                || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

/// Shortens words to a width with `…`; gives them back whole where they fit.
pub(super) fn shortened(words: &str, size: f64, bold: bool, width_mm: f64) -> String {
    if measure(words, size, bold).width_mm <= width_mm {
        return words.to_owned();
    }
    let letters: Vec<char> = words.chars().collect();
    let (mut fits, mut over) = (0, letters.len());
    while fits + 1 < over {
        let middle = usize::midpoint(fits, over);
        let mut tried: String = letters[..middle].iter().collect();
        tried.push('…');
        if measure(&tried, size, bold).width_mm <= width_mm {
            fits = middle;
        } else {
            over = middle;
        }
    }
    let mut short: String = letters[..fits]
        .iter()
        .collect::<String>()
        .trim_end()
        .to_owned();
    short.push('…');
    short
}

/// Breaks words into lines of at most a width; a word longer than that is shortened.
pub(super) fn wrapped(words: &str, size: f64, width_mm: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let tried = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if measure(&tried, size, false).width_mm <= width_mm || line.is_empty() {
            line = tried;
        } else {
            lines.push(std::mem::replace(&mut line, word.to_owned()));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
        .iter()
        .map(|line| shortened(line, size, false, width_mm))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_xml_forbids_is_escaped_or_left_out() {
        assert_eq!(
            escaped("a<b>&\"c\"'\u{7}"),
            "a&lt;b&gt;&amp;&quot;c&quot;&#39;"
        );
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!(num(1.0), "1");
        assert_eq!(num(-0.001), "0");
        assert_eq!(num(2.345_6), "2.35");
        assert_eq!(num(-0.5), "-.5");
        assert_eq!(num(0.25), ".25");
        assert_eq!(num(f64::NAN), "0");
        assert_eq!(num(100.0), "100");
    }

    #[test]
    fn paths_are_written_in_steps_of_a_tenth() {
        assert_eq!(
            polyline(&[[1.0, 2.04], [1.0, 5.06], [3.26, 5.06], [3.2, 4.0]]),
            "M1 2v3.1h2.3l-.1-1.1"
        );
        assert_eq!(polygon(&[[0.0, 0.0], [-0.5, 0.0]]), "M0 0h-.5z");
        assert_eq!(polyline(&[[f64::NAN, 1.0]]), "M0 1");
        assert_eq!(tenth(-0.04), "0");
    }

    #[test]
    fn long_words_are_cut_and_short_ones_are_not() {
        let long = "a".repeat(200);
        let cut = shortened(&long, 2.0, false, 20.0);
        assert!(cut.ends_with('…') && measure(&cut, 2.0, false).width_mm <= 20.0);
        assert_eq!(shortened("ab", 2.0, false, 20.0), "ab");
    }

    #[test]
    fn no_line_is_wider_than_asked() {
        for line in wrapped(
            "one two three four five sixseveneightnineteneleven",
            2.0,
            14.0,
        ) {
            assert!(measure(&line, 2.0, false).width_mm <= 14.0, "{line}");
        }
    }
}
