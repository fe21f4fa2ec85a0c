//! What a flow answer is made from, and how far it can be relied on.

use super::sums::{by_side, reversed};
use crate::effects::lowest_zone;
use crate::flow::{FlowState, PieceState, StateNote};
use crate::report::cautions::{Caution, back_draft, cautions, house_fan};
use crate::report::words::{self, counted};
use crate::system::{
    AirflowBy, BlowerKind, HousePressure, LeadsTo, Measured, Mover, OpeningIdx, Piece, Setup, Side,
    System, Warning,
};

/// A system solved in one set-up, with what the solve rests on.
#[derive(Debug, Clone, Copy)]
pub struct FlowCase<'a> {
    /// The system; its seams leak their prior means.
    pub system: &'a System,
    /// The set-up.
    pub setup: &'a Setup,
    /// What came out.
    pub state: &'a FlowState,
    /// What was done with the blower's curve.
    pub curve: CurveUse,
    /// Temperature of the supply side's air, K.
    pub supply_air_k: f64,
    /// Where the balance is worst, when the solve did not settle.
    pub unsettled_at: Option<&'a str>,
}

/// What was done with the blower's curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CurveUse {
    /// The blower stands still.
    Still,
    /// Taken as it is.
    AsItIs,
    /// All its flows scaled by one factor, so that the blower moves this airflow.
    Scaled {
        /// Airflow to be met, m³/s.
        airflow_m3_s: f64,
    },
}

/// Factor on an estimated curve beyond which the airflow is called at odds with the ducts. Engineering estimate.
const FAR_FACTOR: f64 = 1.5;
/// Names that one sentence lists.
const LISTED: usize = 3;

impl<'a> FlowCase<'a> {
    /// Whether the system's own blower runs.
    pub fn is_running(&self) -> bool {
        self.setup.kind.recipe().mover.runs_blower()
    }

    /// Pressure against which what lies behind an opening is shown: that of its room, else the house, else outdoors.
    pub fn before_pa(&self, opening: OpeningIdx) -> f64 {
        let found = &self.system.openings[opening];
        match found.leads_to {
            LeadsTo::Outdoors => 0.0,
            LeadsTo::Room => found
                .room_index
                .and_then(|room| self.state.rooms.get(room))
                .map_or(self.state.house_pa, |room| room.pressure_pa),
        }
    }

    /// Airflow meant at an opening by its run, m³/s.
    pub fn meant_m3_s(&self, opening: OpeningIdx) -> Option<f64> {
        self.system.runs[self.system.openings[opening].run].design_flow_m3_s
    }

    /// Sum of the airflows meant at the supply openings of a room, m³/s; `None` where nothing is said.
    pub fn room_meant_m3_s(&self, room: usize) -> Option<f64> {
        let found = self
            .system
            .openings
            .iter()
            .enumerate()
            .filter(|(_, opening)| opening.room_index == Some(room) && opening.side == Side::Supply)
            .filter_map(|(index, _)| self.meant_m3_s(index));
        found.fold(None, |sum, flow| Some(sum.unwrap_or(0.0) + flow))
    }

    /// Pieces with what was found for them: the unit's first, then run by run as walked.
    pub fn pieces_as_walked(&self) -> impl Iterator<Item = (&'a Piece, Option<PieceState>)> {
        let (graph, state) = (&self.system.graph, self.state);
        let mut order: Vec<_> = graph.edge_indices().collect();
        // Runs are walked piece by piece, so that within one the graph's order is the walk's.
        order.sort_by_key(|edge| graph[*edge].run);
        order
            .into_iter()
            .map(move |edge| (&graph[edge], state.pieces[edge.index()]))
    }

    /// Readings of the sketch in this very set-up.
    pub fn same_readings(&self) -> impl Iterator<Item = &'a Measured> {
        let setup = self.setup;
        self.system
            .readings
            .iter()
            .filter(move |reading| reading.setup == *setup)
    }

    /// Readings of the same kind that were taken otherwise: fan, tap, pressure, masks or plugs differ.
    pub fn like_readings(&self) -> impl Iterator<Item = &'a Measured> {
        let setup = self.setup;
        self.system
            .readings
            .iter()
            .filter(move |reading| reading.setup.kind == setup.kind && reading.setup != *setup)
    }

    /// Whether the curve had to be scaled by more than half as much again, up or down.
    fn is_scaled_far(&self) -> bool {
        !(1.0 / 1.5..=1.5).contains(&self.state.blower_factor)
    }

    /// Why the answer is doubtful; empty when it is not.
    pub fn doubts(&self) -> Vec<String> {
        let mut doubts = Vec::new();
        if !self.state.outcome.status.is_solved() {
            doubts.push(match (self.curve, self.state.blower_m3_s) {
                (CurveUse::Scaled { airflow_m3_s }, Some(found))
                    if (found / airflow_m3_s - 1.0).abs() > 1e-6 =>
                {
                    "the blower's curve could not be scaled to the stated airflow: are all runs sketched and is the airflow \
                     right? see also `--airflow as-curve`"
                        .to_owned()
                }
                _ => match self.unsettled_at {
                    Some(node) => format!(
                        "the solve did not settle; the balance is worst at `{node}`: the figures are the last ones reached"
                    ),
                    None => "the solve did not settle: the figures are the last ones reached".to_owned(),
                },
            });
        }
        for note in &self.state.notes {
            match note {
                StateNote::BlowerOutside { above } if self.is_scaled_far() => doubts.push(format!(
                    "the blower works {} the points of its curve after that was scaled by {:.2} to meet the airflow: are \
                     all runs sketched, and is the airflow right?",
                    if *above { "above" } else { "below" },
                    self.state.blower_factor
                )),
                StateNote::BlowerOutside { above } => doubts.push(format!(
                    "the blower works {} the points of its curve, where its flow is a straight guess: give points of its \
                     own table round this pressure",
                    if *above { "above" } else { "below" }
                )),
                StateNote::BlowerReversed => doubts.push(
                    "air runs backwards through the blower: look at the curve and at what the sketch joins to the plenums"
                        .to_owned(),
                ),
                StateNote::Takeoff { .. } | StateNote::NoEnvelope => {}
            }
        }
        doubts
    }

    /// What the person should know: of the system first, then of this solve.
    pub fn warnings(&self) -> Vec<Warning> {
        let mut found = self.system.warnings.clone();
        let mut say = |code: &str, text: String| {
            found.push(Warning {
                code: code.to_owned(),
                text,
            });
        };
        let recipe = self.setup.kind.recipe();
        let mut outside: Vec<(usize, &str)> = Vec::new();
        for note in &self.state.notes {
            match note {
                StateNote::Takeoff { piece, what } => outside.push((*piece, what)),
                StateNote::NoEnvelope if recipe.house == HousePressure::Floats => say(
                    "envelope-unknown",
                    "The leakage of the house's envelope is not known, so the house is taken as at outdoor pressure: \
                     what the leaks do to its pressure cannot be told. Say `floor area` or `envelope` under `house`."
                        .to_owned(),
                ),
                StateNote::NoEnvelope => say(
                    "envelope-unknown",
                    "The leakage of the house's envelope is not known: the house fan's flow holds only what passes \
                     through the ducts. Say `floor area` or `envelope` under `house`."
                        .to_owned(),
                ),
                StateNote::BlowerOutside { .. } | StateNote::BlowerReversed => {}
            }
        }
        if !outside.is_empty() {
            say("takeoff-outside-correlation", self.takeoff_words(&outside));
        }
        if self.is_running() {
            self.blower_warnings(&mut say);
            for (leaks, side) in by_side(self).iter().zip([Side::Supply, Side::Return]) {
                let count = reversed(side, leaks);
                if count > 0 {
                    say(
                        "leaks-both-ways",
                        format!(
                            "{} of the {} side {} against the usual direction: fast air past a seam, or a place whose \
                             pressure is not the one outdoors.",
                            counted(count, "seam", "seams"),
                            words::side(side),
                            if count == 1 { "leaks" } else { "leak" }
                        ),
                    );
                }
            }
        }
        found
    }

    fn takeoff_words(&self, outside: &[(usize, &str)]) -> String {
        let names: Vec<String> = outside
            .iter()
            .take(LISTED)
            .filter_map(|(piece, what)| {
                let edge = petgraph::graph::EdgeIndex::new(*piece);
                let found = self.system.graph.edge_weight(edge)?;
                Some(format!("`{}` ({what})", found.id))
            })
            .collect();
        let more = match outside.len().saturating_sub(LISTED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        format!(
            "The loss of {} used outside the range in which its correlation was measured: {}{more}. Flows of those \
             branches are less sure.",
            match outside.len() {
                1 => "1 takeoff is".to_owned(),
                count => format!("{count} takeoffs are"),
            },
            names.join(", ")
        )
    }

    fn blower_warnings(&self, say: &mut impl FnMut(&str, String)) {
        let unit = &self.system.unit;
        match unit.airflow_m3_s {
            None if unit.blower.kind != BlowerKind::Points => say(
                "airflow-unknown",
                "The sketch states no airflow: flows and pressures follow from a curve made for a usual unit. Measure \
                 the airflow and say `airflow` under `air handler`."
                    .to_owned(),
            ),
            Some((_, AirflowBy::ReturnGrilles)) if self.curve != CurveUse::AsItIs => say(
                "airflow-at-grilles",
                "The airflow was summed at the return grilles: what leaks into the return ducts is not in it, so that \
                 the blower moves more than this answer says."
                    .to_owned(),
            ),
            _ => {}
        }
        let factor = self.state.blower_factor;
        if !(1.0 / FAR_FACTOR..=FAR_FACTOR).contains(&factor) {
            say(
                "airflow-and-ducts-disagree",
                format!(
                    "The blower's curve had to be scaled by {factor:.2} to meet the airflow: the airflow, the curve or \
                     the sizes and losses of the sketched ducts are off."
                ),
            );
        }
    }

    /// Safety: the system's cautions, and those of this set-up.
    pub fn cautions(&self) -> Vec<Caution> {
        let mut found = cautions(self.system);
        let at = found.iter().filter(|caution| caution.stop).count();
        let recipe = self.setup.kind.recipe();
        if recipe.mover == Mover::HouseFan {
            found.insert(at, house_fan());
        }
        if self.is_running()
            && let Some(zone) = lowest_zone(self.system, self.state)
            && let Some(caution) = back_draft(&zone.name, zone.pa, &zone.appliances)
        {
            found.insert(at, caution);
        }
        found
    }
}
