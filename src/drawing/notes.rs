//! What stands on the sheet for safety: the framed stop at its head, the cautions at the plan's foot.

use super::ask::{DrawnFacts, Layer};
use super::label::Rect;
use super::palette as ink;
use super::scene::mm;
use super::svg::{Line, Svg};
use super::symbols::box_path;
use super::text::measure;
use super::words::unquoted;

/// Em of the stop, mm: between that of names and that of the title (engineering estimate, looked at on drawings).
const STOP_MM: f64 = 3.0;
/// Height of a line, ems.
const LINE: f64 = 1.4;
/// Between the frame and its words, mm.
const INSIDE_MM: f64 = 1.6;

/// Words that need room of their own.
#[derive(Debug, Clone, Default)]
pub(super) struct Notes {
    /// `STOP: …`.
    pub stop: Option<String>,
    /// The cautions, one after another.
    pub foot: Option<String>,
}

impl Notes {
    /// What these facts call for on a sheet with these layers.
    pub fn of(facts: &DrawnFacts<'_>, layers: &[Layer]) -> Notes {
        let plans = facts
            .plan
            .and_then(|plan| plan.stopped.as_deref().or(plan.halted.as_deref()));
        Notes {
            stop: facts.stop.or(plans).map(|why| {
                let why = why.strip_prefix("STOP: ").unwrap_or(why);
                format!("STOP: {}", sentence(&unquoted(why)))
            }),
            foot: (layers.contains(&Layer::Plan) && !facts.cautions.is_empty()).then(|| {
                format!(
                    "Before you touch anything: {}",
                    unquoted(&facts.cautions.join(" "))
                )
            }),
        }
    }

    /// Height of the framed stop with the room under it, mm.
    pub fn head_mm(&self, width_mm: f64) -> f64 {
        self.stop.as_ref().map_or(0.0, |words| {
            let lines = stop_lines(words, width_mm).len() as f64;
            lines * LINE * STOP_MM + 2.0 * INSIDE_MM + 1.5
        })
    }

    /// Height of the cautions, mm.
    pub fn foot_mm(&self, width_mm: f64, size: f64) -> f64 {
        self.foot.as_ref().map_or(0.0, |words| {
            LINE * size * whole_lines(words, size, false, width_mm).len() as f64 + 1.0
        })
    }

    /// Draws the framed stop.
    pub fn draw_stop(&self, svg: &mut Svg, rect: Rect) {
        let Some(words) = &self.stop else { return };
        let frame = Rect {
            y1: rect.y1 - 1.5,
            ..rect
        };
        svg.open("g", &[("class", "stop"), ("fill", ink::ALARM)]);
        svg.path(
            &box_path(frame),
            &[
                ("fill", "none"),
                ("stroke", ink::ALARM),
                ("stroke-width", &mm(0.7)),
            ],
        );
        let at = [rect.x0 + INSIDE_MM, rect.y0 + INSIDE_MM];
        let lines = stop_lines(words, rect.x1 - rect.x0);
        write(svg, &lines, at, STOP_MM, true);
        svg.close("g");
        svg.newline();
    }

    /// Writes the cautions.
    pub fn draw_foot(&self, svg: &mut Svg, rect: Rect, size: f64) {
        let Some(words) = &self.foot else { return };
        svg.open("g", &[("class", "cautions")]);
        let lines = whole_lines(words, size, false, rect.x1 - rect.x0);
        write(svg, &lines, [rect.x0, rect.y0], size, false);
        svg.close("g");
        svg.newline();
    }
}

fn write(svg: &mut Svg, lines: &[String], [x, y]: [f64; 2], size: f64, bold: bool) {
    for (k, words) in lines.iter().enumerate() {
        svg.text(Line {
            class: "",
            at: [x, y + size + LINE * size * k as f64],
            size,
            bold,
            words,
            whole: None,
        });
    }
}

fn stop_lines(words: &str, width_mm: f64) -> Vec<String> {
    whole_lines(words, STOP_MM, true, width_mm - 2.0 * INSIDE_MM)
}

/// With a capital first.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Breaks words into lines of at most a width without leaving anything out: a word that is wider is broken too.
fn whole_lines(words: &str, size: f64, bold: bool, width_mm: f64) -> Vec<String> {
    let fits = |words: &str| measure(words, size, bold).width_mm <= width_mm;
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let joined = lines.last().map(|line| format!("{line} {word}"));
        if let (Some(line), Some(joined)) = (lines.last_mut(), joined.filter(|j| fits(j))) {
            *line = joined;
            continue;
        }
        let mut part = String::new();
        for letter in word.chars() {
            part.push(letter);
            if !fits(&part) && part.chars().nth(1).is_some() {
                part.pop();
                lines.push(std::mem::replace(&mut part, letter.to_string()));
            }
        }
        lines.push(part);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_the_words_is_lost_and_no_line_is_too_wide() {
        let long = "x".repeat(120);
        let words = format!("STOP: old tape may hold asbestos {long} call a specialist");
        for width in [8.0, 40.0, 200.0] {
            let lines = whole_lines(&words, 3.0, true, width);
            let squeezed = |words: &str| words.split_whitespace().collect::<String>();
            assert_eq!(squeezed(&lines.concat()), squeezed(&words), "{width}");
            for line in &lines {
                assert!(measure(line, 3.0, true).width_mm <= width, "{line}");
            }
        }
        assert_eq!(sentence("old tape"), "Old tape");
    }
}
