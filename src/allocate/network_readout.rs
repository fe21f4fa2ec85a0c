//! Readings modelled by duct networks.

use super::error::AllocateError;
use super::readout::{Disturbance, Readings, Readout};
use crate::flow::{
    self, FlowError, FlowSettings, Network, Outcome, Prepared, Reading, SeamLaws, SeamPressure,
    Workspace,
};
use crate::system::{Mover, Observable, Setup, System};

/// A fan that passes less than this passes nothing that a meter could show; imbalances are judged against it, m³/s.
const LEAST_FLOW_M3_S: f64 = 1e-6;

/// What is read in a set-up.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted<'s> {
    /// Name for errors.
    pub name: &'s str,
    /// Set-up.
    pub setup: &'s Setup,
    /// What is read.
    pub observable: Observable,
    /// Steps of sealing done before: readings of one set-up at other stages are other solves.
    pub stage: usize,
}

/// One network per set-up; set-ups that are equal share one, so that many readings of a running system take one solve.
pub(crate) struct NetworkReadout {
    networks: Vec<Network>,
    /// Network of each set-up.
    network_of: Vec<usize>,
    reads: Vec<Reading>,
    starts: Vec<Workspace>,
    /// +1 for blowing up, −1 for pulling down.
    directions: Vec<f64>,
    /// First set-up before each that is equal to it.
    equals: Vec<Option<usize>>,
}

impl NetworkReadout {
    /// Assembles the wanted readings.
    pub(crate) fn new<'s>(
        system: &System,
        wanted: impl IntoIterator<Item = Wanted<'s>>,
        settings: &FlowSettings,
    ) -> Result<Self, AllocateError> {
        let mut readout = NetworkReadout {
            networks: Vec::new(),
            network_of: Vec::new(),
            reads: Vec::new(),
            starts: Vec::new(),
            directions: Vec::new(),
            equals: Vec::new(),
        };
        let mut before: Vec<(&Setup, usize)> = Vec::new();
        for Wanted {
            name,
            setup,
            observable,
            stage,
        } in wanted
        {
            let prepared =
                prepared(system, setup, settings).map_err(|source| AllocateError::Flow {
                    reading: name.to_owned(),
                    source,
                })?;
            let reads = prepared.reading_of(system, observable).ok_or_else(|| {
                AllocateError::NotReadable {
                    reading: name.to_owned(),
                }
            })?;
            let equal = before.iter().position(|&other| other == (setup, stage));
            readout.reads.push(reads);
            readout
                .directions
                .push(if setup.pressurise { 1.0 } else { -1.0 });
            readout.equals.push(equal);
            match equal {
                // Errors of the pressures held are each reading's own, so that only set-ups without a tap share.
                Some(first) if runs_by_itself(setup) => {
                    let network = readout.network_of[first];
                    readout.network_of.push(network);
                }
                _ => {
                    readout.network_of.push(readout.networks.len());
                    readout.starts.push(prepared.network.workspace());
                    readout.networks.push(prepared.network);
                }
            }
            before.push((setup, stage));
        }
        Ok(readout)
    }

    /// Whether a seam takes part in a set-up.
    pub(crate) fn counts(&self, setup: usize, seam: usize) -> bool {
        self.networks[self.network_of[setup]].seam_counts(seam)
    }
}

/// A network's workspace with what it was last solved for.
pub(crate) struct Solved {
    ws: Workspace,
    outcome: Option<Outcome>,
    disturbance: Disturbance,
    ln_q25: Vec<f64>,
    n: Vec<f64>,
}

impl Solved {
    fn is_of(&self, ln_q25: &[f64], n: &[f64], disturbance: Disturbance) -> bool {
        self.disturbance == disturbance && self.ln_q25 == ln_q25 && self.n == n
    }
}

impl Readout for NetworkReadout {
    type Work = Vec<Solved>;

    fn work(&self) -> Self::Work {
        let mut work: Self::Work = self
            .networks
            .iter()
            .map(|network| Solved {
                ws: network.workspace(),
                outcome: None,
                disturbance: Disturbance::default(),
                ln_q25: Vec::new(),
                n: Vec::new(),
            })
            .collect();
        self.restart(&mut work);
        work
    }

    fn restart(&self, work: &mut Self::Work) {
        for (solved, start) in work.iter_mut().zip(&self.starts) {
            solved.ws.copy_start_from(start);
            solved.outcome = None;
        }
    }

    fn keep_start(&mut self, work: &Self::Work) {
        for (start, solved) in self.starts.iter_mut().zip(work) {
            start.copy_start_from(&solved.ws);
        }
    }

    fn read(
        &self,
        setup: usize,
        ln_q25: &[f64],
        n: &[f64],
        disturbance: Disturbance,
        work: &mut Self::Work,
    ) -> Readings {
        let at = self.network_of[setup];
        let (net, solved) = (&self.networks[at], &mut work[at]);
        let known = solved
            .outcome
            .filter(|_| solved.is_of(ln_q25, n, disturbance));
        let outcome = known.unwrap_or_else(|| {
            let laws = SeamLaws { ln_q25, n };
            let mut outcome = flow::solve(net, laws, disturbance, &mut solved.ws);
            if !outcome.status.is_solved() {
                // Once more from nothing, so that no start can spoil a draw: solves of tiny networks from a start at
                // another tap pressure have been seen not to settle.
                solved.ws.clear_start();
                outcome = flow::solve(net, laws, disturbance, &mut solved.ws);
            }
            solved.outcome = Some(outcome);
            solved.disturbance = disturbance;
            solved.ln_q25.clear();
            solved.ln_q25.extend_from_slice(ln_q25);
            solved.n.clear();
            solved.n.extend_from_slice(n);
            outcome
        });
        let largest = outcome.fan_flow_m3_s.abs().max(LEAST_FLOW_M3_S);
        let value = match self.reads[setup] {
            Reading::FanFlow => outcome.fan_flow_m3_s,
            Reading::Probe(probe) => flow::read(net, &solved.ws, probe).unwrap_or(f64::NAN),
        };
        Readings {
            value,
            mask_leak_m3_s: outcome.mask_leak_m3_s,
            settled: outcome.status.is_solved() && value.is_finite(),
            iterations: outcome.iterations,
            worst_imbalance: outcome.worst_imbalance / largest,
        }
    }

    fn start_from_equal(&self, setup: usize, work: &mut Self::Work) {
        let to = self.network_of[setup];
        if let Some(equal) = self.equals[setup].map(|e| self.network_of[e])
            && equal < to
        {
            let (before, from_here) = work.split_at_mut(to);
            from_here[0].ws.copy_start_from(&before[equal].ws);
            from_here[0].outcome = None;
        }
    }

    fn slopes(
        &self,
        setup: usize,
        ln_q25: &[f64],
        n: &[f64],
        work: &mut Self::Work,
        d_ln_q25: &mut [f64],
        d_n: &mut [f64],
    ) {
        let laws = SeamLaws { ln_q25, n };
        let at = self.network_of[setup];
        let (net, ws) = (&self.networks[at], &mut work[at].ws);
        match self.reads[setup] {
            Reading::FanFlow => {
                flow::sensitivities(net, laws, ws, d_ln_q25, d_n);
            }
            Reading::Probe(probe) => {
                if flow::probe_sensitivities(net, laws, ws, probe, d_ln_q25, d_n).is_none() {
                    d_ln_q25.fill(0.0);
                    d_n.fill(0.0);
                }
            }
        }
    }

    fn seam_flows(&self, setup: usize, work: &Self::Work, flows: &mut [f64]) {
        let solved = &work[self.network_of[setup]];
        for (to, from) in flows.iter_mut().zip(solved.ws.seam_flow()) {
            *to = self.directions[setup] * from;
        }
    }

    fn seam_pressures(&self, setup: usize, work: &Self::Work, pressures: &mut [f64]) {
        let solved = &work[self.network_of[setup]];
        for (i, (to, from)) in pressures.iter_mut().zip(solved.ws.seam_dp()).enumerate() {
            *to = if self.counts(setup, i) {
                from.abs()
            } else {
                0.0
            };
        }
    }
}

/// Set-ups whose pressures nobody holds at a tap.
fn runs_by_itself(setup: &Setup) -> bool {
    !matches!(setup.kind.recipe().mover, Mover::DuctFan)
}

/// Prepares a set-up. Where the blower runs, leaks feel static pressure, and a curve that is only estimated is scaled to
/// the airflow stated in the sketch at the prior's means.
fn prepared(
    system: &System,
    setup: &Setup,
    settings: &FlowSettings,
) -> Result<Prepared, FlowError> {
    if !setup.kind.recipe().mover.runs_blower() {
        return flow::prepare(system, setup, settings);
    }
    let settings = FlowSettings {
        seam_pressure: SeamPressure::Static,
        ..*settings
    };
    let mut prepared = flow::prepare(system, setup, &settings)?;
    if let Some(airflow_m3_s) = system.unit.airflow_for_curve_m3_s() {
        let (ln_q25, n) = system.prior_laws();
        let laws = SeamLaws {
            ln_q25: &ln_q25,
            n: &n,
        };
        flow::match_airflow(system, &mut prepared, laws, airflow_m3_s);
    }
    Ok(prepared)
}
