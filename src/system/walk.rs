//! Walking one run: steps become pieces, junctions and seams.

use petgraph::graph::{EdgeIndex, NodeIndex};

use super::book::{Around, material_by_shape};
use super::closing::step_over;
use super::frame::Frame;
use super::layout::{End, Layout};
use super::notes::PRACTICE;
use super::shape;
use super::site::{Names, Site, Spot};
use super::trade;
use super::types::{PieceKind, PlaceIdx, Run, RunIdx, Seam, SeamAt, SeamRole, TakeoffForm};
use crate::quantity::Size;
use crate::sketch::{self, Material, Reach, Step, StepKind, Takeoff};

/// What a length or fitting is, as far as its joint with the next matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Class {
    /// Sheet metal, duct board, or a metal fitting.
    Sheet(Material),
    /// Flex.
    Flex,
    /// Panned joist or cavity.
    Bay(Material),
}

/// What lies before the next length or fitting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Before {
    /// A plenum or the face of another duct: the next one closes on it.
    Box,
    /// A connector that already brought the joint.
    Joined,
    /// A length or fitting.
    After(Class),
}

/// Where a run starts in the graph.
#[derive(Debug, Clone, Copy)]
pub(super) struct From {
    pub node: NodeIndex,
    pub frame: Frame,
    pub before: Before,
    pub place: PlaceIdx,
    /// The takeoff to take when the walk names none.
    pub takeoff: Option<Takeoff>,
    /// How it leaves the side of another run, if it does.
    pub takeoff_form: Option<TakeoffForm>,
    pub at_plenum: bool,
    /// The heading at the start is only assumed.
    pub heading_assumed: bool,
}

/// The class of a straight length.
pub(super) fn class_of(material: Material) -> Class {
    match material {
        Material::Flex => Class::Flex,
        m if trade::is_bay(m) => Class::Bay(m),
        m => Class::Sheet(m),
    }
}

/// A run being walked: where it is, what lies before, what it has made.
pub(super) struct Walker<'w, 'a> {
    pub site: &'w mut Site<'a>,
    pub run: &'a sketch::Run,
    pub idx: RunIdx,
    /// The step being walked.
    pub step: Option<usize>,
    pub node: NodeIndex,
    pub size: Size,
    pub material: Material,
    pub names: Names,
    pub pieces: Names,
    pub frame: Frame,
    pub along: f64,
    pub before: Before,
    pub inherited: PlaceIdx,
    pub from: From,
    pub compression: Option<f64>,
    pub seams: Vec<Seam>,
    pub spots: Vec<Spot>,
    pub first: Option<EdgeIndex>,
    /// An elbow turned somewhere, by this many degrees.
    pub turn_due: Option<f64>,
    pub straights: usize,
    pub flex_bend_last: bool,
}

/// Walks a run into the graph. `stops` are the distances, in order, where other runs hang on it.
pub(super) fn walk(site: &mut Site<'_>, idx: RunIdx, from: From, stops: &[f64], layout: &Layout) {
    let run = &site.book.sketch.runs[idx];
    let material = site.book.material(run);
    let mut walker = Walker {
        run,
        idx,
        step: None,
        node: from.node,
        size: run.size.value,
        material,
        names: Names::default(),
        pieces: Names::default(),
        frame: from.frame,
        along: 0.0,
        before: from.before,
        inherited: from.place,
        from,
        compression: None,
        seams: Vec::new(),
        spots: Vec::new(),
        first: None,
        turn_due: None,
        straights: 0,
        flex_bend_last: false,
        site,
    };
    walker.go(stops, layout);
}

impl<'a> Walker<'_, 'a> {
    fn go(&mut self, stops: &[f64], layout: &Layout) {
        let explicit = matches!(
            self.run.walk.first().map(|s| &s.kind),
            Some(StepKind::Takeoff(_))
        );
        if let (Some(kind), false) = (self.from.takeoff, explicit) {
            let about = format!("takeoffs of {}", trade::build_of(self.material).words);
            self.site
                .notes
                .assume(&about, trade::takeoff(kind).0, PRACTICE);
            self.takeoff(kind, None);
        }
        for (index, step) in self.run.walk.iter().enumerate() {
            self.step = Some(index);
            let before = self.seams.len();
            self.step(step, stops);
            for seam in &mut self.seams[before..] {
                seam.step = self.step;
            }
        }
        self.step = None;
        self.finish(layout);
    }

    fn step(&mut self, step: &'a Step, stops: &[f64]) {
        let bend_before = std::mem::replace(&mut self.flex_bend_last, false);
        match &step.kind {
            StepKind::Straight {
                heading,
                length,
                material,
            } => {
                self.straight(step, *heading, length.si(), *material, stops);
            }
            StepKind::Takeoff(kind) => self.takeoff(*kind, Some(step)),
            StepKind::Elbow {
                kind,
                heading,
                degrees,
            } => self.elbow(step, *kind, *heading, *degrees),
            StepKind::Reducer { to } => self.reducer(step, *to),
            StepKind::Boot { kind, size } => self.boot(step, *kind, *size, bend_before),
            StepKind::Intake { size } => self.intake(step, *size),
            StepKind::Cap => self.cap(step),
            StepKind::Damper { degrees } => {
                let loss = if *degrees > 0.0 {
                    trade::damper_loss(*degrees)
                } else {
                    self.site.book.loss("damper")
                };
                let piece = self.fitting(step, "damper", PieceKind::Inline, loss);
                self.small(
                    step,
                    "damper",
                    "damper-shaft",
                    1.0,
                    Some(piece),
                    "damper shaft",
                );
            }
            StepKind::Canvas => {
                let seam_at = self.node;
                let piece = self.fitting(
                    step,
                    "canvas",
                    PieceKind::Inline,
                    self.site.book.loss("canvas"),
                );
                let amount = shape::perimeter(&self.size);
                let around = self.around(step, self.material);
                let joint = self.site.book.joint("joint-canvas");
                let what = format!("canvas connector {}", self.words());
                self.add(
                    step_over(step),
                    "canvas",
                    joint,
                    amount,
                    piece,
                    what,
                    around,
                    SeamAt::Junction(seam_at),
                    SeamRole::Duct,
                );
                self.before = Before::Joined;
            }
            StepKind::AccessDoor { size } => {
                let amount = shape::perimeter(size);
                let what = format!("access door {}", self.site.book.size(size));
                self.small(step, "access door", "access-door", amount, None, &what);
            }
            StepKind::FilterSlot => self.small(
                step,
                "filter slot",
                "filter-slot",
                1.0,
                None,
                "filter slot in the duct",
            ),
            StepKind::TestHole => {
                self.small(step, "test hole", "test-hole", 1.0, None, "test hole")
            }
            StepKind::Splice => self.splice(step),
            StepKind::Joins { run, along } => {
                if let Some(target) = self.site.book.run_called(&run.value) {
                    self.joins(step, target, along.as_ref().map(|a| a.value.si()));
                }
            }
        }
    }

    /// What surrounds a step.
    pub(super) fn around(&mut self, step: &'a Step, material: Material) -> Around {
        let run = Some(&self.run.over);
        self.site.book.around(
            Some(&step.over),
            run,
            material,
            self.inherited,
            &mut self.site.places,
            &mut self.site.notes,
        )
    }

    pub(super) fn words(&self) -> String {
        self.site.book.size(&self.size)
    }

    pub(super) fn compression(&mut self) -> f64 {
        match self.compression {
            Some(c) => c,
            None => {
                let c = self.site.book.compression(self.run, &mut self.site.notes);
                self.compression = Some(c);
                c
            }
        }
    }

    /// The metal of a fitting in this run.
    pub(super) fn fitting_material(&self) -> Material {
        match self.material {
            Material::Flex | Material::PannedJoist | Material::Cavity => {
                material_by_shape(&self.size)
            }
            m => m,
        }
    }

    /// Files the run once its walk is done.
    fn finish(&mut self, layout: &Layout) {
        if self.first.is_none() && layout.end != End::Joins {
            // A run of small things only, such as a capped collar: a lossless link stands for it.
            let around = Around {
                place: self.inherited,
                reach: Reach::Open,
                reach_said: false,
                work: crate::catalog::Work::Ordinary,
                insulation: 0.0,
            };
            let id = self.pieces.next(&self.run.id.value, "stub");
            let made_of = trade::build_of(self.material).made_of;
            self.edge(
                id,
                PieceKind::Link,
                self.size,
                0.0,
                0.0,
                around,
                made_of,
                None,
            );
        }
        let place = self.spots.last().map_or(self.inherited, |s| s.place);
        self.spot(place);
        let run = self.run;
        self.site.runs[self.idx] = Some(Run {
            id: run.id.value.clone(),
            side: run.side.value,
            room: run.room.as_ref().map(|r| r.value.clone()),
            first_piece: self.first.unwrap_or_default(),
            opening: self.site.opening_of[self.idx],
            length_m: self.along,
            design_flow_m3_s: run.design_flow.as_ref().map(|f| f.value.si()),
            end_heading: self.frame.dir,
        });
        self.site.run_seams[self.idx] = std::mem::take(&mut self.seams);
        self.site.spots[self.idx] = std::mem::take(&mut self.spots);
    }
}

/// The takeoff of a material when the walk names none; bays close on the other duct with an end block of their own.
pub(super) fn usual_takeoff(material: Material) -> Option<Takeoff> {
    match material {
        Material::Round | Material::Spiral | Material::Flex => Some(Takeoff::TabCollar),
        Material::Rectangular | Material::DuctBoard => Some(Takeoff::SideTap),
        Material::PannedJoist | Material::Cavity => None,
    }
}
