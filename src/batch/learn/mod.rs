//! Learns the habits of crews from many systems: one hierarchical model over all of them.
//!
//! # Model
//!
//! A row is a joint type in one state of workmanship. In system s, the seams of row k together pass
//! ```text
//! ln flow = ln catalogue + μ_k + f·w_s + t_sk + own spread of the seams
//! w_s ~ N(0, ω²)      workmanship of the crew of system s
//! t_sk ~ N(0, τ_k²)   its habit with row k
//! ```
//! `f` is 1 for field-made joints. `μ_k` is by how much the population's joints differ from the catalogue's, `ω` and `τ_k` how
//! much systems differ from each other. All are learned together: a total says little of one row in one house, but houses
//! are made of different joints, and many totals tell the rows apart. The seams' own spread within a house stays the
//! catalogue's, and so does all of it for factory-made parts, of which only the mean is learned.
//!
//! Before any system the means `μ` may all lie off together and each by itself. What totals say goes mostly to all together; a
//! joint type is told from the others by looks at it, or by readings that hold it apart. So only rows that were looked at
//! become a catalogue ([`is_learned`]).
//!
//! Readings are flows of duct fans, `ln y = ln Σ flow + error`; looks are those of [`crate::allocate`]. Two things else may
//! explain a house's readings: a wrong set-up, with the chance of an allocation, under which their errors have a standard
//! deviation of ln 2; and a seam that hangs open ([`MayBeOpen`](super::MayBeOpen)), through which all readings pass more.
//!
//! # Computation
//!
//! Of each house the joint mean and covariance of ln flows and habits are worked out for a population (Stein's identity for
//! the covariance, pairs of draws for the remainder of fourth order, always the same ones). Readings then change what is
//! believed of the habits by a linear update, which keeps first and second moments exact, and looks one after the other by
//! the moments of their probit. The population for which all houses' habits come out as it says they should (the slope of ln
//! likelihood is 0) is stepped to with the sum of the outer products of the houses' slopes for a matrix; what is believed
//! beforehand ([`Beliefs`]) takes part as one house more. Bands are from the same matrix, so they are trustworthy for some
//! thirty systems and more, and lean on the beliefs for fewer. How often they cover known habits:
//! [`crate::guide`].
//!
//! Memory: one chunk of houses at a time; each pass reads all of them anew.

mod climb;
mod house;
mod overlay;
mod population;
#[cfg(test)]
mod tests;

pub use climb::{Beliefs, learn};
pub use overlay::{HABITS_COLUMNS, habits_csv, is_learned, learned_csv};
pub use population::{Estimate, Habits, RowHabit};

/// Where houses come from; passed through several times, always in the same order.
pub trait Houses {
    /// Hands all houses to `each`, some at a time.
    ///
    /// # Errors
    /// When a house cannot be read.
    fn pass(&mut self, each: &mut dyn FnMut(Vec<super::HouseEvidence>)) -> std::io::Result<()>;
}

impl Houses for &[super::HouseEvidence] {
    fn pass(&mut self, each: &mut dyn FnMut(Vec<super::HouseEvidence>)) -> std::io::Result<()> {
        for some in self.chunks(256) {
            each(some.to_vec());
        }
        Ok(())
    }
}
