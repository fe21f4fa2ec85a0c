//! What a page draws: plain data, metres, as written to JSON. Fields are only ever added within a version.

use serde::Serialize;

use super::change::Parts;
use crate::sketch::{Written, edit};

/// Name and version of the JSON form.
pub(super) const FORMAT: &str = "ductseam/board/1";

/// A point, m: x east, y north, z up.
pub(super) type Point = [f64; 3];

#[derive(Debug, Serialize)]
pub(super) struct View<'a> {
    pub format: &'static str,
    /// Whether nothing is wrong, so that answers can be asked.
    pub stands: bool,
    pub title: String,
    pub units: &'static str,
    /// The file as written; null where it is no YAML.
    pub sketch: Option<&'a Written<'a>>,
    pub faults: Vec<Fault>,
    pub more_faults: usize,
    pub warnings: Vec<String>,
    pub cautions: Vec<Caution>,
    pub runs: Vec<Run>,
    pub pieces: Vec<Piece>,
    pub seams: Vec<Seam>,
    pub openings: Vec<Opening>,
    pub places: Vec<String>,
}

#[derive(Debug, Serialize)]
pub(super) struct Fault {
    pub code: &'static str,
    pub title: String,
    pub label: String,
    pub hint: Option<String>,
    pub patch: Option<String>,
    pub line: usize,
    pub column: usize,
    /// Where in the text it stands, in UTF-16 units as a page counts them.
    pub text_from: usize,
    pub text_to: usize,
    pub path: Option<Vec<edit::Step>>,
    pub run: Option<usize>,
    pub step: Option<usize>,
    pub at: Option<Point>,
}

#[derive(Debug, Serialize)]
pub(super) struct Caution {
    pub stop: bool,
    pub text: String,
}

#[derive(Debug, Serialize, Default)]
pub(super) struct Run {
    pub id: Option<String>,
    pub side: Option<&'static str>,
    pub drawn: bool,
    pub length_m: Option<f64>,
    pub start: Option<Point>,
    pub end: Option<Point>,
    pub end_heading: Option<Point>,
    pub open_end: bool,
    pub on_run: Option<usize>,
    pub steps: Vec<Step>,
}

#[derive(Debug, Serialize)]
pub(super) struct Step {
    pub text: String,
    pub parts: Option<Parts>,
    pub start: Option<Point>,
    pub end: Option<Point>,
}

#[derive(Debug, Serialize)]
pub(super) struct Piece {
    pub id: String,
    pub run: Option<usize>,
    pub step: Option<usize>,
    pub kind: &'static str,
    pub tail: Point,
    pub head: Point,
    pub width_m: f64,
    pub section: String,
    pub place: String,
    pub side: &'static str,
    pub length_m: f64,
    pub made_of: String,
}

#[derive(Debug, Serialize)]
pub(super) struct Seam {
    pub i: usize,
    pub id: String,
    pub run: Option<usize>,
    pub step: Option<usize>,
    pub what: String,
    pub joint_type: String,
    pub joint_name: String,
    pub place: String,
    pub reach: &'static str,
    pub work: &'static str,
    pub side: &'static str,
    pub at: Point,
    /// The other end of a lengthwise seam.
    pub at_end: Option<Point>,
    pub prior_q25_m3_s: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct Opening {
    pub run: Option<usize>,
    pub room: Option<String>,
    pub at: Point,
    pub size: String,
}
