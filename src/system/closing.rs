//! Seams and pieces of a walk: what closes one length or fitting on the next.

use petgraph::graph::EdgeIndex;

use super::book::Around;
use super::shape;
use super::site::{NewSeam, seam};
use super::trade;
use super::types::{Piece, PieceKind, SeamAt, SeamRole};
use super::walk::{Before, Class, Walker};
use crate::catalog::JointType;
use crate::quantity::{Length, Size};
use crate::sketch::{Material, Overrides, OwnLeak, Step};

impl<'a> Walker<'_, 'a> {
    /// Adds one seam, numbered from its second of a kind on.
    #[allow(clippy::too_many_arguments)] // one seam, all of it needed
    pub(super) fn add(
        &mut self,
        over: Option<&'a Overrides>,
        word: &str,
        joint: Option<&'a JointType>,
        amount: f64,
        piece: String,
        what: String,
        around: Around,
        at: SeamAt,
        role: SeamRole,
    ) {
        let said = over.and_then(|o| o.joint.as_ref());
        let joint = match said {
            Some(words) => self
                .site
                .book
                .said_joint(words, self.material, &mut self.site.notes),
            None => joint,
        };
        let Some(joint) = joint else { return };
        let id = self.names.next(&self.run.id.value, word);
        let own = over.and_then(|o| o.leak.as_ref());
        self.push(
            id,
            joint,
            amount,
            1.0,
            piece,
            what,
            around,
            at,
            role,
            own.map(|o| (o, 1.0)),
        );
    }

    #[allow(clippy::too_many_arguments)] // one seam, all of it needed
    pub(super) fn push(
        &mut self,
        id: String,
        joint: &'a JointType,
        amount: f64,
        factor: f64,
        piece: String,
        what: String,
        around: Around,
        at: SeamAt,
        role: SeamRole,
        own: Option<(&'a OwnLeak, f64)>,
    ) {
        self.seams.push(seam(NewSeam {
            id,
            run: &self.run.id.value,
            piece,
            what,
            joint,
            amount,
            factor,
            around,
            side: self.run.side.value,
            at,
            role,
            own: own.map(|o| o.0),
            own_part: own.map_or(1.0, |o| o.1),
        }));
    }

    /// A seam of a thing without a piece of its own, at the present junction.
    pub(super) fn small(
        &mut self,
        step: &'a Step,
        word: &str,
        joint: &str,
        amount: f64,
        piece: Option<String>,
        what: &str,
    ) {
        let around = self.around(step, self.material);
        let joint = self.site.book.joint(joint);
        let piece = piece.unwrap_or_else(|| self.pieces.next(&self.run.id.value, word));
        let at = SeamAt::Junction(self.node);
        self.add(
            step_over(step),
            word,
            joint,
            amount,
            piece,
            what.to_owned(),
            around,
            at,
            SeamRole::Duct,
        );
    }

    /// The joint at the upstream end of the next length or fitting. Gives how many seams it made.
    pub(super) fn close(
        &mut self,
        next: Class,
        piece: &str,
        around: Around,
        own: Option<(&'a OwnLeak, f64)>,
        said: Option<&'a JointType>,
    ) {
        let before = self.before;
        let at = SeamAt::Junction(self.node);
        let run = self.run.id.value.as_str();
        let either =
            |want: fn(Class) -> bool| want(next) || matches!(before, Before::After(c) if want(c));
        let is_flex = |c: Class| c == Class::Flex;
        let is_bay = |c: Class| matches!(c, Class::Bay(_));
        if before == Before::Joined {
            return;
        }
        if let Before::After(last) = before
            && ((is_flex(last) && is_flex(next)) || (is_bay(last) && is_bay(next)))
        {
            return;
        }
        let metres = shape::perimeter(&self.size);
        let words = self.words();
        if either(is_bay) {
            let bay = match (before, next) {
                (_, Class::Bay(m)) | (Before::After(Class::Bay(m)), _) => m,
                _ => self.material,
            };
            let joint = said.or_else(|| self.site.sections(bay).joint);
            let word = bay_end(bay);
            if let Some(joint) = joint {
                let id = self.names.next(run, word);
                let amount = each_or(joint, metres);
                self.push(
                    id,
                    joint,
                    amount,
                    1.0,
                    piece.to_owned(),
                    format!("{word} {words}"),
                    around,
                    at,
                    SeamRole::Duct,
                    own,
                );
            }
        }
        if either(is_flex) {
            let joint = said.or_else(|| self.site.sections(Material::Flex).joint);
            if let Some(joint) = joint {
                let id = self.names.next(run, "flex collar");
                let amount = each_or(joint, metres);
                self.push(
                    id,
                    joint,
                    amount,
                    1.0,
                    piece.to_owned(),
                    format!("flex collar {words}"),
                    around,
                    at,
                    SeamRole::Duct,
                    own,
                );
            }
        }
        if let (Class::Sheet(m), false, false) = (next, either(is_bay), either(is_flex)) {
            let joint = said.or_else(|| self.site.sections(m).joint);
            if let Some(joint) = joint {
                let id = self.names.numbered(run, "joint");
                let what = format!("joint of {} {words}", trade::build_of(m).words);
                let amount = each_or(joint, metres);
                self.push(
                    id,
                    joint,
                    amount,
                    1.0,
                    piece.to_owned(),
                    what,
                    around,
                    at,
                    SeamRole::Duct,
                    own,
                );
            }
        }
    }

    /// A fitting without length: its piece. Gives the piece's id.
    pub(super) fn fitting(
        &mut self,
        step: &'a Step,
        word: &str,
        kind: PieceKind,
        loss: f64,
    ) -> String {
        let around = self.around(step, self.material);
        let id = self.pieces.next(&self.run.id.value, word);
        let made_of = trade::build_of(self.fitting_material()).made_of;
        self.edge(
            id.clone(),
            kind,
            self.size,
            0.0,
            loss,
            around,
            made_of,
            None,
        );
        id
    }

    /// Adds a piece from the present junction to a new one and steps onto it.
    #[allow(clippy::too_many_arguments)] // one piece, all of it needed
    pub(super) fn edge(
        &mut self,
        id: String,
        kind: PieceKind,
        section: Size,
        length_m: f64,
        loss: f64,
        around: Around,
        made_of: &str,
        wall: Option<(f64, f64)>,
    ) -> EdgeIndex {
        let run = self.run.id.value.as_str();
        if length_m > 0.0 {
            self.frame = self.frame.ahead(length_m);
            self.along += length_m;
        }
        let junction = if length_m > 0.0 {
            format!(
                "{run} at {}",
                Length::new(self.along).show_with(self.site.book.units, 6)
            )
        } else {
            format!(
                "{run} after {}",
                id.strip_prefix(run)
                    .map_or(id.as_str(), |w| w.trim_start_matches('/'))
            )
        };
        let (roughness_m, friction_factor) = wall.unwrap_or((0.0, 1.0));
        let to = self
            .site
            .junction(junction, &self.frame, self.run.side.value);
        let edge = self.site.piece(
            self.node,
            to,
            Piece {
                id,
                kind,
                run: Some(self.idx),
                step: self.step,
                side: self.run.side.value,
                section,
                length_m,
                roughness_m,
                friction_factor,
                loss,
                component: None,
                place: around.place,
                reach: around.reach,
                made_of: made_of.to_owned(),
                surface_m2: shape::perimeter(&section) * length_m,
                insulation_m2_k_w: around.insulation,
                takeoff_form: None,
            },
        );
        self.first.get_or_insert(edge);
        self.node = to;
        edge
    }
}

/// What a step says of itself.
pub(super) fn step_over(step: &Step) -> Option<&Overrides> {
    Some(&step.over)
}

/// The word for the end block of a bay.
pub(super) fn bay_end(material: Material) -> &'static str {
    if material == Material::Cavity {
        "cavity end"
    } else {
        "pan end"
    }
}

/// Metres for a type counted by the metre, else one piece.
pub(super) fn each_or(joint: &JointType, metres: f64) -> f64 {
    match joint.basis {
        crate::catalog::Basis::PerMetre => metres,
        crate::catalog::Basis::Each => 1.0,
    }
}
