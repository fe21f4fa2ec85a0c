//! Which joint types leak most, over invented systems drawn from what is believed of real sketches.

use super::joint_parts::{By, JointTypes, JointsAsk, JointsError, Part, SystemPart, TypePart};
use super::otherwise::{Draws, Remade, change};
use super::ranking::REMAINDER;
use crate::allocate::{AllocateSettings, Band, Open, Status, posterior, weighted_quantile};
use crate::catalog::{Catalog, Work};
use crate::math::ln;
use crate::seal::{leak, running_pressures};
use crate::system::{BlowerKind, Seam, System};

/// Sums up by joint type over draws of every system, each system counting alike.
///
/// While running every seam leaks at the pressure it has when all seams leak their means, either way (suction leaks count
/// like pressure leaks); pressures are not solved anew draw by draw.
///
/// Without readings every system is as its sketch builds it ([`System::before_any_test`]): what looks and sealing say of a seam
/// is left out too.
///
/// Another workmanship is that of the sketch rewritten so ([`System::built_otherwise`]), put on the same draws: a seam's flow is
/// multiplied by the ratio of the catalogue's means, what the sketch forgot follows its side, and a seam that hangs open in a draw
/// stays as it is: mastic at a joint does not keep it from hanging open. Seams out of reach change too. Pressures are not solved
/// anew, so that what the rest leaks more once a type is tight is left out.
///
/// # Errors
/// [`JointsError`].
pub fn joint_types(
    systems: &[System],
    catalog: &Catalog,
    settings: &AllocateSettings,
    ask: JointsAsk,
) -> Result<JointTypes, JointsError> {
    if systems.is_empty() {
        return Err(JointsError::NoSystem);
    }
    let bare: Vec<System>;
    let systems = if ask.with_readings {
        systems
    } else {
        bare = systems.iter().map(System::before_any_test).collect();
        &bare
    };
    let names = type_names(systems);
    let drawn: Vec<Drawn> = systems
        .iter()
        .map(|system| Drawn::of(system, &names, settings, systems.len()))
        .collect::<Result<_, _>>()?;
    if ask.by == By::Running
        && let Some(one) = drawn.iter().find(|one| one.running.is_none())
    {
        return Err(JointsError::NoRunning {
            title: one.part.title.clone(),
            why: one.part.no_running.unwrap_or(UNSETTLED),
        });
    }
    let test = parts(&drawn, names.len(), By::Test);
    let running = drawn
        .iter()
        .all(|one| one.running.is_some())
        .then(|| parts(&drawn, names.len(), By::Running));
    let mut types: Vec<TypePart> = names
        .iter()
        .enumerate()
        .map(|(at, name)| {
            let running = running.as_ref().map(|parts| parts[at]);
            type_part(systems, catalog, &drawn, name, (test[at], running), ask.by)
        })
        .collect();
    let share = |part: &TypePart| match (ask.by, part.running) {
        (By::Running, Some(running)) => running.share,
        _ => part.test.share,
    };
    types.sort_by(|a, b| share(b).total_cmp(&share(a)));
    let doubts = drawn.iter().flat_map(|one| one.doubts.clone()).collect();
    Ok(JointTypes {
        ask,
        seed: settings.seed,
        draws: settings.draws,
        systems: drawn.into_iter().map(|one| one.part).collect(),
        types,
        doubts,
    })
}

const UNSETTLED: &str = "the running system did not settle";
const NO_AIRFLOW: &str = "no airflow and no blower curve is stated";

/// Joint types that occur, in alphabetical order.
fn type_names(systems: &[System]) -> Vec<String> {
    let mut names: Vec<String> = systems
        .iter()
        .flat_map(|system| system.seams.iter().map(|seam| seam.joint_type.clone()))
        .collect();
    names.sort();
    names.dedup();
    names
}

/// Draws of one system.
struct Drawn {
    part: SystemPart,
    /// Weights, adding up to one over the number of systems.
    weights: Vec<f64>,
    /// Joint type of each seam.
    type_of: Vec<usize>,
    /// Flow of each seam in the total set-up, draw by draw.
    test: Vec<f64>,
    /// While running.
    running: Option<Vec<f64>>,
    /// Seams that hang open, draw by draw.
    open: Vec<Open>,
    /// Mean pressure at each seam in the total set-up, Pa.
    test_pa: Vec<f64>,
    /// While running.
    running_pa: Option<Vec<f64>>,
    doubts: Vec<String>,
}

impl Drawn {
    fn of(
        system: &System,
        names: &[String],
        settings: &AllocateSettings,
        systems: usize,
    ) -> Result<Drawn, JointsError> {
        let settings = settings.clone().with_beliefs(&system.beliefs);
        let found = posterior(system, &settings).map_err(|source| JointsError::Draws {
            title: system.title.clone(),
            source,
        })?;
        let sum: f64 = found.weights.iter().sum();
        let weights: Vec<f64> = found
            .weights
            .iter()
            .map(|weight| weight / sum / systems as f64)
            .collect();
        let no_running = (system.unit.airflow_m3_s.is_none()
            && system.unit.blower.kind != BlowerKind::Points)
            .then_some(NO_AIRFLOW);
        let pa = match no_running {
            Some(_) => None,
            None => {
                let seams = &found.allocation.seams;
                let ln_q25: Vec<f64> = seams.iter().map(|s| ln(s.q25_m3_s.mean)).collect();
                let n: Vec<f64> = seams.iter().map(|s| s.n).collect();
                running_pressures(system, &ln_q25, &n)
            }
        };
        let no_running = no_running.or(pa.is_none().then_some(UNSETTLED));
        let doubts = match &found.allocation.status {
            Status::Converged => Vec::new(),
            Status::Doubtful { reasons } => reasons
                .iter()
                .map(|reason| format!("{}: {reason}", system.title))
                .collect(),
        };
        let n_seams = system.seams.len();
        let test: Vec<f64> = found.test_m3_s.iter().map(|flow| flow.max(0.0)).collect();
        let running: Option<Vec<f64>> = pa.as_ref().map(|pa| {
            let seam = |at: usize| leak(found.q25_m3_s[at], found.n[at], pa[at % n_seams]);
            (0..test.len()).map(seam).collect()
        });
        let whole = |flows: &[f64]| {
            let sums = flows.chunks(n_seams.max(1)).map(|row| row.iter().sum());
            band(sums.zip(weights.iter().copied()).collect())
        };
        Ok(Drawn {
            part: SystemPart {
                title: system.title.clone(),
                seams: n_seams,
                test_m3_s: whole(&test),
                running_m3_s: running.as_deref().map(whole),
                no_running,
            },
            type_of: system
                .seams
                .iter()
                .map(|seam| names.partition_point(|name| *name < seam.joint_type))
                .collect(),
            test_pa: found.allocation.seams.iter().map(|s| s.test_pa).collect(),
            open: found.open,
            running_pa: pa,
            weights,
            test,
            running,
            doubts,
        })
    }

    fn flows(&self, by: By) -> &[f64] {
        match (by, &self.running) {
            (By::Running, Some(running)) => running,
            _ => &self.test,
        }
    }

    fn pa(&self, by: By) -> &[f64] {
        match (by, &self.running_pa) {
            (By::Running, Some(running)) => running,
            _ => &self.test_pa,
        }
    }

    fn draws(&self, by: By) -> Draws<'_> {
        Draws {
            weights: &self.weights,
            flows: self.flows(by),
            open: &self.open,
        }
    }
}

/// What every joint type brings, in the order of the names.
fn parts(drawn: &[Drawn], n_types: usize, by: By) -> Vec<Part> {
    let mut shares = vec![0.0; n_types];
    let mut leakiest = vec![0.0; n_types];
    let mut flows: Vec<Vec<(f64, f64)>> = vec![Vec::new(); n_types];
    let mut sums = vec![0.0; n_types];
    for one in drawn {
        let rows = one.flows(by).chunks(one.type_of.len().max(1));
        for (row, &weight) in rows.zip(&one.weights) {
            sums.fill(0.0);
            for (&at, flow) in one.type_of.iter().zip(row) {
                sums[at] += flow;
            }
            let total: f64 = sums.iter().sum();
            let mut most = 0;
            for (at, &sum) in sums.iter().enumerate() {
                if total > 0.0 {
                    shares[at] += weight * sum / total;
                }
                if sum > sums[most] {
                    most = at;
                }
                flows[at].push((sum, weight));
            }
            if total > 0.0 {
                leakiest[most] += weight;
            }
        }
    }
    let mut order: Vec<usize> = (0..n_types).collect();
    order.sort_by(|&a, &b| shares[b].total_cmp(&shares[a]));
    let mut rank = vec![0; n_types];
    for (place, &at) in order.iter().enumerate() {
        rank[at] = place + 1;
    }
    flows
        .into_iter()
        .enumerate()
        .map(|(at, flows)| Part {
            flow_m3_s: band(flows),
            share: shares[at],
            rank: rank[at],
            leakiest_chance: leakiest[at],
        })
        .collect()
}

/// Mean and quantiles of `(value, weight)`.
fn band(mut pairs: Vec<(f64, f64)>) -> Band {
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let whole: f64 = pairs.iter().map(|(_, weight)| weight).sum();
    let sum: f64 = pairs.iter().map(|(value, weight)| value * weight).sum();
    Band {
        mean: if whole > 0.0 { sum / whole } else { 0.0 },
        p05: weighted_quantile(&pairs, 0.05),
        p50: weighted_quantile(&pairs, 0.5),
        p95: weighted_quantile(&pairs, 0.95),
    }
}

fn type_part(
    systems: &[System],
    catalog: &Catalog,
    drawn: &[Drawn],
    name: &str,
    (test, running): (Part, Option<Part>),
    by: By,
) -> TypePart {
    let of_type = |seam: &&Seam| seam.joint_type == name;
    let seams: Vec<&Seam> = systems
        .iter()
        .flat_map(|system| system.seams.iter().filter(of_type))
        .collect();
    let made = |work: Work| {
        change(systems.iter().zip(drawn).map(|(system, one)| {
            let remade = Remade::of(system, catalog, name, work, Some(one.pa(by)));
            (one.draws(by), remade)
        }))
    };
    let work_count = |work: Work| seams.iter().filter(|seam| seam.work == work).count();
    TypePart {
        joint_type: name.to_owned(),
        name: seams[0].joint_name.clone(),
        basis: seams[0].basis,
        is_remainder: catalog
            .joint(name)
            .is_some_and(|joint| joint.group == REMAINDER),
        systems: systems
            .iter()
            .filter(|system| system.seams.iter().any(|seam| seam.joint_type == name))
            .count(),
        count: seams.len(),
        amount: seams.iter().map(|seam| seam.amount).sum(),
        works: Work::ALL.map(work_count),
        own_figures: seams.iter().filter(|seam| seam.own_figure).count(),
        test,
        running,
        to_ordinary: made(Work::Ordinary),
        to_mastic: made(Work::Mastic),
    }
}

#[cfg(test)]
#[path = "joints_tests.rs"]
mod tests;
