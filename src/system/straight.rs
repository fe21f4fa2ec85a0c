//! Straight lengths of a walk: sections, lock seams, and the junctions where other runs hang.

use petgraph::graph::EdgeIndex;

use super::closing::each_or;
use super::layout::SAME_SPOT_M;
use super::shape;
use super::site::Spot;
use super::trade;
use super::types::{PieceKind, PlaceIdx, SeamAt, SeamRole};
use super::walk::{Before, Class, Walker, class_of};
use crate::quantity::Length;
use crate::sketch::{Heading, Material, Step};

impl<'a> Walker<'_, 'a> {
    pub(super) fn straight(
        &mut self,
        step: &'a Step,
        heading: Option<Heading>,
        length: f64,
        other: Option<Material>,
        stops: &[f64],
    ) {
        let material = other.unwrap_or(self.material);
        let build = trade::build_of(material);
        let around = self.around(step, material);
        let sections = self.site.sections(material);
        let class = class_of(material);
        let mut bend_loss = 0.0;
        let friction_factor = if material == Material::Flex {
            trade::flex_factor(self.compression(), shape::width(&self.size))
        } else {
            1.0
        };
        if self.head(heading, material) {
            bend_loss = self.site.book.loss("elbow-flex") * friction_factor;
        }
        self.straights += 1;
        let name = self.pieces.numbered(&self.run.id.value, "straight");
        let said = step.over.joint.as_ref();
        let joint = match said {
            Some(words) => self
                .site
                .book
                .said_joint(words, material, &mut self.site.notes),
            None => sections.joint,
        };
        let parts = sections
            .section_m
            .map_or(1, |s| ((length / s - 1e-6).ceil() as usize).max(1));
        let section = sections.section_m.unwrap_or(length);
        let joints_inside = if matches!(class, Class::Sheet(_)) {
            parts - 1
        } else {
            0
        };
        let before_count = self.seams.len();
        // An own leak of a straight length is the leak of all its transverse joints together.
        let own = step.over.leak.as_ref();
        let upstream = usize::from(self.before != Before::Joined);
        let share = 1.0 / (joints_inside + upstream).max(1) as f64;
        let said_joint = if said.is_some() { joint } else { None };
        if said.is_none() || said_joint.is_some() {
            self.close(class, &name, around, own.map(|o| (o, share)), said_joint);
        }

        // The pieces: the length cut where other runs hang on it.
        let (from, to) = (self.along, self.along + length);
        let first = stops.partition_point(|&s| s <= from + SAME_SPOT_M);
        let last = stops.partition_point(|&s| s < to - SAME_SPOT_M);
        let mut edges: Vec<(f64, f64, EdgeIndex)> =
            Vec::with_capacity(1 + last.saturating_sub(first));
        self.spot(around.place);
        let mut start = from;
        for &stop in stops.get(first..last).unwrap_or(&[]).iter().chain([&to]) {
            let id = if start > from {
                format!(
                    "{name} from {}",
                    Length::new(start).show_with(self.site.book.units, 6)
                )
            } else {
                name.clone()
            };
            let loss = if start > from { 0.0 } else { bend_loss };
            let inside = self.site.book.inside(self.run, material, &sections);
            let wall = Some((inside, friction_factor));
            let edge = self.edge(
                id,
                PieceKind::Straight,
                self.size,
                stop - start,
                loss,
                around,
                build.made_of,
                wall,
            );
            self.along = stop;
            edges.push((start, stop, edge));
            self.spot(around.place);
            start = stop;
        }

        // The seams: section by section, joints between them, in the order of the walk.
        let perimeter = shape::perimeter(&self.size);
        let words = self.words();
        let mut cursor = 0;
        let mut place_at = |x: f64| {
            while cursor + 1 < edges.len() && edges[cursor].1 < x {
                cursor += 1;
            }
            let (a, b, edge) = edges[cursor];
            SeamAt::Piece(edge, ((x - a) / (b - a)).clamp(0.0, 1.0))
        };
        let run = self.run.id.value.as_str();
        for k in 0..parts {
            let a = k as f64 * section;
            let b = if k + 1 == parts { length } else { a + section };
            if let (Some(lock), Some(_)) = (sections.seam, build.seam) {
                let amount = (b - a) * trade::seams_side_by_side(material, perimeter);
                let factor = sections.gauge_m.map_or(1.0, |t| lock.gauge_factor(t));
                let id = self.names.numbered(run, build.seam_word);
                let what = format!("{} of {} {words}", build.seam_word, build.words);
                let at = place_at(from + 0.5 * (a + b));
                self.push(
                    id,
                    lock,
                    amount,
                    factor,
                    name.clone(),
                    what,
                    around,
                    at,
                    SeamRole::Duct,
                    None,
                );
            }
            if k + 1 < parts
                && joints_inside > 0
                && let Some(joint) = joint
            {
                let id = self.names.numbered(run, "joint");
                let what = format!("joint of {} {words}", build.words);
                let amount = each_or(joint, perimeter);
                let at = place_at(from + b);
                self.push(
                    id,
                    joint,
                    amount,
                    1.0,
                    name.clone(),
                    what,
                    around,
                    at,
                    SeamRole::Duct,
                    own.map(|o| (o, share)),
                );
            }
        }
        if let (Some(_), true) = (own, self.seams.len() == before_count) {
            self.site.notes.warn(
                "leak-without-seam",
                format!("a step of `{run}` states its own leak but has no joint to carry it: the figure is not used"),
            );
        }
        self.before = Before::After(class);
    }

    /// Turns to the heading of a straight length. Gives whether flex bent without a fitting.
    pub(super) fn head(&mut self, heading: Option<Heading>, material: Material) -> bool {
        let due = self.turn_due.take();
        let Some(heading) = heading else {
            if due.is_some() {
                self.site.notes.assume(
                    &format!("run {}", self.run.id.value),
                    "an elbow without a heading is drawn straight ahead",
                    "drawing only, no bearing on leakage",
                );
            } else if self.straights == 0 && self.from.heading_assumed {
                self.site.notes.assume(
                    &format!("run {}", self.run.id.value),
                    "its first heading",
                    "drawing only: north for supply, south for return, left off another run",
                );
            }
            return false;
        };
        let to = self.frame.vector(heading);
        if let Some(degrees) = due {
            self.frame.turn(heading, degrees);
            return false;
        }
        let turned = !self.frame.goes(to);
        self.frame.face(to);
        if !turned || self.straights == 0 {
            return false;
        }
        if material != Material::Flex {
            self.site.notes.warn(
                "turn-without-elbow",
                format!(
                    "`{}` changes its heading without an elbow: no seam and no loss is counted for the turn",
                    self.run.id.value
                ),
            );
        }
        material == Material::Flex
    }

    pub(super) fn spot(&mut self, place: PlaceIdx) {
        self.spots.push(Spot {
            along: self.along,
            node: self.node,
            frame: self.frame,
            place,
        });
    }
}
