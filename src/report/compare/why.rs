//! What usually makes measured and modelled differ, and what each would be worth on this system.

use crate::allocate::{Allocation, SeamResult};
use crate::system::{Reach, SeamRole, System};

/// Part by which lengths of a paper sketch are easily off. Engineering estimate.
const LENGTHS_OFF: f64 = 0.1;
/// Pressure by which ducts away from the tap are easily off, Pa. Engineering estimate.
const PRESSURE_OFF_PA: f64 = 1.0;

/// A usual cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Why {
    /// Stable code.
    pub code: &'static str,
    /// Words.
    pub words: String,
    /// Leakage in the total test that hangs on it, m³/s: mean with all evidence.
    pub worth_m3_s: f64,
}

/// The causes that weigh on this system, most first. Each is a sum over seams of the answer's mean flows, but for the
/// pressure, which goes with the exponents.
pub fn usual(system: &System, allocation: &Allocation) -> Vec<Why> {
    let sum = |counts: &dyn Fn(usize, &SeamResult) -> bool| {
        allocation
            .seams
            .iter()
            .enumerate()
            .filter(|(i, seam)| counts(*i, seam))
            .map(|(_, seam)| seam.test_m3_s.mean)
            .fold(0.0, |sum, q| sum + q)
    };
    let role = |i: usize| system.seams[i].role;
    let by_metre = |i: usize| {
        let id = &system.seams[i].joint_type;
        id.starts_with("seam-") || id.starts_with("joint-") || id.starts_with("pan-edge")
    };
    let pressure = allocation.house.test_pressure_pa;
    let by_pressure: f64 = allocation
        .seams
        .iter()
        .map(|seam| seam.test_m3_s.mean * seam.n * PRESSURE_OFF_PA / pressure)
        .fold(0.0, |sum, q| sum + q);
    let mut found = vec![
        Why {
            code: "boot-gaps",
            words: "the gaps round boots: seen only where the tape went round the flange, not by a plug in the throat"
                .to_owned(),
            worth_m3_s: sum(&|i, _| matches!(role(i), SeamRole::BootGap(_))),
        },
        Why {
            code: "unit",
            words: "cabinet and filter slot: away while the fan stands in their panel, or where somebody taped them for the \
                    test"
                .to_owned(),
            worth_m3_s: sum(&|i, _| {
                matches!(
                    role(i),
                    SeamRole::CabinetInlet | SeamRole::CabinetOutlet | SeamRole::FilterSlot
                )
            }),
        },
        Why {
            code: "hidden",
            words: "ducts behind finish or out of reach: how they were made is a guess".to_owned(),
            worth_m3_s: sum(&|_, seam| matches!(seam.reach, Reach::BehindFinish | Reach::None)),
        },
        Why {
            code: "lengths",
            words: format!(
                "lengths, sizes and counts of the sketch, {:.0} % off",
                100.0 * LENGTHS_OFF
            ),
            worth_m3_s: LENGTHS_OFF * sum(&|i, _| by_metre(i)),
        },
        Why {
            code: "pressure",
            words: format!(
                "the pressure, {PRESSURE_OFF_PA:.0} Pa off: at the gauge, by wind, or away from the tap"
            ),
            worth_m3_s: by_pressure,
        },
    ];
    found.retain(|why| why.worth_m3_s > 0.0);
    found.sort_by(|a, b| b.worth_m3_s.total_cmp(&a.worth_m3_s));
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn every_cause_is_worth_something_and_less_than_all_and_they_are_in_order() {
        let system = samples::system();
        let allocation = samples::allocation(&system);
        let found = usual(&system, &allocation);
        let all: f64 = allocation.seams.iter().map(|s| s.test_m3_s.mean).sum();
        assert!(found.iter().any(|why| why.code == "unit"));
        for pair in found.windows(2) {
            assert!(pair[0].worth_m3_s >= pair[1].worth_m3_s);
        }
        for why in &found {
            assert!(why.worth_m3_s > 0.0 && why.worth_m3_s < all, "{why:?}");
        }
        // d ln Q = n dp/p: between n = 0.5 and 1 at 25 Pa, 2 to 4 % of all for 1 Pa.
        let pressure = found.iter().find(|why| why.code == "pressure");
        let part = pressure.expect("always there").worth_m3_s / all;
        assert!((0.02..=0.04).contains(&part), "{part}");
    }
}
