//! Other ways of building the same system, held side by side.

use super::super::span::{Marked, Span};
use crate::catalog::Work;
use crate::quantity::Fraction;

/// One variant of a design: the sketch with changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Variant {
    /// Its name.
    pub id: Marked<String>,
    /// The whole entry.
    pub at: Span,
    /// How joints are made instead.
    pub work: Vec<WorkChange>,
    /// What is sealed, by the class of the duct-construction trade.
    pub seal_class: Option<Marked<SealClass>>,
    /// Joint types that others take the place of, as written.
    pub swap: Vec<(Marked<String>, Marked<String>)>,
    /// Places whose ducts lie elsewhere, as written.
    pub moved: Vec<(Marked<String>, Marked<String>)>,
    /// Runs that are shorter; `None` for all.
    pub shorter: Vec<(Option<Marked<String>>, Marked<Fraction>)>,
}

/// Workmanship of some seams.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkChange {
    /// A seam, or a group in words; `None` for every joint made on site.
    pub seams: Option<Marked<String>>,
    /// How they are made.
    pub work: Marked<Work>,
}

/// What is sealed when ducts are built.
///
/// # Source
/// SMACNA HVAC Air Duct Leakage Test Manual, 1st edition 1985, table of leakage classes (second-hand).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SealClass {
    /// Joints, seams and what passes through the wall of the duct.
    A,
    /// Transverse joints and lengthwise seams.
    B,
    /// Transverse joints.
    C,
}

impl SealClass {
    /// All classes, least sealed first.
    pub const ALL: [SealClass; 3] = [SealClass::C, SealClass::B, SealClass::A];

    /// The letter.
    pub fn letter(self) -> char {
        match self {
            SealClass::A => 'A',
            SealClass::B => 'B',
            SealClass::C => 'C',
        }
    }
}
