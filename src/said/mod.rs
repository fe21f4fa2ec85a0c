//! Figures and words that answers and drawings share, so that one thing is said one way everywhere.

pub(crate) mod figures;
pub(crate) mod plan;
pub(crate) mod words;
