//! A classroom system: a truth drawn from the prior, with readings and looks made from it.

use rand::RngExt;
use rand_pcg::Pcg64;

use crate::allocate::{AllocateError, AllocateSettings, Truth, invent};
use crate::flow::{self, FlowError, SeamLaws, prepare};
use crate::math::exp;
use crate::seal::{leak, running_pressures};
use crate::sketch::Smoke;
use crate::system::{
    BlowerKind, Look, LookAt, Measured, Observable, Reach, Relation, RunIdx, SeamIdx, SeamRole,
    Seen, Side, System, TEST_PRESSURE_PA, TestKind, TestRecord,
};

/// Truths tried for one that teaches something.
const TRIES: usize = 60;
/// A run that leaks this many times the middle run teaches something. Engineering estimate.
const FAR_LEAKIER: f64 = 4.0;
/// So does one seam that brings this part of all leakage.
const LARGE_PART: f64 = 0.15;
/// Either must leak this many times what the catalogue expects of it: large by nature teaches nothing new.
const THAN_EXPECTED: f64 = 2.0;
/// An open seam counts from this part of all leakage on.
const OPEN_PART: f64 = 0.1;
/// Part of the seams in reach that are looked at, and its bounds. Engineering estimate: a quarter of an hour with a puffer.
const LOOKED_AT: f64 = 0.12;
const FEWEST_LOOKS: usize = 3;
const MOST_LOOKS: usize = 12;
/// Relative standard deviation of flows and of pressures, and their floors (m³/s, Pa): what a sketch's readings have when
/// nobody says. Common practice and engineering estimates, as there.
const FLOW_ERROR: (f64, f64) = (0.03, 0.5e-3);
const PRESSURE_ERROR: (f64, f64) = (0.01, 0.3);
/// A register whose run lies in places nearer to outdoors than this is worth a pan.
const WORTH_A_PAN: f64 = 0.9;
/// The gauge's and the looker's name.
pub(super) const BY: &str = "class";

/// What is true of one seam.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamTruth {
    /// Id of the seam.
    pub id: String,
    /// Flow at 25 Pa, m³/s.
    pub q25_m3_s: f64,
    /// Exponent.
    pub n: f64,
    /// Whether it hangs open.
    pub open: bool,
    /// Flow in the total set-up, m³/s.
    pub test_m3_s: f64,
    /// Flow while the unit runs, either way, m³/s; `None` where the running system is not known.
    pub running_m3_s: Option<f64>,
}

/// What there is to be learnt.
#[derive(Debug, Clone, PartialEq)]
pub enum Teachable {
    /// A seam hangs open.
    Open {
        /// Its id.
        seam: String,
        /// Its part of all leakage.
        part: f64,
    },
    /// One run leaks far more than the rest.
    Run {
        /// Its id.
        run: String,
        /// How many times the middle run.
        times: f64,
    },
    /// One seam leaks far more than the rest.
    Seam {
        /// Its id.
        seam: String,
        /// Its part of all leakage.
        part: f64,
    },
    /// Nothing of that came up: the truth with the largest single part was taken.
    Even {
        /// The seam with the largest part.
        seam: String,
        /// Its part of all leakage.
        part: f64,
    },
}

/// How the truth was chosen among truths drawn from the prior.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// Number of the truth taken, from 0.
    pub index: usize,
    /// Truths looked at.
    pub tried: usize,
    /// Truths passed over among them because they leak more in the total set-up than the unit moves; all of them where no
    /// other came up, and then the least leaky was taken.
    pub beyond_airflow: usize,
    /// What there is to be learnt from it.
    pub because: Teachable,
}

/// An exercise.
#[derive(Debug, Clone)]
pub struct Exercise {
    /// The system as its sketch builds it, with invented readings and looks in place of its own, nothing sealed and no record.
    pub system: System,
    /// The truth, seam by seam.
    pub truth: Vec<SeamTruth>,
    /// How it was chosen.
    pub chosen: Chosen,
}

/// Why there is no exercise.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ExerciseError {
    /// No test of these ducts can be set up.
    #[error("no test of these ducts can be set up: {0}")]
    NoReading(FlowError),
    /// The truths could not be drawn.
    #[error(transparent)]
    Draws(#[from] AllocateError),
}

/// Makes an exercise of a system.
///
/// Readings: total, each side alone, one run alone, up to two pans where ducts lie outside the house; smoke looks at some
/// of the seams in reach, all by one person at the test pressure. Which run, registers and seams hangs on the seed alone,
/// never on the truth. Errors are those of the meters and of the looker; no set-up is made wrong.
///
/// Truths are drawn one after another until one teaches something ([`Teachable`]): an exercise is therefore leakier in one
/// spot than the average system. One that leaks more in the total set-up than the stated airflow teaches nothing, and is passed
/// over.
///
/// # Errors
/// [`ExerciseError`].
pub fn make(system: &System, seed: u64) -> Result<Exercise, ExerciseError> {
    let mut settings = AllocateSettings::default().with_beliefs(&system.beliefs);
    settings.error_law.wide_chance = 0.0;
    let mut random = Pcg64::new(u128::from(seed), 0xc1a5);
    let template = template(system, &mut random)?;
    let total = Total::of(&template)?;
    let airflow = template.unit.airflow_m3_s.map(|(airflow, _)| airflow);
    let mut best: Option<(f64, Chosen, System, Truth)> = None;
    let mut least_leaky: Option<(f64, Chosen, System, Truth)> = None;
    let mut beyond_airflow = 0;
    for index in 0..TRIES {
        let (made, truth) = invent(&template, &settings, seed, index)?;
        let flows = total.flows(&truth)?;
        let (found, worth) = teachable(&template, &truth, &flows);
        let leaks: f64 = flows.iter().sum();
        if airflow.is_some_and(|airflow| leaks > airflow) {
            beyond_airflow += 1;
            if least_leaky
                .as_ref()
                .is_none_or(|(least, ..)| leaks < *least)
            {
                let chosen = Chosen {
                    index,
                    tried: TRIES,
                    beyond_airflow: TRIES,
                    because: found,
                };
                least_leaky = Some((leaks, chosen, made, truth));
            }
            continue;
        }
        let is_it = !matches!(found, Teachable::Even { .. });
        if is_it || best.as_ref().is_none_or(|(most, ..)| worth > *most) {
            let chosen = Chosen {
                index,
                tried: index + 1,
                beyond_airflow,
                because: found,
            };
            best = Some((worth, chosen, made, truth));
        }
        if is_it {
            break;
        }
    }
    let is_sound = best.is_some();
    let (_, mut chosen, made, truth) = best.or(least_leaky).expect("at least one truth is drawn");
    if is_sound && matches!(chosen.because, Teachable::Even { .. }) {
        (chosen.tried, chosen.beyond_airflow) = (TRIES, beyond_airflow);
    }
    let flows = total.flows(&truth)?;
    Ok(Exercise {
        truth: told(&template, &truth, &flows),
        system: made,
        chosen,
    })
}

/// The system with readings to be made up and looks to be taken.
fn template(system: &System, random: &mut Pcg64) -> Result<System, ExerciseError> {
    let mut bare = system.before_any_test();
    bare.record = TestRecord::default();
    bare.looks = looks(&bare, random);
    let settings = AllocateSettings::default().flow;
    let can = |kind: TestKind| prepare(&bare, &bare.setup(kind), &settings);
    can(TestKind::Total).map_err(ExerciseError::NoReading)?;
    let mut readings = vec![reading(
        &bare,
        "whole system",
        TestKind::Total,
        Observable::FanFlow,
    )];
    for (side, id) in [(Side::Supply, "supply side"), (Side::Return, "return side")] {
        let has_grille = bare.openings.iter().any(|opening| opening.side == side);
        let kind = TestKind::OneSide(side);
        if has_grille && can(kind).is_ok() {
            readings.push(reading(&bare, id, kind, Observable::FanFlow));
        }
    }
    let mut runs: Vec<RunIdx> = (0..bare.runs.len())
        .filter(|&run| bare.runs[run].opening.is_some() && bare.runs[run].side == Side::Supply)
        .collect();
    shuffle(&mut runs, random);
    if let Some(&run) = runs
        .iter()
        .find(|&&run| can(TestKind::Isolated(run)).is_ok())
    {
        let id = format!("{} alone", short(&bare.runs[run].id));
        readings.push(reading(
            &bare,
            &id,
            TestKind::Isolated(run),
            Observable::FanFlow,
        ));
        runs.retain(|&other| other != run);
    }
    let nearest_outdoors = |run: RunIdx| {
        let own = bare
            .seams
            .iter()
            .filter(|seam| seam.run == bare.runs[run].id);
        own.map(|seam| bare.places[seam.place].house_share)
            .fold(1.0, f64::min)
    };
    runs.retain(|&run| nearest_outdoors(run) < WORTH_A_PAN);
    // Stable: among equals chance decides.
    runs.sort_by(|&a, &b| nearest_outdoors(a).total_cmp(&nearest_outdoors(b)));
    for &run in runs.iter().take(2) {
        let Some(opening) = bare.runs[run].opening else {
            continue;
        };
        if can(TestKind::Pan(opening)).is_ok() {
            let id = format!("pan {}", short(&bare.runs[run].id));
            readings.push(reading(
                &bare,
                &id,
                TestKind::Pan(opening),
                Observable::BehindOpening(opening),
            ));
        }
    }
    bare.readings = readings;
    Ok(bare)
}

/// A name short enough to stand in another name.
fn short(id: &str) -> String {
    id.chars().take(48).collect::<String>().trim().to_owned()
}

fn reading(system: &System, id: &str, kind: TestKind, observable: Observable) -> Measured {
    let (relative_sd, floor_sd) = match observable {
        Observable::FanFlow => FLOW_ERROR,
        _ => PRESSURE_ERROR,
    };
    Measured {
        id: id.to_owned(),
        setup: system.setup(kind),
        observable,
        relation: Relation::Equals,
        // Made up afterwards; errors follow the exact value.
        value: system.prior_q25_m3_s().max(floor_sd),
        relative_sd,
        floor_sd,
        gauge: BY.to_owned(),
        stage: 0,
        date: None,
        error_source: "the usual error of such a meter".to_owned(),
        error_is_usual: true,
        note: String::new(),
    }
}

/// Smoke at some seams in reach.
fn looks(system: &System, random: &mut Pcg64) -> Vec<Look> {
    let mut seams: Vec<SeamIdx> = (0..system.seams.len())
        .filter(|&at| {
            let seam = &system.seams[at];
            seam.reach == Reach::Open && seam.role != SeamRole::Unsketched
        })
        .collect();
    shuffle(&mut seams, random);
    let wanted = (LOOKED_AT * seams.len() as f64).round() as usize;
    seams.truncate(wanted.clamp(FEWEST_LOOKS, MOST_LOOKS));
    seams.sort_unstable();
    seams
        .into_iter()
        .map(|seam| Look {
            seams: vec![seam],
            is_group: false,
            words: system.seams[seam].id.clone(),
            seen: Seen::Smoke(Smoke::None),
            by: BY.to_owned(),
            at: LookAt::Total(TEST_PRESSURE_PA),
            stage: 0,
        })
        .collect()
}

/// Fisher and Yates.
fn shuffle(list: &mut [usize], random: &mut Pcg64) {
    for last in (1..list.len()).rev() {
        list.swap(last, random.random_range(0..=last));
    }
}

/// The total set-up, solved for truths.
struct Total<'s> {
    system: &'s System,
    network: flow::Network,
}

impl<'s> Total<'s> {
    fn of(system: &'s System) -> Result<Self, ExerciseError> {
        let settings = AllocateSettings::default().flow;
        let prepared = prepare(system, &system.setup(TestKind::Total), &settings)
            .map_err(ExerciseError::NoReading)?;
        Ok(Total {
            system,
            network: prepared.network,
        })
    }

    /// Flow of every seam, m³/s.
    fn flows(&self, truth: &Truth) -> Result<Vec<f64>, ExerciseError> {
        let n_seams = self.system.seams.len();
        let laws = SeamLaws {
            ln_q25: &truth.ln_q25[..n_seams],
            n: &truth.n[..n_seams],
        };
        let mut ws = self.network.workspace();
        let found = flow::solve(&self.network, laws, flow::Disturbance::default(), &mut ws);
        if !found.status.is_solved() {
            return Err(AllocateError::BadReading {
                reading: "whole system".to_owned(),
                what: "a set-up that can be solved for the invented truth",
                found: found.fan_flow_m3_s,
            }
            .into());
        }
        Ok(ws.seam_flow().iter().map(|flow| flow.max(0.0)).collect())
    }
}

/// What there is to be learnt, and the largest part of one seam.
fn teachable(system: &System, truth: &Truth, flows: &[f64]) -> (Teachable, f64) {
    let total: f64 = flows.iter().sum();
    let part = |seam: SeamIdx| {
        if total > 0.0 {
            flows[seam] / total
        } else {
            0.0
        }
    };
    let id = |seam: SeamIdx| system.seams[seam].id.clone();
    let largest = (0..flows.len()).fold(0, |most, seam| {
        if flows[seam] > flows[most] {
            seam
        } else {
            most
        }
    });
    let worth = part(largest);
    if let Some(seam) = truth.open.seams().find(|&seam| part(seam) >= OPEN_PART) {
        let found = Teachable::Open {
            seam: id(seam),
            part: part(seam),
        };
        return (found, worth);
    }
    let expected = system.seams[largest].mean_q25_m3_s;
    let is_unusual = flows[largest] >= THAN_EXPECTED * expected;
    if worth >= LARGE_PART && is_unusual && !own_knowledge(system, largest) {
        let found = Teachable::Seam {
            seam: id(largest),
            part: worth,
        };
        return (found, worth);
    }
    if let Some(found) = leaky_run(system, flows) {
        return (found, worth);
    }
    let found = Teachable::Even {
        seam: id(largest),
        part: worth,
    };
    (found, worth)
}

/// Whether the sketch itself says so: an own figure, or what it forgot.
fn own_knowledge(system: &System, seam: SeamIdx) -> bool {
    let seam = &system.seams[seam];
    seam.own_figure || seam.role == SeamRole::Unsketched
}

/// A run that ends in a room and leaks many times what the middle one of them does, and what is expected of it.
fn leaky_run(system: &System, flows: &[f64]) -> Option<Teachable> {
    let mut sums: Vec<(f64, f64, &str)> = system
        .runs
        .iter()
        .filter(|run| run.opening.is_some())
        .map(|run| {
            let own = system.seams.iter().zip(flows);
            let own = own.filter(|(seam, _)| seam.run == run.id);
            let (sum, expected) = own.fold((0.0, 0.0), |(sum, expected), (seam, flow)| {
                (sum + flow, expected + seam.mean_q25_m3_s)
            });
            (sum, expected, run.id.as_str())
        })
        .collect();
    if sums.len() < 3 {
        return None;
    }
    sums.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (most, expected, run) = sums[sums.len() - 1];
    let times = most / sums[sums.len() / 2].0;
    (times >= FAR_LEAKIER && times.is_finite() && most >= THAN_EXPECTED * expected).then(|| {
        Teachable::Run {
            run: run.to_owned(),
            times,
        }
    })
}

/// The truth as it is kept.
fn told(system: &System, truth: &Truth, flows: &[f64]) -> Vec<SeamTruth> {
    let n_seams = system.seams.len();
    let (ln_q25, n) = (&truth.ln_q25[..n_seams], &truth.n[..n_seams]);
    let is_known =
        system.unit.airflow_m3_s.is_some() || system.unit.blower.kind == BlowerKind::Points;
    let pa = if is_known {
        running_pressures(system, ln_q25, n)
    } else {
        None
    };
    (0..n_seams)
        .map(|seam| {
            let q25 = exp(ln_q25[seam]);
            SeamTruth {
                id: system.seams[seam].id.clone(),
                q25_m3_s: q25,
                n: n[seam],
                open: truth.open.has(seam),
                test_m3_s: flows[seam],
                running_m3_s: pa.as_ref().map(|pa| leak(q25, n[seam], pa[seam])),
            }
        })
        .collect()
}

#[cfg(test)]
#[path = "exercise_tests.rs"]
mod tests;
