//! What a learner overlooked, and why it was hard or easy to see.

use super::exercise::SeamTruth;
use crate::sketch::Smoke;
use crate::system::{Reach, SeamIdx, Seen, System};

/// A seam flows this many times what its joint type usually does: nothing but a look tells. Engineering estimate.
const UNUSUAL: f64 = 2.5;

/// A seam among the leakiest that was not named.
#[derive(Debug, Clone, PartialEq)]
pub struct Missed {
    /// The seam.
    pub seam: SeamIdx,
    /// Its true place, 1 for the leakiest.
    pub rank: usize,
    /// Its true flow in the total set-up, m³/s.
    pub test_m3_s: f64,
    /// Its part of all leakage.
    pub part: f64,
    /// Why; never empty.
    pub why: Vec<Why>,
}

/// Why a seam was hard, or easy, to see.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Why {
    /// It hangs open.
    Open,
    /// Nobody sees it where it is.
    Hidden(Reach),
    /// The looks that were shown had strong smoke there.
    SmokeWasStrong,
    /// They had none, or a wisp: smoke is no meter.
    SmokeSaidLittle,
    /// Its joint type and size are among those that usually leak most.
    UsuallyLeaky,
    /// It leaks this many times what its joint type usually does.
    Unusual(f64),
    /// Nothing points at it: it leaks somewhat more than usual.
    NoHint,
}

/// Why a seam may have been overlooked. `usual` says whether the catalogue expects it among the leakiest.
pub(super) fn why(system: &System, seam: SeamIdx, truth: &SeamTruth, usual: bool) -> Vec<Why> {
    let of = &system.seams[seam];
    let mut why = Vec::new();
    if truth.open {
        why.push(Why::Open);
    }
    if matches!(of.reach, Reach::BehindFinish | Reach::None) {
        why.push(Why::Hidden(of.reach));
    }
    let seen = system
        .looks
        .iter()
        .find(|look| look.seams.contains(&seam))
        .map(|look| &look.seen);
    match seen {
        Some(Seen::Smoke(Smoke::Strong) | Seen::Hanging) => why.push(Why::SmokeWasStrong),
        Some(Seen::Smoke(_)) => why.push(Why::SmokeSaidLittle),
        _ => {}
    }
    if usual {
        why.push(Why::UsuallyLeaky);
    }
    let times = truth.q25_m3_s / of.mean_q25_m3_s;
    if !truth.open && times >= UNUSUAL {
        why.push(Why::Unusual(times));
    }
    if why.is_empty() {
        why.push(Why::NoHint);
    }
    why
}
