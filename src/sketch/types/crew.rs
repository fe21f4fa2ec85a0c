//! How a crew seals: rates, set-up times, methods with the person's own figures.

use super::super::span::{Marked, Span};

/// What is said of the crew; everything may be left open.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Crew {
    /// The word for the money.
    pub currency: Option<Marked<String>>,
    /// Money an hour for the whole crew.
    pub hour: Option<f64>,
    /// Money for coming to the house once.
    pub visit: Option<f64>,
    /// Minutes to get to places once, in file order.
    pub set_up: Vec<SetUp>,
    /// Whether sealing from inside is offered.
    pub from_inside: Option<Marked<bool>>,
    /// Seams that nobody seals: ids, or groups in words, as written.
    pub leave: Vec<Marked<String>>,
    /// Methods that are spoken of, in the order of the catalogue.
    pub methods: Vec<OwnMethod>,
}

/// Minutes to get to a place once.
#[derive(Debug, Clone, PartialEq)]
pub struct SetUp {
    /// The place by name.
    pub place: Marked<String>,
    /// Minutes.
    pub minutes: Marked<f64>,
}

/// What is said of one method; `None` where the usual figure stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OwnMethod {
    /// Its key: the id of a row of the catalogue's table of methods, with blanks for hyphens.
    pub method: &'static str,
    /// Where the key stands.
    pub at: Span,
    /// Whether the crew uses it: false after `no`.
    pub is_used: bool,
    /// Minutes for each seam.
    pub minutes_each: Option<f64>,
    /// Minutes for each metre of joint besides.
    pub minutes_per_m: Option<f64>,
    /// Minutes to set it up once on a job.
    pub minutes_once: Option<f64>,
    /// Part of a treated length's leakage that remains.
    pub remains: Option<f64>,
    /// Part of a joint that is missed.
    pub missed: Option<f64>,
    /// Wait before a test, h.
    pub cure_h: Option<f64>,
    /// Price of one unit of material.
    pub price: Option<Marked<f64>>,
    /// Money to set it up once on a job.
    pub price_once: Option<f64>,
    /// Widest gap that it closes, m.
    pub gap_to_m: Option<f64>,
}

impl OwnMethod {
    /// The keys of the figures that are given, in the order of the table.
    #[must_use]
    pub fn given(&self) -> Vec<&'static str> {
        [
            ("minutes each", self.minutes_each.is_some()),
            ("minutes per metre", self.minutes_per_m.is_some()),
            ("minutes once", self.minutes_once.is_some()),
            ("remains", self.remains.is_some()),
            ("missed", self.missed.is_some()),
            ("cure", self.cure_h.is_some()),
            ("price", self.price.is_some()),
            ("price once", self.price_once.is_some()),
            ("gap to", self.gap_to_m.is_some()),
        ]
        .into_iter()
        .filter_map(|(key, is_given)| is_given.then_some(key))
        .collect()
    }
}
