//! Parts that several JSON answers share. SI; fields are only ever added within a version.

use serde::Serialize;

use super::words;
use crate::allocate::{self, Allocation, Status};
use crate::system::{self, ReadingUnit, Relation, Setup, System, TestKind};

/// Mean and quantiles over the draws, in the unit of the field that holds it.
#[derive(Debug, Serialize, Clone, Copy)]
pub struct Band {
    /// Mean.
    pub mean: f64,
    /// 5 % quantile.
    pub p05: f64,
    /// Median.
    pub p50: f64,
    /// 95 % quantile.
    pub p95: f64,
}

impl From<allocate::Band> for Band {
    fn from(band: allocate::Band) -> Self {
        Self {
            mean: band.mean,
            p05: band.p05,
            p50: band.p50,
            p95: band.p95,
        }
    }
}

/// A warning.
#[derive(Debug, Serialize)]
pub struct Warning {
    /// Stable code.
    pub code: String,
    /// Words.
    pub text: String,
}

/// A look against the model.
#[derive(Debug, Serialize)]
pub struct Look {
    /// Words of the person.
    pub words: String,
    /// Ids of the seams it speaks of.
    pub seams: Vec<String>,
    /// Whether it was weighed; `note` says why not.
    pub weighed: bool,
    /// Chance, with all evidence in, that whoever looks again in the same way says the same; null where not weighed.
    pub agreement: Option<f64>,
    /// The same before any evidence.
    pub prior_agreement: Option<f64>,
    /// What a poor fit usually means, or why it was not weighed; empty when the fit is ordinary.
    pub note: String,
}

/// Warnings of the system and of the allocation.
pub fn warnings(system: &System, allocation: &Allocation) -> Vec<Warning> {
    super::all_warnings(system, allocation)
        .map(|warning: &system::Warning| Warning {
            code: warning.code.clone(),
            text: warning.text.clone(),
        })
        .collect()
}

/// `converged` or `doubtful`, and why.
pub fn status(allocation: &Allocation) -> (&'static str, Vec<String>) {
    match &allocation.status {
        Status::Converged => ("converged", Vec::new()),
        Status::Doubtful { reasons } => ("doubtful", reasons.clone()),
    }
}

/// All looks, in the order of the sketch.
pub fn looks(allocation: &Allocation) -> Vec<Look> {
    allocation
        .looks
        .iter()
        .map(|look| Look {
            words: look.words.clone(),
            seams: ids(allocation, &look.seams),
            weighed: look.weighed,
            agreement: look.weighed.then_some(look.agreement),
            prior_agreement: look.weighed.then_some(look.prior_agreement),
            note: look.note.clone(),
        })
        .collect()
}

/// Ids of seams.
pub fn ids(allocation: &Allocation, seams: &[usize]) -> Vec<String> {
    seams
        .iter()
        .map(|seam| allocation.seams[*seam].id.clone())
        .collect()
}

/// `total`, `to outside`, `supply`, `return`, else the word of the set-up as on the command line.
pub fn kind(setup: &Setup) -> &'static str {
    match setup.kind {
        TestKind::Total => "total",
        TestKind::ToOutside => "to outside",
        TestKind::OneSide(side) => words::side(side),
        kind => kind.recipe().id,
    }
}

/// `equals` or `below`.
pub fn relation(relation: Relation) -> &'static str {
    match relation {
        Relation::Equals => "equals",
        Relation::Below => "below",
    }
}

/// `m3/s` or `Pa`.
pub fn unit(unit: ReadingUnit) -> &'static str {
    match unit {
        ReadingUnit::Flow => "m3/s",
        ReadingUnit::Pressure => "Pa",
    }
}
