//! Readings that cannot all be right: split tests against the total, leakage to outside above the total, repeats that
//! disagree, baselines.

use super::measured::{At25, AtPressure, one_point};
use super::student::t_95;
use crate::math::hypot;
use crate::system::{TestRecord, Warning};

/// Largest baseline of a good test, Pa. ISO 9972, read second-hand.
const MOST_BASELINE_PA: f64 = 5.0;
/// Largest change of the baseline during a test, Pa. Engineering estimate.
const MOST_DRIFT_PA: f64 = 1.0;
/// Leak past a barrier, as part of the total, from which it is worth looking at. Engineering estimate.
const MUCH_PAST_BARRIER: f64 = 0.10;
/// Leakage as part of the airflow from which a reading is doubted. Engineering estimate: very leaky systems reach some 30 %.
const MUCH_OF_AIRFLOW: f64 = 0.40;

/// A flow at 25 Pa of a split test.
#[derive(Debug, Clone, Copy)]
pub struct Part<'a> {
    /// The flow.
    pub at: &'a At25,
    /// Whether the other side was held at the same pressure, so that nothing passes the barrier.
    pub guarded: bool,
}

/// Supply, return and leak past the barrier of a split test, m³/s.
///
/// # Equation
/// ```text
/// Q_S' = Q_S + Q_B;   Q_R' = Q_R + Q_B;   Q_T = Q_S + Q_R   →   Q_B = (Q_S' + Q_R' − Q_T)/2
/// ```
/// where `'` marks what was read with the other side open, `Q_B` leak past the barrier.
///
/// # Source
/// Derived.
///
/// # Examples
/// ```
/// // 60 and 50 read, 100 in all: 5 pass the barrier.
/// let (supply, ret, past) = ductseam::limits::split(60.0, 50.0, 100.0);
/// assert_eq!((supply, ret, past), (55.0, 45.0, 5.0));
/// ```
#[must_use]
pub fn split(supply_read: f64, return_read: f64, total: f64) -> (f64, f64, f64) {
    let past = (supply_read + return_read - total) / 2.0;
    (supply_read - past, return_read - past, past)
}

fn warning(code: &str, text: String) -> Warning {
    Warning {
        code: code.to_owned(),
        text,
    }
}

/// Supply and return against the total.
#[must_use]
pub fn split_warning(supply: Part<'_>, ret: Part<'_>, total: &At25) -> Option<Warning> {
    let (s, r, t) = (supply.at.flow_m3_s(), ret.at.flow_m3_s(), total.flow_m3_s());
    if supply.at.is_bound() || ret.at.is_bound() || total.is_bound() {
        return None;
    }
    let error = hypot(
        hypot(supply.at.sd_m3_s(), ret.at.sd_m3_s()),
        total.sd_m3_s(),
    );
    let gap = s + r - t;
    let allowed = t_95(None) * error;
    if gap < -allowed {
        return Some(warning(
            "split-below-total",
            format!(
                "supply and return add up to {:.0} % of the total, less than their errors allow: registers, panels or \
                 dampers stood differently in the three tests, or the pressure did not reach the far ends. Repeat them in \
                 one set-up",
                100.0 * (s + r) / t
            ),
        ));
    }
    let open = [supply, ret].iter().filter(|side| !side.guarded).count() as f64;
    if open < 1.0 && gap > allowed {
        return Some(warning(
            "split-above-total",
            format!(
                "supply and return, each guarded, add up to {:.0} % of the total, more than their errors allow: something \
                 passes between the sides or a register was open. Look at barrier and masks, then repeat",
                100.0 * (s + r) / t
            ),
        ));
    }
    // Each side read with the other open holds the barrier's leak once.
    let past = gap / open.max(1.0);
    (open > 0.0 && past - allowed / open > MUCH_PAST_BARRIER * t).then(|| {
        warning(
            "barrier-leaks",
            format!(
                "{:.0} % of the total passes the barrier: it is poorly sealed, or the tests stood differently. Seal the \
                 barrier again, or hold the other side at the same pressure with a second fan",
                100.0 * past / t
            ),
        )
    })
}

/// One side of a split test without the leak past the barrier, and that leak, m³/s: with the other side and the total read,
/// it is half of what both open sides have too much, or all of it where the other side was guarded. `None` where a guarded
/// reading needs nothing taken off, or a bound leaves the leak unknown.
///
/// # Source
/// Derived, as [`split`]; errors of the three readings taken as independent, and never below the side's own part.
#[must_use]
pub fn side_alone(side: Part<'_>, other: Part<'_>, total: &At25) -> Option<(At25, f64)> {
    let is_bound = side.at.is_bound() || other.at.is_bound() || total.is_bound();
    if side.guarded || is_bound {
        return None;
    }
    let (s, o, t) = (side.at.flow_m3_s(), other.at.flow_m3_s(), total.flow_m3_s());
    let (sd_s, sd_o, sd_t) = (side.at.sd_m3_s(), other.at.sd_m3_s(), total.sd_m3_s());
    let (past, sd) = if other.guarded {
        (s + o - t, hypot(sd_t, sd_o))
    } else {
        (split(s, o, t).2, 0.5 * hypot(hypot(sd_s, sd_o), sd_t))
    };
    let past = past.max(0.0);
    let left = s - past;
    (left > 0.0).then(|| (side.at.less(past, sd.max(left * sd_s / s)), past))
}

/// Leakage to outside against the total.
#[must_use]
pub fn outside_warning(outside: &At25, total: &At25) -> Option<Warning> {
    let gap = outside.flow_m3_s() - total.flow_m3_s();
    let error = hypot(outside.sd_m3_s(), total.sd_m3_s());
    (!outside.is_bound() && gap > t_95(None) * error).then(|| {
        warning(
            "outside-above-total",
            format!(
                "leakage to outside is {:.0} % of the total, which cannot be: in one of the two tests a mask was off, a \
                 pressure was read wrongly, or the house was not held at the ducts' pressure. Repeat both in one visit",
                100.0 * outside.flow_m3_s() / total.flow_m3_s()
            ),
        )
    })
}

/// One side against the total.
#[must_use]
pub fn side_warning(side: &str, part: Part<'_>, total: &At25) -> Option<Warning> {
    let gap = part.at.flow_m3_s() - total.flow_m3_s();
    let error = hypot(part.at.sd_m3_s(), total.sd_m3_s());
    let is_bound = part.at.is_bound() || total.is_bound();
    let why = if part.guarded {
        "which cannot be with the other side held alike"
    } else {
        "which only a barrier that leaks more than the whole other side could explain"
    };
    (!is_bound && gap > t_95(None) * error).then(|| {
        warning(
            "side-above-total",
            format!(
                "the {side} side is {:.0} % of the total, {why}: a mask was off, a pressure was read wrongly, or the barrier \
                 stood open in one of the tests. Repeat both in one visit",
                100.0 * part.at.flow_m3_s() / total.flow_m3_s()
            ),
        )
    })
}

/// Leakage that is a large part of the airflow.
#[must_use]
pub fn airflow_warning(id: &str, at: &At25, part: f64) -> Option<Warning> {
    let percent = 100.0 * part;
    if at.is_bound() || part <= MUCH_OF_AIRFLOW {
        None
    } else if part > 1.0 {
        Some(warning(
            "leakage-above-airflow",
            format!(
                "`{id}` is {percent:.0} % of the airflow, more than all of it: look at the units of the reading, for an open \
                 register or a duct that is off, and at the airflow and how it was got"
            ),
        ))
    } else {
        Some(warning(
            "leakage-large",
            format!(
                "`{id}` is {percent:.0} % of the airflow, more than {:.0} %: look for a mask that is off or a duct that hangs \
                 loose, and at the airflow and how it was got",
                100.0 * MUCH_OF_AIRFLOW
            ),
        ))
    }
}

/// Repeats of one test that differ by more than their errors.
///
/// What the gauge is off by is shared by repeats and cancels between them; it is left in, so that only plain contradictions
/// are told.
#[must_use]
pub fn repeats_warning(readings: &[AtPressure], n: f64, n_sd: f64) -> Option<Warning> {
    let all: Vec<(&str, At25)> = readings
        .iter()
        .filter(|reading| !reading.is_bound)
        .filter_map(|reading| Some((reading.id.as_str(), one_point(reading, n, n_sd).ok()?)))
        .collect();
    let least = all
        .iter()
        .min_by(|a, b| a.1.flow_m3_s().total_cmp(&b.1.flow_m3_s()))?;
    let most = all
        .iter()
        .max_by(|a, b| a.1.flow_m3_s().total_cmp(&b.1.flow_m3_s()))?;
    let gap = most.1.flow_m3_s() - least.1.flow_m3_s();
    let error = hypot(least.1.sd_m3_s(), most.1.sd_m3_s());
    (gap > t_95(None) * error).then(|| {
        warning(
            "repeats-disagree",
            format!(
                "`{}` and `{}` are of one test and differ by {:.0} %, more than their errors allow: something stood \
                 differently. Say what (`mask`, `fan`, `tap`, `after` a step of sealing), or repeat the test and take the \
                 wrong one out",
                least.0,
                most.0,
                100.0 * gap / least.1.flow_m3_s()
            ),
        )
    })
}

/// The baseline of a record.
#[must_use]
pub fn baseline_warnings(record: &TestRecord) -> Vec<Warning> {
    let mut found = Vec::new();
    let both = [record.baseline_before_pa, record.baseline_after_pa];
    if let Some(worst) = both
        .into_iter()
        .flatten()
        .max_by(|a, b| a.abs().total_cmp(&b.abs()))
        && worst.abs() > MOST_BASELINE_PA
    {
        found.push(warning(
            "baseline-large",
            format!(
                "the baseline is {worst:.1} Pa, more than {MOST_BASELINE_PA} Pa: look for wind, a running fan or an open \
                 flue, and test again in calm air"
            ),
        ));
    }
    if let [Some(before), Some(after)] = both
        && (after - before).abs() > MOST_DRIFT_PA
    {
        found.push(warning(
            "baseline-drift",
            format!(
                "the baseline moved by {:.1} Pa between start and end, more than {MOST_DRIFT_PA} Pa: pressures are worth \
                 little more than that; test again in calm air",
                (after - before).abs()
            ),
        ));
    }
    found
}
