//! A run laid out along its own walk: where its straight lengths lie, what ends it, what is wrong with it alone.

use super::book::{Book, material_by_shape};
use super::notes::Notes;
use super::shape;
use super::trade;
use crate::quantity::{Length, Size};
use crate::sketch::{Diagnostic, ElbowKind, Material, Run, Side, Span, StepKind};

/// One straight length.
#[derive(Debug, Clone, Copy)]
pub(super) struct Leg {
    pub from: f64,
    pub to: f64,
    pub size: Size,
    pub material: Material,
}

/// What ends a walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    /// A boot, return box or intake.
    Opening,
    /// A cap.
    Cap,
    /// A junction with another run.
    Joins,
    /// Nothing: another run must go on from here.
    Open,
}

/// A run along its walk.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub legs: Vec<Leg>,
    pub length: f64,
    pub end: End,
    /// Section at the end of the walk.
    pub end_size: Size,
    /// Area of the register or grille, m²; 0 without one.
    pub opening_area: f64,
    pub sound: bool,
}

/// Distances nearer than this along a run are the same spot, m.
pub(super) const SAME_SPOT_M: f64 = 1e-3;

/// More sections than this in one straight length are a slip of the pen.
const MOST_SECTIONS: f64 = 5000.0;

impl Layout {
    /// The straight length at a distance; at a fitting the one before it.
    pub fn leg_at(&self, along: f64) -> Option<&Leg> {
        let i = self
            .legs
            .partition_point(|leg| leg.to < along - SAME_SPOT_M);
        self.legs.get(i)
    }
}

/// Lays out a run and notes what is wrong with its own words.
pub(super) fn lay_out(run: &Run, book: &Book, notes: &mut Notes) -> Layout {
    let before = notes.problems.len();
    let mut size = run.size.value;
    let mut material = book.material(run);
    let misfit = !fits(material, &size);
    if misfit {
        let at = run.material.as_ref().map_or(run.size.at, |m| m.at);
        notes.wrong(shape_problem(material, &size, book, at));
    }
    let mut layout = Layout {
        legs: Vec::new(),
        length: 0.0,
        end: End::Open,
        end_size: size,
        opening_area: 0.0,
        sound: true,
    };
    for (i, step) in run.walk.iter().enumerate() {
        if layout.end != End::Open {
            notes.wrong(
                Diagnostic::new(
                    "E0207",
                    step.at,
                    format!("the walk of `{}` goes on after its end", run.id.value),
                )
                .label("nothing can follow a boot, a return box, a cap or `joins`")
                .hint("move this step before the end, or start a new run here"),
            );
            break;
        }
        match &step.kind {
            StepKind::Straight {
                length,
                material: other,
                ..
            } => {
                let here = other.unwrap_or(material);
                if !misfit && !fits(here, &size) {
                    notes.wrong(shape_problem(here, &size, book, step.at));
                }
                let length = length.si();
                if !(length.is_finite() && length > 0.0) {
                    notes.wrong(
                        Diagnostic::new(
                            "E0208",
                            step.at,
                            "a straight length must be longer than nothing",
                        )
                        .hint("write for instance `4 ft`"),
                    );
                    continue;
                }
                check_sections(here, length, step.at, book, notes);
                layout.legs.push(Leg {
                    from: layout.length,
                    to: layout.length + length,
                    size,
                    material: here,
                });
                layout.length += length;
            }
            StepKind::Takeoff(kind) if i > 0 => {
                let word = trade::takeoff(*kind).0;
                notes.wrong(
                    Diagnostic::new(
                        "E0209",
                        step.at,
                        format!("a {word} must be the first step of a run"),
                    )
                    .label("not at the start")
                    .hint("start a run of its own with `from: RUN at LENGTH`"),
                );
            }
            StepKind::Elbow {
                kind: ElbowKind::FlexBend,
                ..
            } if material != Material::Flex && !after_flex(&layout) => {
                notes.wrong(
                    Diagnostic::new("E0210", step.at, "a flex bend needs flex duct before it")
                        .label(format!("this run is {}", trade::build_of(material).words))
                        .hint(
                            "write `adjustable elbow` or `elbow`, or give the run `material: flex`",
                        ),
                );
            }
            StepKind::Elbow {
                kind: ElbowKind::Adjustable,
                ..
            } if !misfit && !shape::is_round(&size) => {
                notes.wrong(
                    Diagnostic::new("E0221", step.at, "an adjustable elbow is round")
                        .label(format!("the duct is `{}` here", book.size(&size)))
                        .hint("write `elbow` for a smooth bend, or `mitre elbow`"),
                );
            }
            StepKind::Splice if material != Material::Flex && !after_flex(&layout) => {
                notes.wrong(
                    Diagnostic::new(
                        "E0211",
                        step.at,
                        "a splice joins two lengths of flex duct, and there is none before it",
                    )
                    .hint("joints between sections of sheet metal come by themselves"),
                );
            }
            StepKind::Reducer { to } => {
                if shape::is_round(&size) != shape::is_round(to) {
                    material = material_by_shape(to);
                }
                size = *to;
            }
            StepKind::Boot { size: opening, .. } => {
                layout.end = End::Opening;
                layout.opening_area = opening.area().si();
            }
            StepKind::Intake { size: opening } => {
                layout.end = End::Opening;
                layout.opening_area = opening.area().si();
                check_intake(run, step.at, notes);
            }
            StepKind::Cap => layout.end = End::Cap,
            StepKind::Joins { .. } => layout.end = End::Joins,
            _ => {}
        }
    }
    if let Some(lined) = run.lined.as_ref().filter(|lined| lined.value) {
        check_lined(run, lined.at, &layout, book, notes);
    }
    layout.end_size = size;
    layout.sound = notes.problems.len() == before;
    layout
}

fn check_intake(run: &Run, at: Span, notes: &mut Notes) {
    if run.side.value == Side::Supply {
        notes.wrong(
            Diagnostic::new(
                "E0234",
                at,
                format!("the supply run `{}` ends in an intake", run.id.value),
            )
            .label("outdoor air comes in on the return side")
            .hint("start the run on the return side, or end it with `boot SIZE`"),
        );
    }
    if let Some(room) = &run.room {
        notes.wrong(
            Diagnostic::new(
                "E0235",
                room.at,
                format!(
                    "the run `{}` ends outdoors and serves no room",
                    run.id.value
                ),
            )
            .label("a room")
            .also(at, "it ends in an intake")
            .hint("take `room` out, or end the walk with `return box SIZE`"),
        );
    }
}

fn check_lined(run: &Run, at: Span, layout: &Layout, book: &Book, notes: &mut Notes) {
    let start = book.material(run);
    let sheet = |leg: &Leg| leg.material == Material::Rectangular;
    if start == Material::Rectangular || layout.legs.iter().any(sheet) {
        return;
    }
    notes.wrong(
        Diagnostic::new(
            "E0236",
            at,
            format!(
                "only rectangular sheet metal is lined, and `{}` has none",
                run.id.value
            ),
        )
        .label(format!("this run is {}", trade::build_of(start).words))
        .hint("take `lined` out; duct board and flex have the roughness of their own inside"),
    );
}

/// Whether the last straight length is flex.
fn after_flex(layout: &Layout) -> bool {
    layout
        .legs
        .last()
        .is_some_and(|leg| leg.material == Material::Flex)
}

fn fits(material: Material, size: &Size) -> bool {
    trade::build_of(material).round == shape::is_round(size)
}

fn shape_problem(
    material: Material,
    size: &Size,
    book: &Book,
    at: crate::sketch::Span,
) -> Diagnostic {
    let build = trade::build_of(material);
    let (expected, example) = if build.round {
        ("round", "6 in")
    } else {
        ("two-sided", "20x8 in")
    };
    Diagnostic::new(
        "E0212",
        at,
        format!(
            "{} has a {expected} section, found `{}`",
            build.words,
            book.size(size)
        ),
    )
    .label("material and size do not fit")
    .hint(format!(
        "write a size like `{example}`, or another material"
    ))
}

fn check_sections(
    material: Material,
    length: f64,
    at: crate::sketch::Span,
    book: &Book,
    notes: &mut Notes,
) {
    let section = book.usual(material).and_then(|u| u.section.as_ref());
    if let Some(section) = section
        && (section.value.si().is_nan()
            || section.value.si() <= 0.0
            || length / section.value.si() > MOST_SECTIONS)
    {
        let shown = Length::new(length).show(book.units);
        notes.wrong(
            Diagnostic::new("E0213", section.at, format!("a section this short cuts a length of {shown} in more than {MOST_SECTIONS} parts"))
                .also(at, "the length")
                .hint("sections of sheet metal are 4 or 5 ft long as a rule"),
        );
    }
}
