//! What makes readings doubtful, one set-up by itself and several beside each other.

use super::answer::Found;
use super::checks::{
    Part, airflow_warning, outside_warning, repeats_warning, side_warning, split_warning,
};
use super::measured::{At25, AtPressure, How, USUAL_EXPONENT_SD, is_one_pressure};
use super::series::{Point, SeriesWarning};
use super::series_faults::unusual;
use super::student::t_95;
use crate::catalog::{Scope, Stage};
use crate::math::hypot;
use crate::system::{System, TestKind, Warning};

/// Pressures from which an assumed exponent may be trusted to move a reading, Pa. Engineering estimate: a factor of five.
const NEAR_25_PA: std::ops::RangeInclusive<f64> = 5.0..=125.0;

/// Readings that give a value and not a bound.
fn values<'f>(found: &'f Found<'_>) -> impl Iterator<Item = &'f AtPressure> {
    found.readings.iter().filter(|reading| !reading.is_bound)
}

pub(super) fn found_warnings(found: &Found<'_>, n: f64) -> Vec<Warning> {
    let mut warnings = Vec::new();
    match found.at_25.as_ref().map(At25::how) {
        Ok(How::Series(fit)) => warnings.extend(fit.warnings.iter().map(|warning| Warning {
            code: warning.code().to_owned(),
            text: format!("series of `{}`: {}", found.ids[0], warning.words()),
        })),
        Ok(How::TwoPoints { .. }) => {
            let n = found.at_25.as_ref().map_or(0.0, |at| at.exponent().0);
            warnings.extend(unusual(n).then(|| {
                let warning = SeriesWarning::Exponent(n);
                Warning {
                    code: warning.code().to_owned(),
                    text: format!("two pressures of `{}`: {}", found.ids[0], warning.words()),
                }
            }));
        }
        Ok(How::Repeats {
            least_pa, most_pa, ..
        }) => {
            warnings.extend(repeats_warning(&found.readings, n, USUAL_EXPONENT_SD));
            let points: Vec<Point> = values(found).map(|r| r.point).collect();
            if !is_one_pressure(&points) {
                warnings.push(Warning {
                    code: "series-narrow".to_owned(),
                    text: format!(
                        "readings of `{}`: {most_pa:.0} Pa is only {:.1} times {least_pa:.0} Pa, too close to give an \
                         exponent, so each was moved with the assumed one; take a third point far from both",
                        found.ids[0],
                        most_pa / least_pa
                    ),
                });
            }
        }
        _ => {}
    }
    let is_moved = matches!(
        found.at_25.as_ref().map(At25::how),
        Ok(How::OnePoint { .. } | How::Repeats { .. })
    );
    if let (Ok(at), Some(forms)) = (&found.at_25, &found.forms)
        && let Ok(of) = &forms.of_airflow
    {
        warnings.extend(airflow_warning(&found.ids[0], at, of.part));
    }
    let mut judged: Vec<&AtPressure> = values(found).collect();
    if judged.is_empty() {
        judged = found.readings.iter().collect();
    }
    if let Some(far) = judged
        .into_iter()
        .find(|reading| is_moved && !NEAR_25_PA.contains(&reading.point.pressure_pa))
    {
        warnings.push(Warning {
            code: "far-from-25-pa".to_owned(),
            text: format!(
                "`{}` was read at {:.0} Pa: far from 25 Pa the assumed exponent decides the figure; read at 25 Pa, or at \
                 three pressures",
                far.id, far.point.pressure_pa
            ),
        });
    }
    warnings
}

/// Readings that later sealing has overtaken, beside one that it has not.
pub(super) fn stale_warnings(found: &[Found<'_>]) -> Vec<Warning> {
    let last = found.iter().map(|one| one.sealed_steps).max();
    found
        .iter()
        .filter(|one| Some(one.sealed_steps) < last)
        .map(|one| Warning {
            code: "read-before-sealing".to_owned(),
            text: format!(
                "`{}` ({}) was read before sealing that came later: it says what was, not what is; repeat it",
                one.ids[0],
                one.basis.scope.words()
            ),
        })
        .collect()
}

/// Readings of the kind rough-in beside another stage that was asked for.
pub(super) fn stage_warnings(system: &System, asked: Option<Stage>) -> Vec<Warning> {
    let Some(asked) = asked.filter(|stage| *stage != Stage::RoughInNoHandler) else {
        return Vec::new();
    };
    let kind = |kind| matches!(kind, TestKind::RoughIn);
    let readings = system.readings.iter().filter(|one| kind(one.setup.kind));
    readings
        .map(|one| Warning {
            code: "stage-clash".to_owned(),
            text: format!(
                "`{}` is of the kind rough-in, ducts without the air handler, and the stage asked for is {}: it was held \
                 against limits of that stage. Leave `--stage` out, or write the reading as `total` where the handler was in",
                one.id,
                asked.words()
            ),
        })
        .collect()
}

/// Contradictions between readings of one state.
pub(super) fn cross_warnings(found: &[&Found<'_>]) -> Vec<Warning> {
    let mut warnings = Vec::new();
    let of = |scope: Scope, steps: usize| {
        found
            .iter()
            .find(|one| one.basis.scope == scope && one.sealed_steps == steps)
            .and_then(|one| Some((one.at_25.as_ref().ok()?, one.guarded, one.basis.stage)))
    };
    for total in found.iter().filter(|one| one.basis.scope == Scope::Total) {
        let Ok(at) = &total.at_25 else { continue };
        let steps = total.sealed_steps;
        let same = |stage: Option<Stage>| stage == total.basis.stage;
        if let (Some((supply, s_guarded, s)), Some((ret, r_guarded, r))) =
            (of(Scope::Supply, steps), of(Scope::Return, steps))
            && same(s)
            && same(r)
        {
            let part = |at, guarded| Part { at, guarded };
            warnings.extend(split_warning(
                part(supply, s_guarded),
                part(ret, r_guarded),
                at,
            ));
        }
        for scope in [Scope::Supply, Scope::Return] {
            if let Some((side, guarded, stage)) = of(scope, steps)
                && same(stage)
            {
                warnings.extend(side_warning(scope.words(), Part { at: side, guarded }, at));
            }
        }
        if let Some((outside, _, stage)) = of(Scope::Outside, steps)
            && same(stage)
        {
            warnings.extend(outside_warning(outside, at));
        }
    }
    for (k, one) in found.iter().enumerate() {
        for other in &found[k + 1..] {
            let alike = one.basis == other.basis
                && one.guarded == other.guarded
                && one.sealed_steps == other.sealed_steps;
            if let (true, Ok(a), Ok(b)) = (alike, &one.at_25, &other.at_25)
                && !(a.is_bound() || b.is_bound())
                && (a.flow_m3_s() - b.flow_m3_s()).abs()
                    > t_95(None) * hypot(a.sd_m3_s(), b.sd_m3_s())
            {
                warnings.push(Warning {
                    code: "repeats-disagree".to_owned(),
                    text: format!(
                        "`{}` and `{}` are both {} and differ by more than their errors allow, in set-ups that differ: find \
                         out which stands for the ducts, and take the other out",
                        one.ids[0],
                        other.ids[0],
                        one.basis.scope.words()
                    ),
                });
            }
        }
    }
    warnings
}
