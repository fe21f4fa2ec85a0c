//! The expected leakage of one way of building: draws of the prior, summed up.

use super::types::{Expected, LimitOutlook, Outlook};
use crate::allocate::{
    AllocateError, AllocateSettings, Band, Posterior, posterior, weighted_band, weighted_mean,
};
use crate::catalog::class::leakage_class;
use crate::catalog::{Catalog, Limit, Measure, Scope, Stage};
use crate::limits::flow_at_25_pa;
use crate::system::{Place, Seam, SeamRole, Side, System};

/// Draws of one way of building.
pub(super) struct Drawn {
    posterior: Posterior,
    n_seams: usize,
}

impl Drawn {
    /// Makes the draws of a system that has neither readings nor looks, see [`before_any_test`].
    pub fn new(system: &System, settings: &AllocateSettings) -> Result<Drawn, AllocateError> {
        Ok(Drawn {
            posterior: posterior(system, settings)?,
            n_seams: system.seams.len(),
        })
    }

    /// Sum over some seams, draw by draw.
    fn sums(&self, flows: &[f64], counts: impl Fn(usize) -> bool) -> Vec<f64> {
        let which: Vec<usize> = (0..self.n_seams).filter(|&i| counts(i)).collect();
        flows
            .chunks_exact(self.n_seams.max(1))
            .map(|row| which.iter().map(|&i| row[i]).fold(0.0, |sum, q| sum + q))
            .collect()
    }

    fn band(&self, values: &[f64]) -> Band {
        weighted_band(values, &self.posterior.weights, &mut Vec::new())
    }

    /// The leakage that a limit speaks of, draw by draw, and what its stage leaves out.
    fn spoken_of(&self, system: &System, limit: &Limit) -> (Vec<f64>, &'static str) {
        let left_out = match limit.measure {
            // Classes are of ducts.
            Measure::Class(_) => LeftOut::BootGapsAndUnit,
            _ => stage_leaves_out(&limit.stages),
        };
        let counts = |i: usize| {
            let seam = &system.seams[i];
            let side = match limit.scope {
                Scope::Total | Scope::Outside => true,
                Scope::Supply => seam.side == Side::Supply,
                Scope::Return => seam.side == Side::Return,
            };
            side && left_out.takes_part(seam)
        };
        let flows = match limit.scope {
            Scope::Outside => &self.posterior.to_outside_m3_s,
            Scope::Total | Scope::Supply | Scope::Return => &self.posterior.test_m3_s,
        };
        (self.sums(flows, counts), left_out.words())
    }

    /// Chance that some values are at or below a figure.
    fn chance(&self, values: &[f64], most: f64) -> f64 {
        let met: Vec<f64> = values
            .iter()
            .map(|&q| f64::from(u8::from(q <= most)))
            .collect();
        weighted_mean(&met, &self.posterior.weights)
    }

    /// How a limit stands.
    pub fn limit(&self, system: &System, index: usize) -> LimitOutlook {
        let limit = &system.limits[index];
        let (values, left_out) = self.spoken_of(system, limit);
        let allowed = flow_at_25_pa(limit, system);
        LimitOutlook {
            limit: index,
            chance: allowed.ok().map(|most| self.chance(&values, most)),
            allowed_m3_s: allowed,
            leakage_m3_s: self.band(&values),
            left_out,
        }
    }

    /// Leakage and chances.
    pub fn outlook(&self, system: &System) -> Outlook {
        let house = &self.posterior.allocation.house;
        Outlook {
            total_m3_s: house.total_m3_s,
            outside_m3_s: house.to_outside_m3_s,
            class: self.class(system).map(|class| class.mean),
            surface_m2: surface_m2(system),
            unsolved: self.posterior.allocation.diagnostics.failed_draws,
            chances: (0..system.limits.len())
                .map(|i| self.limit(system, i).chance)
                .collect(),
        }
    }

    /// Leakage class of the ducts, draw by draw summed up.
    pub fn class(&self, system: &System) -> Option<Band> {
        let surface = surface_m2(system);
        if surface <= 0.0 {
            return None;
        }
        let pa = self.posterior.allocation.test_setup.pressure_pa;
        let flows = self.sums(&self.posterior.test_m3_s, |i| {
            LeftOut::BootGapsAndUnit.takes_part(&system.seams[i])
        });
        let classes: Vec<f64> = flows
            .iter()
            .map(|&q| leakage_class(q, surface, pa))
            .collect();
        Some(self.band(&classes))
    }

    /// Everything.
    pub fn expected(self, system: &System, catalog: &Catalog) -> Expected {
        let class = self.class(system);
        let reached = class.and_then(|class| catalog.tightness_class(class.mean));
        Expected {
            tightness: reached.map(|row| format!("{}, {}", row.name, row.words)),
            surface_m2: surface_m2(system),
            class,
            limits: (0..system.limits.len())
                .map(|i| self.limit(system, i))
                .collect(),
            allocation: self.posterior.allocation,
        }
    }
}

/// A system as it stands before any test, with an inside to bring ducts to.
pub(super) fn before_any_test(system: &System) -> System {
    let mut bare = system.before_any_test();
    if !bare.places.iter().any(is_inside) {
        bare.places.push(Place {
            name: "inside".to_owned(),
            house_share: 1.0,
            unconditioned: false,
            source: "by its meaning".to_owned(),
            to_outdoors: None,
            to_house: None,
        });
    }
    bare
}

/// Whether a place lies in the conditioned house.
pub(super) fn is_inside(place: &Place) -> bool {
    !place.unconditioned && place.house_share >= 1.0
}

/// Duct surface of all pieces, m².
pub(super) fn surface_m2(system: &System) -> f64 {
    let pieces = system.graph.edge_weights().map(|piece| piece.surface_m2);
    pieces.fold(0.0, |sum, area| sum + area)
}

/// What a stage of building does not have yet.
#[derive(Clone, Copy)]
enum LeftOut {
    Nothing,
    BootGaps,
    BootGapsAndUnit,
}

impl LeftOut {
    fn takes_part(self, seam: &Seam) -> bool {
        let gap = matches!(seam.role, SeamRole::BootGap(_));
        let unit = matches!(
            seam.role,
            SeamRole::CabinetInlet | SeamRole::CabinetOutlet | SeamRole::FilterSlot
        );
        match self {
            LeftOut::Nothing => true,
            LeftOut::BootGaps => !gap,
            LeftOut::BootGapsAndUnit => !gap && !unit,
        }
    }

    fn words(self) -> &'static str {
        match self {
            LeftOut::Nothing => "",
            LeftOut::BootGaps => "without the gaps round boots",
            LeftOut::BootGapsAndUnit => {
                "without the gaps round boots, the cabinet and the filter slot"
            }
        }
    }
}

/// What is missing at every stage that a limit is for.
fn stage_leaves_out(stages: &[Stage]) -> LeftOut {
    let only = |stage: Stage| !stages.is_empty() && stages.iter().all(|s| *s == stage);
    if only(Stage::RoughInNoHandler) {
        LeftOut::BootGapsAndUnit
    } else if only(Stage::RoughIn) {
        LeftOut::BootGaps
    } else {
        LeftOut::Nothing
    }
}
