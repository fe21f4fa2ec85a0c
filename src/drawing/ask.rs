//! What is drawn and how.

use thiserror::Error;

use crate::allocate::Allocation;
use crate::catalog::Catalog;
use crate::quantity::UnitSystem;
use crate::seal::Plan;
use crate::system::System;

/// One way of marking the ducts. Every layer stands on the same ducts, places and registers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Layer {
    /// Ducts, places, registers and names alone.
    Ducts,
    /// Every seam, by its leakage.
    Seams,
    /// The seams that carry most, numbered.
    Top,
    /// The steps of the plan, numbered in their order.
    Plan,
    /// Static pressure while the unit runs.
    Running,
    /// Every seam, by its joint type.
    Types,
}

/// How the walks are seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum View {
    /// From above, level by level.
    #[default]
    Plan,
    /// From the south-east and above, all levels in one.
    Isometric,
}

/// Paper, landscape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sheet {
    /// The smallest of the person's own paper sizes (A4 or A3; letter or tabloid where units are inch-pound) on which the
    /// system is legible.
    #[default]
    Fit,
    /// 297 × 210 mm, ISO 216.
    A4,
    /// 420 × 297 mm, ISO 216.
    A3,
    /// 11 × 8½ in.
    Letter,
    /// 17 × 11 in.
    Tabloid,
}

/// What is known of a system and can be drawn.
#[derive(Debug, Clone, Copy)]
pub struct DrawnFacts<'a> {
    /// The system.
    pub system: &'a System,
    /// Joint types, by group.
    pub catalog: &'a Catalog,
    /// What leaks, for every layer but [`Layer::Ducts`]; [`Layer::Running`] takes the catalogue's means where it is missing.
    pub allocation: Option<&'a Allocation>,
    /// The plan, for [`Layer::Plan`].
    pub plan: Option<&'a Plan>,
    /// What forbids the work until it is settled (old tape that may hold asbestos, draft): framed at the head of every sheet.
    /// What stops or halts the plan itself is said there too where this is `None`.
    pub stop: Option<&'a str>,
    /// Cautions in short lines, for the foot of [`Layer::Plan`].
    pub cautions: &'a [String],
}

/// How it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawAsk {
    /// Layers, in the order of a choice; the first is shown where a page shows one at a time.
    pub layers: Vec<Layer>,
    /// View.
    pub view: View,
    /// Paper.
    pub sheet: Sheet,
    /// Units of all words.
    pub units: UnitSystem,
    /// How many seams are numbered in [`Layer::Top`].
    pub top: usize,
}

/// A sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The whole SVG document, UTF-8, without an XML declaration; its root is `<svg class="plan-drawing" …>`.
    pub svg: String,
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// Layers in it.
    pub layers: Vec<Layer>,
    /// Names that found no free spot, over all layers.
    pub left_out: usize,
}

/// Why nothing was drawn.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum DrawError {
    /// A layer needs facts that were not given.
    #[error("the layer `{layer}` needs {needs}")]
    Missing {
        /// Layer's word.
        layer: &'static str,
        /// What it needs, in words.
        needs: String,
    },
}
