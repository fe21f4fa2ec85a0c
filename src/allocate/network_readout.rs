//! Readings modelled by duct networks.

use super::error::AllocateError;
use super::readout::{Disturbance, Readings, Readout};
use crate::flow::{self, FlowSettings, Network, SeamLaws, Workspace};
use crate::system::{Setup, System};

/// A fan that passes less than this passes nothing that a meter could show; imbalances are judged against it, m³/s.
const LEAST_FLOW_M3_S: f64 = 1e-6;

/// One network per set-up.
pub(crate) struct NetworkReadout {
    networks: Vec<Network>,
    starts: Vec<Workspace>,
    /// +1 for blowing up, −1 for pulling down.
    directions: Vec<f64>,
    /// First set-up before each that is equal to it.
    equals: Vec<Option<usize>>,
}

impl NetworkReadout {
    /// Assembles the named set-ups.
    pub(crate) fn new<'s>(
        system: &System,
        setups: impl IntoIterator<Item = (&'s str, &'s Setup)>,
        settings: &FlowSettings,
    ) -> Result<Self, AllocateError> {
        let mut readout = NetworkReadout {
            networks: Vec::new(),
            starts: Vec::new(),
            directions: Vec::new(),
            equals: Vec::new(),
        };
        let mut before: Vec<&Setup> = Vec::new();
        for (name, setup) in setups {
            let network =
                flow::assemble(system, setup, settings).map_err(|source| AllocateError::Flow {
                    reading: name.to_owned(),
                    source,
                })?;
            readout.starts.push(network.workspace());
            readout.networks.push(network);
            readout
                .directions
                .push(if setup.pressurise { 1.0 } else { -1.0 });
            readout
                .equals
                .push(before.iter().position(|&other| other == setup));
            before.push(setup);
        }
        Ok(readout)
    }

    /// Whether a seam takes part in a set-up.
    pub(crate) fn counts(&self, setup: usize, seam: usize) -> bool {
        self.networks[setup].seam_counts(seam)
    }
}

impl Readout for NetworkReadout {
    type Work = Vec<Workspace>;

    fn work(&self) -> Self::Work {
        let mut work: Vec<Workspace> = self.networks.iter().map(Network::workspace).collect();
        self.restart(&mut work);
        work
    }

    fn restart(&self, work: &mut Self::Work) {
        for (workspace, start) in work.iter_mut().zip(&self.starts) {
            workspace.copy_start_from(start);
        }
    }

    fn keep_start(&mut self, work: &Self::Work) {
        for (start, workspace) in self.starts.iter_mut().zip(work) {
            start.copy_start_from(workspace);
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
        self.read_roughly(setup, ln_q25, n, disturbance, 0.0, work)
    }

    fn read_roughly(
        &self,
        setup: usize,
        ln_q25: &[f64],
        n: &[f64],
        disturbance: Disturbance,
        part: f64,
        work: &mut Self::Work,
    ) -> Readings {
        let laws = SeamLaws { ln_q25, n };
        let (net, ws) = (&self.networks[setup], &mut work[setup]);
        let mut outcome = flow::solve_roughly(net, laws, disturbance, ws, part);
        if !outcome.status.is_solved() {
            // Once more from nothing, so that no start can spoil a draw: solves of tiny networks from a start at another
            // tap pressure have been seen not to settle.
            ws.clear_start();
            outcome = flow::solve_roughly(net, laws, disturbance, ws, part);
        }
        let largest = outcome.fan_flow_m3_s.abs().max(LEAST_FLOW_M3_S);
        Readings {
            flow_m3_s: outcome.fan_flow_m3_s,
            mask_leak_m3_s: outcome.mask_leak_m3_s,
            settled: outcome.status.is_solved() && outcome.fan_flow_m3_s.is_finite(),
            iterations: outcome.iterations,
            worst_imbalance: outcome.worst_imbalance / largest,
        }
    }

    fn start_from_equal(&self, setup: usize, work: &mut Self::Work) {
        if let Some(equal) = self.equals[setup] {
            let (before, from_here) = work.split_at_mut(setup);
            from_here[0].copy_start_from(&before[equal]);
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
        flow::sensitivities(&self.networks[setup], laws, &mut work[setup], d_ln_q25, d_n);
    }

    fn seam_flows(&self, setup: usize, work: &Self::Work, flows: &mut [f64]) {
        for (to, from) in flows.iter_mut().zip(work[setup].seam_flow()) {
            *to = self.directions[setup] * from;
        }
    }

    fn seam_pressures(&self, setup: usize, work: &Self::Work, pressures: &mut [f64]) {
        for (i, (to, from)) in pressures.iter_mut().zip(work[setup].seam_dp()).enumerate() {
            *to = if self.counts(setup, i) {
                from.abs()
            } else {
                0.0
            };
        }
    }
}
