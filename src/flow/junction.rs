//! Losses where a branch leaves a main or joins it, which hang on both flows.

use crate::air::{Air, STANDARD_DENSITY};
use crate::math::cos;

/// Branch's own loss at a plain tee as tall as its main. From memory; 3.5 % above the ASHRAE value at V_b/V_c = 0.8.
const TEE_OWN_LOSS: f64 = 0.3;
/// The same where the branch is at most two thirds as tall as the main. Handbook of Hydraulic Resistance, 1994.
const LOW_TEE_OWN_LOSS: f64 = 1.0;
/// Factor A′ of a diverging wye at high velocity ratios; 1 at low ones. Same source.
const WYE_FACTOR: f64 = 0.9;
/// Velocity ratios V_b/V_c between which A′ goes from 1 to [`WYE_FACTOR`]. The source jumps at 0.8; smoothed here.
const WYE_BLEND: (f64, f64) = (0.6, 0.8);
/// Area ratio A_b/A_c up to which the diverging straight leg has one constant. Same source.
const SMALL_BRANCH: f64 = 0.4;
/// Area ratio up to which the converging branch has the factor 1. Same source.
const SMALL_JOINING_BRANCH: f64 = 0.35;
/// Least factor of a larger converging branch; the greatest is [`JOINING_FACTOR`]. Same source.
const LEAST_JOINING_FACTOR: f64 = 0.55;
/// Factor of a larger converging branch at no branch flow. Same source.
const JOINING_FACTOR: f64 = 0.9;
/// V_b/V_c beyond which a diverging junction counts as outside the tables (the handbook tables of takeoffs that were
/// at hand, partly from memory, end at 3).
const FASTEST_BRANCH: f64 = 3.0;
/// Least area ratio of the tables of converging tees (CIBSE Guide C, table 4.132).
const SMALLEST_JOINING_BRANCH: f64 = 0.1;

/// How a branch sits on its main.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BranchForm {
    /// Square to the main.
    Tee {
        /// Loss coefficient on the branch's own velocity pressure where air parts.
        own_loss: f64,
    },
    /// Slanted along the flow.
    Wye {
        /// Cosine of the angle between branch and main.
        cosine: f64,
    },
}

impl BranchForm {
    /// Tee with a branch about as tall as its main, any ordinary round tee.
    pub const TEE: BranchForm = BranchForm::Tee {
        own_loss: TEE_OWN_LOSS,
    };
    /// Tee with a branch at most two thirds as tall as its main.
    pub const LOW_TEE: BranchForm = BranchForm::Tee {
        own_loss: LOW_TEE_OWN_LOSS,
    };

    /// Wye at an angle between branch and main, degrees.
    pub fn wye(angle_deg: f64) -> Self {
        BranchForm::Wye {
            cosine: cos(angle_deg.to_radians()),
        }
    }
}

/// Whether a junction parts air or brings it together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stream {
    /// Supply: out of the common leg into branch and straight leg.
    Diverging,
    /// Return: out of branch and straight leg into the common leg.
    Converging,
}

/// Pressure source of a leg and how it answers to the flows.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Source {
    /// Added along the leg's ordinary direction, Pa: minus the loss that the leg's element does not hold.
    pub pa: f64,
    /// Derivative to the branch's flow, Pa·s/m³.
    pub per_branch_flow: f64,
    /// Derivative to the common leg's flow, Pa·s/m³.
    pub per_common_flow: f64,
}

/// Total pressure lost between the legs of a tee or wye: c common, b branch, s straight.
///
/// Flows count positive in the ordinary direction: out of c when parting, into c when joining. The branch's element
/// keeps the convex part k·pv_b·sign(q_b), with k the [`own_branch_loss`](Self::own_branch_loss); what is left goes
/// into the sources, which a solver takes from the flows it last had:
/// ```text
/// branch:    Δp_b = k·pv_b·sign(q_b) − e_b(q_b, q_c)       straight:  Δp_s = −e_s(q_b, q_c)
/// ```
///
/// # Equation
/// ```text
/// V = q·ρ₀/(ρ·A),  pv = ρV²/2,  v = V_b/V_c,  a = A_b/A_c,  r = q_b/q_c held in 0..1,  x⁺ = max(x, 0)
///
/// parting   tee       Δp_b = pv_c + k·pv_b                                k = 0.3, low branch 1
///           wye α     Δp_b = A′·(pv_c + pv_b − 2 cos α·ρV_c·V_b⁺/2)       k = 0.9
///                     A′ = 1 − 0.1·S(v), S smooth from 0 at v = 0.6 to 1 at 0.8
///           straight  Δp_s = τ·r²·pv_c;  τ = 0.4 for a ≤ 0.4, else 2(2r − 1) for r ≤ 0.5, 0.3(2r − 1) above
/// joining   branch    Δp_b = A·(pv_c + pv_b − 2(1 − r)²·pv_c − 2(r²/a) cos α·pv_c)
///                     A = 1 for a ≤ 0.35, else max(0.9(1 − r), 0.55);  k = the least A;  cos α = 0 for a tee
///           straight  Δp_s = (1.55 r − r²)·pv_c
/// ```
///
/// # Limits
/// Of two takeoffs at one joint each takes its own loss from the main, as if the other were not there. Turbulent flow; fittings some diameters apart. Joining laws hold for A_s = A_c. Sources are zero when the common leg
/// stands still or runs backwards; with a reversed branch or straight leg they stay continuous and mean little:
/// [`range_note`](Self::range_note) says so. Sources are continuous; their derivatives jump at r = 0, 0.5 and 1, at
/// the foot of A, and at q_c = 0.
///
/// Published figures differ, and the law takes one: a low tee loses 2.6·pv_b at v = 0.8 by the handbook, 1.8 by ASHRAE
/// (round, a = 0.25); a parting 45 degree wye with a > 0.35 up to half more here than in a handbook of pipe flow, a
/// parting tee with a > 2/3 up to 23 % less; a joining wye's straight leg is taken as a tee's and loses too much. The
/// parting straight leg has no loss of a narrowing main in it: for A_s/A_c = 0.69 at q_s/q_c = 0.8 ASHRAE's worked
/// system has about 0.15 on the straight leg's pv, this law 0.012.
///
/// # Source
/// Handbook of Hydraulic Resistance, 3rd ed. 1994, tees [as coded in public functions]; wye at other angles than 90
/// degrees and k = 0.3 from memory; the blend of A′ and the reversed legs are own choices. Compared in the tests with
/// ASHRAE Handbook Fundamentals 2021, ch. 21, and CIBSE Guide C, table 4.132.
///
/// # Examples
/// ```
/// use ductseam::air::Air;
/// use ductseam::flow::{BranchForm, JunctionLaw, Stream};
///
/// // A dead branch off a main at 5 m/s stands at the main's static pressure: it lacks pv = 1.204·25/2 Pa.
/// let tee = JunctionLaw::new(BranchForm::TEE, Stream::Diverging, 0.05, 0.0125, Some(0.05), Air::standard());
/// assert!((tee.branch_source(0.0, 0.25).pa + 15.05).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JunctionLaw {
    form: BranchForm,
    stream: Stream,
    area_c: f64,
    area_b: f64,
    area_s: Option<f64>,
    /// ρ₀²/(2ρ): velocity pressure of a standard flow per area, squared.
    density_factor: f64,
}

impl JunctionLaw {
    /// Law of a junction of the given leg areas, m², which must be above zero; `area_s` is `None` without a straight
    /// leg and serves [`range_note`](Self::range_note) alone.
    pub fn new(
        form: BranchForm,
        stream: Stream,
        area_c: f64,
        area_b: f64,
        area_s: Option<f64>,
        air: Air,
    ) -> Self {
        JunctionLaw {
            form,
            stream,
            area_c,
            area_b,
            area_s,
            density_factor: 0.5 * STANDARD_DENSITY * STANDARD_DENSITY / air.density,
        }
    }

    /// Loss coefficient k on the branch's own velocity pressure, kept in the branch's element.
    pub fn own_branch_loss(&self) -> f64 {
        match (self.stream, self.form) {
            (Stream::Diverging, BranchForm::Tee { own_loss }) => own_loss,
            (Stream::Diverging, BranchForm::Wye { .. }) => WYE_FACTOR,
            (Stream::Converging, _) if self.small_joining() => 1.0,
            (Stream::Converging, _) => LEAST_JOINING_FACTOR,
        }
    }

    /// Source of the branch leg at flows of the branch and of the common leg, m³/s at 1.204 kg/m³.
    pub fn branch_source(&self, q_b: f64, q_c: f64) -> Source {
        if q_c <= 0.0 {
            return Source::default();
        }
        match (self.stream, self.form) {
            (Stream::Diverging, BranchForm::Tee { .. }) => self.common_lost(q_c),
            (Stream::Diverging, BranchForm::Wye { cosine }) => self.parting_wye(cosine, q_b, q_c),
            (Stream::Converging, BranchForm::Tee { .. }) => self.joining(0.0, q_b, q_c),
            (Stream::Converging, BranchForm::Wye { cosine }) => self.joining(cosine, q_b, q_c),
        }
    }

    /// Source of the straight leg at flows of the branch and of the common leg, m³/s at 1.204 kg/m³.
    pub fn straight_source(&self, q_b: f64, q_c: f64) -> Source {
        if q_c <= 0.0 {
            return Source::default();
        }
        let r = (q_b / q_c).clamp(0.0, 1.0);
        let (loss, slope) = match self.stream {
            Stream::Diverging if self.area_b <= SMALL_BRANCH * self.area_c => {
                (0.4 * r * r, 0.8 * r)
            }
            Stream::Diverging => {
                let steep = if r <= 0.5 { 2.0 } else { 0.3 };
                let loss = steep * (2.0 * r - 1.0) * r * r;
                (loss, steep * (6.0 * r - 2.0) * r)
            }
            Stream::Converging => ((1.55 - r) * r, 1.55 - 2.0 * r),
        };
        self.of_common(q_b, q_c, loss, slope)
    }

    /// What takes the junction out of the range of its correlation at these flows; `None` inside.
    pub fn range_note(&self, q_b: f64, q_c: f64) -> Option<&'static str> {
        /// Flows that differ by less are taken as one: a straight leg that ends blind.
        const SAME_FLOW: f64 = 1e-9;
        /// Areas that differ by less are taken as one.
        const SAME_AREA: f64 = 0.05;
        let joining = self.stream == Stream::Converging;
        if q_c < 0.0 || (q_c <= 0.0 && q_b.abs() > 0.0) {
            Some("air runs backwards in the common leg")
        } else if q_b < 0.0 {
            Some("air runs backwards in the branch")
        } else if q_b > q_c * (1.0 + SAME_FLOW) {
            Some("air runs backwards in the straight leg")
        } else if self.area_b > self.area_c {
            Some("the branch is larger than the main")
        } else if joining && self.area_b < SMALLEST_JOINING_BRANCH * self.area_c {
            Some("the branch is smaller than a tenth of the main")
        } else if joining
            && self
                .area_s
                .is_some_and(|s| (s / self.area_c - 1.0).abs() > SAME_AREA)
        {
            Some("the straight leg is not as large as the common leg")
        } else if !joining && q_b * self.area_c > FASTEST_BRANCH * q_c * self.area_b {
            Some("air in the branch is more than three times as fast as in the main")
        } else {
            None
        }
    }

    fn small_joining(&self) -> bool {
        self.area_b <= SMALL_JOINING_BRANCH * self.area_c
    }

    /// Velocity pressure per flow squared in the common leg.
    fn per_common(&self) -> f64 {
        self.density_factor / (self.area_c * self.area_c)
    }

    /// The common leg's velocity pressure, lost.
    fn common_lost(&self, q_c: f64) -> Source {
        let per = self.per_common();
        Source {
            pa: -per * q_c * q_c,
            per_branch_flow: 0.0,
            per_common_flow: -2.0 * per * q_c,
        }
    }

    /// A loss ζ(r)·pv_c as a source; `slope` is dζ/dr at r held in 0..1.
    fn of_common(&self, q_b: f64, q_c: f64, loss: f64, slope: f64) -> Source {
        let per = self.per_common();
        let ratio = q_b / q_c;
        let slope = if (0.0..=1.0).contains(&ratio) {
            slope
        } else {
            0.0
        };
        Source {
            pa: -loss * per * q_c * q_c,
            per_branch_flow: -slope * per * q_c,
            per_common_flow: -(2.0 * loss - ratio * slope) * per * q_c,
        }
    }

    /// e = −(A′·pv_c + (A′ − 0.9)·pv_b⁺ − 2A′·cos α·ρV_c·V_b⁺/2).
    fn parting_wye(&self, cosine: f64, q_b: f64, q_c: f64) -> Source {
        if q_b <= 0.0 {
            return self.common_lost(q_c);
        }
        let root = self.density_factor.sqrt();
        // Square roots of the velocity pressures.
        let (b, c) = (root * q_b / self.area_b, root * q_c / self.area_c);
        let (db, dc) = (root / self.area_b, root / self.area_c);
        let v = b / c;
        let x = ((v - WYE_BLEND.0) / (WYE_BLEND.1 - WYE_BLEND.0)).clamp(0.0, 1.0);
        let fall = 1.0 - WYE_FACTOR;
        let a = 1.0 - fall * x * x * (3.0 - 2.0 * x);
        let da_dv = -fall * 6.0 * x * (1.0 - x) / (WYE_BLEND.1 - WYE_BLEND.0);
        let bracket = c * c + b * b - 2.0 * cosine * c * b;
        let along_b = da_dv / c * bracket + a * (2.0 * b - 2.0 * cosine * c) - 2.0 * WYE_FACTOR * b;
        let along_c = -da_dv * v / c * bracket + a * (2.0 * c - 2.0 * cosine * b);
        Source {
            pa: WYE_FACTOR * b * b - a * bracket,
            per_branch_flow: -along_b * db,
            per_common_flow: -along_c * dc,
        }
    }

    /// e = −A·(1 − 2(1 − r)² − 2(r²/a) cos α)·pv_c − (A − k)·pv_b⁺, r held in 0..1.
    fn joining(&self, cosine: f64, q_b: f64, q_c: f64) -> Source {
        let area = self.area_b / self.area_c;
        let r = (q_b / q_c).clamp(0.0, 1.0);
        let sloped = JOINING_FACTOR * (1.0 - r);
        let (a, da) = if self.small_joining() {
            (1.0, 0.0)
        } else if sloped > LEAST_JOINING_FACTOR {
            (sloped, -JOINING_FACTOR)
        } else {
            (LEAST_JOINING_FACTOR, 0.0)
        };
        let rest = 1.0 - r;
        // pv_b = (r/a)²·pv_c; beyond r = 1 the part A − k of it is zero.
        let over = a - self.own_branch_loss();
        let own = r * r / (area * area);
        let bracket = 1.0 - 2.0 * rest * rest - 2.0 * r * r / area * cosine;
        let loss = a * bracket + over * own;
        let slope = da * (bracket + own)
            + a * (4.0 * rest - 4.0 * r / area * cosine)
            + over * 2.0 * r / (area * area);
        self.of_common(q_b, q_c, loss, slope)
    }
}

#[cfg(test)]
#[path = "junction_tests.rs"]
mod tests;
