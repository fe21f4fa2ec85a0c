//! The one-file report: a page that works from a USB stick, for owner, crew and inspector.

mod assumptions;
mod cautions;
mod drawing;
mod effects;
mod groups;
mod how_to_read;
mod limits;
mod next;
mod page;
mod parts;
mod plain;
mod plan;
mod predicted;
mod proof;
mod readings;
mod seams;
mod shares;
mod summary;
mod wording;
mod work;

use crate::allocate::{Allocation, CompareAnswer, Method, NextAnswer, SET_ASIDE};
use crate::catalog::Catalog;
use crate::drawing::Drawing;
use crate::effects::Effects;
use crate::limits as measured;
use crate::predict::Prediction;
use crate::quantity::UnitSystem;
use crate::seal::{Plan, Proof};
use crate::system::{Mover, Observable, System};

/// Everything that a report may show. A section appears only where its part is there.
#[derive(Debug, Clone, Copy)]
pub struct House<'a> {
    /// The system.
    pub system: &'a System,
    /// Joint types, methods, limits with their sources.
    pub catalog: &'a Catalog,
    /// Units of all words.
    pub units: UnitSystem,
    /// What leaks where. Without readings and looks it is what the sketch alone leads to expect.
    pub allocation: &'a Allocation,
    /// The plan drawing with all its layers.
    pub drawing: &'a Drawing,
    /// What a design will leak; where nothing was read.
    pub predicted: Option<&'a Prediction>,
    /// Readings against the model.
    pub compared: Option<&'a CompareAnswer>,
    /// Readings against limits.
    pub limits: Option<&'a measured::Answer<'a>>,
    /// What to look at or test next.
    pub next: Option<&'a NextAnswer>,
    /// What to seal.
    pub plan: Option<&'a Plan>,
    /// What that does.
    pub effects: Option<&'a Effects>,
    /// Before and after.
    pub proof: Option<&'a Proof>,
    /// What was asked for and could not be told, with why: sentences for the person.
    pub untold: &'a [String],
}

/// Writes the report: one HTML document that asks nothing of any network.
///
/// For three readers: whoever owns the house (the summary, and the drawing: two pages of paper), the crew (cautions,
/// drawing, work list), and whoever inspects (all of it). Same input, same bytes.
#[must_use]
pub fn house_html(house: &House<'_>) -> String {
    let sections = [
        summary::section(house),
        cautions::section(house),
        drawing::section(house),
        seams::section(house),
        shares::section(house),
        groups::section(house),
        readings::section(house),
        next::section(house),
        plan::section(house),
        effects::section(house),
        proof::section(house),
        limits::section(house),
        predicted::section(house),
        assumptions::section(house),
        how_to_read::section(house),
    ];
    page::page(house, sections.into_iter().flatten())
}

impl House<'_> {
    /// Whether anything was read or looked at; else everything is what the sketch alone leads to expect.
    fn has_evidence(&self) -> bool {
        self.allocation.diagnostics.method != Method::Prior
    }

    /// Whether the flow of a test fan on the ducts was read and moves the answer: only then is leakage measured.
    fn has_flow(&self) -> bool {
        self.has_evidence()
            && self.allocation.readings.iter().any(|reading| {
                reading.observable == Observable::FanFlow
                    && reading.setup.kind.recipe().mover == Mover::DuctFan
                    && reading.wrong_setup_chance <= SET_ASIDE
            })
    }

    /// Whether something stops the work: then nothing is advised that touches, looks into or blows up the ducts.
    fn work_waits(&self) -> bool {
        cautions::all(self).iter().any(|caution| caution.stop)
    }
}

#[cfg(test)]
mod tests;
