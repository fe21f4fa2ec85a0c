//! Pieces that all sections are made of.

use maud::{Markup, PreEscaped, html};

use crate::report::lines::{Block, Line, Table};

/// A section with its heading.
pub fn section(id: &str, heading: &str, body: &Markup) -> Markup {
    html! {
        section id=(id) {
            h2 { (heading) }
            (body)
        }
    }
}

/// Lines of an answer for a terminal as one paragraph: line ends and indents away.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Paragraphs of an answer for a terminal: each begins at the edge, its further lines are set in.
pub fn paragraphs(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for line in text.lines().filter(|line| !line.trim().is_empty()) {
        match found.last_mut() {
            Some(last) if line.starts_with(' ') => {
                last.push(' ');
                last.push_str(line.trim());
            }
            _ => found.push(line.trim().to_owned()),
        }
    }
    found
}

/// A text in which names between backquotes are set apart, per cent signs stay with their figures, and arrows are arrows.
pub fn said(text: &str) -> Markup {
    let text = text.replace(" %", "\u{a0}%").replace("->", "→");
    html! {
        @for (k, part) in text.split('`').enumerate() {
            @if k % 2 == 1 { code { (part) } } @else { (part) }
        }
    }
}

/// Paragraphs as a list; nothing where there is none.
pub fn list<T: AsRef<str>>(items: &[T]) -> Markup {
    html! {
        @if !items.is_empty() {
            ul { @for item in items { li { (said(item.as_ref())) } } }
        }
    }
}

/// A heading with a list under it; nothing where the list is empty.
pub fn listed<T: AsRef<str>>(heading: &str, items: &[T]) -> Markup {
    html! {
        @if !items.is_empty() {
            h3 { (heading) }
            (list(items))
        }
    }
}

/// Names and what is said of each.
pub fn facts<N: AsRef<str>, W: AsRef<str>>(lines: &[(N, W)]) -> Markup {
    html! {
        dl { @for (name, words) in lines {
            div { dt { (name.as_ref().trim()) } dd { (said(words.as_ref())) } }
        } }
    }
}

/// A table with its heading as caption, and its notes.
pub fn block(block: &Block) -> Markup {
    html! {
        (table(&block.heading, &block.table))
        @for note in &block.notes { p.note { (said(note)) } }
    }
}

/// The same, folded until somebody asks for it.
pub fn folded(summary: &str, inner: &Markup) -> Markup {
    html! { details { summary { (summary) } (inner) } }
}

/// A table that scrolls inside itself.
pub fn table(caption: &str, table: &Table) -> Markup {
    let titles: Vec<(&str, bool)> = table.titles().collect();
    wide(
        caption,
        &html! {
            table class=(numbers(&titles)) {
                caption { (said(caption)) }
                thead { tr { @for (title, _) in &titles { th scope="col" { (column(title)) } } } }
                tbody { @for line in table.lines() { @match line {
                    Line::Row(cells) => tr { @for (k, cell) in cells.iter().enumerate() {
                        @if k == name_column(&titles) { th scope="row" { (said(cell)) } } @else { td { (said(cell)) } }
                    } },
                    Line::Heading(text) => tr.part { th colspan=(titles.len()) scope="rowgroup" { (said(text)) } },
                    Line::Note(text) => tr.under { td colspan=(titles.len()) { (said(text)) } },
                } } }
            }
        },
    )
}

/// The frame in which a wide table scrolls; reachable by keyboard, as what scrolls must be.
pub fn wide(name: &str, table: &Markup) -> Markup {
    html! { div.wide role="region" aria-label=(format!("Table: {name}")) tabindex="0" { (table) } }
}

/// A column without a title counts rows.
fn column(title: &str) -> &str {
    if title.trim().is_empty() {
        "no."
    } else {
        title
    }
}

/// The first column that holds names and no numbers: rows are called by it.
fn name_column(titles: &[(&str, bool)]) -> usize {
    titles.iter().position(|(_, numbers)| !numbers).unwrap_or(0)
}

/// Classes that set the columns of numbers to the right: `n2 n5`.
pub fn numbers(titles: &[(&str, bool)]) -> String {
    let right: Vec<String> = titles
        .iter()
        .enumerate()
        .filter(|(_, (_, numbers))| *numbers)
        .map(|(k, _)| format!("n{}", k + 1))
        .collect();
    right.join(" ")
}

/// A chart with its title and words.
pub fn figure(chart: &Markup, title: &str, words: &str) -> Markup {
    html! { figure { (chart) figcaption { strong { (title) } ". " (said(words)) } } }
}

/// Marks that a chart's caption explains.
pub const BAND_AND_MEAN: &str = "Bar: 90 % band. Dot: mean.";

/// Text that is written as it stands: this crate's own SVG, style and script, which escape what they hold.
pub fn ours(text: &str) -> PreEscaped<&str> {
    PreEscaped(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::lines::Holds;

    #[test]
    fn rows_notes_and_headings_of_a_table_are_escaped_and_kept_whole() {
        let mut rows = Table::new(&[("", Holds::Numbers, 3), ("seam", Holds::Names, 5)]);
        rows.heading("  <attic>");
        rows.row(vec!["1".to_owned(), "a very long `id` & more".to_owned()]);
        rows.note(4, "mind <this>");
        let html = table("caption <x>", &rows).into_string();
        assert!(html.contains("&lt;attic&gt;") && html.contains("mind &lt;this&gt;"));
        assert!(html.contains("a very long <code>id</code> &amp; more"));
        assert!(
            html.contains("class=\"n1\"") && !html.contains("<attic>") && !html.contains("<x>")
        );
    }
}
