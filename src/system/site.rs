//! The system under construction.

use std::collections::BTreeMap;

use petgraph::graph::{DiGraph, EdgeIndex, NodeIndex};

use super::book::{Around, Book, Sections};
use super::frame::Frame;
use super::notes::Notes;
use super::places::Places;
use super::spaces::Rooms;
use super::types::{Junction, Opening, OpeningIdx, Piece, Run, RunIdx, Seam, SeamAt, SeamRole};
use crate::catalog::JointType;
use crate::sketch::{Material, OwnLeak, Side};

/// Spread taken for a person's own leak figure without one. Engineering estimate.
const OWN_SPREAD: f64 = 1.5;

/// The parts made so far.
pub(super) struct Site<'a> {
    pub book: &'a Book<'a>,
    pub places: Places,
    pub notes: Notes,
    pub graph: DiGraph<Junction, Piece>,
    pub unit_seams: Vec<Seam>,
    pub run_seams: Vec<Vec<Seam>>,
    pub runs: Vec<Option<Run>>,
    pub openings: Vec<Option<Opening>>,
    pub opening_of: Vec<Option<OpeningIdx>>,
    pub rooms: Rooms,
    /// For every run, the spots where others may hang: distance, junction, frame.
    pub spots: Vec<Vec<Spot>>,
    /// Links to close once all runs stand.
    pub joins: Vec<Join>,
    sections: BTreeMap<Material, Sections<'a>>,
}

/// A junction along a run.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub along: f64,
    pub node: NodeIndex,
    pub frame: Frame,
    pub place: usize,
}

/// A link that a run's end makes with another run.
#[derive(Debug, Clone)]
pub(super) struct Join {
    pub from: NodeIndex,
    pub run: RunIdx,
    pub target: RunIdx,
    pub along: Option<f64>,
    pub piece: Piece,
    /// The run had no other piece: the link is its first.
    pub is_first: bool,
}

/// What a seam is made from.
pub(super) struct NewSeam<'s> {
    pub id: String,
    pub run: &'s str,
    pub piece: String,
    pub what: String,
    pub joint: &'s JointType,
    pub amount: f64,
    pub factor: f64,
    pub around: Around,
    pub side: Side,
    pub at: SeamAt,
    pub role: SeamRole,
    pub own: Option<&'s OwnLeak>,
    /// Part of the own leak that falls on this seam.
    pub own_part: f64,
}

impl<'a> Site<'a> {
    /// An empty site.
    pub fn new(
        book: &'a Book<'a>,
        places: Places,
        notes: Notes,
        opening_of: Vec<Option<OpeningIdx>>,
        rooms: Rooms,
    ) -> Site<'a> {
        let runs = book.sketch.runs.len();
        let openings = opening_of.iter().flatten().count();
        Site {
            book,
            places,
            notes,
            graph: DiGraph::new(),
            unit_seams: Vec::new(),
            run_seams: vec![Vec::new(); runs],
            runs: vec![None; runs],
            openings: vec![None; openings],
            opening_of,
            rooms,
            spots: vec![Vec::new(); runs],
            joins: Vec::new(),
            sections: BTreeMap::new(),
        }
    }

    /// How a material is built here; asked once per material.
    pub fn sections(&mut self, material: Material) -> Sections<'a> {
        if let Some(found) = self.sections.get(&material) {
            return *found;
        }
        let made = self.book.sections(material, &mut self.notes);
        self.sections.insert(material, made);
        made
    }

    /// Adds a junction.
    pub fn junction(&mut self, id: String, frame: &Frame, side: Side) -> NodeIndex {
        self.graph.add_node(Junction {
            id,
            position_m: frame.at,
            side,
        })
    }

    /// Adds a piece.
    pub fn piece(&mut self, from: NodeIndex, to: NodeIndex, piece: Piece) -> EdgeIndex {
        self.graph.add_edge(from, to, piece)
    }
}

/// Makes a seam of the catalogue's figures, or of the person's own.
pub(super) fn seam(new: NewSeam) -> Seam {
    let state = new.joint.state(new.around.work);
    let mut seam = Seam {
        id: new.id,
        run: new.run.to_owned(),
        piece: new.piece,
        step: None,
        what: new.what,
        joint_type: new.joint.id.clone(),
        joint_name: new.joint.name.clone(),
        side: new.side,
        place: new.around.place,
        reach: new.around.reach,
        work: new.around.work,
        amount: new.amount,
        basis: new.joint.basis,
        mean_q25_m3_s: state.mean_q25 * new.amount * new.factor,
        gsd: state.gsd,
        n: state.n,
        field_made: new.joint.field_made,
        own_figure: new.own.is_some(),
        gross_chance: new.joint.gross_chance,
        // Filled when the whole graph stands.
        opening_m2: 0.0,
        at: new.at,
        role: new.role,
    };
    if let Some(own) = new.own {
        seam.mean_q25_m3_s = own.q25.value.si() * new.own_part;
        seam.gsd = own.spread.as_ref().map_or(OWN_SPREAD, |s| s.value);
        seam.n = own.n.as_ref().map_or(state.n, |n| n.value);
        // A figure for this very seam owes nothing to the crew's general workmanship.
        seam.field_made = false;
    }
    seam
}

/// Readable ids: the second of a kind gets a 2.
#[derive(Debug, Default)]
pub(super) struct Names {
    counts: BTreeMap<String, usize>,
}

impl Names {
    /// `RUN/word`, then `RUN/word 2`.
    pub fn next(&mut self, run: &str, word: &str) -> String {
        match self.count(word) {
            1 => format!("{run}/{word}"),
            n => format!("{run}/{word} {n}"),
        }
    }

    /// `RUN/word 1`, then `RUN/word 2`.
    pub fn numbered(&mut self, run: &str, word: &str) -> String {
        let n = self.count(word);
        format!("{run}/{word} {n}")
    }

    fn count(&mut self, word: &str) -> usize {
        if let Some(n) = self.counts.get_mut(word) {
            *n += 1;
            return *n;
        }
        self.counts.insert(word.to_owned(), 1);
        1
    }
}
