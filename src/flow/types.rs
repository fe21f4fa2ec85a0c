//! What a solve is given and what it answers.

/// Limits of a flow solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowSettings {
    /// Pieces longer than this are cut at the joints along them, m; 3 by default.
    ///
    /// Seams are moved to the nearest cut or end. A shorter length follows the fall of pressure along a
    /// leaky duct more closely and costs more nodes.
    pub longest_segment_m: f64,
    /// Worst imbalance of a node that counts as solved, part of the largest flow; 1e-10 by default.
    pub imbalance_rel: f64,
    /// Most Newton steps of one solve; 100 by default.
    pub max_iterations: usize,
    /// Pressure of a test fan beyond which a tap elsewhere is not reached, Pa; 1e12 by default, where rounding would drown
    /// the answer.
    pub farthest_fan_pa: f64,
    /// A duct that loses less than this at 10 m/s is a lossless link, Pa; 1e-6 by default.
    pub lossless_pa: f64,
    /// How velocity pressures and losses by flow ratio are made to agree with the flows.
    pub lag_method: LagMethod,
    /// Which pressure drives leaks and is shown by taps.
    pub seam_pressure: SeamPressure,
    /// Temperature of the supply side's air while the blower runs, K; 293.15 (no heating or cooling) by default. All
    /// other air is dry air at 20 °C.
    pub supply_air_k: f64,
}

/// Which pressure of the duct drives leaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SeamPressure {
    /// Static pressure: the total pressure less the velocity pressure of the stream past the seam. The default.
    #[default]
    Static,
    /// Total pressure: right where air hardly moves, quicker.
    Total,
}

/// How pressures that depend on flows of the same solve are found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LagMethod {
    /// Newton on the whole, with halved and relaxed steps where it does not help. The default.
    #[default]
    Newton,
    /// Relaxed steps alone: 1/(1 + f) of the gap, f = 2n·p_v/p_s at leaks, half of it at legs of takeoffs.
    /// Shrinks the gap in every round, slowly where f is large; for checks.
    Relaxed,
}

impl Default for FlowSettings {
    fn default() -> Self {
        FlowSettings {
            longest_segment_m: 3.0,
            imbalance_rel: 1e-10,
            max_iterations: 100,
            farthest_fan_pa: 1e12,
            lossless_pa: 1e-6,
            lag_method: LagMethod::Newton,
            seam_pressure: SeamPressure::Static,
            supply_air_k: 293.15,
        }
    }
}

/// Leak laws of all seams of a system, in the order of `System::seams`.
///
/// Seams that take no part in a set-up keep their place and are not read.
#[derive(Debug, Clone, Copy)]
pub struct SeamLaws<'a> {
    /// Natural logarithm of the flow at 25 Pa, m³/s at 1.204 kg/m³; −∞ is a sealed seam.
    pub ln_q25: &'a [f64],
    /// Flow exponent, 0.5 to 1.
    pub n: &'a [f64],
}

/// Departure of a test from its nominal pressures, Pa; added to signed gauge pressures.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Disturbance {
    /// Added to the pressure at which the house is held.
    pub house_pa: f64,
    /// Added to the pressure that the fan holds at the tap.
    pub tap_pa: f64,
}

/// How far a solve came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Every node balances within [`FlowSettings::imbalance_rel`] of the largest flow.
    Converged,
    /// Every node balances as well as rounding of its pressure lets it: usable, the flows are right to
    /// about 8 units in the last place of the pressures times the slopes of the elements.
    RoundingLimited,
    /// Stopped before that; the figures are the last ones reached.
    NotConverged {
        /// Node with the worst imbalance, see [`Network::node_name`](super::Network::node_name).
        node: usize,
    },
    /// The tap lies so far behind leaks that no fan reaches its pressure: a hundred atmospheres would not do. The
    /// figures are the last ones reached.
    OutOfReach {
        /// The tap, see [`Network::node_name`](super::Network::node_name).
        node: usize,
    },
}

impl Status {
    /// Whether the figures may be used.
    pub fn is_solved(self) -> bool {
        matches!(self, Status::Converged | Status::RoundingLimited)
    }
}

/// Answer of one solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// How far the solve came.
    pub status: Status,
    /// Flow through the fan as a positive magnitude, into the ducts when blown up and out of them when
    /// pulled down, m³/s at 1.204 kg/m³.
    pub fan_flow_m3_s: f64,
    /// Part of it that leaks through masks, plugs and the barrier, same sign rule, m³/s.
    pub mask_leak_m3_s: f64,
    /// Newton steps taken.
    pub iterations: u32,
    /// Worst imbalance of a node, m³/s.
    pub worst_imbalance: f64,
    /// Times that velocity pressures and losses by flow ratio were moved.
    pub lag_rounds: u32,
    /// Largest gap left between such a pressure and the flows it follows from, Pa.
    pub lag_gap_pa: f64,
}

/// One accepted Newton step, for checks and for explaining a solve that did not settle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TraceStep {
    /// Part of the Newton step that was taken.
    pub taken: f64,
    /// Content function after the step, W (Pa·m³/s).
    pub content: f64,
    /// Worst imbalance after the step, m³/s.
    pub worst_imbalance: f64,
}
