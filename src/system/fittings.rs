//! Fittings of a walk: takeoffs, elbows, reducers, splices.

use super::book::material_by_shape;
use super::closing::step_over;
use super::shape;
use super::trade;
use super::types::{PieceKind, SeamAt, SeamRole};
use super::walk::{Before, Class, Walker};
use crate::quantity::Size;
use crate::sketch::{self, ElbowKind, Heading, Material, Step, Takeoff};

impl<'a> Walker<'_, 'a> {
    pub(super) fn takeoff(&mut self, kind: Takeoff, step: Option<&'a Step>) {
        let (word, joint, fitting) = trade::takeoff(kind);
        let around = self.site.book.around(
            step.map(|s| &s.over),
            Some(&self.run.over),
            self.material,
            self.inherited,
            &mut self.site.places,
            &mut self.site.notes,
        );
        let row = match (self.from.at_plenum, self.run.side.value) {
            (true, _) => "takeoff-plenum",
            (false, sketch::Side::Return) => "takeoff-return",
            (false, sketch::Side::Supply) => fitting,
        };
        let loss = self.site.book.loss(row);
        let piece = self.pieces.next(&self.run.id.value, word);
        let made_of = trade::build_of(self.fitting_material()).made_of;
        let tail = self.node;
        let edge = self.edge(
            piece.clone(),
            PieceKind::Takeoff,
            self.size,
            0.0,
            loss,
            around,
            made_of,
            None,
        );
        self.site.graph[edge].takeoff_form = self.from.takeoff_form;
        let amount = shape::perimeter(&self.size);
        let joint = self.site.book.joint(joint);
        let what = format!("{word} {}", self.words());
        self.add(
            step.map(|s| &s.over),
            word,
            joint,
            amount,
            piece,
            what,
            around,
            SeamAt::Junction(tail),
            SeamRole::Duct,
        );
        self.before = Before::After(Class::Sheet(self.fitting_material()));
    }

    pub(super) fn elbow(
        &mut self,
        step: &'a Step,
        kind: ElbowKind,
        heading: Option<Heading>,
        degrees: f64,
    ) {
        let round = shape::is_round(&self.size);
        let (word, row, row_45) = trade::elbow(kind, round);
        let mut loss = match row_45 {
            Some(row_45) if (degrees - 45.0).abs() < 1.0 => self.site.book.loss(row_45),
            _ => self.site.book.loss(row) * trade::angle_factor(kind, degrees),
        };
        let around = self.around(step, self.material);
        let piece = self.pieces.next(&self.run.id.value, word);
        let bay = trade::is_bay(self.material);
        let class = match kind {
            ElbowKind::FlexBend => Class::Flex,
            _ if bay => Class::Bay(self.material),
            _ => Class::Sheet(self.fitting_material()),
        };
        if kind == ElbowKind::FlexBend {
            loss *= trade::flex_factor(self.compression(), shape::width(&self.size));
        }
        self.close(class, &piece, around, None, None);
        let made_of = match class {
            Class::Flex => trade::build_of(Material::Flex).made_of,
            Class::Sheet(m) | Class::Bay(m) => trade::build_of(m).made_of,
        };
        match heading {
            Some(h) => self.turn(h, degrees),
            None => self.turn_due = Some(degrees),
        }
        let tail = self.node;
        self.edge(
            piece.clone(),
            PieceKind::Elbow,
            self.size,
            0.0,
            loss,
            around,
            made_of,
            None,
        );
        let body = match (class, kind, round) {
            (Class::Flex | Class::Bay(_), ..) => None,
            (Class::Sheet(Material::DuctBoard), ..) => Some("joint-ductboard"),
            (_, ElbowKind::Adjustable, _) => Some("elbow-adjustable"),
            (_, _, true) => Some("elbow-fixed-round"),
            (_, _, false) => Some("fitting-body-rect"),
        };
        let joint = body.and_then(|id| self.site.book.joint(id));
        let what = format!("{word} {}", self.words());
        let amount = shape::perimeter(&self.size);
        self.add(
            step_over(step),
            word,
            joint,
            amount,
            piece,
            what,
            around,
            SeamAt::Junction(tail),
            SeamRole::Duct,
        );
        self.flex_bend_last = kind == ElbowKind::FlexBend;
        self.before = Before::After(class);
    }

    pub(super) fn turn(&mut self, heading: Heading, degrees: f64) {
        let to = self.frame.vector(heading);
        if self.frame.goes(to) && self.straights > 0 {
            self.site.notes.warn(
                "elbow-goes-ahead",
                format!(
                    "an elbow of `{}` turns to the heading that the run already has",
                    self.run.id.value
                ),
            );
        }
        self.frame.turn(heading, degrees);
    }

    pub(super) fn reducer(&mut self, step: &'a Step, to: Size) {
        let old = self.size;
        let around = self.around(step, self.material);
        let piece = self.pieces.next(&self.run.id.value, "reducer");
        let material = self.fitting_material();
        self.close(Class::Sheet(material), &piece, around, None, None);
        let narrows = to.area().si() <= old.area().si();
        let loss = self
            .site
            .book
            .loss(if narrows { "reducer" } else { "increaser" });
        let own = if narrows { to } else { old };
        let tail = self.node;
        self.edge(
            piece.clone(),
            PieceKind::Reducer,
            own,
            0.0,
            loss,
            around,
            trade::build_of(material).made_of,
            None,
        );
        let both_round = shape::is_round(&old) && shape::is_round(&to);
        let body = match (material, both_round) {
            (Material::DuctBoard, _) => "joint-ductboard",
            (_, true) => "reducer-body",
            (_, false) => "fitting-body-rect",
        };
        let amount = shape::perimeter(&old).max(shape::perimeter(&to));
        let what = format!("reducer {} to {}", self.words(), self.site.book.size(&to));
        let joint = self.site.book.joint(body);
        self.add(
            step_over(step),
            "reducer",
            joint,
            amount,
            piece,
            what,
            around,
            SeamAt::Junction(tail),
            SeamRole::Duct,
        );
        if shape::is_round(&old) != shape::is_round(&to) {
            self.material = material_by_shape(&to);
        }
        self.size = to;
        self.before = Before::After(Class::Sheet(self.fitting_material()));
    }

    pub(super) fn splice(&mut self, step: &'a Step) {
        let around = self.around(step, Material::Flex);
        let piece = self.pieces.next(&self.run.id.value, "splice");
        let joint = self.site.book.joint("flex-collar");
        for _ in 0..2 {
            let at = SeamAt::Junction(self.node);
            let what = format!("splice collar {}", self.words());
            let amount = shape::perimeter(&self.size);
            self.add(
                step_over(step),
                "splice collar",
                joint,
                amount,
                piece.clone(),
                what,
                around,
                at,
                SeamRole::Duct,
            );
        }
    }
}
