//! Bars of 90 % bands with their means, one row a thing, its name above its bar.

use maud::{Markup, html};

use super::scale::Scale;
use super::{NARROWEST, percent, shortened, width};

/// Height of one row, CSS pixels.
const ROW: f64 = 38.0;
/// Baseline of a name in its row.
const NAME: f64 = 15.0;
/// Middle of the bar in its row.
const BAR: f64 = 27.0;
/// Where the scale begins and ends, as parts of the width.
const SPAN: (f64, f64) = (0.03, 0.97);
/// Height of the axis.
const AXIS: f64 = 40.0;

/// One row.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Row {
    /// Name.
    pub name: String,
    /// Figure at the right end, with no unit.
    pub figure: String,
    /// Dot.
    pub mean: f64,
    /// Thick line.
    pub band: (f64, f64),
    /// Pale broad bar behind it.
    pub wide: Option<(f64, f64)>,
    /// Square with whiskers: a reading and its error either way.
    pub read: Option<(f64, f64)>,
    /// Ring: the figure before.
    pub before: Option<f64>,
    /// Upright stroke: what was meant or is allowed.
    pub target: Option<f64>,
}

/// A chart of rows on one scale.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Intervals<'a> {
    /// Id, unlike any other of the page.
    pub id: &'a str,
    /// Title.
    pub title: &'a str,
    /// What it shows, in one or two sentences.
    pub says: &'a str,
    /// Title of the axis, with the unit.
    pub axis: &'a str,
    /// Rows, from top to bottom.
    pub rows: &'a [Row],
}

/// Draws it.
pub(crate) fn intervals(chart: &Intervals<'_>) -> Markup {
    let rows = chart.rows;
    let values = rows.iter().flat_map(|row| {
        let (wide, read) = (
            row.wide.unwrap_or(row.band),
            row.read.unwrap_or((row.mean, 0.0)),
        );
        [
            row.mean,
            row.band.0,
            row.band.1,
            wide.0,
            wide.1,
            read.0 - read.1,
            read.0 + read.1,
            row.before.unwrap_or(0.0),
            row.target.unwrap_or(0.0),
        ]
    });
    let scale = Scale::over(values, SPAN);
    let at = |value: f64| percent(scale.at(value));
    let ticks = scale.ticks();
    let foot = ROW * rows.len() as f64;
    let (title, says) = (format!("{}-t", chart.id), format!("{}-d", chart.id));
    html! {
        svg.chart id=(chart.id) role="img" aria-labelledby=(format!("{title} {says}")) width="100%" height=(foot + AXIS) {
            title id=(title) { (chart.title) }
            desc id=(says) { (chart.says) }
            @for (k, row) in rows.iter().enumerate() {
                (row_marks(row, ROW * k as f64, &scale))
            }
            line.axis x1=(at(f64::NEG_INFINITY)) x2=(at(f64::INFINITY)) y1=(foot + 2.0) y2=(foot + 2.0) {}
            @for (k, (value, text)) in ticks.iter().enumerate() {
                line.axis x1=(at(*value)) x2=(at(*value)) y1=(foot + 2.0) y2=(foot + 6.0) {}
                text.tick x=(at(*value)) y=(foot + 19.0) text-anchor=(anchor(k, ticks.len(), text)) { (text) }
            }
            text.tick x="50%" y=(foot + 36.0) text-anchor="middle" { (chart.axis) }
        }
    }
}

/// The outer figures stay inside the chart, on the narrowest one too.
fn anchor(k: usize, count: usize, text: &str) -> &'static str {
    if 0.5 * width(text) <= SPAN.0 * NARROWEST {
        "middle"
    } else if k == 0 {
        "start"
    } else if k + 1 == count {
        "end"
    } else {
        "middle"
    }
}

fn row_marks(row: &Row, top: f64, scale: &Scale) -> Markup {
    let at = |value: f64| percent(scale.at(value));
    let long = |(low, high): (f64, f64)| percent((scale.at(high) - scale.at(low)).max(0.002));
    let y = top + BAR;
    let name = shortened(&row.name, NARROWEST - width(&row.figure) - 14.0);
    html! {
        text x="0" y=(top + NAME) {
            @if name != row.name { title { (row.name) } }
            (name)
        }
        text x="100%" y=(top + NAME) text-anchor="end" { (row.figure) }
        line.rail x1=(percent(SPAN.0)) x2=(percent(SPAN.1)) y1=(y) y2=(y) {}
        @if let Some(wide) = row.wide {
            rect.behind x=(at(wide.0)) width=(long(wide)) y=(y - 6.0) height="12" {}
        }
        @if let Some(target) = row.target {
            line.target x1=(at(target)) x2=(at(target)) y1=(y - 10.0) y2=(y + 10.0) {}
        }
        rect.band x=(at(row.band.0)) width=(long(row.band)) y=(y - 3.0) height="6" {}
        @if let Some(before) = row.before {
            circle.before cx=(at(before)) cy=(y) r="7" {}
        }
        circle.mean cx=(at(row.mean)) cy=(y) r="4.5" {}
        @if let Some((value, half)) = row.read {
            line.read x1=(at(value - half)) x2=(at(value + half)) y1=(y) y2=(y) {}
            rect.read x=(at(value)) y=(y - 7.0) width="14" height="14" transform="translate(-7 0)" {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_has_its_bar_and_names_are_escaped() {
        let rows = [
            Row {
                name: "a<b".to_owned(),
                figure: "3.0".to_owned(),
                mean: 3.0,
                band: (1.0, 8.0),
                ..Row::default()
            },
            Row {
                name: "c".to_owned(),
                figure: "2.0".to_owned(),
                mean: 2.0,
                band: (1.0, 4.0),
                wide: Some((0.5, 12.0)),
                read: Some((2.2, 0.1)),
                before: Some(1.0),
                target: Some(5.0),
            },
        ];
        let svg = intervals(&Intervals {
            id: "x",
            title: "T",
            says: "S",
            axis: "cfm",
            rows: &rows,
        })
        .into_string();
        assert_eq!(svg.matches("class=\"band\"").count(), 2);
        for mark in ["behind", "before", "target"] {
            assert_eq!(
                svg.matches(&format!("class=\"{mark}\"")).count(),
                1,
                "{mark}"
            );
        }
        assert!(svg.contains("a&lt;b") && !svg.contains("a<b"));
        let read = roxmltree::Document::parse(&svg).expect("well formed");
        let scale = Scale::over([12.0].into_iter(), SPAN);
        let first = read
            .descendants()
            .find(|n| n.attribute("class") == Some("band"))
            .expect("a bar");
        assert_eq!(first.attribute("x"), Some(percent(scale.at(1.0)).as_str()));
    }
}
