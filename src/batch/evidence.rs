//! What one system says of its crew's habits: everything that learning needs of it, small enough to keep for many.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::allocate::{AllocateSettings, Allocation, LookLaw, OpenLaw, Sight, allocate, sights};
use crate::catalog::Work;
use crate::math::{exp, hypot, ln, ln_1p, square};
use crate::system::{Observable, ReadingUnit, Relation, Seam, Seen, System, TestKind};

/// Error of a reading beside its meter's, as a part of it: pressures of the set-up, and that seams are taken together by
/// joint type here. Engineering estimate.
const BESIDE_METER: f64 = 0.03;
/// The same for a reading to outside, where the house is held at the ducts' pressure only nearly. Engineering estimate.
const BESIDE_METER_OUTSIDE: f64 = 0.10;
/// Chance that something hangs open where somebody says that it does. Engineering estimate.
const OPEN_IF_SAID: f64 = 0.9;

/// What one system says of habits. Flows are m³/s.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HouseEvidence {
    /// Name of the record.
    pub system: String,
    /// Seams that are alike, taken together.
    pub cells: Vec<Cell>,
    /// Flows read by a duct fan before any sealing.
    pub readings: Vec<FlowSeen>,
    /// Looks at single seams before any sealing.
    pub looks: Vec<SeamSeen>,
    /// Chance, before any evidence, that the set-up of at least one of the readings was wrong.
    pub wrong: f64,
    /// A seam that may hang open.
    pub open: MayBeOpen,
}

/// A seam that may hang open, whichever it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MayBeOpen {
    /// Chance, before any evidence, that one does.
    pub chance: f64,
    /// ln of its flow at 25 Pa, mean.
    pub ln_flow: f64,
    /// Standard deviation of that, over seams and sizes.
    pub sd: f64,
}

/// Seams of one joint type and workmanship on one side in one place.
///
/// # Equation
/// ```text
/// flow of the cell at 25 Pa = mean · exp(μ + f·w + t) · exp(own_sd·ζ − own_sd²/2),    ζ ~ N(0, 1)
/// ```
/// `mean` is the catalogue's for a crew of usual habits; the last factor is what the seams' own spread makes of their sum,
/// as one lognormal of the same mean and variance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cell {
    /// Joint type.
    pub joint_type: String,
    /// Workmanship, by its word.
    pub work: String,
    /// Whether the seams share the crew's workmanship and habit.
    pub field_made: bool,
    /// Whether the figures are the catalogue's; own figures of a sketch teach nothing of the catalogue.
    pub from_catalogue: bool,
    /// Number of seams.
    pub seams: usize,
    /// Sum of the seams' arithmetic means for a crew of usual habits.
    pub mean: f64,
    /// Standard deviation of the logarithm that the seams' own spread gives their sum; 0 for factory-made ones,
    /// whose whole spread is learned, unless a sketch has a figure of its own for them.
    pub own_sd: f64,
}

/// A flow that was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FlowSeen {
    /// ln of the flow through seams.
    pub ln_flow: f64,
    /// Standard deviation of its error, in ln.
    pub sd: f64,
    /// Cells that take part, and what each would pass in this set-up if it leaked its `mean`.
    pub flows: Vec<(usize, f64)>,
}

/// What a look says of one seam.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SeamSeen {
    /// Its cell.
    pub cell: usize,
    /// ln of its median flow at 25 Pa for a crew of usual habits.
    pub ln_median: f64,
    /// How its own spread moves with that of the cell's sum: ln flow rises by `tie`·ζ.
    pub tie: f64,
    /// Lower bound of ln flow at 25 Pa, `None` for none; equal to `upper` where the flow itself was judged.
    pub lower: Option<f64>,
    /// Upper bound.
    pub upper: Option<f64>,
    /// Standard deviation of the look's error and of what is left of the seam's own spread.
    pub sd: f64,
    /// Whose look it was, and the standard deviation of that person's offset.
    pub observer: Option<(usize, f64)>,
}

/// Gathers what a system says of its crew's habits. `None` where it has neither a duct fan's reading nor a look before
/// sealing, or where its figures before sealing cannot be computed.
#[must_use]
pub fn evidence(
    id: &str,
    system: &System,
    settings: &AllocateSettings,
    allocation: &Allocation,
) -> Option<HouseEvidence> {
    let before;
    let allocation = if allocation.stage == 0 {
        allocation
    } else {
        let settings = AllocateSettings {
            stage: Some(0),
            ..settings.clone()
        };
        before = allocate(system, &settings).ok()?;
        &before
    };
    let cells = Cells::new(system, settings);
    let readings = readings(system, allocation, &cells);
    let sights = sights(system, settings).ok()?;
    let looks = looks(&sights.looks, &cells);
    if readings.is_empty() && looks.is_empty() {
        return None;
    }
    Some(HouseEvidence {
        system: id.to_owned(),
        wrong: wrong(readings.len(), settings),
        open: open(system, &sights.open),
        cells: cells.cells,
        readings,
        looks,
    })
}

/// Cells, and of each seam its cell and figures.
struct Cells {
    cells: Vec<Cell>,
    of: Vec<usize>,
    /// Arithmetic mean of each seam for a crew of usual habits.
    means: Vec<f64>,
    /// Standard deviation of ln flow of each seam's own.
    own: Vec<f64>,
    /// What that makes of the variance of each seam's flow, and of each cell's.
    variance: Vec<f64>,
    of_cell: Vec<f64>,
}

impl Cells {
    fn new(system: &System, settings: &AllocateSettings) -> Cells {
        let shared = square(settings.prior.workmanship_sd) + square(settings.prior.habit_sd);
        let figures = |seam: &Seam| {
            let whole = square(ln(seam.gsd));
            if seam.field_made {
                let own = (whole - shared).max(0.0).sqrt();
                (seam.mean_q25_m3_s * exp(-0.5 * shared), own)
            } else if seam.own_figure {
                (seam.mean_q25_m3_s, whole.sqrt())
            } else {
                (seam.mean_q25_m3_s * exp(-0.5 * whole), 0.0)
            }
        };
        let key = |seam: &Seam| {
            (
                seam.joint_type.clone(),
                seam.work,
                seam.own_figure,
                seam.field_made,
                seam.side,
                seam.place,
            )
        };
        let mut at = BTreeMap::new();
        for seam in &system.seams {
            at.entry(key(seam)).or_insert(0);
        }
        for (place, slot) in at.values_mut().enumerate() {
            *slot = place;
        }
        let of: Vec<usize> = system.seams.iter().map(|seam| at[&key(seam)]).collect();
        let (means, own): (Vec<f64>, Vec<f64>) = system.seams.iter().map(figures).unzip();
        let mut cells: Vec<Cell> = at
            .keys()
            .map(|(joint_type, work, own_figure, field_made, _, _)| Cell {
                joint_type: joint_type.clone(),
                work: Work::word(*work).to_owned(),
                field_made: *field_made,
                from_catalogue: !own_figure,
                seams: 0,
                mean: 0.0,
                own_sd: 0.0,
            })
            .collect();
        let both = means.iter().zip(&own);
        let variance: Vec<f64> = both
            .map(|(mean, own)| square(*mean) * (exp(square(*own)) - 1.0))
            .collect();
        let mut of_cell = vec![0.0; cells.len()];
        for (seam, &cell) in of.iter().enumerate() {
            cells[cell].seams += 1;
            cells[cell].mean += means[seam];
            of_cell[cell] += variance[seam];
        }
        for (cell, variance) in cells.iter_mut().zip(&of_cell) {
            cell.own_sd = ln_1p(variance / square(cell.mean)).sqrt();
        }
        Cells {
            cells,
            of,
            means,
            own,
            variance,
            of_cell,
        }
    }
}

fn readings(system: &System, allocation: &Allocation, cells: &Cells) -> Vec<FlowSeen> {
    let read = |reading: &crate::allocate::ReadingResult| {
        let flow = reading.measured - reading.mask_leak_m3_s;
        let is_flow = reading.observable == Observable::FanFlow
            && reading.unit == ReadingUnit::Flow
            && reading.relation == Relation::Equals
            && reading.stage == 0
            && !reading.setup.is_house_fan();
        if !(is_flow && flow > 0.0) {
            return None;
        }
        let mut flows = vec![0.0; cells.cells.len()];
        for seen in &reading.seams {
            let at_25 = allocation.seams[seen.seam].q25_m3_s.mean;
            if at_25 > 0.0 {
                let part = seen.flow_m3_s.mean.max(0.0) / at_25;
                flows[cells.of[seen.seam]] += part * cells.means[seen.seam];
            }
        }
        let flows: Vec<(usize, f64)> = flows
            .into_iter()
            .enumerate()
            .filter(|(_, flow)| *flow > 0.0)
            .collect();
        let beside = if reading.setup.kind == TestKind::ToOutside {
            BESIDE_METER_OUTSIDE
        } else {
            BESIDE_METER
        };
        (!flows.is_empty()).then(|| FlowSeen {
            ln_flow: ln(flow),
            sd: hypot(reading.measured_sd / flow, beside),
            flows,
        })
    };
    debug_assert_eq!(system.readings.len(), allocation.readings.len());
    allocation.readings.iter().filter_map(read).collect()
}

fn looks(laws: &[LookLaw], cells: &Cells) -> Vec<SeamSeen> {
    let seen = |law: &LookLaw| {
        let (cell, own) = (cells.of[law.seam], cells.own[law.seam]);
        // What part of the cell's variance is this seam's.
        let part = if cells.of_cell[cell] > 0.0 {
            cells.variance[law.seam] / cells.of_cell[cell]
        } else {
            0.0
        };
        let tie = own * part.sqrt();
        let (lower, upper) = match law.sight {
            Sight::Between(lo, hi) => (lo, hi),
            Sight::Gap(at) => (at, at),
        };
        SeamSeen {
            cell,
            ln_median: ln(cells.means[law.seam]) - 0.5 * square(own),
            tie,
            lower: lower.is_finite().then_some(lower),
            upper: upper.is_finite().then_some(upper),
            sd: (square(law.sd) + square(own) - square(tie)).sqrt(),
            observer: law.observer,
        }
    };
    laws.iter().filter(|law| law.stage == 0).map(seen).collect()
}

fn wrong(readings: usize, settings: &AllocateSettings) -> f64 {
    let right = ln_1p(-settings.error_law.wide_chance.clamp(0.0, 0.99));
    1.0 - exp(readings as f64 * right)
}

fn open(system: &System, laws: &[Option<OpenLaw>]) -> MayBeOpen {
    let (mut sum, mut first, mut second, mut none) = (0.0, 0.0, 0.0, 0.0);
    for law in laws.iter().flatten() {
        let ln_flow = ln(law.median_q25_m3_s);
        sum += law.chance;
        first += law.chance * ln_flow;
        second += law.chance * (square(ln_flow) + square(law.ln_sd));
        none += ln_1p(-law.chance);
    }
    let said = system
        .looks
        .iter()
        .any(|look| look.stage == 0 && look.seen == Seen::Hanging);
    if sum == 0.0 {
        return MayBeOpen {
            chance: 0.0,
            ln_flow: 0.0,
            sd: 0.0,
        };
    }
    let mean = first / sum;
    MayBeOpen {
        chance: (1.0 - exp(none)).max(if said { OPEN_IF_SAID } else { 0.0 }),
        ln_flow: mean,
        sd: (second / sum - square(mean)).max(0.0).sqrt(),
    }
}
