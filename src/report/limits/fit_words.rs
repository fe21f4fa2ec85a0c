//! Words of how a flow at 25 Pa was had: figures that mean nothing are not shown as figures.

use super::said::{pascals, with_unit};
use crate::limits::{Answer, At25, Fit, Found, How, Weights};
use crate::math::{exp, powi};
use crate::quantity::{UnitSystem, significant};
use crate::report::figures::{flow_unit, leak};
use crate::report::lines::wrapped;
use crate::system::{Measured, System};

/// A factor of the 95 % band from which a figure is called not known. Engineering estimate.
const NOT_KNOWN: f64 = 2.0;
/// Floor of an error, as part of the rest of it, from which it is told. Engineering estimate.
const FLOOR_WEIGHS: f64 = 0.5;

/// A figure with so many decimals, or that it is less than the last of them.
fn least(value: f64, decimals: usize) -> String {
    let unit = powi(0.1, decimals as i32);
    if value < 0.5 * unit {
        format!("less than {unit:.decimals$}")
    } else if value > 10.0 {
        "more than 10".to_owned()
    } else {
        format!("{value:.decimals$}")
    }
}

/// C of a fit with its error.
pub fn coefficient(fit: &Fit, units: UnitSystem) -> String {
    let factor = exp(fit.t * fit.ln_c_se);
    let error = if factor > NOT_KNOWN {
        "95 % band wider than a factor of two: not known".to_owned()
    } else {
        format!("± {} %", least(100.0 * (factor - 1.0), 1))
    };
    format!(
        "C {} {} at 1 Pa ({error})",
        significant(crate::report::figures::flow(fit.c(), units), 4),
        flow_unit(units),
    )
}

fn band(fit: &Fit, units: UnitSystem) -> String {
    if exp(fit.t * fit.ln_flow_se(25.0)) > NOT_KNOWN {
        return "band at 25 Pa wider than a factor of two: this series does not give the flow there".to_owned();
    }
    let (low, high) = fit.band(25.0);
    format!(
        "band at 25 Pa {} to {} {}: scatter of this series alone, no drift of wind, no bias of instruments (those are in the ± \
         above)",
        leak(low, units),
        leak(high, units),
        flow_unit(units),
    )
}

/// What is left over of a weighted fit.
fn chi(chi_square: f64, freedom: f64) -> String {
    if chi_square < 0.005 {
        "nothing left over".to_owned()
    } else {
        format!("χ² {} of {freedom:.0}", significant(chi_square, 2))
    }
}

/// What a gauge can still tell apart, where that is much of a reading's error; once for all readings.
pub fn floor(system: &System, answer: &Answer<'_>, units: UnitSystem) -> Option<String> {
    let read = |id: &String| {
        let found = answer.found.iter().chain(&answer.earlier);
        found
            .filter(|found| !found.is_given)
            .any(|found| found.ids.contains(id))
    };
    let weighs: Vec<&Measured> = system
        .readings
        .iter()
        .filter(|one| one.fan_flow_m3_s().is_some() && read(&one.id))
        // A floor beside no part of the reading is an error that was stated as a flow.
        .filter(|one| {
            one.relative_sd > 0.0 && one.floor_sd > FLOOR_WEIGHS * one.relative_sd * one.value.abs()
        })
        .collect();
    let most = weighs
        .iter()
        .map(|one| one.floor_sd)
        .max_by(f64::total_cmp)?;
    let ids: Vec<String> = weighs.iter().map(|one| format!("`{}`", one.id)).collect();
    Some(format!(
        "the error of {} holds {}, one standard deviation, that nobody stated: what a gauge can still tell apart (engineering \
         estimate)",
        ids.join(", "),
        with_unit(most, units)
    ))
}

/// How a flow at 25 Pa was had.
pub fn how(answer: &Answer<'_>, found: &Found<'_>, at: &At25) -> String {
    let (n, was_said) = answer.exponent;
    let exponent = format!(
        "moved with the exponent {n:.2} ({})",
        if was_said {
            "given"
        } else {
            "assumed: convention of duct tests, from memory"
        }
    );
    match at.how() {
        How::OnePoint { pressure_pa } if found.moved_by_assumption() => {
            format!("read at {} Pa, {exponent}", pascals(*pressure_pa))
        }
        How::OnePoint { .. } => "read at 25 Pa".to_owned(),
        How::Repeats {
            count,
            least_pa,
            most_pa,
        } if found.moved_by_assumption() => {
            let (least, most) = (pascals(*least_pa), pascals(*most_pa));
            let at = if least == most {
                most
            } else {
                format!("{least} to {most}")
            };
            format!("mean of {count} readings at {at} Pa, each {exponent}")
        }
        How::Repeats { count, .. } => format!("mean of {count} readings at 25 Pa"),
        How::TwoPoints { ratio } => format!(
            "two pressures, one {ratio:.1} times the other: exponent {:.2} ± {}",
            at.exponent().0,
            least(2.0 * at.exponent().1, 2)
        ),
        How::Series(fit) => format!("fitted to {} points", fit.points),
    }
}

/// The line through a series.
pub fn series(fit: &Fit, weighted: Option<&Fit>, units: UnitSystem) -> String {
    let mut words = format!(
        "Q = C Δp^n with n {:.3} ± {}, {}, r2 {:.4}; {}",
        fit.n,
        least(fit.t * fit.n_se, 3),
        coefficient(fit, units),
        fit.r2,
        band(fit, units),
    );
    if let Some(other) = weighted
        && let Weights::ByError { chi_square, .. } = other.weights
    {
        words.push_str(&format!(
            ". Weighed by the points' own errors: n {:.3}, {} at 25 Pa, {}",
            other.n,
            with_unit(other.flow(25.0), units),
            chi(chi_square, other.freedom())
        ));
    }
    words.push('.');
    wrapped("Fit:      ", &words)
}
