//! When an answer is doubtful, and what the person should know besides.

use super::types::{Diagnostics, GrossCandidate, House, ReadingResult, SeamResult, Status};
use crate::system::{SuspectTape, System, TestKind, Warning};

/// Fewest effective draws to trust (after the sampler's own acceptance rule).
pub(crate) const LEAST_EFFECTIVE: f64 = 400.0;
/// Tail shape of the weights from which averages cannot be trusted.
pub(crate) const HEAVIEST_TAIL: f64 = 0.7;
/// Chains agree below this split R̂.
pub(crate) const WIDEST_R_HAT: f64 = 1.01;
/// Largest part of draws that may fail.
const MOST_FAILED: f64 = 0.01;
/// A reading disagrees badly when the chance that its set-up was wrong has grown from one in twenty to this: bands
/// then join two cases, right and wrong. Engineering estimate.
const LIKELY_WRONG: f64 = 0.2;
/// The readings together disagree when the chance that any of them was wrong is above this. Engineering estimate.
const ANY_WRONG: f64 = 0.5;
/// No reading that is taken as right may lie farther off the model, in standard deviations of its meter.
/// Engineering estimate.
const FARTHEST_SD: f64 = 4.0;
/// Above this the reading has in effect been set aside. Engineering estimate.
pub(crate) const SET_ASIDE: f64 = 0.5;
/// A total this unlikely before any reading, and above, points at something open.
const UNLIKELY_TOTAL: f64 = 0.02;
/// A seam this likely to hang open is named in the warnings.
const LIKELY_OPEN: f64 = 0.3;
/// How many candidates for a gross leak are named.
const CANDIDATES: usize = 5;

/// Judges the computation and the readings.
pub(crate) fn status(
    diagnostics: &Diagnostics,
    draws: usize,
    readings: &[ReadingResult],
) -> Status {
    let mut reasons = Vec::new();
    if !diagnostics.best_point_settled {
        reasons.push(format!(
            "the search for the most probable point stopped short (step {}): hold the readings against one another",
            diagnostics.best_point_steps
        ));
    }
    let failed = diagnostics.failed_draws as f64 / draws as f64;
    if failed > MOST_FAILED {
        reasons.push(format!(
            "{} of {draws} draws could not be solved and count for nothing; at most 1 % may",
            diagnostics.failed_draws
        ));
    }
    if diagnostics.r_hat.is_some_and(|r| !(r < WIDEST_R_HAT)) {
        reasons.push(format!(
            "the chains do not agree with one another (split R-hat {:.3}, wanted below {WIDEST_R_HAT}): bands may be wrong",
            diagnostics.r_hat.unwrap_or(f64::NAN)
        ));
    }
    // Written so that NaN is doubtful too.
    if !(diagnostics.effective_draws >= LEAST_EFFECTIVE) {
        reasons.push(format!(
            "the {draws} draws are worth only {:.0} equal ones; at least {LEAST_EFFECTIVE} are wanted: {}",
            diagnostics.effective_draws,
            if diagnostics.pareto_k.is_some_and(|k| !(k < HEAVIEST_TAIL)) {
                "more draws will not mend it; check the readings against one another"
            } else {
                "ask for more with `--draws`"
            }
        ));
    }
    if diagnostics.pareto_k.is_some_and(|k| !(k < HEAVIEST_TAIL)) {
        reasons.push(format!(
            "a few draws carry too much weight (tail shape {:.2}, wanted below {HEAVIEST_TAIL}): bands may be wrong",
            diagnostics.pareto_k.unwrap_or(f64::NAN)
        ));
    }
    for reading in readings
        .iter()
        .filter(|r| r.wrong_setup_chance > LIKELY_WRONG)
    {
        reasons.push(format!(
            "reading `{}` does not agree with {}: the chance that its set-up was wrong is {:.0} %, {}",
            reading.id,
            the_rest(readings.len()),
            100.0 * reading.wrong_setup_chance,
            if reading.wrong_setup_chance > SET_ASIDE {
                "and it has been set aside"
            } else {
                "and bands join the two cases, right and wrong"
            }
        ));
    }
    for reading in readings
        .iter()
        .filter(|r| r.wrong_setup_chance <= LIKELY_WRONG && r.residual_sd.abs() > FARTHEST_SD)
    {
        reasons.push(format!(
            "reading `{}` lies {:.0} meter errors off the model although it is taken as right",
            reading.id,
            reading.residual_sd.abs()
        ));
    }
    if reasons.is_empty() && diagnostics.any_wrong_setup_chance > ANY_WRONG {
        reasons.push(format!(
            "the readings do not agree with one another: the chance that the set-up of one of them was wrong is {:.0} %, \
             though no single one stands out",
            100.0 * diagnostics.any_wrong_setup_chance
        ));
    }
    if reasons.is_empty() {
        Status::Converged
    } else {
        Status::Doubtful { reasons }
    }
}

/// Things to know, in a fixed order.
pub(crate) fn warnings(
    system: &System,
    readings: &[ReadingResult],
    seams: &[SeamResult],
    gross: &[GrossCandidate],
    house: &House,
    diagnostics: &Diagnostics,
) -> Vec<Warning> {
    let mut warnings = Vec::new();
    let mut warn = |code: &str, text: String| {
        warnings.push(Warning {
            code: code.to_owned(),
            text,
        });
    };
    for reading in readings
        .iter()
        .filter(|r| r.wrong_setup_chance > LIKELY_WRONG)
    {
        warn(
            "readings-disagree",
            format!(
                "reading `{}` does not agree with {}: check its set-up before trusting the spread",
                reading.id,
                the_rest(readings.len())
            ),
        );
    }
    for reading in readings {
        let is_total = matches!(reading.setup.kind, TestKind::Total);
        let is_above = reading.measured > reading.prior.p95;
        if is_total && is_above && reading.prior_chance < UNLIKELY_TOTAL {
            warn(
                "far-above-ordinary-joints",
                gross_words(reading, seams, gross),
            );
        }
    }
    for candidate in gross.iter().filter(|c| c.chance > LIKELY_OPEN) {
        let names: Vec<String> = candidate
            .seams
            .iter()
            .take(CANDIDATES)
            .map(|&s| format!("`{}`", seams[s].id))
            .collect();
        warn(
            "may-hang-open",
            format!(
                "{} may hang open (chance {:.0} %): look there first; put it together and read again before sealing joints",
                names.join(" or "),
                100.0 * candidate.chance
            ),
        );
    }
    if readings.is_empty() {
        warn(
            "no-reading",
            "no reading: what follows is only what joints of these types usually leak".to_owned(),
        );
    } else if readings
        .iter()
        .all(|r| matches!(r.setup.kind, TestKind::Total))
    {
        let advice = if system.suspect_tape == SuspectTape::Suspected {
            ""
        } else {
            "; one side or one run read apart, or a reading with some runs plugged, would move it"
        };
        warn(
            "total-only",
            format!(
                "a total says how much leaks and hardly where: the order of the seams is mostly that of their joint types{advice}"
            ),
        );
    }
    let one_pressure = readings
        .windows(2)
        .all(|pair| (pair[0].setup.pressure_pa - pair[1].setup.pressure_pa).abs() < 1.0);
    if !readings.is_empty() && one_pressure && !diagnostics.uninformed_exponents.is_empty() {
        warn(
            "exponents-not-informed",
            format!(
                "no reading says how leakage grows with pressure for {}: exponents keep the catalogue's doubt; \
                 a reading at another pressure would tell",
                counted(diagnostics.uninformed_exponents.len(), "joint type")
            ),
        );
    }
    if house.to_outside_m3_s.p95 > house.total_m3_s.p95
        && house.to_outside_m3_s.mean > house.total_m3_s.mean
    {
        warn(
            "outside-above-total",
            "more leaks to outside than in total: the two set-ups differ in fan, tap or pressure"
                .to_owned(),
        );
    }
    warnings
}

/// What a reading is held against: the sketch alone when it is the only one.
fn the_rest(readings: usize) -> &'static str {
    if readings == 1 {
        "what joints of these types usually leak"
    } else {
        "the sketch and the other readings"
    }
}

fn gross_words(reading: &ReadingResult, seams: &[SeamResult], gross: &[GrossCandidate]) -> String {
    let names: Vec<String> = gross
        .iter()
        .flat_map(|candidate| &candidate.seams)
        .take(CANDIDATES)
        .map(|&s| format!("`{}`", seams[s].id))
        .collect();
    let first = format!(
        "reading `{}` is {:.1} times what ordinary joints would leak: look for something open before sealing joints{}",
        reading.id,
        reading.measured / reading.prior.p50,
        if reading.wrong_setup_chance > SET_ASIDE {
            "; the reading has been set aside, and the spread is mostly that of ordinary joints"
        } else {
            ""
        }
    );
    if names.is_empty() {
        first
    } else {
        format!("{first}; likeliest to hang open: {}", names.join(", "))
    }
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}
