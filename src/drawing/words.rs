//! Words of the sheet.

use crate::allocate::{Allocation, Band};
use crate::quantity::{Length, UnitSystem, significant};
use crate::said::figures::{leak, leaks};
use crate::said::words::stage;
use crate::system::System;

pub(super) use crate::said::figures::{
    chance, flow as flow_number, flow_unit, number, percent, three_digits,
};
pub(super) use crate::said::words::counted;

/// `12.3 cfm`.
pub(super) fn flow(q: f64, units: UnitSystem) -> String {
    format!("{} {}", leak(q, units), flow_unit(units))
}

/// `12.3 (3.1 to 29.8)`, without the unit.
pub(super) fn band(band: &Band, units: UnitSystem) -> String {
    format!("{} ({})", leak(band.mean, units), leaks(*band, units))
}

/// `9 ft` or `2.7 m`, without a sign.
pub(super) fn height(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => format!("{} ft", number(Length::new(m.abs()).to_ft(), 0)),
        UnitSystem::Si => format!("{} m", number(m.abs(), 1)),
    }
}

/// What every leak figure of a sheet is for: set-up, pressure, evidence, how far the sealing had come.
pub(super) fn basis(system: &System, allocation: &Allocation) -> String {
    format!(
        "Leakage in the total set-up (whole system at {} Pa, house open to outdoors), {}.",
        significant(allocation.house.test_pressure_pa, 3),
        evidence(system, allocation)
    )
}

/// What an allocation stands on: `given 3 readings and 1 look, before any sealing`.
pub(super) fn evidence(system: &System, allocation: &Allocation) -> String {
    let (readings, looks) = (allocation.readings.len(), allocation.looks.len());
    let from = match (readings, looks) {
        (0, 0) => "nothing was read: what such ducts usually leak".to_owned(),
        (0, n) => format!(
            "no leakage was read: what such ducts usually leak, given {}",
            counted(n, "look", "looks")
        ),
        (n, 0) => format!("given {}", counted(n, "reading", "readings")),
        (n, m) => format!(
            "given {} and {}",
            counted(n, "reading", "readings"),
            counted(m, "look", "looks")
        ),
    };
    match stage(system, allocation.stage) {
        Some(stage) => format!("{from}, {}", unquoted(&stage)),
        None => from,
    }
}

/// Words without the marks of code: what stood between back quotes stands between curved ones.
pub(super) fn unquoted(words: &str) -> String {
    let mut opens = true;
    words
        .chars()
        .map(|c| {
            if c != '`' {
                return c;
            }
            opens = !opens;
            if opens { '’' } else { '‘' }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flows_are_said_as_in_the_tables() {
        // 1 ft3/min is 0.3048^3/60 m3/s.
        let cfm = 0.3048_f64.powi(3) / 60.0;
        let found = Band {
            mean: 12.3 * cfm,
            p05: 3.1 * cfm,
            p50: 10.0 * cfm,
            p95: 129.8 * cfm,
        };
        assert_eq!(band(&found, UnitSystem::Ip), "12.3 (3.1 to 130)");
        assert_eq!(flow(0.044 * cfm, UnitSystem::Ip), "0.04 cfm");
        assert_eq!(percent(0.063), "6.3 %");
    }

    #[test]
    fn marks_of_code_become_quotes() {
        assert_eq!(unquoted("(`floor area` or `x`)"), "(‘floor area’ or ‘x’)");
        assert_eq!(unquoted("plain"), "plain");
    }

    #[test]
    fn heights_have_no_sign() {
        assert_eq!(height(-2.7432, UnitSystem::Ip), "9 ft");
        assert_eq!(height(2.7432, UnitSystem::Si), "2.7 m");
    }
}
