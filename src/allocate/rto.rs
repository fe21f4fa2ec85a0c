//! Weighted randomise-then-optimise: draws of the posterior, one random stream per draw.
//!
//! # The target
//! A hypothesis b says which set-ups were wrong and which seams hang open. Write d for the pressure errors of the
//! set-ups (house not quite nulled, tap baseline) and φₗ for the chance of look l. Then
//! ```text
//! p(x, b, d | y) ∝ p(b)·p(d)·exp(−½|x|²)·Πₗ φₗ(x; b)·Πₖ gₖ(hₖ; b)·exp(−½ rₖ(x; b, d)²)
//! ```
//! with gₖ = σₖ(b)⁻¹ for a value; for a bound gₖ·exp(−½rₖ²) is its chance Φ. Summed over b this is the mixture law of
//! [`super::ErrorLaw`], exactly. Given b every row is a plain least-squares residual, so contradictory readings
//! and open seams become separate, well-behaved hypotheses instead of one law with several peaks.
//!
//! # Looks
//! Each look has a Gaussian stand-in of u, found by expectation propagation; the prior times all stand-ins is again
//! Gaussian, x = μ + R·ξ with ξ ~ N(0, I). All below happens in ξ; what the looks say beyond their stand-ins is part
//! of the weight.
//!
//! # The draw
//! Draw b from a proposal q(b), d from its prior p(d), ζ ~ N(0, I). With H(ξ) = \[ξ; r(ξ)\], A = ∂r/∂ξ near the best
//! point of b and its thin decomposition A = U·S·Vᵀ, an orthonormal basis Q of the range of \[I; A\] is
//! (v⊥; 0) and (vⱼ; sⱼ·uⱼ)/√(1+sⱼ²). So QᵀH(ξ) = ζ says ξ⊥ = ζ⊥ exactly, and for the few c = Vᵀξ
//! ```text
//! eⱼ(c) = (cⱼ + sⱼ·uⱼᵀ·r)/√(1+sⱼ²) = ηⱼ,     ξ = ζ − V·Vᵀ·ζ + V·c,     η = Vᵀζ ~ N(0, I)
//! ```
//! The equation is first solved on a cheap model of the readings ([`super::surrogate`]), corrected at each solve of the
//! true one; only the true one counts.
//! # The weight
//! If ζ ↦ ξ is one-to-one, ξ has the density (2π)^(−D/2)·|det QᵀJ|·exp(−½|QᵀH|²) given b and d, hence
//! ```text
//! ln w = ln p(b) − ln q(b) + Σ ln gₖ + ln φ/site + ½|QᵀH|² − ½|H|² − ln|det QᵀJ|
//!      = … + ½Σ eⱼ² − ½(|c|² + |r|²) − ln det[(I + S·Uᵀ·A(ξ)·V)/√(1+s²)]
//! ```
//! p(d) stands in the target and in the proposal and cancels: conditional on any drawn d the formula is the same,
//! and averaging w·f over (b, d, ξ) gives ∫ f dp exactly. Q may be any fixed orthonormal matrix; the best point only
//! makes it a good one. With linear rows all weights of one b are equal.
//!
//! # What can go wrong
//! A draw whose equation is not solved gets weight 0 and is counted. A determinant ≤ 0 means the map folds there:
//! counted as failed too.
//!
//! # Source
//! "Randomize-then-optimize: a method for sampling from posterior distributions in nonlinear inverse problems", SIAM
//! Journal on Scientific Computing 36 (2014), and the low-rank form after "Scalable optimization-based sampling on
//! function space", same journal 42 (2020): from memory; the proofs above are self-contained.

use super::best_point::BestPoint;
use super::hypotheses::{Drawn, Hypotheses};
use super::problem::Problem;
use super::proposal::{Guide, Proposal};
use super::readout::Readout;
use super::scratch::{Purpose, Scratch};
use super::settle::settle;
use super::surrogate::SurrogateWork;
use crate::math::ln;

/// Sets the streams of a second run apart from those of the first.
const SECOND_RUN: u64 = 0x7365_636f_6e64;

/// All hypotheses, ready to draw from.
pub(crate) struct Sampler {
    pub hypotheses: Hypotheses,
    /// Best point without any wrong set-up or open seam.
    pub main: BestPoint,
    draws: usize,
    seed: u64,
    /// Where the evenly spaced choice of hypotheses begins, 0 to 1.
    offset: f64,
}

/// How one draw went.
#[derive(Debug, Clone, Copy)]
pub struct Draw {
    /// Logarithm of its weight; −∞ when it failed.
    pub ln_weight: f64,
    /// Its hypothesis.
    pub case: super::case::Case,
    /// Solves of the true model.
    pub steps: u32,
    /// Whether its equation was solved.
    pub solved: bool,
}

impl Default for Draw {
    fn default() -> Self {
        Draw {
            ln_weight: f64::NEG_INFINITY,
            case: super::case::Case::default(),
            steps: 0,
            solved: false,
        }
    }
}

impl Sampler {
    /// Finds the best points and prepares to draw. The readout's warm start moves to the best point.
    pub(crate) fn new<R: Readout>(problem: &mut Problem<'_, R>, draws: usize, seed: u64) -> Self {
        assert!(
            problem.readings.len() <= u64::BITS as usize,
            "wrong set-ups are kept as bits of one word"
        );
        let mut work = problem.readout.work();
        let (tilt, main) = settle(problem, &mut work);
        problem.readout.keep_start(&work);
        let hypotheses = Hypotheses::new(problem, &main, &tilt);
        Sampler {
            hypotheses,
            main,
            draws,
            seed,
            offset: super::scratch::offset(seed),
        }
    }

    /// The hypothesis of draw `index`: evenly spaced over their parts, so that each has exactly its part of the draws in
    /// the mean over offsets, however small.
    pub(crate) fn hypothesis(&self, index: usize) -> usize {
        self.at_part((index as f64 + self.offset) / self.draws.max(1) as f64)
    }

    /// The hypothesis in whose part of the draws this part of all, 0 to 1, lies.
    pub(crate) fn at_part(&self, at: f64) -> usize {
        let list = &self.hypotheses.drawn;
        list.partition_point(|drawn| drawn.end <= at)
            .min(list.len().saturating_sub(1))
    }

    /// Proposal and guide of a hypothesis.
    pub(crate) fn of(&self, hypothesis: usize) -> (&Proposal, Guide<'_>) {
        let drawn = &self.hypotheses.drawn[hypothesis];
        (&drawn.proposal, self.guide(drawn))
    }

    /// Whether a hypothesis draws a second open seam anew for each draw.
    pub(crate) fn is_open_ended(&self, hypothesis: usize) -> bool {
        !self.hypotheses.drawn[hypothesis].partners.is_empty()
    }

    fn guide(&self, drawn: &Drawn) -> Guide<'_> {
        let anchor = &self.hypotheses.anchors[drawn.anchor];
        Guide {
            tilt: &self.hypotheses.tilts[anchor.tilt],
            surrogate: &anchor.surrogate,
        }
    }

    /// How each seam, were it open, would act on each reading and look; see [`super::open_seams`].
    pub(crate) fn signatures<R: Readout>(&self, problem: &Problem<'_, R>) -> Vec<Vec<f64>> {
        let mut found = self.hypotheses.anchors[0].surrogate.effects(problem);
        for (seam, signature) in found.iter_mut().enumerate() {
            let said = |of: &dyn Fn(usize) -> f64| {
                (0..problem.looks.looks.len())
                    .filter(|&l| problem.looks.looks[l].seam == seam)
                    .map(of)
                    .sum::<f64>()
            };
            let open = super::case::Open::one(seam);
            signature.push(said(&|l| {
                let look = &problem.looks.looks[l];
                let (u, _) = look.form(problem.prior, open);
                look.ln_chance(u) - 1.0
            }));
            let claims = problem.looks.claims.iter().filter(|c| c.seam == seam);
            signature.push(claims.map(|c| ln(c.if_open / c.if_not)).sum());
        }
        found
    }

    /// The same hypotheses for a second, independent run, shared out by what the first one found.
    pub(crate) fn second(mut self, found: &[Draw], weights: &[f64], draws: usize) -> Self {
        let of: Vec<(usize, f64)> = (0..found.len())
            .map(|i| (self.hypothesis(i), weights[i]))
            .collect();
        self.hypotheses.share_out_by(&of);
        self.draws = draws;
        self.seed ^= SECOND_RUN;
        self.offset = super::scratch::offset(self.seed);
        self
    }

    /// Makes draw `index` in `scratch`; afterwards `scratch` and `work` stand at the draw.
    pub(crate) fn draw<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        index: usize,
        scratch: &mut Scratch,
        work: &mut R::Work,
        cheap: &mut SurrogateWork,
    ) -> Draw {
        problem.readout.restart(work);
        scratch.randomise(problem, self.seed, Purpose::Posterior, index);
        let drawn = &self.hypotheses.drawn[self.hypothesis(index)];
        let guide = self.guide(drawn);
        let proposal = drawn.of_draw(problem, scratch.pick);
        scratch.case = proposal.case;
        let (solved, steps, ln_weight) = proposal.solve(problem, &guide, scratch, work, cheap);
        Draw {
            ln_weight: if solved { ln_weight } else { f64::NEG_INFINITY },
            case: proposal.case,
            steps,
            solved,
        }
    }
}
