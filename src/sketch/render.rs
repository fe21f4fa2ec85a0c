//! Draws diagnostics: the line, a mark under the place, and the remedy.

use annotate_snippets::{
    Annotation, AnnotationKind, Group, Level, Origin, Patch, Renderer, Snippet,
};

use super::diagnostics::{Diagnostic, Diagnostics};
use super::span::Span;

/// Diagnostics that are drawn; the rest is counted.
const DRAWN: usize = 50;
/// Characters of a line that are drawn in full.
const WIDE: usize = 120;
/// Characters kept before and after the place in a longer line.
const BEFORE: usize = 30;
const AFTER: usize = 70;
/// Characters in a line of a title or hint: with what stands before it, a hundred.
const TEXT: usize = 84;

impl Diagnostics {
    /// Draws the first fifty with their lines, plain or with terminal colours, and counts the rest.
    pub fn render(&self, colour: bool) -> String {
        let renderer = if colour {
            Renderer::styled()
        } else {
            Renderer::plain()
        };
        let mut out = String::new();
        for item in self.items.iter().take(DRAWN) {
            out.push_str(&self.draw(item, &renderer));
            out.push_str("\n\n");
        }
        let hidden = self.count().saturating_sub(DRAWN);
        if hidden > 0 {
            out.push_str(&format!("and {hidden} more; put these right first\n"));
        }
        let count = self.count();
        out.push_str(&match count {
            1 => format!("{}: 1 thing to put right\n", self.file),
            _ => format!("{}: {count} things to put right\n", self.file),
        });
        out
    }

    fn draw(&self, item: &Diagnostic, renderer: &Renderer) -> String {
        let item = &Diagnostic {
            title: wrapped(&item.title),
            hint: item.hint.as_deref().map(wrapped),
            ..item.clone()
        };
        let title = Level::ERROR
            .primary_title(item.title.as_str())
            .id(item.code);
        let Some(window) = self.window(item.at) else {
            let origin = Origin::path(self.file.as_str());
            let help = item.hint.as_deref().map(|hint| Level::HELP.message(hint));
            return renderer.render(&[title.element(origin).elements(help)]);
        };
        let mut mark = AnnotationKind::Primary.span(window.mark.start..window.mark.end);
        if !item.label.is_empty() {
            mark = mark.label(item.label.as_str());
        }
        let mut marks = vec![mark];
        let mut other = None;
        if let Some((at, label)) = &item.also
            && let Some(second) = self.window(*at)
        {
            let mark = AnnotationKind::Context
                .span(second.mark.start..second.mark.end)
                .label(label.as_str());
            if second.line == window.line && !window.cut {
                marks.push(mark);
            } else {
                other = Some((second, mark));
            }
        }
        let mut main = self.place(title.elements(None::<Origin<'_>>), &window, marks);
        if let Some((second, mark)) = &other {
            main = self.place(main, second, vec![mark.clone()]);
        }
        let mut report = Vec::new();
        match (&item.hint, &item.patch) {
            (Some(hint), Some(patch)) if window.whole => {
                report.push(main);
                report.push(
                    Group::with_title(Level::HELP.secondary_title(hint.as_str())).element(
                        Snippet::source(window.text.clone())
                            .line_start(window.line)
                            .patch(Patch::new(
                                window.mark.start..window.mark.end,
                                patch.as_str(),
                            )),
                    ),
                );
            }
            (Some(hint), _) => report.push(main.element(Level::HELP.message(hint.as_str()))),
            (None, _) => report.push(main),
        }
        renderer.render(&report)
    }

    /// Adds a line with its marks. The drawer counts the column of a line drawn in full; of a shortened one it is told.
    fn place<'a>(
        &'a self,
        group: Group<'a>,
        window: &Window,
        marks: Vec<Annotation<'a>>,
    ) -> Group<'a> {
        let snippet = Snippet::source(window.text.clone())
            .line_start(window.line)
            .fold(false)
            .annotations(marks);
        if window.cut {
            let origin = Origin::path(self.file.as_str())
                .line(window.line)
                .char_column(window.column);
            group.element(origin).element(snippet)
        } else {
            group.element(snippet.path(self.file.as_str()))
        }
    }

    fn window(&self, at: Span) -> Option<Window> {
        let (line, column) = self.line_column(at.start);
        Window::cut(&self.text, at, line, column)
    }
}

/// Words in lines of no more than [`TEXT`] characters, as far as their blanks allow.
fn wrapped(words: &str) -> String {
    let mut out = String::new();
    let mut column = 0;
    // What stands in backquotes is to be copied, and stays on one line.
    let mut quoted = false;
    let pieces = words.split(|c: char| {
        quoted ^= c == '`';
        c == ' ' && !quoted
    });
    for word in pieces {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > TEXT {
            out.push('\n');
            column = 0;
        } else if !out.is_empty() {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}

/// The part of the text that is drawn, and where in it the mark goes.
struct Window {
    text: String,
    mark: Span,
    /// Whether the place is drawn whole, so that a patch makes sense.
    whole: bool,
    /// Whether the line was shortened.
    cut: bool,
    line: usize,
    column: usize,
}

impl Window {
    /// The line in which the place starts, shortened around it when long; `None` when there is no text.
    fn cut(text: &str, at: Span, line_number: usize, column: usize) -> Option<Window> {
        if text.is_empty() {
            return None;
        }
        let start = text.floor_char_boundary(at.start.min(text.len()));
        let head = text[..start].rfind('\n').map_or(0, |i| i + 1);
        let tail = text[start..].find('\n').map_or(text.len(), |i| start + i);
        let line = text[head..tail].trim_end_matches('\r');
        let tail = head + line.len();
        let head = head + line.len() - line.trim_start_matches('\u{feff}').len();
        let start = start.clamp(head, tail);
        let end = text.ceil_char_boundary(at.end).clamp(start, tail);

        let (mut left, mut right) = (head, tail);
        if text[head..tail].chars().nth(WIDE).is_some() {
            left = text[head..start]
                .char_indices()
                .rev()
                .nth(BEFORE - 1)
                .map_or(head, |(i, _)| head + i);
            right = text[start..tail]
                .char_indices()
                .nth(AFTER)
                .map_or(tail, |(i, _)| start + i);
        }
        let before = if left > head { "… " } else { "" };
        let after = if right < tail { " …" } else { "" };
        let shift = |byte: usize| byte.min(right) - left + before.len();
        Some(Window {
            text: format!("{before}{}{after}", &text[left..right]),
            mark: Span::new(shift(start), shift(end)),
            whole: end <= right && at.end <= tail,
            cut: left > head || right < tail,
            line: line_number,
            column,
        })
    }
}
