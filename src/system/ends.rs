//! Ends of a walk: boots, return boxes, caps, and links to other runs.

use super::closing::{bay_end, each_or, step_over};
use super::notes::PRACTICE;
use super::openings::{self, FREE_PART, LOSS_SOURCE};
use super::shape;
use super::site::Join;
use super::trade;
use super::types::{LeadsTo, Opening, Piece, PieceKind, RunIdx, SeamAt, SeamRole};
use super::walk::{Before, Class, Walker, class_of, usual_takeoff};
use crate::quantity::Size;
use crate::sketch::{BootKind, Material, Reach, Step, Takeoff};

impl<'a> Walker<'_, 'a> {
    pub(super) fn boot(&mut self, step: &'a Step, kind: BootKind, size: Size, bend_before: bool) {
        let mut around = self.around(step, self.material);
        let (word, row) = match kind {
            BootKind::Turn if bend_before => ("boot", "boot-flex-bend"),
            BootKind::Turn => ("boot", "boot"),
            BootKind::Straight => ("boot", "boot-end"),
            BootKind::ReturnBox => ("return box", "entry-flush"),
        };
        if !around.reach_said {
            around.reach = Reach::Open;
            self.site.notes.assume(
                "boots and return boxes",
                "reach: open, from the room with the grille off",
                PRACTICE,
            );
        }
        let piece = self.pieces.next(&self.run.id.value, word);
        let material = self.fitting_material();
        self.close(Class::Sheet(material), &piece, around, None, None);
        let tail = self.node;
        let loss = self.site.book.loss(row);
        self.edge(
            piece.clone(),
            PieceKind::Boot,
            self.size,
            0.0,
            loss,
            around,
            trade::build_of(material).made_of,
            None,
        );
        let opening = self.site.opening_of[self.idx];
        let words = self.site.book.size(&size);
        if kind != BootKind::ReturnBox {
            let joint = self.site.book.joint("boot-body");
            let what = format!("{word} {words}");
            self.add(
                None,
                word,
                joint,
                1.0,
                piece.clone(),
                what,
                around,
                SeamAt::Junction(tail),
                SeamRole::Duct,
            );
        }
        let gap = format!("{word} gap");
        let role = opening.map_or(SeamRole::Duct, SeamRole::BootGap);
        let joint = self.site.book.joint("boot-to-surface");
        let what = format!("gap between {word} {words} and surface");
        let at = SeamAt::Junction(self.node);
        self.add(
            step_over(step),
            &gap,
            joint,
            shape::perimeter(&size),
            piece.clone(),
            what,
            around,
            at,
            role,
        );
        self.file_opening(piece, size, LeadsTo::Room);
    }

    /// An outdoor-air intake: its connection leaks, its hood is no gap to a room.
    pub(super) fn intake(&mut self, step: &'a Step, size: Size) {
        let around = self.around(step, self.material);
        let piece = self.pieces.next(&self.run.id.value, "intake");
        let material = self.fitting_material();
        let own = step.over.leak.as_ref().map(|own| (own, 1.0));
        let said = match &step.over.joint {
            Some(words) => self
                .site
                .book
                .said_joint(words, self.material, &mut self.site.notes),
            None => None,
        };
        self.close(Class::Sheet(material), &piece, around, own, said);
        self.edge(
            piece.clone(),
            PieceKind::Boot,
            self.size,
            0.0,
            0.0,
            around,
            trade::build_of(material).made_of,
            None,
        );
        self.file_opening(piece, size, LeadsTo::Outdoors);
    }

    /// Files the opening at the end of the run.
    fn file_opening(&mut self, id: String, size: Size, leads_to: LeadsTo) {
        let Some(i) = self.site.opening_of[self.idx] else {
            return;
        };
        self.site.notes.assume(
            "registers, grilles and intakes",
            &format!(
                "free area {} %: loss {:.2} on the velocity in the whole opening, exit included",
                FREE_PART * 100.0,
                openings::loss(FREE_PART)
            ),
            LOSS_SOURCE,
        );
        let room = self.run.room.as_ref().map(|r| r.value.clone());
        self.site.openings[i] = Some(Opening {
            id,
            run: self.idx,
            side: self.run.side.value,
            room_index: room.as_ref().and_then(|name| self.site.rooms.index(name)),
            room,
            leads_to,
            node: self.node,
            size,
            loss: openings::loss(FREE_PART),
            filter: None,
        });
    }

    pub(super) fn cap(&mut self, step: &'a Step) {
        let around = self.around(step, self.material);
        let piece = self.pieces.next(&self.run.id.value, "cap");
        let at = SeamAt::Junction(self.node);
        let last = match self.before {
            Before::After(class) => class,
            _ => class_of(self.material),
        };
        let (word, joint) = match last {
            Class::Bay(m) => (bay_end(m), self.site.sections(m).joint),
            Class::Flex => ("cap", self.site.book.joint("flex-collar")),
            Class::Sheet(Material::DuctBoard) => ("cap", self.site.book.joint("joint-ductboard")),
            Class::Sheet(_) if shape::is_round(&self.size) => {
                ("cap", self.site.book.joint("joint-round-crimp"))
            }
            Class::Sheet(_) => ("cap", self.site.book.joint("endcap-rect")),
        };
        let amount = joint.map_or(1.0, |j| each_or(j, shape::perimeter(&self.size)));
        let what = format!(
            "{} {}",
            if word == "cap" { "end cap" } else { word },
            self.words()
        );
        self.add(
            step_over(step),
            word,
            joint,
            amount,
            piece,
            what,
            around,
            at,
            SeamRole::Duct,
        );
    }

    pub(super) fn joins(&mut self, step: &'a Step, target: RunIdx, along: Option<f64>) {
        let around = self.around(step, self.material);
        let piece = self.pieces.next(&self.run.id.value, "joining");
        let made_of = trade::build_of(self.fitting_material()).made_of.to_owned();
        if along.is_some() {
            let kind = usual_takeoff(self.material).unwrap_or(Takeoff::SideTap);
            let (word, joint, _) = trade::takeoff(kind);
            self.close(
                Class::Sheet(self.fitting_material()),
                &piece,
                around,
                None,
                None,
            );
            let joint = self.site.book.joint(joint);
            let what = format!("joining {word} {}", self.words());
            let at = SeamAt::Junction(self.node);
            let amount = shape::perimeter(&self.size);
            self.add(
                step_over(step),
                "joining",
                joint,
                amount,
                piece.clone(),
                what,
                around,
                at,
                SeamRole::Duct,
            );
        } else {
            self.close(class_of(self.material), &piece, around, None, None);
        }
        self.site.joins.push(Join {
            from: self.node,
            run: self.idx,
            target,
            along,
            piece: Piece {
                id: piece,
                kind: PieceKind::Link,
                run: Some(self.idx),
                step: self.step,
                side: self.run.side.value,
                section: self.size,
                length_m: 0.0,
                roughness_m: 0.0,
                friction_factor: 1.0,
                loss: 0.0,
                component: None,
                place: around.place,
                reach: around.reach,
                made_of,
                surface_m2: 0.0,
                insulation_m2_k_w: around.insulation,
                takeoff_form: None,
            },
            is_first: self.first.is_none(),
        });
    }
}
