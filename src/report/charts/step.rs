//! A line with its band: what is left after so much time.

use maud::{Markup, html};

use super::percent;
use super::scale::Scale;

/// Height of the field, CSS pixels.
const FIELD: f64 = 220.0;
/// Room above it, for the title of the upright axis.
const ABOVE: f64 = 26.0;
/// Room below it.
const BELOW: f64 = 44.0;
/// Where the field begins and ends across, as parts of the width.
const ACROSS: (f64, f64) = (0.13, 0.97);

/// One point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    /// Along.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// Its band.
    pub band: (f64, f64),
}

/// A line that holds each value until the next point.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Step<'a> {
    /// Id, unlike any other of the page.
    pub id: &'a str,
    /// Title.
    pub title: &'a str,
    /// What it shows.
    pub says: &'a str,
    /// Title of the axis along.
    pub along: &'a str,
    /// Title of the axis up.
    pub up: &'a str,
    /// Points by rising x.
    pub points: &'a [Point],
    /// A level to reach.
    pub target: Option<f64>,
}

/// Draws it.
pub(crate) fn step(chart: &Step<'_>) -> Markup {
    let points = chart.points;
    let x = Scale::over(points.iter().map(|p| p.x), ACROSS);
    let ups = points.iter().flat_map(|p| [p.y, p.band.0, p.band.1]);
    let y = Scale::over(ups.chain(chart.target), (1.0, 0.0));
    let across = |value: f64| percent(x.at(value));
    let down = |value: f64| format!("{:.1}", ABOVE + FIELD * y.at(value));
    let foot = ABOVE + FIELD;
    let (title, says) = (format!("{}-t", chart.id), format!("{}-d", chart.id));
    let (left, right) = (percent(ACROSS.0), percent(ACROSS.1));
    html! {
        svg.chart id=(chart.id) role="img" aria-labelledby=(format!("{title} {says}")) width="100%" height=(foot + BELOW) {
            title id=(title) { (chart.title) }
            desc id=(says) { (chart.says) }
            text.tick x="0" y="14" { (chart.up) }
            @for (value, text) in y.ticks() {
                line.rail x1=(left) x2=(right) y1=(down(value)) y2=(down(value)) {}
                text.tick x=(percent(ACROSS.0 - 0.015)) y=(down(value)) dy="4" text-anchor="end" { (text) }
            }
            @for pair in points.windows(2) {
                @let (from, to) = (pair[0], pair[1]);
                rect.field x=(across(from.x)) width=(percent(x.at(to.x) - x.at(from.x)))
                    y=(down(from.band.1)) height=(format!("{:.1}", FIELD * (y.at(from.band.0) - y.at(from.band.1)).max(0.0))) {}
            }
            @for pair in points.windows(2) {
                @let (from, to) = (pair[0], pair[1]);
                @for edge in [from.band.0, from.band.1] { line.edge x1=(across(from.x)) x2=(across(to.x)) y1=(down(edge)) y2=(down(edge)) {} }
                line.line x1=(across(from.x)) x2=(across(to.x)) y1=(down(from.y)) y2=(down(from.y)) {}
                line.line x1=(across(to.x)) x2=(across(to.x)) y1=(down(from.y)) y2=(down(to.y)) {}
            }
            @if let Some(target) = chart.target {
                line.target x1=(left) x2=(right) y1=(down(target)) y2=(down(target)) stroke-dasharray="6 4" {}
            }
            @for point in points {
                line.read x1=(across(point.x)) x2=(across(point.x)) y1=(down(point.band.0)) y2=(down(point.band.1)) {}
                circle.mean cx=(across(point.x)) cy=(down(point.y)) r="4.5" {}
            }
            line.axis x1=(left) x2=(right) y1=(foot) y2=(foot) {}
            @for (value, text) in x.ticks() {
                line.axis x1=(across(value)) x2=(across(value)) y1=(foot) y2=(foot + 5.0) {}
                text.tick x=(across(value)) y=(foot + 19.0) text-anchor="middle" { (text) }
            }
            text.tick x="55%" y=(foot + 38.0) text-anchor="middle" { (chart.along) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_point_has_its_dot_and_the_line_falls_at_the_next_point() {
        let points = [
            Point {
                x: 0.0,
                y: 60.0,
                band: (50.0, 70.0),
            },
            Point {
                x: 30.0,
                y: 40.0,
                band: (30.0, 55.0),
            },
            Point {
                x: 90.0,
                y: 25.0,
                band: (18.0, 33.0),
            },
        ];
        let svg = step(&Step {
            id: "f",
            title: "T",
            says: "S",
            along: "min",
            up: "cfm",
            points: &points,
            target: Some(30.0),
        })
        .into_string();
        let read = roxmltree::Document::parse(&svg).expect("well formed");
        let of = |class: &'static str| {
            read.descendants()
                .filter(move |n| n.attribute("class") == Some(class))
                .collect::<Vec<_>>()
        };
        assert_eq!(of("mean").len(), 3);
        assert_eq!(of("target").len(), 1);
        let (fields, edges) = (of("field"), of("edge"));
        assert_eq!((fields.len(), edges.len()), (2, 4));
        assert_eq!(
            edges[1].attribute("y1"),
            fields[0].attribute("y"),
            "the upper edge lies on the band's upper end"
        );
        let lines = of("line");
        assert_eq!(lines.len(), 4);
        assert_eq!(
            lines[0].attribute("y1"),
            lines[0].attribute("y2"),
            "level first"
        );
        assert_eq!(
            lines[1].attribute("x1"),
            lines[1].attribute("x2"),
            "then down"
        );
        assert_eq!(lines[1].attribute("y2"), of("mean")[1].attribute("cy"));
    }
}
