//! Coverage on whole systems: a sketch gives the ducts, the set-ups and the meters' errors; seams are drawn from the
//! prior, readings from them by the flow solver with all errors, and the whole `allocate` must cover the truth.
//!
//! It checks the computation alone: neither the catalogue nor anyone's sketch.

use ductseam::allocate::{AllocateSettings, Band, ErrorLaw, Prior, SeamPrior, Status, allocate};
use ductseam::flow::{Disturbance, SeamLaws, assemble, solve};
use ductseam::system::{Setup, Side, System, TestKind};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

/// House quantities looked at, in this order.
pub const QUANTITIES: [&str; 4] = ["total", "supply side", "return side", "to outside"];

/// What the study found.
#[derive(Debug, Default)]
pub struct Findings {
    /// Seams whose 90 % band held the truth, and seams looked at.
    pub seams: (usize, usize),
    /// Systems whose band held the house quantity.
    pub held: [usize; 4],
    /// Systems whose answer was called doubtful.
    pub doubtful: usize,
    /// Sum of effective draws.
    pub effective: f64,
}

/// Invents `systems` truths for one sketch and allocates each.
pub fn study(sketch: &System, systems: usize, draws: usize, seed: u64) -> Findings {
    let settings = AllocateSettings {
        draws,
        seed,
        ..AllocateSettings::default()
    };
    let seams: Vec<SeamPrior> = sketch
        .seams
        .iter()
        .map(|seam| SeamPrior {
            id: seam.id.clone(),
            joint_type: seam.joint_type.clone(),
            mean_q25_m3_s: seam.mean_q25_m3_s,
            gsd: seam.gsd,
            n: seam.n,
            field_made: seam.field_made,
        })
        .collect();
    let prior = Prior::new(&seams, settings.prior, 0).expect("a sound prior");
    let test = sketch
        .readings
        .iter()
        .find(|reading| reading.setup.kind == TestKind::Total)
        .map_or_else(|| sketch.total_setup(), |reading| reading.setup.clone());
    let outside = sketch
        .readings
        .iter()
        .find(|reading| reading.setup.kind == TestKind::ToOutside)
        .map_or_else(
            || sketch.to_outside_setup(),
            |reading| reading.setup.clone(),
        );

    let mut found = Findings::default();
    for index in 0..systems {
        let mut random = Pcg64::seed_from_u64(seed.wrapping_mul(7_919).wrapping_add(index as u64));
        let x: Vec<f64> = (0..prior.dim())
            .map(|_| random.sample(StandardNormal))
            .collect();
        let (mut ln_q25, mut n) = (vec![0.0; seams.len()], vec![0.0; seams.len()]);
        prior.laws(&x, &mut ln_q25, &mut n);
        let laws = SeamLaws {
            ln_q25: &ln_q25,
            n: &n,
        };

        let mut system = sketch.clone();
        read(&mut system, laws, &settings, &mut random);
        let answer = allocate(&system, &settings).expect("a sound system");
        found.doubtful += usize::from(matches!(answer.status, Status::Doubtful { .. }));
        found.effective += answer.diagnostics.effective_draws;

        let (total, by_seam) = flows(&system, &test, laws, Disturbance::default());
        let side = |side: Side| -> f64 {
            by_seam
                .iter()
                .zip(&system.seams)
                .filter(|(_, seam)| seam.side == side)
                .map(|(q, _)| q)
                .sum()
        };
        let (_, to_outside) = flows(&system, &outside, laws, Disturbance::default());
        let truth = [
            by_seam.iter().sum(),
            side(Side::Supply),
            side(Side::Return),
            to_outside.iter().sum::<f64>(),
        ];
        assert!(total > 0.0);
        let house = &answer.house;
        let bands = [
            house.total_m3_s,
            house.supply_m3_s,
            house.return_m3_s,
            house.to_outside_m3_s,
        ];
        for (which, (band, truth)) in bands.iter().zip(truth).enumerate() {
            found.held[which] += usize::from(holds(*band, truth));
        }
        for (seam, ln) in answer.seams.iter().zip(&ln_q25) {
            found.seams.0 += usize::from(holds(seam.q25_m3_s, ln.exp()));
            found.seams.1 += 1;
        }
    }
    found
}

fn holds(band: Band, truth: f64) -> bool {
    (band.p05..=band.p95).contains(&truth)
}

/// Flow of the fan and of every seam, m³/s, magnitudes.
fn flows(
    system: &System,
    setup: &Setup,
    laws: SeamLaws<'_>,
    disturbance: Disturbance,
) -> (f64, Vec<f64>) {
    let network =
        assemble(system, setup, &AllocateSettings::default().flow).expect("a sound set-up");
    let mut work = network.workspace();
    let outcome = solve(&network, laws, disturbance, &mut work);
    assert!(outcome.status.is_solved(), "{:?}", outcome.status);
    (
        outcome.fan_flow_m3_s,
        work.seam_flow().iter().map(|q| q.abs()).collect(),
    )
}

/// Makes the readings of a truth: pressure errors of the set-up, calibration of the gauge, the meter's own error, and
/// now and then a wrong set-up, as the documented error law has them (σ of the true flow instead of the read one).
fn read(system: &mut System, laws: SeamLaws<'_>, settings: &AllocateSettings, random: &mut Pcg64) {
    let law = ErrorLaw::default();
    let measured = system.readings.clone();
    let mut gauges: Vec<(String, f64)> = Vec::new();
    for (index, reading) in measured.iter().enumerate() {
        let mut normal = || -> f64 { random.sample(StandardNormal) };
        let nulled = reading.setup.kind == TestKind::ToOutside;
        let disturbance = Disturbance {
            house_pa: if nulled {
                settings.nulling_sd_pa * normal()
            } else {
                0.0
            },
            tap_pa: settings.tap_sd_pa * normal(),
        };
        let (flow, _) = flows(system, &reading.setup, laws, disturbance);
        let is_shared = measured
            .iter()
            .filter(|other| other.gauge == reading.gauge)
            .count()
            > 1;
        let shared = if is_shared { law.gauge_shared } else { 0.0 };
        let calibration = match gauges.iter().find(|(name, _)| *name == reading.gauge) {
            Some((_, known)) => *known,
            None => {
                let fresh = normal();
                gauges.push((reading.gauge.clone(), fresh));
                fresh
            }
        };
        let through_gauge = flow * (shared.sqrt() * reading.relative_sd * calibration).exp();
        let own = (1.0 - shared).sqrt() * reading.relative_sd * flow;
        let sigma = own.hypot(reading.floor_sd_m3_s);
        let error = normal();
        let is_wrong = random.random::<f64>() < law.wide_chance;
        let width = if is_wrong {
            sigma.hypot(std::f64::consts::LN_2 * flow)
        } else {
            sigma
        };
        // A meter shows no flow below a tenth of the true one even when the set-up is wrong.
        system.readings[index].flow_m3_s = (through_gauge + width * error).max(0.1 * flow);
    }
}
